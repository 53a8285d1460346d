"""The outline says what the picture shows."""

import pytest

from registry.charts.outline import as_text, outline
from registry.charts.pedigree import Parentage, with_leaf_siblings_grouped
from registry.charts.words import lines, spoken
from tests.registry.charts.make import NASTY, animal, drawn, figure, pair


def _told(picture):
    return {item.key: item.text for section in outline(picture) for item in section.items}


def test_each_animal_stands_once_under_its_nearest_generation():
    parentage = {"Y": pair("S", "B"), "B": pair("S", "D"), "Z": pair("Y", "M"), "X": pair("S", "D")}
    sections = outline(drawn(parentage, ["Y"]))
    assert [(s.heading, [item.key for item in s.items]) for s in sections] == [
        ("Asked about", ["Y"]),
        ("Parents", ["B", "S"]),
        ("Grandparents", ["D"]),
        ("Young", ["Z"]),
        ("Also drawn", ["M", "X"]),
    ]


def test_far_generations_are_counted():
    parentage = {f"{n}": Parentage.of(sires={f"{n + 1}": 1}) for n in range(5)}
    headings = [section.heading for section in outline(drawn(parentage, ["0"]))]
    assert headings[-2:] == ["4 generations back", "5 generations back"]


def test_parents_are_named_with_their_weights_and_what_is_missing():
    parentage = {"Y": Parentage.of(sires={"A": 0.5, "B": 0.25}, dams={"C": 1}, clutch="clutch K1")}
    told = _told(drawn(parentage, ["Y"], Y=animal("Y", inbreeding=figure(0.125))))
    assert told["Y"] == (
        "Y, unsexed (0.0.1), F 0.125. Parents, clutch K1: sire A (1/2), B (1/4) or an outsider "
        "(1/4); dam C; parents related, kinship 0.125."
    )


def test_two_unsexed_parents_are_named_together():
    told = _told(drawn({"Z": Parentage.of_pairs({("X", "Y"): 0.5, ("Y", "X"): 0.5})}, ["Z"]))
    assert "parents X and Y, which of them the sire is not known" in told["Z"]


def test_three_possible_parents_are_two_of_them():
    pairs = {("X", "Y"): 0.25, ("Y", "X"): 0.25, ("X", "W"): 0.25, ("W", "X"): 0.25}
    told = _told(drawn({"Z": Parentage.of_pairs(pairs)}, ["Z"]))
    assert "parents two of X, Y (1/2) or W (1/2)" in told["Z"]


def test_a_common_ancestor_is_called_one():
    told = _told(drawn({"Y": pair("S", "B"), "B": pair("S", "D")}, ["Y"]))
    assert "common ancestor" in told["S"]
    assert "common ancestor" not in told["D"]


def test_young_drawn_as_a_group_are_told_with_a_parent():
    picture = drawn({f"Y{n}": pair("A", "B") for n in range(9)}, ["A"])
    told = _told(with_leaf_siblings_grouped(picture))
    assert told["A"].endswith("And 6 more young (0.0.6) of sire A; dam B.")


@pytest.mark.parametrize("nasty", NASTY)
def test_every_item_is_one_line_without_direction_marks(nasty):
    text = as_text(outline(drawn({"Y": pair("A", "B")}, ["Y"], Y=animal("Y", name=nasty))))
    assert len(text.splitlines()) == 5
    assert not set(text) & set("\u202e\u2066\x00\x1b")


@pytest.mark.parametrize(
    ("facts", "line", "said"),
    [
        ({"sex": "male", "certainty": "strong"}, "1.0", "male (1.0)"),
        ({"sex": "female", "certainty": "weak"}, "0.1 weak", "female (0.1), weak finding"),
        ({}, "0.0.1", "unsexed (0.0.1)"),
        (
            {"sex": "male", "certainty": "contradicted"},
            "0.0.1 sex contradicted",
            "unsexed (0.0.1), sex contradicted",
        ),
        ({"sex": "female", "alive": False}, "0.1, dead", "female (0.1), dead"),
    ],
)
def test_sex_and_how_sure_it_is_are_in_words(facts, line, said):
    assert line in lines(animal(**facts))
    assert said in spoken(animal(**facts))
