"""The whole daily job in a real browser, on the demo collection: from the box to the pedigree.

It is done with a pointer, with the keys alone, and where no script runs.
"""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry.models import Animal, Pairing

from .hands import Keys, Pointer

pytestmark = pytest.mark.browser

PDF = b"%PDF-1.4\n1 0 obj << >> endobj\ntrailer << >>\n%%EOF\n"
PERMIT = {"name": "permit.pdf", "mimeType": "application/pdf", "buffer": PDF}


def ago(days):
    """Return the day so many days ago."""
    return timezone.localdate() - timedelta(days=days)


def sign_in(hand):
    """Sign in through the form, as a person does."""
    hand.write(hand.page.get_by_label("Username"), "keeper")
    hand.write(hand.page.get_by_label("Password"), "frogs-at-dawn")
    hand.press(hand.page.get_by_role("button", name="Sign in"))


def follow(hand, name, *, exact=False):
    """Follow the link of a name."""
    hand.press(hand.page.get_by_role("link", name=name, exact=exact).first)


def save(hand):
    """Press the last button of the form, which does what the page is for."""
    hand.press(hand.page.locator("main form button").last)


def unfold(hand):
    """Open what a form folds away because it is seldom needed."""
    folded = hand.page.locator("main form details:not([open]) > summary")
    while folded.count():
        hand.press(folded.first)


def register_import(hand):
    """Two animals come in a box with a permit, 70 days ago, and wait in Q9."""
    page = hand.page
    follow(hand, "Quarantine", exact=True)
    follow(hand, "Register an arrival")
    unfold(hand)
    hand.write_day(page.get_by_label("Arrived on"), ago(70))
    hand.choose(page.locator("[name=kind]"), "import")
    hand.choose(page.locator("[name=holding]"), "Lantern Row")
    hand.choose(page.locator("[name=supplier]"), "Honda Clara Exports")
    hand.write(page.get_by_label("Came from (country)"), "PE")
    hand.write(page.locator("[name=route]"), "Breeding house, two flights, our door.")
    hand.choose(page.locator("[name=taxon]"), "Ranitomeya imitator")
    hand.choose(page.locator("[name=locality]"), "Alto Sereno")
    hand.choose(page.locator("[name=source_code]"), "W wild")
    hand.write(page.get_by_label("How many"), "1.1.0")
    hand.write(page.get_by_label("Numbered as"), "RI-###")
    hand.choose(page.locator("[name=belief]"), words(page, "[name=belief] option[value=wild]"))
    hand.choose(page.locator("[name=paper-0-kind]"), "permit")
    hand.write(page.locator("[name=paper-0-number]"), "LR-3001/26")
    hand.hand_in(page.locator("[name=paper-0-file]"), PERMIT)
    protocol = page.locator("[name=version] option", has_text="captive-bred").inner_text()
    hand.choose(page.locator("[name=version]"), protocol)
    hand.write(page.get_by_label("What the batch is called"), "Second Alto Sereno box")
    hand.write(page.locator("[name=enclosures]"), "Q9")
    hand.press(page.get_by_role("button", name="Register the arrival"))


def words(page, where):
    """Return what stands in one place of a page."""
    return page.locator(where).inner_text()


def swab(hand, days, *, faecal_only=False):
    """A round of swabs is entered on the batch's page."""
    page = hand.page
    follow(hand, "Swabbed")
    hand.write_day(page.get_by_label("Taken on"), ago(days))
    for box in page.locator("[name=assays]").all():
        assay = words(page, f"label[for={box.get_attribute('id')}]")
        hand.tick(box, not faecal_only and "PCR" in assay and "Bsal" not in assay)
    for box in page.locator("[name=enclosure_assays]").all():
        hand.tick(box, "faecal" in words(page, f"label[for={box.get_attribute('id')}]"))
    for box in page.locator("[name=enclosures]").all():
        hand.tick(box)
    save(hand)


def results_in(hand, days):
    """The laboratory reports everything that is waited for as negative."""
    follow(hand, "Result in")
    hand.write_day(hand.page.get_by_label("Reported on"), ago(days))
    for choice in hand.page.locator("select[name^=outcome-]").all():
        hand.choose(choice, "negative")
    save(hand)


@pytest.mark.parametrize(
    ("hands", "scripts"),
    [(Pointer, True), (Pointer, False), (Keys, True)],
    ids=["pointer", "without scripts", "keys alone"],
)
def test_from_the_box_to_the_pedigree(opened, room, tmp_path, hands, scripts):
    """Import, held, results, signed out, a mate chosen, the pair joined, the pedigree exported."""
    page = opened("/sign-in/", signed_in=False, scripts=scripts)
    hand = hands(page)
    sign_in(hand)
    register_import(hand)
    held = words(page, "main")
    assert "2 animals are registered and held" in held
    assert "RI-107" in held

    newcomer = Animal.objects.get(code="RI-107")
    mate = Animal.objects.get(code="RI-036")
    page.goto(page.url.split("/arrivals")[0] + f"/animals/{newcomer.pk}/mates/")
    assert "is held since" in words(page, "main")
    assert page.get_by_role("link", name="Join RI-036").count() == 0

    follow(hand, "Quarantine", exact=True)
    hand.press(page.locator("td a, th a", has_text="Second Alto Sereno box").first)
    assert "0 of 1 negatives" in words(page, "main")
    swab(hand, 55)
    results_in(hand, 48)
    swab(hand, 40, faecal_only=True)
    results_in(hand, 33)
    follow(hand, "Evidence and release")
    assert "every point is met" in words(page, "main")
    hand.press(page.get_by_role("button", name="Sign the release"))
    assert "2 animals are cleared" in words(page, "main")

    find(hand, "RI-107")
    assert "cleared" in words(page, "main")
    follow(hand, "Mates", exact=True)
    hand.tick(page.get_by_label("Cleared only"))
    hand.press(page.get_by_role("button", name="Filter"))
    follow(hand, "Join RI-036")
    hand.choose(page.locator("[name=enclosure]"), "F02")
    hand.press(page.get_by_role("button", name="Show what stands against it"))
    join_with_reasons(hand)
    pairing = Pairing.objects.get(first=newcomer, second=mate)
    assert pairing.began_on == timezone.localdate()
    assert "RI-107 x RI-036" in words(page, "h1")

    follow(hand, "Pedigree of both")
    assert page.locator("main svg").count()
    for ending, start in (("SVG", b"<?xml"), ("PNG", b"\x89PNG"), ("PDF", b"%PDF"), ("DOT", b"di")):
        with page.expect_download() as coming:
            follow(hand, ending, exact=True)
        path = tmp_path / coming.value.suggested_filename
        coming.value.save_as(path)
        assert path.read_bytes().startswith(start)


def find(hand, code):
    """Come to an animal by its code."""
    hand.write(hand.page.get_by_role("searchbox"), code)
    hand.press(hand.page.get_by_role("button", name="Find"))


def join_with_reasons(hand):
    """Answer each question and join them."""
    for box in hand.page.locator("textarea[name^=reason-]").all():
        hand.write(box, "The only cleared pair of this line without common ancestors.")
    hand.press(hand.page.get_by_role("button", name="Join them"))
