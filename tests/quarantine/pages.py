"""Somebody at the pages of quarantine, on a day of the story: fills forms in and sends them."""

import re
from datetime import datetime
from html import unescape

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from registry import models as m
from tests import make
from tests.quarantine import make as qmake


def on(text):
    """Read "2 Mar" as that day of 2026."""
    return datetime.strptime(f"{text} 2026", "%d %b %Y").date()


class Keeper:
    """A signed-in person with a clock that stands where the story is."""

    def __init__(self, user, monkeypatch):
        self.user, self.monkeypatch = user, monkeypatch
        self.client, self.day = Client(), None

    def at(self, text):
        """Let it be noon of a day."""
        self.day, moment = on(text), qmake.moment(on(text))
        self.monkeypatch.setattr(timezone, "now", lambda: moment)
        self.client.force_login(self.user)
        return self

    def see(self, page, /, *args, **query):
        """Open a page."""
        response = self.client.get(reverse(page, args=args), query)
        assert response.status_code == 200, response
        return response

    def send(self, page, /, *args, query="", **data):
        """Send a form once, without answering anything."""
        return self.client.post(reverse(page, args=args) + query, _flat(data))

    def act(self, page, /, *args, reason="they came together", query="", **data):
        """Send a form, answer what is asked, confirm what is shown; return what was shown."""
        shown, told = [], dict(data)
        for _ in range(4):
            response = self.send(page, *args, query=query, **data)
            if response.status_code == 302:
                return [delay.sentence for delay in shown]
            context = response.context
            errors = getattr(context.get("form"), "errors", None)
            assert not errors, errors.as_text()
            data = told | _hidden(response)
            if context.get("delays"):
                shown = context["delays"]
            if context.get("objections"):
                assert not context["stopped"], context["objections"]
                data["reason-all"] = reason
        raise AssertionError(response.content.decode())


def _hidden(response):
    """Return what the page sends along by itself when its form is sent again."""
    pairs = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', response.text)
    kept = {"seen", "breach", "breach-who", "breach-why", "reason-all"}
    return {name: unescape(value) for name, value in pairs if name in kept}


def _flat(data):
    """Return form data as a browser sends it: keys for rows, days as text."""
    return {name: _plain(value) for name, value in data.items() if value is not None}


def _plain(value):
    if isinstance(value, list | tuple | set):
        return [_plain(one) for one in value]
    return getattr(value, "pk", None) or str(value)


PAPERS = {
    "paper-TOTAL_FORMS": "3",
    "paper-INITIAL_FORMS": "0",
    "paper-MIN_NUM_FORMS": "0",
    "paper-MAX_NUM_FORMS": "3",
}


def arrival(day, count="0.0.1", **more):
    """Return what is typed into the form of an arrival; a test names what it is about."""
    taxon = more.pop("taxon", None) or make.taxon("Epipedobates anthonyi", grouping="group")
    told = {
        "day": on(day),
        "kind": "import",
        "supplier": m.Party.objects.filter(name="Fern House").first() or make.party("Fern House"),
        "holding": make.holding(),
        "taxon": taxon,
        "locality": make.locality("Rio Candelo", taxon),
        "source_code": "C",
        "born_precision": "unknown",
        "count": count,
        "pattern": "EA-#",
        "belief": "nothing",
    }
    return told | PAPERS | more
