"""Text fits and is clean, whatever somebody typed."""

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.charts.lettering import LONGEST, clean, cut, width
from tests.registry.charts.make import NASTY

ANY = st.text(st.characters(), max_size=80) | st.sampled_from(NASTY)


@settings(max_examples=300, deadline=None)
@given(ANY)
def test_clean_text_is_one_line_that_xml_can_hold(text):
    line = clean(text)
    part = ElementTree.Element("text")
    part.text = line
    assert ElementTree.fromstring(ElementTree.tostring(part)).text in (line, None)
    assert len(line.splitlines()) <= 1


@settings(max_examples=300, deadline=None)
@given(ANY, st.integers(20, 300))
def test_cut_text_fits_the_room_and_begins_as_it_did(text, room):
    line = clean(text)
    short = cut(line, room, 11)
    assert width(short, 11) <= room
    assert line.startswith(short.removesuffix("…")) or short == line


def test_a_letter_keeps_its_mark():
    assert cut("ae\u0301" * 30, 60, 11).removesuffix("…")[-1] in "\u0301a"


def test_endless_text_ends():
    assert len(clean("x" * 10**6)) == LONGEST


@pytest.mark.parametrize("mark", ["\u202e", "\u2067", "\u200f", "\x00", "\x85", "\ufffe"])
def test_what_could_turn_or_break_the_line_is_gone(mark):
    assert mark not in clean(f"a{mark}b")


def test_marks_that_script_needs_stay():
    assert clean("👩\u200d🔬 e\u0301") == "👩\u200d🔬 e\u0301"
