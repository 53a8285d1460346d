"""Lines in a browser: plots come by themselves, and long work shows when it is done."""

import pytest
from django.urls import reverse

from registry.models import Reckoning
from registry.reckoning import reckon
from tests.registry.umbral import line_of, umbral

from .conftest import PHONE
from .test_axe import faults

pytestmark = pytest.mark.browser


def address(name):
    """Return the address of a page of the line of the male who laid."""
    return reverse(name, args=line_of(umbral()["A"]).address)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_all_plots_come_into_the_page_of_a_line(opened, scheme):
    page = opened(address("line-show"), size=PHONE, scheme=scheme)
    for plot in ("diversity", "founders", "ages"):
        page.locator(f"svg.chart-{plot}").wait_for()
    page.locator(".waiting").scroll_into_view_if_needed()
    page.locator("svg.chart-kinship").wait_for()
    assert page.locator(".waiting").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert faults(page) == ""


def test_without_scripts_each_plot_is_a_link_away(opened):
    page = opened(address("line-show"), scripts=False)
    page.get_by_role("link", name="age and sex").click()
    assert page.locator("svg.chart-ages").count() == 1


def test_a_plan_is_steered_and_entered(opened):
    page = opened(address("line-plan"))
    before = page.locator("[name=pair]").count()
    assert before
    page.get_by_role("link", name="not these two").first.click()
    assert "What you took out" in page.locator("main").inner_text()
    assert faults(page) == ""


@pytest.mark.parametrize("scripts", [True, False])
def test_long_work_shows_by_itself_when_it_is_done(opened, settings, scripts):
    settings.TASKS = {"default": {"BACKEND": "django.tasks.backends.dummy.DummyBackend"}}
    page = opened(address("line-alleles"), scripts=scripts)
    page.get_by_role("button", name="Count the alleles kept").click()
    page.get_by_text("waits for its turn").wait_for()
    reckon.func(Reckoning.objects.get().pk)
    page.get_by_text("founder alleles on average").wait_for(timeout=15_000)
