"""An entry is corrected by a new one that says why; the first stays readable."""

from datetime import date

import pytest
from django.urls import reverse

from registry.models import Departure, SexFinding, Stay
from registry.models.facts import AlreadyReplaced
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def errors(answer):
    """Return every error on a page, in one text."""
    form = answer.context["form"]
    return " ".join(text for said in form.errors.values() for text in said)


def address(fact, name="fact-correct"):
    return reverse(name, args=[fact._meta.label_lower, fact.pk])


def correct(keeper, fact, name="fact-correct", **told):
    return keeper.post(address(fact, name), told | {"do": "1"})


def test_a_finding_is_corrected_and_the_first_stays_readable(keeper):
    animal = make.animal("D-01")
    first = make.finding(animal, sex="male", basis="looks")
    told = {"sex": "female", "basis": "looks", "day": "2026-03-03", "why": "Looked again."}
    assert correct(keeper, first, **told).status_code == 302
    first.refresh_from_db()
    new = first.replaced_by
    assert (new.sex, new.day, new.why) == ("female", date(2026, 3, 3), "Looked again.")
    assert new.entered_by is not None
    assert first.sex == "male"


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"why": ""}, "required"),
        ({"why": "   "}, "required"),
        ({"day": "2099-01-01"}, "still to come"),
        ({"basis": "calling", "sex": "female"}, "Calling shows a male"),
        ({"sex": "x"}, "valid choice"),
        ({"day": "2018-01-01"}, "was not born on 1 Jan 2018"),
    ],
)
def test_a_correction_is_held_to_what_held_the_entry(keeper, told, said):
    first = make.finding(make.animal("D-01", born=date(2019, 1, 1)), sex="male", basis="looks")
    sent = {"sex": "female", "basis": "looks", "day": "2026-03-02", "why": "x"} | told
    assert said in errors(correct(keeper, first, **sent))
    assert SexFinding.objects.count() == 1


def test_somebody_else_was_quicker(keeper):
    first = make.finding(make.animal(), sex="male", basis="looks")
    first.corrected(by=make.user(), why="Mine.", sex="female")
    for name in ("fact-correct", "fact-withdraw"):
        page = keeper.post(address(first, name), {"why": "Mine too.", "do": "1"}, follow=True)
        assert "has been corrected already" in page.content.decode()
    with pytest.raises(AlreadyReplaced, match="has been corrected already"):
        first.corrected(by=make.user(), why="Mine too.", sex="female")


def test_an_entry_is_withdrawn_with_the_reason(keeper):
    first = make.finding(make.animal(), sex="male", basis="looks")
    assert "required" in errors(correct(keeper, first, "fact-withdraw", why=""))
    assert correct(keeper, first, "fact-withdraw", why="Wrong frog.").status_code == 302
    assert not SexFinding.objects.current().exists()
    assert SexFinding.objects.filter(void=True).get().why == "Wrong frog."


def moved():
    """Return an animal moved from E1 to E2 on the day, and that stay."""
    animal = make.animal("D-01")
    make.stay(animal, make.enclosure("E1"), end=make.DAY)
    return animal, make.stay(animal, make.enclosure("E2"), start=make.DAY)


def test_a_move_is_corrected_through_the_rules(keeper):
    animal, stay = moved()
    full = make.enclosure("E3", room_for=0)
    sent = {"enclosure": full.pk, "day": "2026-03-04", "why": "Misread."}
    page = correct(keeper, stay, **sent)
    (question,) = page.context["objections"]
    assert question.message == "E3 has room for 0; 1 would be in it."
    stay.refresh_from_db()
    assert stay.superseded_at is None
    sent[f"reason-{question.key}"] = "For a night."
    assert correct(keeper, stay, **sent).status_code == 302
    found = [
        (s.enclosure.code, s.start, s.end) for s in Stay.objects.current().filter(animal=animal)
    ]
    assert found == [
        ("E1", date(2020, 1, 1), make.DAY),
        ("E1", make.DAY, date(2026, 3, 4)),
        ("E3", date(2026, 3, 4), None),
    ]


def test_a_move_that_never_was_is_withdrawn(keeper):
    animal, stay = moved()
    assert correct(keeper, stay, "fact-withdraw", why="It was D-02.").status_code == 302
    assert Stay.objects.current().get(animal=animal, end=None).enclosure.code == "E1"


def test_a_departure_is_corrected_and_withdrawn(keeper):
    animal = make.animal("D-01")
    make.stay(animal, make.enclosure("E1"), end=make.DAY)
    death = make.departure(animal, kind="death")
    sent = {"kind": "sale", "day": "2026-03-02", "cause": "", "note": "", "why": "Sold."}
    page = correct(keeper, death, **sent)
    assert "Name who received D-01." in page.content.decode()
    sent["receiver"] = make.party("Buyer").pk
    assert correct(keeper, death, **sent).status_code == 302
    sale = Departure.objects.current().get()
    assert (sale.kind, sale.receiver.name, sale.replaces) == ("sale", "Buyer", death)
    assert correct(keeper, sale, "fact-withdraw", why="Not sold.").status_code == 302
    assert not Departure.objects.current().exists()
    assert Stay.objects.current().get(animal=animal, end=None).enclosure.code == "E1"


def test_a_statement_of_descent_is_corrected_on_the_page_of_the_parents(keeper):
    clutch = make.clutch()
    stated = make.parent(clutch, "sire", make.animal())
    answer = keeper.get(address(stated))
    assert answer["Location"] == f"{reverse('clutch-parents', args=[clutch.pk])}?role=sire"


@pytest.mark.parametrize(
    "kind", ["registry.animal", "registry.paper", "auth.user", "x.y", "nonsense"]
)
def test_what_is_no_entry_has_no_such_page(keeper, kind):
    assert keeper.get(reverse("fact-correct", args=[kind, 1])).status_code == 404
    assert keeper.get(reverse("fact-withdraw", args=[kind, 1])).status_code == 404


def test_a_correction_needs_its_right(client):
    client.force_login(make.user(rights=["registry.add_sexfinding"]))
    assert client.get(address(make.finding(make.animal()))).status_code == 403
    _, stay = moved()
    assert client.get(address(stay)).status_code == 403


def test_what_the_rules_say_is_shown_before_a_move_is_corrected_or_withdrawn(keeper):
    animal, stay = moved()
    full = make.enclosure("E3", room_for=0)
    sent = {"enclosure": full.pk, "day": "2026-03-04", "why": "Misread.", "show": "1"}
    page = keeper.post(address(stay), sent)
    assert [o.message for o in page.context["objections"]] == [
        "E3 has room for 0; 1 would be in it."
    ]
    home = Stay.objects.get(animal=animal, enclosure__code="E1").enclosure
    make.stay(make.animal(taxon=make.taxon("Dendrobates leucomelas")), home, start=make.DAY)
    page = keeper.post(address(stay, "fact-withdraw"), {"why": "It was D-02.", "show": "1"})
    assert "could cross" in page.content.decode()
    stay.refresh_from_db()
    assert stay.superseded_at is None
    assert Stay.objects.filter(animal=animal).count() == 2


def test_a_time_line_offers_a_correction_only_to_whoever_may_make_it(client):
    animal = make.animal("D-01", sex="male")
    make.stay(animal, make.enclosure())
    client.force_login(make.user(rights=["registry.change_sexfinding"]))
    text = client.get(reverse("animal-show", args=[animal.pk])).content.decode()
    assert "registry.sexfinding" in text
    assert "registry.stay" not in text
