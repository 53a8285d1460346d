"""Each person reads the site in a language of theirs; machines read the same in each."""

from datetime import date, timedelta

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import translation

from registry import phrases, telling
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
