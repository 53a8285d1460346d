"""Graphviz places everything, in a process of its own and within bounds."""

import subprocess
from concurrent.futures import ThreadPoolExecutor
from itertools import combinations

import pytest

from registry.charts import apart, layout
from registry.charts.layout import LayoutFailed, TooMuchToDraw, place
from registry.charts.pedigree import Parentage
from registry.charts.pedigree_sketch import pedigree_sketch
from registry.charts.sketch import Card, Direction, Shape, Sketch, card_boxes
from tests.registry.charts.make import drawn, pair


def _sketch(direction=Direction.ACROSS, brood=4):
    parentage = {f"Y{n}": pair("S", "D") for n in range(brood)}
    parentage |= {"Z": Parentage.of(sires={"Y0": 0.5, "Y1": 0.5}, dams={"Y2": 1})}
    return pedigree_sketch(drawn(parentage, ["Z"]), direction)


@pytest.fixture
def unkept():
    """Forget layouts already found."""
    layout._places.cache_clear()
    yield
    layout._places.cache_clear()


@pytest.mark.parametrize("direction", Direction)
def test_no_two_cards_overlap(direction):
    sketch = _sketch(direction)
    placed, boxes = place(sketch), card_boxes(sketch)
    for one, other in combinations(boxes, 2):
        apart_x = abs(placed.middles[one][0] - placed.middles[other][0])
        apart_y = abs(placed.middles[one][1] - placed.middles[other][1])
        wide, high = ((a + b) / 2 for a, b in zip(boxes[one], boxes[other], strict=True))
        assert apart_x >= wide or apart_y >= high


@pytest.mark.parametrize(("direction", "axis"), [(Direction.ACROSS, 0), (Direction.DOWN, 1)])
def test_time_runs_in_the_direction_of_the_picture(direction, axis):
    middles = place(_sketch(direction)).middles
    assert middles["S"][axis] < middles["Y0"][axis] < middles["Z"][axis]
    assert middles["Y0"][axis] == middles["Y3"][axis]


def test_lines_begin_and_end_at_what_they_join():
    sketch = _sketch()
    placed, boxes = place(sketch), card_boxes(sketch)
    for stroke, curve in zip(sketch.strokes, placed.curves, strict=True):
        for key, end in ((stroke.tail, curve[0]), (stroke.head, curve[-1])):
            wide, high = boxes.get(key, (12, 12))
            assert abs(end[0] - placed.middles[key][0]) <= wide / 2 + 1
            assert abs(end[1] - placed.middles[key][1]) <= high / 2 + 1


def test_no_graphviz_need_be_installed(monkeypatch, unkept):
    """The one inside the pygraphviz wheel does it, with nothing on the path."""
    monkeypatch.setenv("PATH", "")
    assert place(_sketch()).width > 0


def test_many_threads_get_the_layouts_that_one_gets(unkept):
    sketches = [_sketch(brood=number) for number in range(3, 9)]
    alone = [place(sketch) for sketch in sketches]
    layout._places.cache_clear()
    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(place, sketches)) == alone


def test_an_empty_picture_has_no_size():
    assert place(Sketch(title="", summary="", cards=())).width == 0


def _cards(number):
    return tuple(
        Card(key=str(n), shape=Shape.SQUARE, lines=("x",), spoken="x") for n in range(number)
    )


@pytest.mark.parametrize("parts", [2, 3])
def test_as_many_parts_as_allowed_are_drawn(monkeypatch, parts):
    monkeypatch.setattr(layout, "MOST", 3)
    assert place(Sketch(title="", summary="", cards=_cards(parts))).width > 0


def test_one_part_more_is_refused_with_the_number(monkeypatch):
    monkeypatch.setattr(layout, "MOST", 3)
    with pytest.raises(TooMuchToDraw, match="4 parts, and 3 is the most") as refused:
        place(Sketch(title="", summary="", cards=_cards(4)))
    assert (refused.value.parts, refused.value.most) == (4, 3)


def test_a_layout_that_takes_too_long_is_given_up(monkeypatch, tmp_path, unkept):
    slow = tmp_path / "slow.py"
    slow.write_text("import time; time.sleep(30)")
    monkeypatch.setattr(apart, "CHILD", slow)
    monkeypatch.setattr(apart, "SECONDS", 0.2)
    with pytest.raises(LayoutFailed, match="within"):
        place(_sketch())


def test_a_layout_process_that_dies_leaves_the_site_alive(monkeypatch, tmp_path, unkept):
    dying = tmp_path / "dying.py"
    dying.write_text("import os, sys; sys.stderr.write('lost'); sys.stderr.flush(); os.abort()")
    monkeypatch.setattr(apart, "CHILD", dying)
    with pytest.raises(LayoutFailed, match="lost"):
        place(_sketch())


def test_the_same_picture_is_laid_out_once(monkeypatch, unkept):
    place(_sketch())
    monkeypatch.setattr(subprocess, "run", lambda *args, **how: pytest.fail("laid out again"))
    assert place(_sketch()).width > 0
