"""The help page is read from the code: it lists every rule, figure and protocol as they are."""

import re
from html import unescape
from pathlib import Path

import pytest
from django.conf import settings
from django.template import Context, Template
from django.test import RequestFactory
from django.urls import reverse
from django.utils.module_loading import import_string

from quarantine.models import Protocol
from registry import helping
from registry.glossary import CHAPTERS, WORDS
from registry.helping import help_sections, levels_of, sentence_of, thresholds
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
TEMPLATES = Path(settings.BASE_DIR) / "templates"

# The table of rules as the keepers agreed on it; the help page must come to the same from the code.
AGREED = {
    "animals_are_alive_and_here": ("stop",),
    "animals_are_in_one_place": ("stop",),
    "newcomers_are_cleared": ("stop",),
    "enclosures_are_disinfected": ("stop",),
    "taxa_cannot_cross": ("stop",),
    "taxa_live_apart": ("ask",),
    "localities_live_apart": ("ask",),
    "grouping_is_kept": ("ask", "note"),
    "unsexed_may_be_rivals": ("ask", "note"),
    "young_would_not_be_inbred": ("ask", "note"),
    "young_leave_their_parents": ("ask",),
    "enclosure_has_room": ("ask",),
    "units_are_not_mixed": ("ask",),
    "no_move_delays_a_batch_unseen": ("note",),
    "leavers_are_cleared": ("ask",),
    "pairs_are_parted": ("note",),
}


@pytest.fixture
def reader(client):
    """Return a browser in which somebody without any right has signed in."""
    client.force_login(make.user())
    return client


def paths():
    """Return every rule in force, by its dotted path."""
    return {*settings.PLACEMENT_RULES, *settings.DEPARTURE_RULES, *settings.CARRYING_RULES}


def test_every_rule_stands_on_the_page_with_its_sentence_and_what_it_may_answer(reader):
    page = " ".join(unescape(reader.get(reverse("help")).text).split())
    for path in paths():
        rule = import_string(path)
        row = f'<th scope="row">{sentence_of(rule)}</th><td>{" or ".join(levels_of(rule))}</td>'
        row = row.replace("stop or ask or note", "stop, ask or note")
        assert row in page.replace('<td class="long">', "<td>"), path


def test_what_a_rule_may_answer_is_what_was_agreed():
    named = {path.rpartition(".")[2]: path for path in paths()}
    assert named.keys() >= AGREED.keys()
    for name, levels in AGREED.items():
        assert levels_of(import_string(named[name])) == levels, name
    assert all(levels_of(import_string(path)) for path in paths())


def test_a_rule_that_answers_otherwise_is_told_otherwise(settings):
    settings.PLACEMENT_RULES = ["registry.rules.enclosure_has_room"]
    (section,) = (one for one in help_sections() if one.slug == "company")
    assert section.rows == (("An enclosure holds no more animals than it has room for.", "ask"),)


FIGURES = {
    "NOTE_EXPECTED": (0.5, "1/2"),
    "ASK_EXPECTED": (0.5, "1/2"),
    "NOTE_WORST": (0.5, "1/2"),
    "ASK_WORST": (0.5, "1/2"),
    "MOST_CHOICES": (12_345, "12,345"),
    "NOTHING_SAID": (17, "17"),
    "ABOUT_DAYS": (17, "17"),
    "UNSEEN_DAYS": (17, "17"),
    "FEW": (17, "17"),
    "YEARS_WITHOUT_YOUNG": (17, "17"),
}


def test_every_figure_on_the_page_is_the_one_the_code_goes_by(monkeypatch):
    for name, (changed, shown) in FIGURES.items():
        before = thresholds().rows
        with monkeypatch.context() as patched:
            patched.setattr(helping, name, changed)
            differing = [b for a, b in zip(before, thresholds().rows, strict=True) if a != b]
        assert [row[1].split(" (")[0] for row in differing] == [shown], name
    told = {row[1].split(" (")[0] for row in thresholds().rows}
    assert {"1/16", "1/8", "1/4", "4,096", "2", "7", "30", "60", "366", "14"} <= told


def test_every_protocol_stands_on_the_page_with_its_figures():
    (section,) = (one for one in help_sections() if one.slug == "protocols")
    told = {row[0]: row for row in section.rows}
    versions = [one.newest() for one in Protocol.objects.filter(retired=False)]
    assert told.keys() == {str(version) for version in versions}
    for version in versions:
        _, days, tests, also = told[str(version)]
        assert days == str(version.min_days)
        for test in version.tests.all():
            words = f"first from day {test.first}, last from day {test.last}"
            assert f"{test.assay}: {test.n} negative" in tests
            assert words in tests
        assert f"laboratory {version.laboratory_days} days" in also
        assert f"washout {version.washout_days} days" in also
        assert f"passes on for {version.persistence_days} days" in also


def test_a_protocol_worded_anew_is_told_anew():
    version = Protocol.objects.first().newest()
    version.pk, version.number, version.min_days = None, version.number + 1, 123
    version.save()
    (section,) = (one for one in help_sections() if one.slug == "protocols")
    assert "123" in {row[1] for row in section.rows}


USED = re.compile(r'{% word "([\w-]+)"')
SPOKEN = {"stop", "ask", "note", "cleared", "held", "never"}  # shown by their level or state
ABOUT = {"missing", "outing"}  # named by the view of their page


def test_every_word_is_explained_on_a_page_and_every_word_used_is_known():
    pages = [path.read_text() for path in TEMPLATES.rglob("*.html")]
    used = {slug for page in pages for slug in USED.findall(page)}
    assert used <= WORDS.keys()
    assert WORDS.keys() - used - SPOKEN - ABOUT == set()
    assert any("{% word objection.level " in page for page in pages)
    assert any("{% word standing.state " in page for page in pages)


def test_every_word_stands_on_the_help_page_where_its_link_leads(reader):
    page = reader.get(reverse("help")).text
    for chapter in CHAPTERS:
        for word in chapter.words:
            assert page.count(f'id="word-{word.slug}"') == 1
            assert word.told.endswith(".")


def test_a_word_is_explained_at_its_first_use_only_and_without_any_script():
    context = Context({"request": RequestFactory().get("/"), "bad": "<b>"})
    text = '{% load words %}{% word "held" bad %} {% word "held" "held" %} {% meanings %}'
    page = Template(text).render(context)
    button = '<button type="button" class="word" popovertarget="told-held">&lt;b&gt;</button>'
    assert page.startswith(f'{button} held <div popover class="told" id="told-held">')
    assert page.count(WORDS["held"].told) == 1
    assert "onclick" not in page


def test_help_is_one_step_from_every_page(reader):
    assert f'href="{reverse("help")}"' in reader.get(reverse("animal-list")).text


def test_cautions_stand_where_they_belong(client):
    client.force_login(make.user(superuser=True))
    tank = make.enclosure("E10")
    frog = make.animal("D-01")
    batch = qmake.isolation([frog])
    pages = {
        reverse("quarantine:course-add", args=[batch.pk]): ("veterinarian licensed",),
        reverse("enclosure-disinfect", args=[tank.pk]): ("bleach", "lungs"),
        f"{reverse('animal-depart', args=[frog.pk])}": ("differ by country", "never released"),
        reverse("arrival-add"): ("gloves", "differ by country"),
        f"{reverse('animal-observe', args=[frog.pk])}?kind=sign": ("veterinarian licensed",),
        reverse("paper-add"): ("not what is lawful",),
        reverse("proof-issue"): ("differs by country",),
        reverse("quarantine:protocol-list"): ("starting point",),
        reverse("help"): ("never mixed with acids", "never released outdoors", "gloves"),
    }
    for address, words in pages.items():
        text = " ".join(unescape(client.get(address).text).split())
        assert 'class="caution"' in text, address
        for word in words:
            assert word in text, (address, word)


def test_help_asks_the_database_a_few_times_however_many_protocols(
    reader, django_assert_max_num_queries
):
    with django_assert_max_num_queries(8):
        reader.get(reverse("help"))
