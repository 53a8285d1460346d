"""What the pages' own script adds, and that nothing needs it."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests import make

from .conftest import PHONE

pytestmark = pytest.mark.browser


@pytest.fixture
def pieces():
    """The address of the page with every piece."""
    return reverse("components")


def complaints(page):
    """Collect what a page's console says from now on."""
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    return said


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_is_wider_than_a_phone(opened, pieces, scheme):
    page = opened(pieces, size=PHONE, scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]


def test_a_page_at_twice_the_size_is_no_wider_than_its_window(opened, pieces):
    page = opened(pieces, size={"width": 640, "height": 430})
    assert page.evaluate("document.documentElement.scrollWidth") == 640


def test_the_policy_has_nothing_to_complain_of(opened, pieces):
    page = opened(pieces)
    said = complaints(page)
    page.reload()
    assert said == []


def test_every_control_is_big_enough_for_a_wet_finger(opened, pieces):
    page = opened(pieces, size=PHONE)
    controls = page.locator(
        "header a, main button:not(.word), main a.button, main select, .acts a, .data a"
    )
    small = [box for one in controls.all() if (box := one.bounding_box()) and box["height"] < 43.5]
    assert controls.count() > 20
    assert small == []


def test_the_first_key_press_reaches_the_skip_link(opened, pieces):
    page = opened(pieces)
    page.keyboard.press("Tab")
    expect(page.locator("a.skip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_a_focused_link_shows_an_outline(opened, pieces):
    page = opened(pieces)
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_rows_fold_into_blocks_with_their_headings_on_a_phone(opened, pieces):
    cell = opened(pieces, size=PHONE).locator("table.data tbody td").first
    assert cell.get_attribute("data-label") == "Taxon"
    assert cell.evaluate("cell => getComputedStyle(cell, '::before').content") == '"Taxon"'


def test_a_folded_table_is_still_a_table_to_who_listens(opened, pieces):
    page = opened(pieces, size=PHONE)
    table = page.get_by_role("table", name="Mates for D-11")
    expect(table.get_by_role("row")).to_have_count(3)
    expect(table.get_by_role("rowheader")).to_have_count(2)


def test_tables_scroll_in_their_box_where_scripts_do_not_run(opened, pieces):
    page = opened(pieces, size=PHONE, scripts=False)
    expect(page.locator("table.folded")).to_have_count(0)
    expect(page.get_by_role("button", name="Larger")).to_have_count(0)
    expect(page.get_by_role("columnheader", name="Taxon")).to_be_visible()


def test_a_picture_grows_and_shrinks_by_button_and_by_key(opened, pieces):
    page = opened(pieces)
    drawing = page.locator(".picture svg").first
    width = drawing.bounding_box()["width"]
    page.get_by_role("button", name="Larger").first.click()
    assert drawing.bounding_box()["width"] == pytest.approx(1.25 * width, abs=1)
    page.locator(".picture").first.press("-")
    assert drawing.bounding_box()["width"] == pytest.approx(width, abs=1)


def test_the_whole_picture_fits_its_frame(opened, pieces):
    page = opened(pieces, size=PHONE)
    page.get_by_role("button", name="Whole picture").first.click()
    frame, drawing = page.locator(".picture").first, page.locator(".picture svg").first
    assert drawing.bounding_box()["width"] <= frame.bounding_box()["width"]


def test_a_picture_begins_at_the_animal_asked_about(opened, pieces):
    page = opened(pieces, size=PHONE)
    page.locator(".picture").first.scroll_into_view_if_needed()
    expect(page.locator(".picture .asked")).to_be_in_viewport()


def test_a_picture_follows_the_hand(opened, pieces):
    page = opened(pieces)
    for _ in range(4):
        page.get_by_role("button", name="Larger").first.click()
    frame = page.locator(".picture").first
    frame.evaluate("frame => { frame.scrollLeft = 0; frame.scrollTop = 0; }")
    frame.scroll_into_view_if_needed()
    box = frame.bounding_box()
    page.mouse.move(box["x"] + 300, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 200, box["y"] + 80, steps=4)
    page.mouse.up()
    assert frame.evaluate("frame => frame.scrollLeft") == pytest.approx(100, abs=2)


def test_two_taps_send_a_form_once(opened, pieces):
    page = opened(pieces)
    sent = []
    page.route("**/*", lambda route: sent.append(route.request.method))
    page.locator("#objection-form button:not(.word)").evaluate(
        "button => { button.click(); button.click(); }"
    )
    page.wait_for_timeout(200)
    assert sent.count("POST") == 1


def test_moving_parts_keep_still_where_that_is_asked_for(chromium, live_server):
    context = chromium.new_context(reduced_motion="reduce")
    page = context.new_page()
    page.goto(live_server.url + reverse("sign-in"))
    moving = page.evaluate(
        "[...document.querySelectorAll('*')].map(e => getComputedStyle(e))"
        ".filter(s => s.transitionDuration !== '0s' || s.scrollBehavior === 'smooth').length"
    )
    context.close()
    assert moving == 0


def test_dark_and_light_follow_the_system(opened, pieces):
    colours = {
        scheme: opened(pieces, scheme=scheme).evaluate("getComputedStyle(document.body).color")
        for scheme in ("light", "dark")
    }
    assert colours["light"] != colours["dark"]


def test_paper_shows_the_page_and_not_the_way_around_it(opened, pieces):
    page = opened(pieces, scheme="dark")
    page.emulate_media(media="print")
    expect(page.get_by_role("heading", name="Page pieces")).to_be_visible()
    expect(page.locator("header.site")).to_be_hidden()
    expect(page.locator("#plain-form")).to_be_hidden()
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"


def test_signing_in_leads_to_today(chromium, live_server, transactional_db):
    make.user("mara")
    make.animal()
    page = chromium.new_page()
    page.goto(live_server.url + "/")
    page.get_by_label("Username").fill("mara")
    page.get_by_label("Password").fill("frogs-at-dawn")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Today", level=1)).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in", level=1)).to_be_visible()
    page.close()
