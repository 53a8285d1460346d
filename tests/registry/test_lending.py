"""Who holds an animal and whose it is follows from its arrivals and departures, day by day."""

from contextlib import nullcontext
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from registry.daily import loans_due
from registry.departing import Leaving, depart_together, objections
from registry.lending import keeping_of, lendings, loans
from registry.models import OwnerChange
from registry.owning import pass_on
from registry.refusals import REFUSALS
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = make.DAY
ONE = timedelta(days=1)


def names(keeping):
    """Return holder and owner by name."""
    return tuple(party and party.name for party in (keeping.holder, keeping.owner))


@pytest.fixture
def ann():
    """Somebody who lends and borrows."""
    return make.party("Ann")


HERE = "Keeper of Lantern Row"


def test_what_came_belongs_to_who_holds_it():
    assert names(keeping_of(make.animal(), DAY)) == (HERE, HERE)


def test_what_is_written_as_owner_owns_it_until_it_is_passed_on(ann):
    animal = make.animal(owner=make.party("The Society"))
    assert names(keeping_of(animal, DAY)) == (HERE, "The Society")
    make.departure(animal, kind="sale", receiver=ann)
    assert names(keeping_of(animal, DAY)) == ("Ann", "Ann")


@pytest.mark.parametrize(
    ("day", "told"), [(DAY - ONE, (HERE, HERE)), (DAY, ("Ann", HERE)), (DAY + ONE, ("Ann", HERE))]
)
def test_a_loan_parts_holder_and_owner_from_its_day_on(ann, day, told):
    animal = make.animal()
    make.departure(animal, kind="loan", receiver=ann)
    assert names(keeping_of(animal, day)) == told


@pytest.mark.parametrize(("back", "running"), [(-1, 0), (0, 0), (1, 1)])
def test_a_loan_runs_until_the_animal_is_back(ann, back, running):
    animal = make.animal()
    make.departure(animal, day=DAY - 9 * ONE, kind="loan", receiver=ann)
    make.arrival([animal], day=DAY + back * ONE, kind="return", supplier=ann)
    assert len(loans(DAY)) == running
    assert names(keeping_of(animal, DAY + ONE)) == (HERE, HERE)


def test_what_was_borrowed_belongs_to_its_lender_until_it_is_given_back(ann):
    animal = make.animal(arrived=False)
    make.arrival([animal], day=DAY, kind="loan", supplier=ann, due_back=DAY + 9 * ONE)
    assert names(keeping_of(animal, DAY)) == (HERE, "Ann")
    (lending,) = lendings(DAY)
    assert [(x.animal, x.due) for x in lending.borrowed] == [(animal, DAY + 9 * ONE)]
    assert lending.lent == ()
    make.departure(animal, day=DAY + ONE, kind="handed over", receiver=ann)
    assert names(keeping_of(animal, DAY + ONE)) == ("Ann", "Ann")
    assert loans(DAY + ONE) == []


def test_what_is_borrowed_and_lent_on_comes_back_to_the_first_loan(ann):
    animal = make.animal(arrived=False)
    make.arrival([animal], day=DAY, kind="loan", supplier=ann)
    make.departure(animal, day=DAY + ONE, kind="loan", receiver=make.party("Ben"))
    assert [loan.borrower.name for loan in loans(DAY + ONE)] == [HERE, "Ben"]
    make.arrival([animal], day=DAY + 2 * ONE, kind="return", supplier=ann)
    assert [loan.borrower.name for loan in loans(DAY + 2 * ONE)] == [HERE]
    assert names(keeping_of(animal, DAY + 2 * ONE)) == (HERE, "Ann")


@pytest.mark.parametrize("kind", ["death", "escape"])
def test_nobody_holds_the_dead_and_their_loans_end(ann, kind):
    animal = make.animal(arrived=False)
    make.arrival([animal], day=DAY, kind="loan", supplier=ann)
    make.departure(animal, day=DAY, kind=kind)
    assert names(keeping_of(animal, DAY)) == (None, None)
    assert loans(DAY) == []


def test_what_is_bought_back_belongs_here_again(ann):
    animal = make.animal()
    make.departure(animal, kind="sale", receiver=ann)
    make.arrival([animal], day=DAY + ONE, kind="purchase", supplier=ann)
    assert names(keeping_of(animal, DAY + ONE)) == (HERE, HERE)


def test_what_was_lent_and_then_bought_is_lent_no_more(ann):
    animal = make.animal()
    make.departure(animal, kind="loan", receiver=ann)
    make.arrival([animal], day=DAY + ONE, kind="purchase", supplier=ann)
    assert loans(DAY + ONE) == []


def test_young_bred_here_belong_where_they_were_bred():
    young = make.young(make.clutch(found_on=date(2025, 1, 1)))
    assert names(keeping_of(young, DAY)) == (HERE, HERE)


def leaving(animal, **more):
    return Leaving(**{"day": DAY, "animals": (animal,), "kind": "loan"} | more)


@pytest.mark.parametrize("kind", ["sale", "gift", "exchange", "loan"])
def test_what_belongs_to_another_is_passed_on_only_for_a_reason(ann, kind):
    animal = make.animal("D-1", arrived=False)
    make.arrival([animal], day=DAY, kind="loan", supplier=ann)
    found = objections(leaving(animal, kind=kind, receiver=make.party()))
    (asked,) = [o for o in found if o.is_ask]
    assert asked.message.startswith(f"D-1 belongs to Ann, who lent it to {HERE}; it would ")
    given_back = objections(leaving(animal, kind=kind, receiver=ann))
    assert not [o for o in given_back if o.is_ask]


@pytest.mark.parametrize(
    ("kind", "days", "said"),
    [
        ("loan", -1, "before it was lent"),
        ("loan", 0, None),
        ("loan", 1, None),
        ("sale", 1, "Only a loan is due back"),
    ],
)
def test_only_a_loan_is_due_back_and_not_before_it_begins(ann, kind, days, said):
    told = {"kind": kind, "receiver": ann, "due_back": DAY + days * ONE}
    found = [o.message for o in objections(leaving(make.animal(), **told))]
    assert [text for text in found if said and said in text] == found
    assert bool(found) is bool(said)


def test_the_day_due_back_is_kept_with_the_loan(ann):
    due = leaving(make.animal(), receiver=ann, due_back=DAY + ONE)
    (row,) = depart_together(due, by=make.user())
    assert row.due_back == DAY + ONE


@pytest.mark.parametrize(
    ("due", "late"), [(-1, [True]), (0, [False]), (14, [False]), (15, []), (None, [])]
)
def test_today_names_what_goes_back_within_two_weeks(ann, due, late):
    day = None if due is None else DAY + due * ONE
    make.departure(make.animal(), day=DAY - 20 * ONE, kind="loan", receiver=ann, due_back=day)
    assert [task.late for task in loans_due(DAY, None).tasks] == late


def test_a_borrower_who_buys_has_it_from_that_day_on_and_the_loan_ends(ann):
    animal, by = make.animal(), make.user()
    make.departure(animal, kind="loan", receiver=ann)
    pass_on(animal, DAY + 5 * ONE, "sale", ann, by=by)
    assert names(keeping_of(animal, DAY + 4 * ONE)) == ("Ann", HERE)
    assert names(keeping_of(animal, DAY + 5 * ONE)) == ("Ann", "Ann")
    assert [len(loans(DAY + days * ONE)) for days in (4, 5)] == [1, 0]
    make.arrival([animal], day=DAY + 9 * ONE, kind="return", supplier=ann)
    assert names(keeping_of(animal, DAY + 9 * ONE)) == (HERE, HERE)


def test_what_is_borrowed_here_can_be_bought_here(ann):
    animal, by = make.animal(arrived=False), make.user()
    make.arrival([animal], day=DAY, kind="loan", supplier=ann)
    pass_on(animal, DAY, "sale", make.holding().party, by=by)
    assert names(keeping_of(animal, DAY)) == (HERE, HERE)
    leaving = Leaving(day=DAY + ONE, animals=(animal,), kind="sale", receiver=ann)
    assert [o for o in objections(leaving) if "belongs to" in o.message] == []


def test_what_is_lent_on_keeps_the_loan_of_whoever_does_not_own_it(ann):
    animal, ben, by = make.animal(arrived=False), make.party("Ben"), make.user()
    make.arrival([animal], day=DAY, kind="loan", supplier=ann)
    make.departure(animal, day=DAY + ONE, kind="loan", receiver=ben)
    pass_on(animal, DAY + 2 * ONE, "gift", make.party("Cid"), by=by)
    lenders = [(loan.lender.name, loan.borrower.name) for loan in loans(DAY + 2 * ONE)]
    assert lenders == [("Cid", HERE), (HERE, "Ben")]
    pass_on(animal, DAY + 3 * ONE, "sale", make.holding().party, by=by)
    (left,) = loans(DAY + 3 * ONE)
    assert (left.lender.name, left.borrower.name) == (HERE, "Ben")


@pytest.mark.parametrize(
    ("days", "back", "owner", "said"),
    [
        (-1, None, "Ann", "was not on loan on"),
        (0, None, "Ann", ""),
        (3, None, HERE, f"belonged to {HERE} already"),
        (8, 9, "Ann", "came or left again on"),
        (9, 9, "Ann", "was not on loan on"),
        (99_999, None, "Ann", "is still to come"),
    ],
)
def test_only_what_is_lent_passes_on_and_not_behind_a_later_entry(ann, days, back, owner, said):
    animal, by = make.animal(), make.user()
    make.departure(animal, kind="loan", receiver=ann)
    if back:
        make.arrival([animal], day=DAY + back * ONE, kind="return", supplier=ann)
    party = ann if owner == "Ann" else make.holding().party
    with pytest.raises(REFUSALS, match=said) if said else nullcontext():
        pass_on(animal, DAY + days * ONE, "sale", party, by=by)
    assert OwnerChange.objects.exists() != bool(said)


def test_a_change_of_owner_is_entered_told_corrected_and_taken_back(client, ann):
    client.force_login(make.user(superuser=True))
    animal, today = make.animal("OUT-1"), timezone.localdate()
    make.departure(animal, day=today - 9 * ONE, kind="loan", receiver=ann)
    form = reverse("animal-owner", args=[animal.pk])
    assert form in client.get(reverse("loan-list")).text
    data = {"kind": "sale", "day": f"{today}", "owner": ann.pk}
    assert "is still to come" in client.post(form, data | {"day": f"{today + ONE}"}).text
    page = client.post(form, data, follow=True).text
    assert "On loan where it is, it passed to Ann (sale)." in page
    entry, ben = OwnerChange.objects.get(), make.party("Ben")
    correct = reverse("fact-correct", args=["registry.ownerchange", entry.pk])
    client.post(correct, data | {"owner": ben.pk, "why": "misread"})
    assert names(keeping_of(animal, today)) == ("Ann", "Ben")
    new = OwnerChange.objects.current().get()
    take_back = reverse("fact-withdraw", args=["registry.ownerchange", new.pk])
    client.post(take_back, {"why": "never was", "do": "1"})
    assert names(keeping_of(animal, today)) == ("Ann", HERE)


def test_an_owner_changes_in_the_administration_by_the_same_door(client, ann):
    client.force_login(make.user(superuser=True, staff=True))
    animal, add = make.animal("OUT-1"), reverse("admin:registry_ownerchange_add")
    data = {"animal": "OUT-1", "kind": "gift", "day": f"{DAY}", "owner": ann.pk}
    assert "was not on loan on" in client.post(add, data).text
    make.departure(animal, kind="loan", receiver=ann)
    assert client.post(add, data).status_code == 302
    assert names(keeping_of(animal, DAY)) == ("Ann", "Ann")


def test_nobody_without_the_right_passes_an_animal_on(client, ann):
    client.force_login(make.user("helper"))
    animal = make.animal()
    make.departure(animal, kind="loan", receiver=ann)
    form = reverse("animal-owner", args=[animal.pk])
    assert client.get(form).status_code == 403
    assert form not in client.get(reverse("loan-list")).text


def test_the_page_lists_both_sides_with_the_way_back(client, ann):
    client.force_login(make.user(superuser=True))
    out, lent = make.animal("OUT-1"), make.animal("IN-1", arrived=False)
    make.departure(out, kind="loan", receiver=ann, due_back=DAY + ONE)
    make.arrival([lent], day=DAY, kind="loan", supplier=ann)
    page = client.get(reverse("loan-list"), {"on": DAY + 2 * ONE}).text
    assert "OUT-1" in page
    assert "IN-1" in page
    assert f"{reverse('arrival-again')}?animals=OUT-1&amp;from={ann.pk}" in page
    assert f"{reverse('departure-add')}?animals=IN-1&amp;kind=handed+over&amp;to={ann.pk}" in page
    assert "late" in page
    assert "no day agreed" in page
    before = client.get(reverse("loan-list"), {"on": DAY - ONE}).text
    assert "OUT-1" not in before
    assert "Nothing is lent." in before


def test_the_way_back_is_filled_in_beforehand(client, ann):
    client.force_login(make.user(superuser=True))
    query = {"animals": "IN-1", "kind": "handed over", "to": ann.pk}
    form = client.get(reverse("departure-add"), query).context["form"]
    assert (form["animals"].value(), form["receiver"].value()) == ("IN-1", str(ann.pk))
    query = {"animals": "OUT-1", "from": ann.pk}
    form = client.get(reverse("arrival-again"), query).context["form"]
    assert (form["animals"].value(), form["supplier"].value()) == ("OUT-1", str(ann.pk))


def test_an_animals_page_and_time_line_tell_of_a_loan(client, ann):
    client.force_login(make.user(superuser=True))
    animal = make.animal("OUT-1")
    due = timezone.localdate() + 9 * ONE
    make.departure(animal, kind="loan", receiver=ann, due_back=due)
    page = client.get(reverse("animal-show", args=[animal.pk])).text
    assert "On loan" in page
    assert "(in 9 days)" in page
    assert f"Loan to Ann, due back on {due.day} " in page
    assert f">{HERE}</a>" in page.partition("<dt>Owner</dt>")[2][:120]
