"""Rows for tests; every field has a default, so that a test names only the values it is about."""

from datetime import date, timedelta
from itertools import count

from django.contrib.auth import get_user_model

from registry import models as m

DAY = date(2026, 3, 2)  # a day on which most tests happen
_numbers = count(1)


def _next(prefix):
    return f"{prefix}-{next(_numbers)}"


def user(username=None, *, rights=(), staff=False, superuser=False):
    """Return somebody who can sign in with the password "frogs-at-dawn"; rights as app.codename."""
    from django.contrib.auth.models import Permission

    person = get_user_model().objects.create_user(
        username or _next("keeper"),
        password="frogs-at-dawn",
        is_staff=staff,
        is_superuser=superuser,
    )
    for right in rights:
        app, codename = right.split(".")
        person.user_permissions.add(
            Permission.objects.get(content_type__app_label=app, codename=codename)
        )
    return person


def party(name=None, **more):
    """Return a person or firm."""
    return m.Party.objects.create(name=name or _next("Party"), **more)


def holding(name=None, **more):
    """Return the premises of most tests, made once."""
    name = name or "Lantern Row"
    found = m.Holding.objects.filter(name=name).first()
    if found:
        return found
    owner = more.pop("party", None) or party(f"Keeper of {name}")
    return m.Holding.objects.create(name=name, party=owner, **more)


def taxon(name="Dendrobates tinctorius", **more):
    """Return a taxon, made once per name: a frog kept in pairs, adult at a year."""
    defaults = {"leave_days": 180, "metamorphosis_min": 84, "metamorphosis_max": 112} | more
    return m.Taxon.objects.get_or_create(name=name, defaults=defaults)[0]


def locality(name="Grey Mill", taxon=None, **more):
    """Return a collecting place, made once per name and taxon."""
    taxon = taxon or globals()["taxon"]()
    return m.Locality.objects.get_or_create(taxon=taxon, name=name, defaults=more)[0]


def unit(name="Room 1", role="resident", **more):
    """Return a unit, made once per name."""
    more.setdefault("holding", holding())
    return m.Unit.objects.get_or_create(name=name, defaults={"role": role} | more)[0]


def enclosure(code=None, unit=None, **more):
    """Return an empty enclosure with room for ten."""
    unit = unit or globals()["unit"]()
    return m.Enclosure.objects.create(code=code or _next("E"), unit=unit, **more)


def animal(
    code=None, *, here_since=None, arrived=True, cleared=True, sex=None, basis="dna", **more
):
    """Return an adult of wild origin, come and cleared in 2020; `sex` adds a finding."""
    here_since = here_since or date(2020, 1, 1)
    more.setdefault("taxon", taxon())
    if "locality" not in more:
        more["locality"] = locality(taxon=more["taxon"])
    more.setdefault("source_code", "W")
    made = m.Animal.objects.create(code=code or _next("A"), **more)
    if arrived and made.clutch_id is None:
        arrival([made], day=here_since)
        if cleared:
            clearance([made], day=here_since)
    if sex:
        finding(made, sex=sex, basis=basis, day=here_since)
    return made


def arrival(animals=(), *, day=DAY, kind="purchase", **more):
    """Return an arrival of these animals."""
    more.setdefault("holding", holding())
    if kind != "opening":
        more.setdefault("supplier", m.Party.objects.first() or party())
    made = m.Arrival.objects.create(day=day, kind=kind, **more)
    for one in animals:
        m.ArrivalMember.objects.create(arrival=made, animal=one)
    return made


def clearance(animals, *, day=DAY, isolation=None, by=None, **more):
    """Return a signed release, by default of opening stock."""
    from quarantine.models import Clearance

    by = by or get_user_model().objects.filter(username="veterinarian").first()
    more.setdefault("grounds", "" if isolation else "kept here for years, tested")
    made = Clearance.objects.create(
        isolation=isolation, day=day, signed_by=by or user("veterinarian"), **more
    )
    made.animals.set(animals)
    return made


def finding(animal, *, sex="male", basis="dna", day=DAY, **more):
    """Return a finding of sex."""
    return m.SexFinding.objects.create(animal=animal, sex=sex, basis=basis, day=day, **more)


def stay(animal, enclosure, *, start=None, end=None, **more):
    """Return a stay, entered past every rule."""
    if end and "ended_at" not in more:
        from django.utils import timezone

        more["ended_at"] = timezone.now()
    who = {"clutch": animal} if isinstance(animal, m.Clutch) else {"animal": animal}
    return m.Stay.objects.create(
        **who, enclosure=enclosure, start=start or date(2020, 1, 1), end=end, **more
    )


def departure(animal, *, day=DAY, kind="sale", receiver=None, **more):
    """Return a departure; its stay is left to the test."""
    if kind not in {"death", "escape"}:
        receiver = receiver or party()
    return m.Departure.objects.create(animal=animal, day=day, kind=kind, receiver=receiver, **more)


def clutch(code=None, *, found_on=DAY, **more):
    """Return a clutch seen laid on the day it was found."""
    more.setdefault("taxon", taxon())
    more.setdefault("enclosure", m.Enclosure.objects.first() or enclosure())
    more.setdefault("laid", found_on)
    return m.Clutch.objects.create(code=code or _next("K"), found_on=found_on, **more)


def young(clutch, code=None, *, days=100, **more):
    """Return an animal bred here, separated some days after its clutch was found."""
    born = clutch.found_on + timedelta(days=days)
    return animal(
        code,
        clutch=clutch,
        taxon=clutch.taxon,
        source_code=more.pop("source_code", "F"),
        born=more.pop("born", born),
        separated_on=more.pop("separated_on", born),
        **more,
    )


def parent(child, role, *candidates, basis="seen", day=DAY, weights=None):
    """State a parent of an animal or a clutch; several candidates share the weight."""
    who = {"clutch": child} if isinstance(child, m.Clutch) else {"animal": child}
    made = m.Descent.objects.create(**who, role=role, basis=basis, day=day)
    weights = weights or [1 / len(candidates) for _ in candidates]
    for one, weight in zip(candidates, weights, strict=True):
        one, mate = one if isinstance(one, tuple) else (one, None)
        m.Candidate.objects.create(descent=made, animal=one, mate=mate, weight=weight)
    return made
