"""Each person reads the site in a language of theirs; machines read the same in each."""

from datetime import date, timedelta

import pytest
from django.conf import settings
from django.contrib.auth import get_user_model
from django.urls import reverse
from django.utils import translation

from registry import phrases, sheets, species, stock_columns, stock_words, telling, typed_days
from registry.models import Pairing
from registry.templatetags import words
from tests import make

pytestmark = pytest.mark.django_db
ON = date(2026, 10, 3)
DAYS = {
    -2: "vor 2 Tagen", -1: "gestern", 0: "heute", 1: "morgen", 2: "in 2 Tagen", 12: "in 12 Tagen",
}  # fmt: skip


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def language_of(page):
    """Return the language a page says it is in."""
    return page.content.decode().partition('<html lang="')[2].partition('"')[0]


@pytest.mark.parametrize(
    ("asked", "got"),
    [("de", "de"), ("de-AT,en;q=0.5", "de"), ("en-US", "en-gb"), ("fr", "en-gb"), ("", "en-gb")],
)
def test_a_page_is_in_the_language_the_browser_asks_for(keeper, asked, got):
    assert language_of(keeper.get(reverse("today"), headers={"accept-language": asked})) == got


@pytest.mark.parametrize("days", DAYS)
def test_days_and_their_distance_are_written_as_the_language_has_them(days):
    on = ON + timedelta(days=days)
    with translation.override("de"):
        assert phrases.written(ON) == "3. Okt. 2026"
        assert phrases.distance(on, ON) == DAYS[days]
        assert f'<time datetime="{on.isoformat()}">' in words.away(on, ON)
        assert f"({DAYS[days]})" in words.away(on, ON)
    assert phrases.written(ON) == "3 Oct 2026"


def test_days_known_roughly_figures_and_rows_follow_the_language():
    with translation.override("de"):
        known = [phrases.dated(ON, precision) for precision in ("month", "year", "about", "day")]
        assert known == ["Okt. 2026", "2026", "um den 3. Okt. 2026", "3. Okt. 2026"]
        assert phrases.figure(0.125) == "0,125"
        assert phrases.figure(0.0001) == "unter 0,001"
        assert phrases.in_a_row("ABC") == "A, B und C"
        assert phrases.one_of("ABC") == "A, B oder C"
        assert phrases.said("seit 2026-10-03") == "seit 3. Okt. 2026"


def test_a_count_takes_the_form_that_fits_it():
    with translation.override("de"):
        said = [telling.tell_many("in {count} day", "in {count} days", n) for n in (0, 1, 2)]
    assert said == ["in 0 Tagen", "in 1 Tag", "in 2 Tagen"]


@pytest.mark.parametrize("reader", ["en-gb", "de"])
def test_a_list_may_be_headed_in_any_language_of_the_site(reader):
    with translation.override("de"):
        named = [stock_columns.known_column(column.heading) for column in stock_columns.COLUMNS]
        assert named == list(stock_columns.BY_NAME)
        heads = [column.heading for column in stock_columns.COLUMNS]
    assert {"Art", "Fundort", "Geschlecht", "Vater"} <= set(heads)
    with translation.override(reader):
        assert [stock_columns.known_column(head) for head in heads] == named


def test_what_a_list_says_is_read_in_any_language_of_the_site():
    assert stock_words.sexes()["weibchen"] == stock_words.sexes()["female"] == "female"
    assert stock_words.bases()["rufen gehört"] == stock_words.bases()["heard calling"]
    assert stock_words.origins()["wild"] == stock_words.origins()["w"]


def test_a_list_that_cannot_be_read_says_so_in_the_language_of_the_reader():
    with translation.override("de"):
        with pytest.raises(sheets.SheetRefused, match="Die Liste ist leer"):
            sheets.rows_of_text("")
        with pytest.raises(typed_days.DayRefused, match="steht nicht im Kalender"):
            typed_days.read_day("2026-02-30")
        assert typed_days.read_about("um den 2026-10-03") == (ON, "about")


def test_the_administration_names_fields_and_models_in_the_language_of_the_reader(keeper):
    get_user_model().objects.update(is_staff=True)
    page = keeper.get("/admin/registry/missing/", headers={"accept-language": "de"})
    assert "vermisstes Tier" in page.content.decode()
    with translation.override("de"):
        assert str(Pairing._meta.get_field("planned_on").verbose_name) == "geplant am"
    with translation.override("en-gb"):
        assert str(Pairing._meta.get_field("planned_on").verbose_name) == "planned on"


def test_a_picture_names_what_it_can_do_in_the_language_of_the_page(keeper):
    page = keeper.get(reverse("today"), headers={"accept-language": "de"}).content.decode()
    assert 'data-larger="Größer"' in page


def test_shipped_species_are_entered_in_the_language_of_whoever_takes_them():
    with translation.override("de"):
        assert species.taxon_of(species.SHIPPED[1]).common_name == "Färberfrosch"
    assert species.taxon_of(species.SHIPPED[1]).common_name == "dyeing poison frog"


def test_a_language_is_chosen_on_any_page_and_kept(client):
    at = reverse("sign-in")
    assert 'name="language" value="de"' in client.get(at).content.decode()
    answer = client.post(reverse("set-language"), {"language": "de", "next": at})
    assert answer["Location"] == at
    kept = answer.cookies[settings.LANGUAGE_COOKIE_NAME]
    assert kept["max-age"] > 30_000_000
    page = client.get(at, headers={"accept-language": "en"})
    assert language_of(page) == "de"
    assert 'name="language" value="en-gb"' in page.content.decode()


@pytest.mark.parametrize(
    "to", ["https://elsewhere.example/", "//elsewhere.example", "javascript:0"]
)
def test_choosing_a_language_never_leads_off_the_site(client, to):
    answer = client.post(reverse("set-language"), {"language": "de", "next": to})
    assert "elsewhere" not in answer["Location"]
    assert "javascript" not in answer["Location"]


def test_a_language_nobody_wrote_changes_nothing(client):
    client.post(reverse("set-language"), {"language": "xx", "next": "/"})
    assert settings.LANGUAGE_COOKIE_NAME not in client.cookies
    client.cookies[settings.LANGUAGE_COOKIE_NAME] = "../../etc"
    assert language_of(client.get(reverse("sign-in"))) == "en-gb"
