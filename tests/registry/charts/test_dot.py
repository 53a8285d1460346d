"""Pictures as DOT: what is laid out holds no text, what is downloaded holds it unharmed."""

import pygraphviz
import pytest

from registry.charts.dot import dot, skeleton
from registry.charts.lettering import clean
from registry.charts.pedigree import Parentage
from registry.charts.pedigree_sketch import pedigree_sketch
from registry.charts.sketch import Direction
from tests.registry.charts.make import NASTY, animal, drawn, figure, pair


def _read(sketch):
    return pygraphviz.AGraph(string=dot(sketch))


@pytest.mark.parametrize("nasty", NASTY)
def test_text_comes_back_from_the_file_as_it_was_typed(nasty):
    """Nothing is read as markup, escape, port, or the end of the string."""
    picture = drawn({"Y": pair("A", "B")}, ["Y"], Y=animal("Y", code="Y", name=nasty))
    graph = _read(pedigree_sketch(picture))
    (label,) = [n.attr["label"] for n in graph.nodes() if n.attr["label"].startswith("Y\\n")]
    lines = label.split("\\n0.0.1")[0].removeprefix("Y").removeprefix("\\n")
    assert lines.replace("\\\\", "\\") == clean(nasty)
    assert len(graph.nodes()) == 4


@pytest.mark.parametrize("nasty", NASTY)
def test_a_title_or_key_of_any_text_is_harmless(nasty):
    picture = drawn({"Y": pair(nasty + "a", nasty + "b")}, ["Y"], Y=animal("Y", code=nasty))
    assert len(_read(pedigree_sketch(picture)).edges()) == 3


def test_a_label_that_looks_like_markup_is_text():
    graph = _read(pedigree_sketch(drawn({}, ["Y"], Y=animal("Y", code="<b>x</b>"))))
    assert graph.nodes()[0].attr["label"].startswith("<b>x</b>\\n")


def test_symbols_dashes_and_double_lines_are_in_the_file():
    parentage = {"Y": Parentage.of(sires={"S": 0.5}, dams={"D": 1})}
    picture = drawn(
        parentage,
        ["Y"],
        S=animal("S", sex="male", certainty="weak"),
        D=animal("D", sex="female", certainty="strong", alive=False),
        Y=animal("Y", inbreeding=figure(0.25)),
    )
    graph = _read(pedigree_sketch(picture, Direction.DOWN))
    nodes = {node.attr["label"].split("\\n")[0]: node.attr for node in graph.nodes()}
    assert (nodes["S"]["shape"], nodes["S"]["style"]) == ("box", "dashed")
    assert nodes["D"]["shape"] == "ellipse"
    assert "dead" in nodes["D"]["label"]
    assert (nodes["Y"]["shape"], nodes["Y"]["style"]) == ("diamond", "bold")
    assert {(e.attr["style"], e.attr["label"]) for e in graph.edges()} == {
        ("dashed", "1/2"),
        ("solid", ""),
    }
    assert sorted(e.attr["color"] for e in graph.edges())[1:] == ["black:invis:black"] * 2


@pytest.mark.parametrize("nasty", NASTY)
def test_what_is_laid_out_holds_no_text_at_all(nasty):
    """So nothing typed ever reaches the parser of the layout."""
    named = animal("Y", code=nasty, name=nasty)
    plain = skeleton(pedigree_sketch(drawn({}, ["Y"], Y=named)))
    assert "Y" not in plain
    assert clean(nasty) == "" or clean(nasty) not in plain
