"""The pages of the small acts: what is found and seen, marks, missing, leaving, tending."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from registry import photos
from registry.models import (
    Breach,
    Departure,
    Disinfection,
    Mark,
    Missing,
    Observation,
    Outing,
    SexFinding,
    Stay,
    ThingsMoved,
)
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
HUGE = "x" * 100_000


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def errors(answer):
    """Return every error on a page, in one text."""
    form = answer.context["form"]
    return " ".join(text for said in form.errors.values() for text in said)


def today():
    return timezone.localdate()


def test_heard_calling_is_saved_in_one_step_where_nothing_comes_of_it(keeper):
    animal = make.animal("D-01")
    address = reverse("animal-sex", args=[animal.pk])
    form = keeper.get(address, {"basis": "calling"}).context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    assert keeper.post(address, sent).status_code == 302
    found = SexFinding.objects.get()
    assert (found.sex, found.basis, found.day) == ("male", "calling", today())


def test_a_finding_first_shows_what_it_raises_and_is_saved_all_the_same(keeper):
    a, b, tank = make.animal("A", sex="male"), make.animal("B"), make.enclosure()
    make.stay(a, tank)
    make.stay(b, tank)
    clutch = make.clutch("K1")
    make.parent(clutch, "dam", b, basis="housed")
    sent = {"sex": "male", "basis": "calling", "day": today()}
    address = reverse("animal-sex", args=[b.pk])
    page = keeper.post(address, sent)
    assert page.context["raised"] == [
        "A and B: 2 males, where Dendrobates tinctorius lives as a pair.",
        f"B is male (heard calling, {today().day} {today():%b %Y}) and cannot be dam of K1.",
    ]
    assert SexFinding.objects.filter(animal=b).count() == 0
    assert keeper.post(address, sent | {"do": "1"}).status_code == 302
    assert SexFinding.objects.filter(animal=b).count() == 1
    assert clutch.descents.current().count() == 1


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"sex": "female", "basis": "calling"}, "Calling shows a male"),
        ({"sex": "", "basis": "dna"}, "required"),
        ({"sex": "both", "basis": "dna"}, "valid choice"),
        ({"day": "2099-01-01"}, "still to come"),
        ({"day": "2018-12-31"}, "was not born on 31 Dec 2018"),
        ({"note": HUGE}, "at most 400 characters"),
    ],
)
def test_a_finding_that_cannot_be_is_refused_and_kept_in_the_form(keeper, told, said):
    animal = make.animal("D-01", born=date(2019, 1, 1))
    sent = {"sex": "male", "basis": "dna", "day": "2026-03-02", "note": "=1+1"} | told
    page = keeper.post(reverse("animal-sex", args=[animal.pk]), sent)
    assert said in errors(page)
    assert page.context["form"]["note"].value() == sent["note"]
    assert not SexFinding.objects.exists()


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"kind": "weight"}, "Give the weight in grams"),
        ({"kind": "weight", "grams": "0"}, "above 0"),
        ({"kind": "weight", "grams": "-3"}, "greater than or equal to 0"),
        ({"kind": "weight", "grams": "three"}, "Enter a number"),
        ({"kind": "weight", "grams": "1e9"}, "no more than"),
        ({"kind": "ate", "grams": "3"}, "Only a weight has grams"),
        ({"kind": "sign"}, "Say what was seen"),
        ({"kind": "ate", "day": "2099-01-01"}, "still to come"),
        ({"kind": "ate", "day": "2019-12-31"}, "is here only from 1 Jan 2020"),
        ({"kind": "note", "text": HUGE}, "at most 400 characters"),
    ],
)
def test_what_cannot_have_been_seen_is_refused(keeper, told, said):
    animal = make.animal("D-01")
    page = keeper.post(reverse("animal-observe", args=[animal.pk]), {"day": "2026-03-02"} | told)
    assert said in errors(page)
    assert not Observation.objects.exists()


def test_a_sign_is_entered_shown_and_gone(keeper):
    animal = make.animal("D-01")
    sent = {"kind": "sign", "text": "thin", "day": "2026-03-02"}
    keeper.post(reverse("animal-observe", args=[animal.pk]), sent)
    sign = Observation.objects.get()
    address = reverse("sign-gone", args=[sign.pk])
    assert address in keeper.get(reverse("animal-show", args=[animal.pk])).content.decode()
    assert "first seen on 2 Mar 2026" in errors(keeper.post(address, {"day": "2026-03-01"}))
    assert keeper.post(address, {"day": "2026-03-04"}).status_code == 302
    assert "gone already" in keeper.get(address, follow=True).content.decode()


def picture(kind="JPEG", size=(40, 30), exif=None):
    """Return a picture file as a camera writes it."""
    kept = BytesIO()
    image = Image.new("RGB", size, "green")
    image.save(kept, kind, **({"exif": exif} if exif else {}))
    return SimpleUploadedFile(f"frog.{kind.lower()}", kept.getvalue())


def with_place():
    """Return what a telephone writes into a picture: where it was taken, and by what."""
    exif = Image.Exif()
    exif[0x010F] = "Maker of telephones"
    exif[0x0112] = 6  # turned by a quarter
    exif.get_ifd(0x8825).update({1: "N", 2: (48.0, 12.0, 30.0), 3: "E", 4: (11.0, 34.0, 0.0)})
    return exif


def hand_in(keeper, file, **more):
    animal = make.animal("D-01")
    sent = {"kind": "photograph", "day": "2026-03-02", "photo": file} | more
    return keeper.post(reverse("animal-mark", args=[animal.pk]), sent)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photograph_is_drawn_anew_without_its_place(keeper, kind):
    assert hand_in(keeper, picture(kind, exif=with_place())).status_code == 302
    mark = Mark.objects.get()
    with mark.photo.open("rb") as file:
        kept = file.read()
    shown = Image.open(BytesIO(kept))
    assert shown.format == "JPEG"
    assert dict(shown.getexif()) == {}
    assert b"telephones" not in kept
    assert shown.size == (30, 40)  # upright, as it was meant to be seen
    assert "frog" not in mark.photo.name
    sent = keeper.get(reverse("mark-photo", args=[mark.pk]))
    assert b"".join(sent.streaming_content) == kept
    assert sent["Content-Type"] == "image/jpeg"


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("frog.jpg", b"not a picture"),
        ("frog.jpg", b""),
        ("frog.svg", b"<svg onload='alert(1)'/>"),
        ("frog.png", b"\x89PNG\r\n\x1a\n" + b"\0" * 50),
        ("frog.html", b"<script>alert(1)</script>"),
    ],
)
def test_what_is_no_picture_is_refused(keeper, name, content):
    page = hand_in(keeper, SimpleUploadedFile(name, content))
    assert page.status_code == 200
    assert page.context["form"].errors["photo"]
    assert not Mark.objects.exists()


def test_a_picture_too_large_is_refused(keeper, monkeypatch):
    monkeypatch.setattr(photos, "MOST_PIXELS", 1000)
    assert "million points" in errors(hand_in(keeper, picture(size=(40, 26))))
    monkeypatch.setattr(photos, "MOST_BYTES", 100)
    assert "at most" in errors(keeper.post(
        reverse("animal-mark", args=[Mark.objects.count() or make.animal().pk]),
        {"kind": "photograph", "day": "2026-03-02", "photo": picture()},
    ))  # fmt: skip


def test_a_large_picture_is_made_smaller(keeper):
    hand_in(keeper, picture(size=(4000, 1000)))
    with Mark.objects.get().photo.open("rb") as file:
        assert Image.open(file).size == (2000, 500)


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"kind": "ring", "value": ""}, "Give the number"),
        ({"kind": "photograph"}, "Choose the photograph"),
        ({"kind": "chip", "value": HUGE}, "at most 120 characters"),
        ({"kind": "chip", "value": "7", "day": "2099-01-01"}, "still to come"),
    ],
)
def test_a_mark_that_shows_nothing_is_refused(keeper, told, said):
    animal = make.animal("D-01")
    page = keeper.post(reverse("animal-mark", args=[animal.pk]), {"day": "2026-03-02"} | told)
    assert said in errors(page)
    assert not Mark.objects.exists()


def test_a_photograph_is_for_those_signed_in(client):
    assert client.get(reverse("mark-photo", args=[1])).status_code == 302


def leave(keeper, animal, **told):
    sent = {"animals": animal.code, "kind": "death", "day": "2026-03-02", "do": "1"} | told
    return keeper.post(reverse("animal-depart", args=[animal.pk]), sent)


def test_a_departure_is_shown_before_it_is_done(keeper):
    animal = make.animal("D-01")
    make.stay(animal, make.enclosure())
    page = keeper.post(
        reverse("animal-depart", args=[animal.pk]),
        {"animals": "D-01", "kind": "death", "day": "2026-03-02", "show": "1"},
    )
    assert "What this will do" in page.content.decode()
    assert not Departure.objects.exists()
    assert leave(keeper, animal).status_code == 302
    assert Stay.objects.get().end == make.DAY


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"animals": "D-99"}, "D-99 is not on record"),
        ({"animals": "D-01, d-01"}, "Named twice: D-01 and d-01"),
        ({"animals": ""}, "required"),
        ({"day": "2099-01-01"}, "still to come"),
        ({"kind": "teleport"}, "valid choice"),
        ({"cause": HUGE}, "at most 400 characters"),
        ({"note": HUGE}, "at most 4000 characters"),
    ],
)
def test_a_departure_that_cannot_be_is_refused_beside_its_field(keeper, told, said):
    page = leave(keeper, make.animal("D-01"), **told)
    assert said in errors(page)
    assert not Departure.objects.exists()


def test_a_sale_to_nobody_and_a_second_death_are_stopped(keeper):
    animal = make.animal("D-01")
    page = leave(keeper, animal, kind="sale")
    assert "Name who received D-01." in page.content.decode()
    assert leave(keeper, animal).status_code == 302
    page = leave(keeper, animal, day="2026-03-03")
    assert "D-01 died on 2 Mar 2026." in page.content.decode()
    assert Departure.objects.count() == 1


def test_a_carcass_comes_with_its_caution(keeper):
    animal = make.animal("D-01")
    page = keeper.get(reverse("animal-depart", args=[animal.pk]), {"kind": "death"})
    assert "do not freeze it whole" in page.content.decode()


def test_an_animal_is_missing_found_and_out(keeper):
    animal, tank = make.animal("D-01"), make.enclosure()
    make.stay(animal, tank)
    keeper.post(reverse("animal-missing", args=[animal.pk]), {"day": "2026-03-02"})
    entry = Missing.objects.get()
    again = keeper.post(reverse("animal-missing", args=[animal.pk]), {"day": "2026-03-03"})
    assert "not found since 2 Mar 2026" in errors(again)
    address = reverse("missing-found", args=[entry.pk])
    assert "on or after it" in errors(
        keeper.post(address, {"day": "2026-03-01", "enclosure": tank.pk, "do": "1"})
    )
    sent = {"day": "2026-03-04", "enclosure": tank.pk, "do": "1"}
    assert keeper.post(address, sent).status_code == 302
    sent = {"day": "2026-03-05", "purpose": "photographs", "reason": "Met nobody."}
    assert keeper.post(reverse("animal-outing", args=[animal.pk]), sent).status_code == 302
    assert Outing.objects.get().reason == "Met nobody."


def test_an_enclosure_is_disinfected_and_things_are_carried(keeper):
    a, b = make.enclosure("A"), make.enclosure("B")
    sent = {"day": "2026-03-02", "agent": "chlorhexidine 0.75 %"}
    keeper.post(reverse("enclosure-disinfect", args=[a.pk]), sent)
    assert Disinfection.objects.get().agent == "chlorhexidine 0.75 %"
    address = reverse("enclosure-carry", args=[a.pk])
    sent = {"source": a.pk, "target": b.pk, "what": "moss", "day": "2026-03-02"}
    assert "two different" in errors(keeper.post(address, sent | {"target": a.pk}))
    assert "moss" in keeper.post(address, sent | {"what": "moss"}).content.decode().lower()
    assert not ThingsMoved.objects.exists()
    assert keeper.post(address, sent | {"do": "1"}).status_code == 302
    assert ThingsMoved.objects.get().target == b


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"animals": "D-99"}, "D-99 is not on record"),
        ({"animals": "D-01, D-01"}, "Named twice"),
        ({"animals": ""}, "at least one animal or clutch"),
        ({"animals": ", ".join(f"X{n}" for n in range(501))}, "at most 500"),
        ({"animals": HUGE}, "at most 20000 characters"),
        ({"clutches": "K99"}, "K99 is not on record"),
        ({"enclosure": "99999"}, "valid choice"),
        ({"enclosure": ""}, "required"),
        ({"day": ""}, "required"),
        ({"day": "2099-01-01"}, "at most a year ahead"),
        ({"day": "1899-12-31"}, "before 1900"),
        ({"until": "2026-03-01"}, "before they came"),
    ],
)
def test_a_move_that_cannot_be_typed_is_refused_beside_its_field(keeper, told, said):
    make.animal("D-01")
    sent = {"animals": "D-01", "enclosure": make.enclosure().pk, "day": "2026-03-02", "do": "1"}
    page = keeper.post(reverse("move-add"), sent | told)
    assert said in errors(page)
    assert not Stay.objects.exists()


@pytest.mark.parametrize(("days", "allowed"), [(365, True), (366, True), (367, False)])
def test_a_move_is_planned_up_to_a_year_ahead(keeper, days, allowed):
    make.animal("D-01", sex="male")
    on = today() + timedelta(days=days)
    sent = {"animals": "D-01", "enclosure": make.enclosure().pk, "day": on, "do": "1"}
    assert (keeper.post(reverse("move-add"), sent).status_code == 302) is allowed


def test_a_retired_enclosure_is_not_offered(keeper):
    make.animal("D-01")
    retired = make.enclosure(retired_on=make.DAY)
    sent = {"animals": "D-01", "enclosure": retired.pk, "day": "2026-03-02", "do": "1"}
    assert "valid choice" in errors(keeper.post(reverse("move-add"), sent))


def test_a_breach_is_settled_with_how_and_stays_readable(keeper):
    stay = make.stay(make.animal(), make.enclosure(), start=make.DAY)
    breach = Breach.objects.create(
        stay=stay, rule="x", message="A and B could cross.", why="Late.", who="Ann",
        entered_at=timezone.now(), entered_by=make.user(),
    )  # fmt: skip
    address = reverse("breach-close", args=[breach.pk])
    assert "began on 2 Mar 2026" in errors(keeper.post(address, {"day": "2026-03-01", "why": "x"}))
    assert "required" in errors(keeper.post(address, {"day": "2026-03-03", "why": ""}))
    assert keeper.post(address, {"day": "2026-03-03", "why": "Parted them."}).status_code == 302
    assert "settled already" in keeper.get(address, follow=True).content.decode()
    assert b"could cross" not in keeper.get(reverse("breach-list")).content
    assert b"Parted them." in keeper.get(reverse("breach-list"), {"all": 1}).content
