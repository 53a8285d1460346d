"""An arrival is registered in one go, or refused with a sentence beside the field."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from quarantine import models as q
from registry import models as m
from registry.standing import standings
from tests import make
from tests.quarantine import make as qmake
from tests.quarantine.pages import Keeper, arrival, on

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n"


@pytest.fixture
def keeper(monkeypatch, settings, tmp_path):
    """The keeper on 2 March, with a folder of their own for files."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.DATA_DIR = tmp_path
    return Keeper(make.user("keeper", superuser=True), monkeypatch).at("2 Mar")


@pytest.fixture
def tanks():
    """Two empty tanks in a quarantine rack."""
    unit = make.unit("Rack Q", role="quarantine")
    return [make.enclosure(code, unit=unit) for code in ("Q1", "Q2")]


def refused(keeper, field, **told):
    """Return what is said beside a field when an arrival is refused; nothing is saved."""
    data = arrival(told.pop("on", "2 Mar"), **told)
    before = counts()
    response = keeper.send("arrival-add", **data)
    assert response.status_code == 200
    assert counts() == before
    return " ".join(response.context["form"].errors.get(field, []))


def counts():
    """Return how much is on record of what an arrival makes."""
    models = (m.Animal, m.Arrival, m.Party, m.Locality, m.SourceGroup, m.Paper, m.Stay, q.Isolation)
    return [model.objects.count() for model in models]


def test_an_import_is_registered_in_one_go(keeper, tanks):
    """Animals, papers, isolation and stays; all are held at once, and the best day is said."""
    paper = SimpleUploadedFile("permit.pdf", PDF, "application/pdf")
    told = {
        "version": qmake.version(),
        "enclosures": "Q1, Q2",
        "name": "Box",
        "country": "ec",
        "belief": "counted",
        "sires": 1,
        "dams": 2,
        "supplier": None,
        "supplier_name": "Vivarium of Holm",
        "locality": None,
        "locality_name": "Rio Candelo",
        "paper-0-kind": "permit",
        "paper-0-number": "P-17",
        "paper-0-file": paper,
    }
    data = arrival("2 Mar", "1.2.3", **told)
    seen = keeper.client.post(reverse("arrival-add"), _typed(data))
    assert seen.context["objections"], "siblings together are asked about"
    again = _typed(data) | {"reason-all": "they came together"}
    again["paper-0-file"] = ""
    again["paper-0-kept"] = seen.context["papers"][0]["kept"].value()
    done = keeper.client.post(reverse("arrival-add"), again, follow=True)
    assert "Best release day 1 May 2026 (in 60 days)" in done.content.decode()
    animals = list(m.Animal.objects.order_by("code"))
    assert [a.code for a in animals] == [f"EA-{n}" for n in range(1, 7)]
    sexes = [a.sex_findings.first() for a in animals]
    assert [f.sex if f else None for f in sexes] == ["male", "female", "female", None, None, None]
    assert {f.basis for f in sexes if f} == {"seller"}
    now = standings(animals, on("2 Mar"))
    assert {s.state for s in now.values()} == {"held"}
    assert {s.best for s in now.values()} == {on("1 May")}
    places = [a.stays.get().enclosure.code for a in animals]
    assert places == ["Q1"] * 3 + ["Q2"] * 3
    kept = m.Paper.objects.get()
    with kept.file.open() as file:
        assert file.read() == PDF
    assert kept.animals.count() == 6
    assert m.Arrival.objects.get().supplier.name == "Vivarium of Holm"
    assert animals[0].locality.name == "Rio Candelo"


def _typed(data):
    """Return form data as the test client sends it, files as files."""
    return {
        name: value if hasattr(value, "read") else getattr(value, "pk", None) or str(value)
        for name, value in data.items()
        if value is not None
    }


@pytest.mark.parametrize(
    ("count", "said"),
    [
        ("0.0.0", "1 to 500 animals, not 0"),
        ("0.0.10000", "1 to 500 animals, not 10000"),
        ("0.0.501", "1 to 500 animals, not 501"),
        ("six", "males.females.unsexed"),
        ("-1", "males.females.unsexed"),
        ("", "required"),
    ],
)
def test_a_count_that_cannot_be_is_refused_beside_it(keeper, count, said):
    """Nothing is saved, and what was typed is kept."""
    assert said in refused(keeper, "count", count=count)


def test_up_to_five_hundred_animals_may_come_at_once(keeper):
    """The five hundredth is taken."""
    keeper.act("arrival-add", **arrival("2 Mar", "0.0.500", pattern="EA-###"))
    assert m.Animal.objects.count() == 500


@pytest.mark.parametrize(
    ("codes", "field", "said"),
    [
        ("A-1\nA-1", "codes", "given twice"),
        ("A-1\na-1", "codes", "given twice"),
        ("A-1", "codes", "1 codes are given for 2 animals"),
        ("A-1\n<b>", "codes", "cannot be a code"),
        ("A-1\n=1+1", "codes", "cannot be a code"),
        ("A-1\nTAKEN", "codes", "on record already"),
    ],
)
def test_codes_that_cannot_be_are_refused_beside_them(keeper, codes, field, said):
    """Doubled, too few, unwritable, in use."""
    make.animal("taken")
    told = {"count": "0.0.2", "codes": codes, "pattern": ""}
    response = keeper.send("arrival-add", **arrival("2 Mar", **told))
    everything = " ".join(e for errors in response.context["form"].errors.values() for e in errors)
    assert said in everything
    assert not m.Arrival.objects.exclude(animals__code="taken").exists()


def test_the_day_is_not_in_the_future_and_the_supplier_is_named(keeper):
    """The day before, the day, and the day after."""
    assert "still to come" in refused(keeper, "day", on="3 Mar")
    assert "Choose the supplier" in refused(keeper, "supplier", supplier=None)
    keeper.act("arrival-add", **arrival("1 Mar"))
    keeper.act("arrival-add", **arrival("2 Mar"))
    assert m.Arrival.objects.count() == 2


def test_a_supplier_is_not_entered_twice(keeper):
    """A new one of a name on record is refused beside the name."""
    make.party("Fern House")
    told = {"supplier": None, "supplier_name": "fern house"}
    assert "on record already" in refused(keeper, "supplier_name", **told)


def test_text_with_markup_and_quotes_is_kept_as_text(keeper):
    """Nothing of it is run where it is shown."""
    nasty = '<script>alert(1)</script> "=1+1" \''
    keeper.act("arrival-add", **arrival("2 Mar", note=nasty, route=nasty))
    made = m.Arrival.objects.get()
    assert made.note == nasty
    page = keeper.see("arrival-show", made.pk).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("permit.pdf", b"MZ\x90\x00 a program", "not what its name says"),
        ("permit.png", PDF, "not what its name says"),
        ("permit.exe", PDF, "Hand in a PDF, PNG or JPEG file"),
        ("permit", PDF, "Hand in a PDF, PNG or JPEG file"),
        ("permit.pdf.html", PDF, "Hand in a PDF, PNG or JPEG file"),
        ("permit.pdf", b"", "empty"),
    ],
)
def test_a_renamed_file_is_refused_beside_its_field(keeper, name, content, said):
    """The content decides, and the name must agree."""
    data = _typed(arrival("2 Mar")) | {"paper-0-kind": "permit", "paper-0-number": "1"}
    data["paper-0-file"] = SimpleUploadedFile(name, content)
    response = keeper.client.post(reverse("arrival-add"), data)
    assert said in " ".join(response.context["papers"][0].errors["file"])
    assert not m.Arrival.objects.exists()


@pytest.mark.parametrize(("over", "taken"), [(-1, True), (0, True), (1, False)])
def test_a_file_too_large_is_refused(keeper, settings, over, taken):
    """The last byte that is allowed is taken."""
    settings.PAPER_MAX_BYTES = 5000
    data = _typed(arrival("2 Mar")) | {"paper-0-kind": "permit", "paper-0-number": "1"}
    file = io.BytesIO(PDF + b" " * (5000 + over - len(PDF)))
    file.name = "large.pdf"
    response = keeper.client.post(reverse("arrival-add"), data | {"paper-0-file": file})
    assert (response.status_code == 302) is taken
    if not taken:
        assert "at most" in " ".join(response.context["papers"][0].errors["file"])


def test_a_paper_file_is_handed_out_only_to_those_signed_in(keeper, client):
    """As something to save, of its own kind, and never to be guessed at."""
    data = _typed(arrival("2 Mar")) | {"paper-0-kind": "permit", "paper-0-number": "1"}
    data["paper-0-file"] = SimpleUploadedFile("my permit.pdf", PDF)
    keeper.client.post(reverse("arrival-add"), data)
    address = reverse("paper-file", args=[m.Paper.objects.get().pk])
    given = keeper.client.get(address)
    assert given["Content-Type"] == "application/pdf"
    assert given["Content-Disposition"].startswith("attachment")
    assert given["X-Content-Type-Options"] == "nosniff"
    assert b"".join(given.streaming_content) == PDF
    assert client.get(address).status_code == 302


def test_animals_come_again_and_are_held_anew(keeper, tanks):
    """Only those that are not here; each is held from the new arrival."""
    animal, buyer = make.animal("D-03"), make.party("Dell")
    told = {"kind": "return", "supplier": buyer, "holding": make.holding(), "day": on("2 Mar")}
    told |= {"animals": "d-03", "version": qmake.version(), "enclosures": "Q1"}
    refusal = keeper.send("arrival-again", **told).context["form"].errors["animals"]
    assert "here already" in refusal[0]
    make.departure(animal, day=on("1 Feb"), kind="loan", receiver=buyer)
    keeper.act("arrival-again", **told)
    assert standings([animal], on("2 Mar"))[animal.pk].best == on("1 May")


def test_an_arrival_page_wants_its_right(keeper, client):
    """Somebody without it is turned away; an anonymous visitor is sent to sign in."""
    assert client.get(reverse("arrival-add")).status_code == 302
    client.force_login(make.user("visitor"))
    assert client.get(reverse("arrival-add")).status_code == 403
    client.force_login(make.user("porter", rights=["registry.register_arrival"]))
    assert client.get(reverse("arrival-add")).status_code == 200
