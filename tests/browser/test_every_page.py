"""Every page of the site in a real browser: on a phone and at a desk, in light and dark, enlarged.

Each page is loaded once and then looked at in each of these ways.
"""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests import addresses
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_axe import told

PAGES = addresses.pages()
GROUPS = 8
LAYOUT = ["target-size", "scrollable-region-focusable", "label", "link-name", "button-name"]
EVERYTHING = {"target-size": {"enabled": True}}
# What each way of looking can change; all else is judged once, on the phone.
WAYS = {
    "phone, light": (PHONE, "light", None),
    "phone, dark": (PHONE, "dark", ["color-contrast", "link-in-text-block"]),
    "desk, dark": (DESK, "dark", ["color-contrast", "link-in-text-block"]),
    "desk, light": (DESK, "light", ["color-contrast", *LAYOUT]),
}
TWICE = {"width": 640, "height": 430}  # a desk at twice the size

CUT = """() => [...document.querySelectorAll("body *")].filter((one) => {
  const style = getComputedStyle(one);
  const hides = ["hidden", "clip"].includes(style.overflowX);
  const shown = one.clientWidth > 1 && style.visibility === "visible" && style.clipPath === "none";
  return hides && shown && !one.closest("svg") && one.scrollWidth > one.clientWidth + 1;
}).map((one) => one.outerHTML.slice(0, 120))"""
WIDE = """() => [...document.querySelectorAll("main *, header *, footer *")].filter((one) =>
  one.getBoundingClientRect().right > innerWidth + 1
  && ![...document.querySelectorAll(".scroll, .picture, .plot")].some((box) => box.contains(one))
).map((one) => one.outerHTML.slice(0, 120)).slice(0, 3)"""


@pytest.mark.browser
@pytest.mark.parametrize("group", range(GROUPS))
def test_every_page_is_well_made(opened, room, group):
    """No fault that axe finds, nothing the console says, nothing from elsewhere, nothing cut."""
    page = opened("/sign-in/", signed_in=True)
    look = Look(page)
    for name in PAGES[group::GROUPS]:
        look.at(name, addresses.address(name))
    assert look.faults == []


class Look:
    """One page after another, looked at in every way; what is wrong is collected."""

    def __init__(self, page):
        self.page, self.name, self.faults = page, "", []
        self.home = page.url.partition("/sign-in/")[0]
        self.hand = page.context.new_cdp_session(page)
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self._wrong(f"script: {error}"))
        page.on("request", self._asked)

    def at(self, name, address):
        """Load a page and look at it."""
        self.name = name
        self._as(PHONE, "light")
        answer = self.page.goto(self.home + address)
        if answer.status != 200:
            self._wrong(f"{address} answers {answer.status}")
            return
        if self.page.locator("[hx-get]").count():
            self.page.wait_for_load_state("networkidle")
        self.page.evaluate(Axe().axe_script)
        for way, (size, scheme, rules) in WAYS.items():
            self._as(size, scheme)
            self._judged(way, rules)
            self._fits(way, size)
        self._as(TWICE, "light")
        self.page.evaluate("document.documentElement.style.fontSize = '200%'")
        self._fits("twice the size", TWICE)

    def _as(self, size, scheme):
        phone = size is PHONE
        self.page.set_viewport_size(size)
        self.page.emulate_media(color_scheme=scheme)
        self.hand.send("Emulation.setTouchEmulationEnabled", {"enabled": phone})

    def _judged(self, way, rules):
        asked = {"runOnly": {"type": "rule", "values": rules}} if rules else {"rules": EVERYTHING}
        options = {"resultTypes": ["violations"], "preload": False} | asked
        found = self.page.evaluate(f"axe.run({json.dumps(options)})")["violations"]
        for one in found:
            self._wrong(f"{way}: {told(one)}")

    def _fits(self, way, size):
        wide = self.page.evaluate("document.documentElement.scrollWidth")
        if wide > size["width"]:
            self._wrong(f"{way}: {wide} wide: {self.page.evaluate(WIDE)}")
        for cut in self.page.evaluate(CUT):
            self._wrong(f"{way}: cut: {cut}")

    def _heard(self, message):
        self._wrong(f"console: {message.text}")

    def _asked(self, request):
        if not request.url.startswith((self.home, "data:")):
            self._wrong(f"asks elsewhere: {request.url}")

    def _wrong(self, what):
        self.faults.append(f"{self.name}: {what}")
