"""Every sentence of the site stands in the catalogue, translated whole, and compiled as it is."""

import gettext
import io
import re
import string
import subprocess
import sys
from pathlib import Path

import pytest

from registry import catalogue, sentences
from registry.catalogue import Entry

NAMED = re.compile(r"%\((\w+)\)s")
FILES = sentences.language_files()


@pytest.fixture(scope="module", params=FILES, ids=lambda path: path.parent.parent.name)
def kept(request):
    """Return the entries of a catalogue by their keys, its head left out."""
    entries = catalogue.read(request.param.read_text(encoding="utf-8"))
    return {entry.key: entry for entry in entries if entry.sentence}


@pytest.fixture(scope="module")
def said():
    """Return every sentence found in code and templates."""
    return sentences.found()


def test_every_sentence_is_in_the_catalogue_and_nothing_else_is(kept, said):
    assert {e.key: bool(e.many) for e in said} == {k: bool(e.many) for k, e in kept.items()}, (
        "Run `python3 manage.py sentences`, then translate what it lists."
    )


def test_every_sentence_is_translated(kept):
    assert [e.sentence for e in kept.values() if not e.told or not all(e.told)] == []
    assert [e.sentence for e in kept.values() if e.fuzzy] == []


def test_what_counts_has_each_plural_form(kept):
    wanted = {True: 2, False: 1}
    assert [e.sentence for e in kept.values() if len(e.told) != wanted[bool(e.many)]] == []


def names_in(text):
    """Return what is put into a sentence, in both ways of naming it."""
    braced = set()
    if "{" in text:
        braced = {f"{name}:{spec}" for _, name, spec, _ in string.Formatter().parse(text) if name}
    return braced | set(NAMED.findall(text))


def test_every_translation_names_what_the_sentence_names(kept):
    """A form for one may leave the count out: what it is of says it."""
    wrong = []
    for entry in kept.values():
        forms = (entry.sentence, entry.many) if entry.many else (entry.sentence,)
        for form, text in zip(forms, entry.told, strict=True):
            if names_in(text) != names_in(form) - (COUNT - names_in(text)):
                wrong.append((form, text))
    assert wrong == []


COUNT = {"count", "count:"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.parent.parent.name)
def test_what_is_compiled_is_what_is_written(path):
    entries = catalogue.read(path.read_text(encoding="utf-8"))
    assert path.with_suffix(".mo").read_bytes() == catalogue.compiled(entries)
    assert path.read_text(encoding="utf-8") == catalogue.written(entries)


def test_a_compiled_catalogue_is_read_by_the_standard_library():
    """It reads contexts, plural forms, quotes, line ends and signs that are not English."""
    head = Entry(
        sentence="",
        told=("Content-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=2; plural=n!=1;\n",),
    )
    entries = [
        head,
        Entry(sentence="day", many="days", told=("Tag", "Tage")),
        Entry(sentence="Note", context="level", told=("Hinweis",)),
        Entry(sentence="Note", told=("Notiz",)),
        Entry(sentence='a "quoted"\nline \\ end\t', told=("ein „Zitat“\nüber\\Zeilen\t",)),
        Entry(sentence="guessed", told=("geraten",), fuzzy=True),
        Entry(sentence="long " * 60, told=("lang " * 60,)),
    ]
    assert catalogue.read(catalogue.written(entries)) == entries
    found = gettext.GNUTranslations(io.BytesIO(catalogue.compiled(entries)))
    assert [found.ngettext("day", "days", n) for n in (0, 1, 2)] == ["Tage", "Tag", "Tage"]
    assert found.pgettext("level", "Note") == "Hinweis"
    assert found.gettext("Note") == "Notiz"
    assert found.gettext('a "quoted"\nline \\ end\t') == "ein „Zitat“\nüber\\Zeilen\t"
    assert found.gettext("guessed") == "guessed"
    assert found.gettext("long " * 60) == "lang " * 60


def test_a_translation_outlives_other_sentences_but_not_its_own_change():
    before = [Entry(sentence="a", told=("A",)), Entry(sentence="gone", told=("fort",))]
    now = [Entry(sentence="a", places=("x.py",)), Entry(sentence="new")]
    after = catalogue.updated(before, now)
    assert [(e.sentence, e.told) for e in after] == [("a", ("A",)), ("new", ())]
    counts = catalogue.updated(before, [Entry(sentence="a", many="as")])
    assert counts[0].told == ()


def test_every_way_of_marking_a_sentence_is_found():
    code = """
x = tell("one {n}", n=1), tell_many("day", "days", 2), to_tell("kept"), _("lazy")
y = pgettext("level", "Note"), gettext("two " "pieces"), tell(x), plain("not this")
"""
    assert [(e.context, e.sentence, e.many) for e in sentences.in_code(code)] == [
        ("", "one {n}", ""),
        ("", "day", "days"),
        ("", "kept", ""),
        ("", "lazy", ""),
        ("level", "Note", ""),
        ("", "two pieces", ""),
    ]
    page = """{% load i18n %}{% if a %}{% translate "50 %" %}{% endif %}
{% blocktranslate trimmed count count=n %}{{ count }} day{% plural %}{{ count }} days
{% endblocktranslate %}{% translate "Note" context "level" %}{{ x|default:_("none") }}"""
    assert {(e.context, e.sentence, e.many) for e in sentences.in_template(page)} == {
        ("", "50 %%", ""),
        ("", "%(count)s day", "%(count)s days"),
        ("level", "Note", ""),
        ("", "none", ""),
    }


def test_no_template_says_a_sentence_past_the_catalogue():
    """Between the tags of a template stands no English that nobody can translate."""
    past = {}
    for path in sorted((sentences.ROOT / "templates").rglob("*.html")):
        if "components" in path.name:  # the pieces of a page, shown to who builds pages
            continue
        if found := set(untold(path.read_text(encoding="utf-8"))) - NOT_TOLD:
            past[path.name] = found
    assert past == {}


NOT_TOLD = {
    "Kinward",  # a name
    "python3 manage.py demo",  # typed as it stands
}
TOLD = r"\{% blocktranslate.*?\{% endblocktranslate %\}|\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}"


def untold(text):
    """Yield the runs of words in a template that no tag tells."""
    bare = re.sub(TOLD, "\n", text, flags=re.S)
    bare = re.sub(r"<[a-z/!](?:\"[^\"]*\"|[^<>\"])*>|&\w+;", "\n", bare, flags=re.S | re.I)
    for run in bare.splitlines():
        words = run.strip(" .,:;·()–“”>\"'")
        if re.search(r"[A-Za-z]{2}", words):
            yield words


def test_telling_knows_no_django():
    bar = "import sys; sys.modules['django'] = None; from registry.telling import *; "
    check = "assert tell('{a} and b', a=1) == '1 and b'; assert decimal('0.5') == '0.5'"
    done = subprocess.run(
        [sys.executable, "-c", bar + check], cwd=Path(sentences.ROOT), capture_output=True
    )
    assert done.returncode == 0, done.stderr
