"""The picture in the page: complete, safe, named for a screen reader, in the page's own colour."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from registry.charts.canvas import UnsafeLink
from registry.charts.drawing import draw
from registry.charts.lettering import clean
from registry.charts.pedigree import Parentage, with_leaf_siblings_grouped
from registry.charts.pedigree_sketch import pedigree_sketch
from registry.charts.sketch import Direction
from tests.registry.charts.make import NASTY, animal, drawn, figure, pair

SVG = "{http://www.w3.org/2000/svg}"


def _picture(parentage, asked, direction=Direction.ACROSS, **animals):
    return ElementTree.fromstring(
        draw(pedigree_sketch(drawn(parentage, asked, **animals), direction))
    )


def _classed(root, name):
    return [part for part in root.iter() if name in part.get("class", "").split()]


def _words(root):
    return [part.text for part in root.iter(f"{SVG}text")]


def assert_safe(svg):
    """Assert that a strict policy for scripts and styles blocks nothing of a picture."""
    root = ElementTree.fromstring(svg)
    names = {part.tag.removeprefix(SVG) for part in root.iter()}
    assert names <= {"svg", "title", "desc", "g", "a", "rect", "circle", "path", "text", "line"}
    attributes = {name for part in root.iter() for name in part.attrib}
    assert not {a for a in attributes if a == "style" or a.startswith("on")}
    colours = {part.get(a) for part in root.iter() for a in ("fill", "stroke")}
    assert colours <= {None, "none", "currentColor", "Canvas", "transparent"}
    return root


@pytest.mark.parametrize("nasty", NASTY)
def test_whatever_is_typed_is_shown_as_text_and_nothing_else(nasty):
    named = animal("Y", code=nasty, name=nasty, locality=nasty, born=nasty, notes=(nasty,))
    told = Parentage.of(sires={"S": 0.5}, dams={"D": 1}, clutch=nasty)
    picture = drawn({"Y": told}, ["Y"], Y=named, S=animal("S", href="/animals/1"))
    root = assert_safe(draw(pedigree_sketch(picture)))
    assert len(_classed(root, "card")) == 3
    assert clean(nasty) in root.find(f"{SVG}title").text


def test_the_same_holds_for_the_picture_that_runs_down():
    named = {f"Y{n}": animal(f"Y{n}", code=nasty) for n, nasty in enumerate(NASTY)}
    picture = drawn({key: pair("A", "B") for key in named}, ["A"], **named)
    root = assert_safe(draw(pedigree_sketch(picture, Direction.DOWN)))
    assert len(_classed(root, "card")) == len(NASTY) + 2


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.text(st.characters(), max_size=400))
def test_any_text_makes_a_well_formed_picture(text):
    assert_safe(draw(pedigree_sketch(drawn({}, ["Y"], Y=animal("Y", code=text, name=text)))))


def test_each_animal_links_to_its_page_and_says_who_it_is():
    ada = animal("Y", sex="female", certainty="weak", alive=False, href="/animals/7?tab=kin")
    root = _picture({"Y": pair("A", "B")}, ["Y"], Y=ada)
    (link,) = root.iter(f"{SVG}a")
    assert link.get("href") == "/animals/7?tab=kin"
    assert link.get("aria-label") == "Y, female (0.1), weak finding, dead, asked about"
    assert link.find(f"{SVG}title").text == link.get("aria-label")


def test_an_animal_without_a_page_is_a_labelled_group():
    (card,) = _classed(_picture({}, ["Y"]), "card")
    assert (card.tag, card.get("role")) == (f"{SVG}g", "img")


@pytest.mark.parametrize(
    "href",
    ["javascript:alert(1)", "JaVaScRiPt:x", " /animals", "data:text/html,x", "\tjavascript:x"],
)
def test_a_link_that_could_run_something_is_refused(href):
    with pytest.raises(UnsafeLink):
        _picture({}, ["Y"], Y=animal("Y", href=href))


def test_the_picture_is_named_described_and_scales():
    root = _picture({"Y": pair("S", "B"), "B": pair("S", "D")}, ["Y"])
    title, description = root[0], root[1]
    assert root.get("aria-labelledby") == title.get("id")
    assert root.get("aria-describedby") == description.get("id")
    assert title.text == "Pedigree of Y"
    assert "Common ancestors drawn: S." in description.text
    assert root.get("viewBox") == f"0 0 {root.get('width')} {root.get('height')}"


@pytest.mark.parametrize(
    ("sex", "shape", "tag"),
    [("male", "square", "rect"), ("female", "circle", "circle"), ("unsexed", "diamond", "path")],
)
def test_each_sex_has_the_symbol_of_the_trade(sex, shape, tag):
    root = _picture({}, ["Y"], Y=animal("Y", sex=sex, certainty="strong"))
    card_symbol, legend_symbol = _classed(root, shape)
    assert card_symbol[0].tag == legend_symbol[0].tag == f"{SVG}{tag}"
    assert card_symbol[0].get("stroke-dasharray") is None


def test_the_dead_are_slashed_and_the_living_are_not():
    assert len(_classed(_picture({}, ["Y"], Y=animal("Y", alive=False)), "slash")) == 2  # + legend
    assert _classed(_picture({}, ["Y"], Y=animal("Y")), "slash") == []


def test_a_weak_sex_is_dashed():
    root = _picture({}, ["Y"], Y=animal("Y", sex="male", certainty="weak"))
    assert _classed(root, "square")[0][0].get("stroke-dasharray")


def test_a_contradicted_sex_is_a_diamond_with_a_sign_and_a_word():
    root = _picture({}, ["Y"], Y=animal("Y", sex="male", certainty="contradicted"))
    assert "!" in [part.text for part in _classed(root, "diamond")[0]]
    assert "0.0.1 sex contradicted" in _words(root)


def test_one_of_several_is_dashed_with_its_weight():
    root = _picture({"Y": Parentage.of(sires={"A": 0.5, "B": 0.25}, dams={"C": 1})}, ["Y"])
    assert len(_classed(root, "uncertain")) == 2
    assert {"1/2", "1/4", "sire an outsider 1/4"} <= set(_words(root))
    assert all(part.get("stroke-dasharray") for part in _classed(root, "uncertain"))


def test_related_parents_are_joined_by_double_lines_with_their_kinship():
    related = _picture({"Y": pair("A", "B")}, ["Y"], Y=animal("Y", inbreeding=figure(0, 0.125)))
    lines = _classed(related, "related")
    assert len(lines) == 2
    assert all(len(re.findall("M", part.get("d"))) == 2 for part in lines)
    assert "f 0, at worst 0.125" in _words(related)


def test_unrelated_parents_are_joined_by_single_lines():
    plain = _picture({"Y": pair("A", "B")}, ["Y"], Y=animal("Y", inbreeding=figure(0)))
    assert _classed(plain, "related") == []
    assert not [words for words in _words(plain) if words.startswith("f ")]


def test_common_ancestors_are_marked_by_word_and_shape():
    root = _picture({"Y": pair("S", "B"), "B": pair("S", "D")}, ["Y"])
    assert [card.get("aria-label").split(",")[0] for card in _classed(root, "common")] == ["S"]
    assert _words(root).count("common ancestor") == 2  # the card and the legend
    assert len(_classed(root, "flag")) == 1


def test_the_animal_asked_about_has_a_heavy_frame_and_a_word():
    root = _picture({"Y": pair("A", "B")}, ["Y"])
    frames = {card.get("aria-label")[0]: card[1][0] for card in _classed(root, "card")}
    assert float(frames["Y"].get("stroke-width")) > 2 * float(frames["A"].get("stroke-width"))
    assert "asked about" in _words(root)


def test_a_parent_nobody_knows_is_said_to_be_unknown():
    assert "dam unknown" in _words(_picture({"Y": Parentage.of(sires={"A": 1})}, ["Y"]))


def test_young_drawn_as_a_group_are_a_diamond_with_their_number():
    picture = with_leaf_siblings_grouped(drawn({f"Y{n}": pair("A", "B") for n in range(17)}, ["A"]))
    root = ElementTree.fromstring(draw(pedigree_sketch(picture)))
    assert {"14", "and 14 more young", "0.0.14"} <= set(_words(root))


def test_long_names_are_cut_in_the_picture_and_whole_in_its_label():
    root = _picture({}, ["Y"], Y=animal("Y", name="n" * 300))
    assert max(len(words) for words in _words(root)) < 60
    assert "n" * 300 in _classed(root, "card")[0].get("aria-label")


def test_the_legend_explains_only_what_occurs():
    root = _picture({}, ["Y"], Y=animal("Y", sex="male", certainty="strong"))
    (legend,) = _classed(root, "legend")
    assert [part.text for part in legend.iter(f"{SVG}text")] == ["male", "asked about"]


def test_nobody_at_all_is_still_a_picture():
    assert_safe(draw(pedigree_sketch(drawn({}, []))))


def test_what_is_only_for_the_eye_is_kept_from_screen_readers():
    root = _picture({"Y": Parentage.of(sires={"A": 0.5})}, ["Y"])
    for name in ("strokes", "knots", "legend"):
        assert _classed(root, name)[0].get("aria-hidden") == "true"
