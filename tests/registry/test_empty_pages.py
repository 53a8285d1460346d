"""On an empty register every page opens, and each list says what belongs there and how to begin."""

import re
from html import unescape

import pytest
from django.urls import reverse

from quarantine.models import Protocol
from registry.models import Animal, Enclosure
from tests import addresses, make

pytestmark = pytest.mark.django_db
PAGES = [name for name in addresses.pages() if not addresses._keys(name)]
SECTIONS = ("search", "register-show", "label-print")
LISTS = [
    name
    for name in PAGES
    if name.endswith("-list") or name.rpartition(":")[2] in {"home", "audit", "trace", *SECTIONS}
]
PASSIVE = {"quarantine:protocol-list"}  # never empty: protocols are shipped
SENTENCE = re.compile(r'<section class="empty">(.*?)</section>', re.DOTALL)


@pytest.fixture(params=["owner", "reader"])
def person(request, client):
    """Return a browser in which an owner, or somebody without any right, has signed in."""
    client.force_login(
        make.user(superuser=request.param == "owner", staff=request.param == "owner")
    )
    client.is_owner = request.param == "owner"
    return client


def test_every_page_opens_and_each_list_teaches(person):
    assert not Animal.objects.exists()
    assert not Enclosure.objects.exists()
    assert len(LISTS) > 20
    silent = []
    for name in PAGES:
        asked = "?page=animal-list" if name == "filter-keep" else ""
        answer = person.get(reverse(name) + asked)
        allowed = {200} if person.is_owner or name in LISTS else {200, 403}
        assert answer.status_code in allowed, name
        if name in set(LISTS) - PASSIVE and not teaches(answer.text):
            silent.append(name)
    assert not silent, " ".join(silent)
    assert Protocol.objects.exists()


def teaches(page):
    """Whether a page says what belongs there, with an example or the first step to take."""
    found = SENTENCE.search(page)
    text = " ".join(unescape(re.sub("<[^>]+>", " ", found[1])).split()) if found else ""
    return len(text) > 60 and ("for example" in text.casefold() or "<a " in found[1])


def test_today_leads_whoever_may_begin_and_tells_whoever_may_not(person):
    page = person.get(reverse("today")).text
    assert "Begin the register" in page
    assert (reverse("begin-premises") in page) is person.is_owner
