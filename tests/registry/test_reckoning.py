"""Long work of a line: done in its turn, with progress that can be left and come back to."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.tasks import task_backends
from django.urls import reverse
from django.utils import timezone, translation

from registry import reckoning as reckonings
from registry.census import Census
from registry.lineage import alleles_kept
from registry.models import Reckoning
from registry.reckoning import Question, ask, reckon
from registry.telling import tell
from tests import make

from .test_line_pages import address, text
from .umbral import line_of, umbral

pytestmark = pytest.mark.django_db
ROOT = Path(__file__).parent.parent.parent
DAY = date(2026, 3, 2)
ONE = timedelta(days=1)


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody without any right has signed in."""
    client.force_login(make.user("asker"))
    return client


@pytest.fixture
def in_turn(settings):
    """Let what is asked wait, as where a worker does it."""
    settings.TASKS = {"default": {"BACKEND": "django.tasks.backends.dummy.DummyBackend"}}


@pytest.fixture
def animals():
    """Return the six of the male who laid."""
    return umbral()


def question(animals, *, runs=200, seed=1):
    """Return what a gene drop on these animals is asked."""
    census = Census(line_of(animals["A"]))
    return Question(kind="alleles", census=census, on=DAY, asked={"runs": runs, "seed": seed})


def asked(animals, **more):
    """Return a reckoning somebody asked for."""
    return ask(question(animals, **more), make.user())


def test_without_a_worker_it_is_done_at_once(animals):
    done = asked(animals)
    assert (done.state, done.problem) == ("done", "")
    assert done.ended_at is not None


def test_the_alleles_kept_are_those_the_engine_counts(animals):
    found = asked(animals, runs=300, seed=7).result
    census = Census(line_of(animals["A"]))
    straight = alleles_kept(census.lineage, [a.pk for a in census.here(DAY)], seed=7, runs=300)
    assert found["mean"] == straight.mean
    assert found["at_start"] == 6
    assert [row[0] for row in found["founders"]] == ["C", "A", "B"]
    assert found["spread"][0] <= found["mean"] <= found["spread"][2]


def test_the_living_founders_keep_both_alleles(animals):
    found = asked(animals).result
    assert {words: kept for words, _, kept in found["founders"]} == {"A": 1, "B": 1, "C": 1}
    assert found["share"] == 1


def test_a_dead_founder_keeps_what_its_young_have():
    animals = umbral(sires=["A"])
    make.departure(animals["B"], kind="death", day=DAY)
    make.departure(animals["C"], kind="death", day=DAY)
    kept = {words: part for words, _, part in asked(animals, runs=2000).result["founders"]}
    assert set(kept) == {"A", "C"}
    assert kept["A"] == 1
    assert kept["C"] == pytest.approx(1 - 2 * 0.5**3 / 2, abs=0.02)


def test_the_same_seed_gives_the_same_result(animals):
    assert asked(animals, seed=3).result == asked(animals, seed=3).result
    assert asked(animals, seed=3).result["mean"] is not None


@pytest.mark.usefixtures("in_turn")
def test_with_a_worker_it_waits_for_its_turn(animals):
    waiting = asked(animals)
    assert (waiting.state, waiting.result) == ("waiting", None)
    reckon.func(waiting.pk)
    waiting.refresh_from_db()
    assert waiting.state == "done"


@pytest.mark.usefixtures("in_turn")
def test_with_a_worker_it_answers_in_the_language_of_whoever_asked(animals, monkeypatch):
    """The worker has no reader of its own; it is told whose words to use."""
    monkeypatch.setattr("registry.line_alleles.count_alleles", lambda *_: tell("dam"))
    with translation.override("de"):
        waiting = asked(animals)
    reckon.func(*task_backends["default"].results[-1].args)
    waiting.refresh_from_db()
    assert waiting.result == "Mutter"


@pytest.mark.usefixtures("in_turn")
def test_what_is_asked_twice_is_done_once(animals):
    assert asked(animals).pk == asked(animals).pk
    assert asked(animals, seed=2).pk != asked(animals).pk
    assert Reckoning.objects.count() == 2


@pytest.mark.usefixtures("in_turn")
def test_once_facts_change_it_is_another_question(animals):
    before = asked(animals)
    make.departure(animals["B"], kind="death", day=DAY)
    assert asked(animals).pk != before.pk


@pytest.mark.usefixtures("in_turn")
def test_it_is_done_once_even_if_it_is_handed_out_twice(animals):
    waiting = asked(animals)
    reckon.func(waiting.pk)
    Reckoning.objects.update(result={"kept": "as it was"})
    reckon.func(waiting.pk)
    assert Reckoning.objects.get().result == {"kept": "as it was"}


def test_a_failure_is_kept_with_a_sentence(animals, monkeypatch):
    def fails(*args):
        raise MemoryError

    monkeypatch.setattr("registry.line_alleles.count_alleles", fails)
    failed = asked(animals)
    assert failed.state == "failed"
    assert failed.problem.startswith("It failed")
    monkeypatch.undo()
    assert asked(animals).state == "done"


@pytest.mark.usefixtures("in_turn")
@pytest.mark.parametrize(
    ("state", "silent", "still_open"),
    [
        ("running", reckonings.SILENT - timedelta(minutes=1), True),
        ("running", reckonings.SILENT + timedelta(minutes=1), False),
        ("waiting", reckonings.SILENT + timedelta(minutes=1), True),
        ("waiting", reckonings.UNSTARTED - timedelta(minutes=1), True),
        ("waiting", reckonings.UNSTARTED + timedelta(minutes=1), False),
    ],
)
def test_work_that_went_silent_can_be_asked_for_again(animals, state, silent, still_open):
    first = asked(animals)
    Reckoning.objects.update(state=state, heard_at=timezone.now() - silent)
    assert (asked(animals).pk == first.pk) is still_open
    first.refresh_from_db()
    assert first.is_open is still_open


@pytest.mark.usefixtures("in_turn")
def test_progress_is_told_and_nobody_waits_for_what_was_stopped(animals, monkeypatch):
    monkeypatch.setattr(reckonings, "BETWEEN", timedelta(0))
    heard = []

    def slow(census, on, asked, progress):
        progress(30, 120)
        heard.append(Reckoning.objects.get().percent)
        reckonings.stop(Reckoning.objects.get())
        progress(60, 120)
        heard.append("went on")

    monkeypatch.setattr("registry.line_alleles.count_alleles", slow)
    waiting = asked(animals)
    reckon.func(waiting.pk)
    waiting.refresh_from_db()
    assert heard == [25]
    assert (waiting.state, waiting.problem) == ("failed", "It was stopped.")


def test_old_ones_are_not_kept_for_ever(animals):
    old = asked(animals)
    Reckoning.objects.update(asked_at=timezone.now() - reckonings.KEPT - ONE)
    asked(animals, seed=2)
    assert not Reckoning.objects.filter(pk=old.pk).exists()


def test_alleles_are_asked_for_on_a_page_and_found_there_again(keeper, animals):
    where = address("line-alleles", animals["A"])
    answer = keeper.post(where, {"runs": 100, "seed": 5})
    result = answer.headers["Location"]
    page = text(keeper.get(result))
    assert "keep 6.0 of 6 founder alleles on average, 100 %" in page
    assert "100 runs from seed 5" in page
    assert result in keeper.get(where).content.decode()


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"runs": 0, "seed": 1}, "greater than or equal to 1"),
        ({"runs": 20_001, "seed": 1}, "less than or equal to 20000"),
        ({"runs": "many", "seed": 1}, "Enter a whole number"),
        ({"runs": 10, "seed": -1}, "greater than or equal to 0"),
        ({"runs": 10, "seed": 2**31}, "less than or equal to 2147483647"),
        ({"runs": 10, "seed": "9" * 5000}, "whole number"),
        ({"runs": 10}, "This field is required"),
    ],
)
def test_nonsense_in_the_form_is_answered_beside_the_field(keeper, animals, sent, sentence):
    answer = keeper.post(address("line-alleles", animals["A"]), sent)
    assert sentence in text(answer)
    assert not Reckoning.objects.exists()


def test_of_a_line_nobody_is_left_of_nothing_is_counted(keeper):
    animal = make.animal()
    make.departure(animal, kind="death", day=DAY)
    answer = keeper.post(address("line-alleles", animal), {"runs": 10, "seed": 1})
    assert "nothing is kept" in text(answer)
    assert not Reckoning.objects.exists()


@pytest.mark.usefixtures("in_turn")
def test_a_page_under_way_looks_again_with_and_without_scripts(keeper, animals):
    keeper.post(address("line-alleles", animals["A"]), {"runs": 10, "seed": 1})
    where = reverse("reckoning-show", args=[Reckoning.objects.get().pk])
    page = keeper.get(where).content.decode()
    assert '<noscript><meta http-equiv="refresh" content="5"></noscript>' in page
    assert f'hx-get="{where}" hx-trigger="every 2s"' in page
    part = keeper.get(where, headers={"HX-Request": "true"})
    assert "waits for its turn" in part.content.decode()
    assert "<html" not in part.content.decode()
    reckon.func(Reckoning.objects.get().pk)
    assert keeper.get(where, headers={"HX-Request": "true"})["HX-Refresh"] == "true"
    assert "http-equiv" not in keeper.get(where).content.decode()


@pytest.mark.usefixtures("in_turn")
def test_only_who_asked_or_looks_after_the_site_may_stop_it(client, keeper, animals):
    keeper.post(address("line-alleles", animals["A"]), {"runs": 10, "seed": 1})
    where = reverse("reckoning-stop", args=[Reckoning.objects.get().pk])
    assert keeper.get(where).status_code == 405
    client.force_login(make.user("another"))
    assert client.post(where).status_code == 403
    assert Reckoning.objects.get().is_open
    client.force_login(Reckoning.objects.get().asked_by)
    assert client.post(where).status_code == 302
    assert Reckoning.objects.get().problem == "It was stopped."
    assert "had ended already" in text(client.post(where, follow=True))


def test_a_plan_worked_out_is_led_to_with_all_that_was_chosen(keeper, animals):
    steering = {"below": 0.2, "worst": 0.25, "most": None}
    steering |= {"locked": [[1, 2]], "forbidden": [[3, 4]], "left_out": [5]}
    made = asked(animals)
    Reckoning.objects.update(kind="plan", asked={"steering": steering})
    page = keeper.get(reverse("reckoning-show", args=[made.pk])).content.decode()
    query = "below=0.2&amp;worst=0.25&amp;keep=1-2&amp;forbid=3-4&amp;without=5"
    assert f'href="{address("line-plan", animals["A"])}?{query}"' in page


@pytest.mark.parametrize("key", [999_999, 10**30])
def test_there_is_no_page_of_what_nobody_asked(keeper, key):
    assert keeper.get(f"/lines/work/{key}/").status_code == 404


def manage(*command, folder, tasks="database"):
    """Run a command of the site with data of its own."""
    mine = {"KINWARD_DATA": str(folder), "KINWARD_TASKS": tasks, "DATABASE_URL": "sqlite://"}
    return subprocess.run(
        [sys.executable, "-m", "django", *command],
        cwd=ROOT,
        env={**os.environ, **mine, "DJANGO_SETTINGS_MODULE": "registry.settings"},
        capture_output=True,
        text=True,
        timeout=240,
    )


ASK = """
from datetime import date
from django.core.management import call_command
from tests import make
from registry.census import Census
from registry.lines import Line
from registry.reckoning import Question, ask
call_command("migrate", verbosity=0)
a = make.animal("A"); line = Line(taxon=a.taxon, locality=a.locality)
q = Question(kind="alleles", census=Census(line), on=date(2026, 3, 2), asked={"runs": 5, "seed": 1})
print("then", ask(q, make.user()).state)
"""


def test_a_worker_of_its_own_does_what_was_asked(tmp_path):
    """Asked in one process it waits; the worker's process does it, and it is found done."""
    first = manage("shell", "-c", ASK, folder=tmp_path)
    assert "then waiting" in first.stdout, first.stderr
    worker = manage("db_worker", "--batch", "--no-startup-delay", folder=tmp_path)
    assert worker.returncode == 0, worker.stderr
    with closing(sqlite3.connect(tmp_path / "kinward.sqlite3")) as database:
        rows = database.execute("SELECT state, problem FROM registry_reckoning").fetchall()
    assert rows == [("done", "")]


def test_another_way_to_do_long_work_is_refused_at_the_start(tmp_path):
    refused = manage("check", folder=tmp_path, tasks="carrier pigeon")
    assert refused.returncode == 1
    assert "KINWARD_TASKS is immediate or database." in refused.stderr
