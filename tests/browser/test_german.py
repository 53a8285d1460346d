"""Every page of the demo collection in German: no sentence on it is still English.

What a page says to be in another language is left out: the page of pieces is in English, as the
handbook is of those who change the site.
"""

import re
from html.parser import HTMLParser

import pytest
from django.apps import apps
from django.db.models import CharField, JSONField, TextField

from registry import catalogue, sentences
from tests import addresses

SPOKEN = ("aria-label", "title", "placeholder", "alt")
SILENT = {"script", "style", "code", "svg", "kbd"}
# Names, kinds of file, and words a library for pictures or filters puts in.
NAMES = re.compile(r"Kinward|Grey Mill|CITES|SVG|PNG|PDF|DOT|[XY]-axis .*|share: .*")
HOLLOW = {"br", "hr", "img", "input", "link", "meta", "wbr"}
ENGLISH = re.compile(
    r"\b(the|of|and|is|are|were|with|from|which|who|not|this|has|have|until|since|by|on|to|"
    r"for|no|or|it|its|at|be|than|that|they|their|what|whose|does)\b",
    re.I,
)


class Read(HTMLParser):
    """What a page says: its runs of text, and the words of its attributes."""

    def __init__(self, html):
        super().__init__()
        self.said, self.inside, self.foreign = [], [], 0
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        if not any(quiet for _, quiet in self.inside):
            self.said += [told[name] for name in SPOKEN if told.get(name)]
        if tag not in HOLLOW:
            quiet = (
                tag in SILENT or (tag != "html" and "lang" in told) or told.get("class") == "taxon"
            )
            self.inside.append((tag, quiet))

    def handle_endtag(self, tag):
        while self.inside and self.inside.pop()[0] != tag:
            pass

    def handle_data(self, data):
        text = " ".join(data.split())
        if text and not any(quiet for _, quiet in self.inside):
            self.said.append(text)


@pytest.fixture
def typed(room):
    """Return every text on record, the longest first: what people typed stays as it is."""
    found = set()
    for label in ("registry", "quarantine", "auth"):
        for model in apps.get_app_config(label).get_models():
            fields = [f for f in model._meta.concrete_fields if isinstance(f, KINDS)]
            for row in model.objects.values_list(*[f.name for f in fields]):
                found.update(texts_in(list(row)))
    return sorted((text for text in found if re.search("[A-Za-z]{2}", text)), key=len, reverse=True)


KINDS = (CharField, TextField, JSONField)


def texts_in(value):
    """Yield the texts in a value, at any depth, with their lines apart too."""
    if isinstance(value, str):
        yield " ".join(value.split())
        yield from (" ".join(line.split()) for line in value.splitlines())
    elif isinstance(value, dict | list | tuple):
        for one in value.values() if isinstance(value, dict) else value:
            yield from texts_in(one)


@pytest.fixture
def equal():
    """Return the sentences that are the same in both languages."""
    [path] = sentences.language_files()
    entries = catalogue.read(path.read_text(encoding="utf-8"))
    return {entry.sentence for entry in entries if entry.told[:1] == (entry.sentence,)}


def test_no_page_says_an_english_sentence_in_german(client, room, typed, equal):
    client.force_login(room)
    wrong, judged = {}, {}
    for name in sorted(set(addresses.pages())):
        at = addresses.address(name)
        english, german = (set(Read(page(client, at, language)).said) for language in ("en", "de"))
        for text in german:
            if text in english or ENGLISH.search(text):
                judged.setdefault(text, still_english(text, typed, equal, text in english))
                if judged[text]:
                    wrong.setdefault(text, name)
    assert wrong == {}


def page(client, at, language):
    """Return a page as a browser of a language gets it."""
    answer = client.get(at, headers={"accept-language": language})
    assert answer.status_code == 200, at
    return answer.content.decode()


def still_english(text, typed, equal, same):
    """Return whether words are left once what people typed and what is equal is taken out."""
    text = NAMES.sub(" ", text)
    for known in typed:
        if known in text:
            text = text.replace(known, " ")
    for known in equal:
        text = re.sub(rf"(?<!\w){re.escape(known)}(?!\w)", " ", text)
    return bool(re.search(r"[A-Za-z]{3,}", text) if same else ENGLISH.search(text))
