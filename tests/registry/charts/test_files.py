"""Every file shows the same picture."""

import re
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from time import sleep
from xml.etree import ElementTree

import pytest
from PIL import Image, ImageChops

from registry.charts import apart, files
from registry.charts.apart import LayoutFailed
from registry.charts.drawing import draw
from registry.charts.files import pdf_file, png_file, svg_file
from registry.charts.founders import FounderShare, founder_shares
from registry.charts.pedigree_sketch import pedigree_sketch
from tests.registry.charts.make import NASTY, animal, drawn, pair


def _svg(**facts):
    picture = drawn({"Y": pair("A", "B")}, ["Y"], Y=animal("Y", href="/animals/1", **facts))
    return draw(pedigree_sketch(picture))


def _image(svg):
    return Image.open(BytesIO(png_file(svg))).convert("L")


def _size(svg):
    root = ElementTree.fromstring(svg)
    return float(root.get("width")), float(root.get("height"))


def test_the_png_is_dark_on_white_and_twice_as_fine_as_the_page():
    svg = _svg()
    image = _image(svg)
    assert image.size == tuple(2 * side for side in _size(svg))
    assert image.getpixel((0, 0)) == 255
    assert image.getextrema()[0] < 60


def test_the_png_of_a_dead_animal_shows_its_slash():
    """The two pictures differ just there: both say so in words, only one is slashed."""
    dead = _svg(alive=False)
    bare = re.sub(r'<path [^>]*class="slash"[^>]*>', "", dead)
    bounds = ImageChops.difference(_image(dead), _image(bare)).getbbox()
    assert bounds is not None
    assert bounds[2] - bounds[0] >= 60


def test_a_picture_too_large_is_drawn_less_finely(monkeypatch):
    monkeypatch.setattr(files, "MOST_PIXELS", 10_000)
    wide, high = _image(_svg()).size
    assert wide * high <= 10_500


def test_the_pdf_is_one_page_of_the_size_of_the_picture():
    svg = _svg()
    pdf = pdf_file(svg)
    assert pdf.startswith(b"%PDF-")
    box = re.search(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert tuple(float(side) for side in box.groups()) == _size(svg)
    assert b"/JavaScript" not in pdf


def test_the_svg_file_stands_alone():
    text = svg_file(_svg()).decode()
    assert text.startswith("<?xml")
    assert 'color="#1a1a1a"' in text
    assert "Canvas" not in text
    assert "href" not in text
    assert text.count("<rect") > 1


def test_whatever_is_typed_every_file_is_made():
    keys = [f"Y{number}" for number in range(len(NASTY))]
    named = {key: animal(key, name=nasty) for key, nasty in zip(keys, NASTY, strict=True)}
    svg = draw(pedigree_sketch(drawn({key: pair("A", "B") for key in keys}, ["A"], **named)))
    ElementTree.fromstring(svg_file(svg))
    assert png_file(svg).startswith(b"\x89PNG")
    assert pdf_file(svg).startswith(b"%PDF-")


def test_a_plot_makes_the_same_files():
    svg = founder_shares([FounderShare(code="F", share=1.0)]).svg
    assert _image(svg).getextrema()[0] < 60
    assert pdf_file(svg).startswith(b"%PDF-")


def test_many_threads_make_the_files_that_one_makes():
    pictures = [_svg(name=f"name {number}") for number in range(4)]
    alone = [png_file(svg) for svg in pictures]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(png_file, pictures)) == alone


@pytest.mark.parametrize("make", [png_file, pdf_file])
def test_a_file_that_takes_too_long_is_given_up(monkeypatch, tmp_path, make):
    svg = _svg()
    slow = tmp_path / "slow.py"
    slow.write_text("import time; time.sleep(30)")
    monkeypatch.setattr(apart, "CHILD", slow)
    monkeypatch.setattr(apart, "SECONDS", 0.2)
    with pytest.raises(LayoutFailed, match="within"):
        make(svg)


def test_the_site_goes_on_while_a_file_is_made():
    """The lock of this process stays free: another thread gets its turn again and again."""
    svg = draw(pedigree_sketch(drawn({f"Y{n}": pair("A", "B") for n in range(120)}, ["A"])))
    turns = 0
    with ThreadPoolExecutor(1) as pool:
        made = pool.submit(pdf_file, svg)
        while not made.done():
            sleep(0.002)
            turns += 1
    assert turns >= 5
