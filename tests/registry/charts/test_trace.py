"""A contact trace as a picture."""

import pytest

from registry.charts.drawing import draw
from registry.charts.pedigree import AnimalNotDescribed
from registry.charts.trace import Step, Trace, Way, said, trace_sketch
from tests.registry.charts.make import NASTY, animal
from tests.registry.charts.test_drawing import _classed, _words, assert_safe


def _trace(*steps, **notes):
    keys = dict.fromkeys(["D-03", *(key for s in steps for key in (s.source, s.target))])
    animals = tuple(animal(key, notes=notes.get(key.replace("-", ""), ())) for key in keys)
    return Trace(animals=animals, steps=steps, start=("D-03",))


def _step(target, **facts):
    return Step(source="D-03", target=target, **({"day": "12 Jun 2026"} | facts))


def test_each_step_is_an_arrow_with_its_day_way_and_place():
    root = assert_safe(draw(trace_sketch(_trace(_step("D-02", place="E10")))))
    assert {"12 Jun 2026", "together, E10"} <= set(_words(root))
    assert "chart-trace" in root.get("class")


@pytest.mark.parametrize("way", Way)
def test_only_a_direct_meeting_is_a_solid_line(way):
    sketch = trace_sketch(_trace(_step("D-07", way=way)))
    assert [stroke.dashed for stroke in sketch.strokes] == [way != Way.DIRECT] * 2
    assert [stroke.arrow for stroke in sketch.strokes] == [False, True]


def test_the_start_is_marked_by_frame_and_word():
    root = assert_safe(draw(trace_sketch(_trace(_step("D-02")))))
    assert "the trace starts here" in _words(root)
    assert len(_classed(root, "asked")) == 1


def test_standing_and_receiver_are_written_on_the_card():
    told = trace_sketch(_trace(_step("D-01"), D01=("to be told: Ada Moor",)))
    assert "to be told: Ada Moor" in _words(assert_safe(draw(told)))


def test_the_steps_are_told_in_sentences_too():
    trace = _trace(_step("D-07", way=Way.ENCLOSURE, place="E10"))
    assert said(trace) == ("D-03 to D-07 on 12 Jun 2026, through the enclosure, E10.",)
    assert said(trace)[0] in trace_sketch(trace).summary


def test_two_meetings_of_the_same_two_are_two_arrows():
    sketch = trace_sketch(_trace(_step("D-02"), _step("D-02", day="14 Jun 2026")))
    assert len(sketch.knots) == 2


def test_a_trace_that_leads_nowhere_is_a_picture_of_its_start():
    assert_safe(draw(trace_sketch(_trace())))


def test_a_trace_in_a_circle_is_drawn():
    back = Step(source="D-02", target="D-03", day="13 Jun 2026")
    assert_safe(draw(trace_sketch(_trace(_step("D-02"), back))))


def test_a_step_to_an_animal_nobody_describes_is_refused():
    with pytest.raises(AnimalNotDescribed):
        trace_sketch(Trace(animals=(animal("D-03"),), steps=(_step("D-02"),), start=("D-03",)))


def test_whatever_is_typed_is_shown_as_text():
    steps = [_step(f"D-{n}", day=nasty, place=nasty) for n, nasty in enumerate(NASTY)]
    notes = {f"D{n}": (nasty,) for n, nasty in enumerate(NASTY)}
    assert len(_classed(assert_safe(draw(trace_sketch(_trace(*steps, **notes)))), "card")) == 17
