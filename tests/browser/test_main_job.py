"""The whole daily job in a real browser, on the demo collection: from the box to the pedigree."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry.models import Animal, Pairing

pytestmark = pytest.mark.browser

PDF = b"%PDF-1.4\n1 0 obj << >> endobj\ntrailer << >>\n%%EOF\n"


def ago(days):
    """Return a day so many days ago, as a form takes it."""
    return (timezone.localdate() - timedelta(days=days)).isoformat()


def sign_in(opened):
    """Sign in through the form, as a person does."""
    page = opened("/sign-in/", signed_in=False)
    page.get_by_label("Username").fill("keeper")
    page.get_by_label("Password").fill("frogs-at-dawn")
    page.get_by_role("button", name="Sign in").click()
    return page


def unfold(page):
    """Open what a form folds away because it is seldom needed."""
    folded = page.locator("main form details:not([open]) > summary")
    while folded.count():
        folded.first.click()


def register_import(page):
    """Two animals come in a box with a permit, 70 days ago, and wait in Q9."""
    page.get_by_role("link", name="Quarantine", exact=True).click()
    page.get_by_role("link", name="Register an arrival").click()
    unfold(page)
    page.get_by_label("Arrived on").fill(ago(70))
    page.locator("[name=kind]").select_option("import")
    page.locator("[name=supplier]").select_option(label="Honda Clara Exports")
    page.get_by_label("Came from (country)").fill("PE")
    page.locator("[name=route]").fill("Breeding house, two flights, our door.")
    page.locator("[name=taxon]").select_option(label="Ranitomeya imitator")
    page.locator("[name=locality]").select_option(label="Alto Sereno")
    page.locator("[name=source_code]").select_option("W")
    page.get_by_label("How many").fill("1.1.0")
    page.get_by_label("Numbered as").fill("RI-###")
    page.locator("[name=belief]").select_option("wild")
    page.locator("[name=paper-0-kind]").select_option("permit")
    page.locator("[name=paper-0-number]").fill("LR-3001/26")
    page.locator("[name=paper-0-file]").set_input_files(
        {"name": "permit.pdf", "mimeType": "application/pdf", "buffer": PDF}
    )
    page.locator("[name=version]").select_option(
        label=page.locator("[name=version] option", has_text="captive-bred").inner_text()
    )
    page.get_by_label("What the batch is called").fill("Second Alto Sereno box")
    page.locator("[name=enclosures]").fill("Q9")
    page.get_by_role("button", name="Register the arrival").click()


def swab(page, days, *, faecal_only=False):
    """A round of swabs is entered on the batch's page."""
    page.get_by_role("link", name="Swabbed").click()
    page.get_by_label("Taken on").fill(ago(days))
    for assay in ("Bd PCR", "ranavirus PCR", "Bsal PCR"):
        for box in page.locator("[name=assays]").all():
            label = page.locator(f"label[for={box.get_attribute('id')}]").inner_text()
            if assay in label:
                box.set_checked(not faecal_only and "Bsal" not in assay)
    for box in page.locator("[name=enclosure_assays]").all():
        label = page.locator(f"label[for={box.get_attribute('id')}]").inner_text()
        box.set_checked("faecal" in label)
    for box in page.locator("[name=enclosures]").all():
        box.check()
    page.locator("main form button").last.click()


def results_in(page, days):
    """The laboratory reports everything that is waited for as negative."""
    page.get_by_role("link", name="Result in").click()
    page.get_by_label("Reported on").fill(ago(days))
    for choice in page.locator("select[name^=outcome-]").all():
        choice.select_option("negative")
    page.locator("main form button").last.click()


def test_from_the_box_to_the_pedigree(opened, room, tmp_path):
    """Import, held, results, signed out, a mate chosen, the pair joined, the pedigree exported."""
    page = sign_in(opened)
    register_import(page)
    held = page.locator("main").inner_text()
    assert "RI-107" in held
    assert "Held since" in held or "held" in held

    newcomer = Animal.objects.get(code="RI-107")
    mate = Animal.objects.get(code="RI-036")
    page.goto(page.url.split("/arrivals")[0] + f"/animals/{newcomer.pk}/mates/")
    assert "is held since" in page.locator("main").inner_text()
    assert page.get_by_role("link", name="Join RI-036").count() == 0

    page.get_by_role("link", name="Quarantine", exact=True).click()
    page.locator("td a, th a", has_text="Second Alto Sereno box").first.click()
    assert "0 of 1 negatives" in page.locator("main").inner_text()
    swab(page, 55)
    results_in(page, 48)
    swab(page, 40, faecal_only=True)
    results_in(page, 33)
    page.get_by_role("link", name="Evidence and release").click()
    assert "every point is met" in page.locator("main").inner_text()
    page.get_by_role("button", name="Sign the release").click()
    assert "2 animals are cleared" in page.locator("main").inner_text()

    page.goto(page.url.split("/quarantine")[0] + f"/animals/{newcomer.pk}/")
    assert "cleared" in page.locator("main").inner_text()
    page.get_by_role("link", name="Mates", exact=True).click()
    page.get_by_label("Cleared only").check()
    page.get_by_role("button", name="Filter").click()
    page.get_by_role("link", name="Join RI-036").click()
    page.locator("[name=enclosure]").select_option(label="F02")
    page.get_by_role("button", name="Show what stands against it").click()
    join_with_reasons(page)
    pairing = Pairing.objects.get(first=newcomer, second=mate)
    assert pairing.began_on == timezone.localdate()
    assert "RI-107 x RI-036" in page.locator("h1").inner_text()

    page.get_by_role("link", name="Pedigree of both").click()
    assert page.locator("main svg").count()
    for ending, start in (("SVG", b"<?xml"), ("PNG", b"\x89PNG"), ("PDF", b"%PDF"), ("DOT", b"di")):
        with page.expect_download() as coming:
            page.get_by_role("link", name=ending, exact=True).click()
        path = tmp_path / coming.value.suggested_filename
        coming.value.save_as(path)
        assert path.read_bytes().startswith(start)


def join_with_reasons(page):
    """Answer each question and join them."""
    for box in page.locator("textarea[name^=reason-]").all():
        box.fill("The only cleared pair of this line without common ancestors.")
    page.get_by_role("button", name="Join them").click()
