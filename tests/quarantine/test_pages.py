"""Every page of quarantine opens, to those who may open it, empty and full."""

import csv
import io

import pytest
from django.urls import reverse

from quarantine import models as q
from registry import models as m
from tests import make
from tests.quarantine import make as qmake
from tests.quarantine.pages import Keeper, on

pytestmark = pytest.mark.django_db
PLAIN = [
    "home",
    "results-list",
    "results-paste",
    "hold-list",
    "hold-add",
    "stock-clear",
    "exposed-list",
    "trace",
    "audit",
    "audit-file",
    "protocol-list",
    "protocol-add",
    "isolation-open",
    "sample-any",
]
OF_A_BATCH = ["batch-show", "join", "split", "batch-move", "sample-add", "results-add"]
OF_A_BATCH += ["course-add", "clear"]
# Pages that change something, with the right each of them wants.
RIGHTS = {
    "isolation-open": "quarantine.open_isolation",
    "join": "quarantine.open_isolation",
    "split": "quarantine.open_isolation",
    "batch-move": "registry.place_animal",
    "sample-add": "quarantine.add_sample",
    "results-add": "quarantine.add_result",
    "results-paste": "quarantine.add_result",
    "course-add": "quarantine.add_course",
    "hold-add": "quarantine.hold_by_hand",
    "stock-clear": "quarantine.sign_clearance",
    "protocol-add": "quarantine.add_protocolversion",
}


@pytest.fixture
def keeper(monkeypatch):
    """The keeper on 20 March."""
    return Keeper(make.user("keeper", superuser=True), monkeypatch).at("20 Mar")


@pytest.fixture
def box():
    """A batch with everything that can be on record of one."""
    room = make.enclosure("Q1", unit=make.unit("Rack Q", role="quarantine"))
    animals = [qmake.newcomer(f"EA-{n}", room) for n in (1, 2, 3)]
    isolation = qmake.isolation(animals, name="<b>Box</b>")
    qmake.result(qmake.sample(animals=animals[:1], day=on("10 Mar")), "positive")
    qmake.sample("faecal", enclosure=room, day=on("12 Mar"))
    q.Course.objects.create(isolation=isolation, what="a bath", start=on("12 Mar"))
    make.departure(animals[2], day=on("15 Mar"), kind="death")
    qmake.hold(unit=room.unit)
    qmake.as_it_happened()
    return isolation


def address(name, isolation):
    """Return where a page is."""
    return reverse(f"quarantine:{name}", args=[isolation.pk] if name in OF_A_BATCH else [])


@pytest.mark.parametrize("name", PLAIN)
def test_pages_open_on_an_empty_register(keeper, name):
    """Nothing is there, and the page says what belongs there."""
    response = keeper.client.get(reverse(f"quarantine:{name}"))
    assert response.status_code == 200


@pytest.mark.parametrize("name", PLAIN + OF_A_BATCH)
def test_pages_open_on_a_full_one_and_show_names_as_text(keeper, box, name):
    """A batch called like markup is shown, not run."""
    response = keeper.client.get(address(name, box))
    assert response.status_code == 200
    if name != "audit-file":
        assert "<b>Box</b>" not in response.getvalue().decode()


@pytest.mark.parametrize("name", sorted(RIGHTS))
def test_pages_that_change_something_want_their_right(client, box, name):
    """Without it the page is closed, with it open; who is not signed in is sent to sign in."""
    page = address(name, box)
    assert client.get(page).status_code == 302
    client.force_login(make.user("visitor"))
    assert client.get(page).status_code == 403
    client.force_login(make.user("helper", rights=[RIGHTS[name]]))
    assert client.get(page).status_code == 200


def test_a_release_is_shown_to_all_and_signed_by_some(keeper, client, box):
    """Somebody without the right sees the evidence, no button, and cannot post past it."""
    page = address("clear", box)
    client.force_login(make.user("visitor"))
    shown = client.get(page)
    assert b"You may not sign here" in shown.content
    seal = shown.context["found"].seal
    refused = client.post(page, {"seal": seal})
    assert "may not sign a clearance" in refused.content.decode()
    assert not q.Clearance.objects.filter(isolation=box).exists()


def test_a_stale_page_is_refused_with_a_sentence(keeper):
    """A result entered meanwhile; the page then shows the new evidence to be signed."""
    animal = qmake.newcomer("EA-1")
    version = qmake.version(min_days=0)
    version.tests.all().delete()
    isolation = qmake.isolation([animal], version=version)
    page = address("clear", isolation)
    seal = keeper.client.get(page).context["found"].seal
    qmake.sample(animals=[animal], day=on("10 Mar"))
    refused = keeper.client.post(page, {"seal": seal})
    assert "since this page was shown" in refused.content.decode()
    fresh = refused.context["found"].seal
    assert keeper.client.post(page, {"seal": fresh}).status_code == 302


def test_what_was_typed_is_kept_when_an_act_is_refused(keeper, box):
    """The sentence stands beside the field, and the words are still there."""
    response = keeper.send("quarantine:course-add", box.pk, what="a bath, 5 min", day="2026-02-01")
    assert "a course begins later" in str(response.context["form"].errors["day"])
    assert "a bath, 5 min" in response.content.decode()
    response = keeper.send("quarantine:course-add", box.pk, what="a bath", day="2026-03-21")
    assert "still to come" in str(response.context["form"].errors["day"])


def test_a_round_asks_what_is_tested_and_of_whom(keeper, box):
    """A round of nothing is refused, and so is a test of nobody."""
    told = {"day": "2026-03-20", "pooled": "singly"}
    form = keeper.send("quarantine:sample-add", box.pk, **told).context["form"]
    assert "Choose what is tested for." in form.non_field_errors()
    bd = q.Assay.objects.get(code="bd-pcr")
    form = keeper.send("quarantine:sample-add", box.pk, **told, assays=[bd]).context["form"]
    assert "animals" in form.errors
    before = q.Sample.objects.count()
    animals = m.Animal.objects.filter(code__in=["EA-1", "EA-2"])
    told |= {"assays": [bd], "animals": list(animals)}
    keeper.act("quarantine:sample-add", box.pk, **told)
    assert q.Sample.objects.count() == before + 2


def test_the_audit_as_a_table_has_no_formula(keeper):
    """A batch called like a formula is text in the spreadsheet."""
    animal = qmake.newcomer("EA-1")
    qmake.isolation([animal], name="=HYPERLINK(1)")
    qmake.as_it_happened()
    response = keeper.client.get(reverse("quarantine:audit-file") + "?on=2026-03-20")
    rows = list(csv.reader(io.StringIO(response.getvalue().decode("utf-8-sig"))))
    assert rows[1][0] == "'=HYPERLINK(1)"
    assert [row[5] for row in rows[1:]] == ["true that day", "known that day"]


def test_a_positive_is_decided_and_corrected_on_its_pages(keeper, box):
    """Every entry it replaces stays readable."""
    result = q.Result.objects.get()
    keeper.act("quarantine:result-decide", result.pk, verdict="accepted", why="a trace, says Quill")
    second = q.Result.objects.current().get()
    keeper.act(
        "quarantine:result-correct", second.pk, day="2026-03-20", outcome="negative", why="a slip"
    )
    last = q.Result.objects.current().get()
    page = keeper.see("quarantine:result-show", last.pk).content.decode()
    assert "a trace, says Quill" in page
    assert last.outcome == "negative"


def test_a_protocol_that_contradicts_itself_is_refused_on_its_page(keeper):
    """In the clock's words; a good one becomes a new version and the old stays."""
    protocol = q.Protocol.objects.get(name=qmake.CAPTIVE)
    form = keeper.see("quarantine:protocol-edit", protocol.pk)
    told = {k: v for k, v in form.context["form"].initial.items() if v not in (None, False)}
    lines = {"test-TOTAL_FORMS": 1, "test-INITIAL_FORMS": 0}
    bd = q.Assay.objects.get(code="bd-pcr")
    line = {"assay": bd, "n": 5, "gap": 30, "first": 0, "last": 0, "per": "animal"}
    wrong = {f"test-0-{name}": value for name, value in line.items()}
    response = keeper.send("quarantine:protocol-edit", protocol.pk, **told, **lines, **wrong)
    assert "need 120 days; the protocol lasts 60." in str(response.context["form"].errors)
    assert protocol.versions.count() == 1
    right = wrong | {"test-0-n": 2, "test-0-gap": 14}
    keeper.send("quarantine:protocol-edit", protocol.pk, **told, **lines, **right)
    assert protocol.newest().number == 2
    assert [t.n for t in protocol.newest().tests.all()] == [2]


def test_entries_are_corrected_on_a_page_that_shows_what_that_delays(keeper, box):
    """A course that ended later; somebody without the right is turned away."""
    course = q.Course.objects.get()
    told = {"what": "a bath", "start": "2026-03-12", "end": "2026-03-18", "why": "forgotten"}
    keeper.act("quarantine:fact-amend", "quarantine.course", course.pk, **told)
    assert q.Course.objects.current().get().end == on("18 Mar")
    sample = q.Sample.objects.current().get(assay__code="faecal")
    keeper.act("quarantine:fact-take-back", "quarantine.sample", sample.pk, why="never taken")
    assert not q.Sample.objects.current().filter(assay__code="faecal").exists()
    keeper.client.force_login(make.user("visitor"))
    page = reverse("quarantine:fact-amend", args=["quarantine.isolation", box.pk])
    assert keeper.client.get(page).status_code == 403
    elsewhere = reverse("quarantine:fact-amend", args=["registry.animal", 1])
    assert keeper.client.get(elsewhere).status_code == 404


def test_the_day_lists_what_quarantine_asks(keeper, box):
    """Samples due, results awaited, those held outside, and the round in its order."""
    from registry.today import sections

    qmake.resident("D-01", make.enclosure("E1", unit=make.unit("Room 1")))
    found = {s.title: s for s in sections(on("20 Mar"), keeper.user)}
    texts = [task.text for task in found["Quarantine"].tasks]
    assert any("result awaited, faecal of 12 Mar 2026" in text for text in texts)
    rounds = [t.text for t in found["The round, in its order of work"].tasks]
    assert rounds[0].startswith("E1 (Room 1, residents)")
    assert rounds[1].startswith("Q1 (Rack Q, held)")
