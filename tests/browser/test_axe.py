"""No page has a fault that axe-core can find, on a phone or at a desk, in light or dark."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from .conftest import DESK, PHONE

pytestmark = pytest.mark.browser

# What each page is, and a function that makes what it shows and returns its address.
PAGES = {
    "the page pieces": lambda: reverse("components"),
}
OPTIONS = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}


phone_and_desk = pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
light_and_dark = pytest.mark.parametrize("scheme", ["light", "dark"])


@phone_and_desk
@light_and_dark
@pytest.mark.parametrize("name", PAGES)
def test_page_has_no_fault_that_axe_finds(opened, name, scheme, size):
    assert faults(opened(PAGES[name](), scheme=scheme, size=size)) == ""


@phone_and_desk
@light_and_dark
def test_sign_in_has_no_fault_that_axe_finds(opened, scheme, size):
    page = opened(reverse("sign-in"), scheme=scheme, size=size, signed_in=False)
    assert faults(page) == ""


def test_a_fault_is_found_where_there_is_one(opened):
    page = opened(reverse("components"))
    page.locator("#search, #id_code").last.evaluate(
        "field => document.querySelector(`label[for='${field.id}']`).remove()"
    )
    assert "label" in faults(page)


def faults(page):
    """Return what axe finds wrong on a page, as text; nothing if it finds nothing."""
    found = Axe().run(page, options=OPTIONS).response["violations"]
    return "\n".join(told(one) for one in found)


def told(violation):
    """Say a fault and where it is, in a few lines."""
    places = [" ".join(node["target"]) for node in violation["nodes"]]
    return f"{violation['id']}: {violation['help']}\n  " + "\n  ".join(map(str, places))
