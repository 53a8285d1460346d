"""Kin, the reasons for a kinship, a line and its plan, in a real browser on the demo collection."""

import pytest

from registry.models import Animal, Pairing

pytestmark = pytest.mark.browser


def words(page):
    """Return what stands on a page."""
    return page.locator("main").inner_text()


def test_from_the_nearest_kin_to_a_planned_line(opened, room):
    """Kin in words, why two are related, what a line keeps, its pictures, and its plan entered."""
    frog = Animal.objects.get(code="RI-025")
    page = opened(f"/animals/{frog.pk}/")
    page.get_by_role("link", name="Nearest kin").click()
    assert "full sibling" in words(page)
    page.get_by_role("link", name="Why RI-039").click()
    assert "Kinship 0.227 expected" in words(page)
    assert "Through RI-025" in words(page)
    assert page.locator("main svg").count() == 1

    page.get_by_role("link", name="Lines", exact=True).click()
    page.locator("main a", has_text="Alto Sereno").first.click()
    told = words(page)
    assert "Gene diversity" in told
    assert "Founder genome equivalents" in told
    line = page.url
    for picture in ("diversity", "founders", "ages", "kinship"):
        page.goto(f"{line}picture/{picture}/")
        assert page.locator("main svg").count() >= 1
        assert page.locator("main table").count() >= 1

    page.goto(f"{line}plan/")
    assert "This plan" in words(page)
    page.get_by_role("link", name="not these two").first.click()
    planned = Pairing.objects.filter(began_on__isnull=True).count()
    for box in page.locator("textarea[name^=reason]").all():
        box.fill("Agreed for this season.")
    page.get_by_role("button", name="Plan these").click()
    for box in page.locator("textarea[name^=reason]").all():
        box.fill("Agreed for this season.")
    if Pairing.objects.filter(began_on__isnull=True).count() == planned:
        page.locator("main form button").last.click()
    assert Pairing.objects.filter(began_on__isnull=True).count() > planned
