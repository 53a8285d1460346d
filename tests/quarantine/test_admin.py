"""Nothing of quarantine is changed or deleted in the administration; a version may be entered."""

import pytest
from django.contrib import admin
from django.urls import reverse
from django.utils import timezone

from quarantine import models as q
from registry.models import Fact
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
OURS = [model for model in admin.site._registry if model._meta.app_label == "quarantine"]
FACTS = [model for model in OURS if issubclass(model, Fact)]


@pytest.fixture
def boss(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True, staff=True))
    return client


def address(model, page, *keys):
    """Return a page of the administration."""
    return reverse(f"admin:quarantine_{model._meta.model_name}_{page}", args=keys)


def one_of_each(boss):
    """Return a row of each kind of fact."""
    animal = qmake.newcomer("EA-1")
    isolation = qmake.isolation([animal])
    death = make.departure(animal, day=qmake.DAY, kind="death")
    sample = qmake.sample(animals=[animal])
    return {
        q.Isolation: isolation,
        q.Membership: isolation.members.get(),
        q.Sample: sample,
        q.Result: qmake.result(sample),
        q.Course: q.Course.objects.create(isolation=isolation, what="x", start=qmake.DAY),
        q.Necropsy: q.Necropsy.objects.create(death=death, day=qmake.DAY, cause="x"),
        q.Hold: qmake.hold(animal=animal),
        q.Clearance: make.clearance([animal], isolation=isolation),
    }


def test_every_model_of_quarantine_is_in_the_administration():
    """None is left out."""
    from django.apps import apps

    assert set(apps.get_app_config("quarantine").get_models()) == set(OURS)


def test_facts_are_read_and_neither_entered_changed_nor_deleted(boss):
    """Lists and pages open; adding, saving and deleting are refused."""
    rows = one_of_each(boss)
    assert set(rows) == set(FACTS)
    for model, row in rows.items():
        assert boss.get(address(model, "changelist")).status_code == 200
        assert boss.get(address(model, "change", row.pk)).status_code == 200
        assert boss.get(address(model, "add")).status_code == 403, model
        assert boss.post(address(model, "change", row.pk), {}).status_code == 403, model
        assert boss.post(address(model, "delete", row.pk), {"post": "yes"}).status_code == 403


def version(**line):
    """Return what is typed for a new version of a protocol with one test."""
    told = {"assay": q.Assay.objects.get(code="bd-pcr").pk, "n": 2, "gap": 14, "first": 0}
    told |= {"last": 28, "per": "animal"} | line
    return {
        "protocol": q.Protocol.objects.get(name=qmake.CAPTIVE).pk,
        "min_days": 60,
        "scope": "batch",
        "laboratory_days": 7,
        "washout_days": 14,
        "persistence_days": 200,
        "tests-TOTAL_FORMS": 1,
        "tests-INITIAL_FORMS": 0,
        **{f"tests-0-{name}": value for name, value in told.items()},
    }


def test_an_impossible_protocol_is_refused_in_the_clocks_words(boss):
    """Nothing is saved; a possible one becomes the next version."""
    refused = boss.post(address(q.ProtocolVersion, "add"), version(n=9))
    assert "the protocol lasts 60." in refused.content.decode()
    protocol = q.Protocol.objects.get(name=qmake.CAPTIVE)
    assert protocol.versions.count() == 1
    assert boss.post(address(q.ProtocolVersion, "add"), version()).status_code == 302
    assert protocol.newest().number == 2


def test_a_version_on_record_is_only_read(boss):
    """Isolations run under it."""
    found = qmake.version()
    page = address(q.ProtocolVersion, "change", found.pk)
    assert boss.get(page).status_code == 200
    assert boss.post(page, version() | {"min_days": 5}).status_code == 403
    found.refresh_from_db()
    assert found.min_days == 60


def test_the_secret_of_a_calendar_is_not_shown(boss):
    """Whoever administers sees that there is an address, not the address."""
    row = q.CalendarAddress.renewed(make.user("wren"), timezone.now())
    for page, keys in (("changelist", ()), ("change", (row.pk,))):
        answer = boss.get(address(q.CalendarAddress, page, *keys))
        assert answer.status_code == 200
        assert row.secret not in answer.content.decode()
