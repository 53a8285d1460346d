"""Finds every sentence of the site that is marked for translation, in code and in templates."""

import ast
import re
from pathlib import Path

from django.apps import apps as django_apps
from django.conf import settings
from django.template.engine import Engine
from django.templatetags.i18n import BlockTranslateNode, TranslateNode

from . import catalogue
from .catalogue import Entry
from .helping import rules_asked, sentence_of
from .naming import made_names
from .printing import WORDS

ROOT = settings.BASE_DIR
APPS = ("registry", "quarantine")
ONE = {"tell", "to_tell", "_", "gettext", "gettext_lazy"}
COUNTED = {"tell_many", "ngettext", "ngettext_lazy"}
IN_CONTEXT = {"pgettext", "pgettext_lazy"}
GLOSSARY = "_words"  # its arguments are words with what they mean
OF_DJANGO = ("- Select an option -",)
IN_FILTER = re.compile(r"""_\((?:"([^"]+)"|'([^']+)')\)""")


def language_files():
    """Return the catalogue of each language but the one sentences are written in."""
    return sorted((ROOT / "registry" / "locale").glob("*/LC_MESSAGES/django.po"))


def found():
    """Return every sentence once, with the files it is said in, in the order of those."""
    entries = {}
    for path in [*_files(ROOT / "templates", "*.html"), *(p for a in APPS for p in _code(a))]:
        place = path.relative_to(ROOT).as_posix()
        for entry in READ[path.suffix](path.read_text(encoding="utf-8")):
            _take_in(entries, place, entry)
    for place, entry in _made():
        _take_in(entries, place, entry)
    return list(entries.values())


def _take_in(entries, place, entry):
    known = entries.get(entry.key, entry)
    places = dict.fromkeys([*known.places, place])
    many = known.many or entry.many
    entries[entry.key] = Entry(
        sentence=entry.sentence, many=many, context=entry.context, places=tuple(places)
    )


def _made():
    """Yield `(place, entry)` of what is said but written for no catalogue.

    The help page says the docstrings of rules, the administration the names that Django makes of
    ours; and Django says what its own catalogues lack.
    """
    for rule in rules_asked():
        yield "registry/helping.py", Entry(sentence=sentence_of(rule))
    for app in APPS:
        for context, name in made_names(django_apps.get_app_config(app).get_models()):
            yield f"{app}/models", Entry(context=context, sentence=name)
    yield from (("django", Entry(sentence=sentence)) for sentence in OF_DJANGO)


def _files(folder, pattern):
    return sorted(Path(folder).rglob(pattern))


def _code(app):
    code = [p for p in _files(ROOT / app, "*.py") if "migrations" not in p.parts]
    return [*code, *_files(ROOT / app, "*.typ")]


def in_code(text):
    """Return the sentences of a module: what `tell` and its kin and gettext are given."""
    calls = [n for n in ast.walk(ast.parse(text)) if isinstance(n, ast.Call)]
    for call in sorted(calls, key=lambda n: (n.lineno, n.col_offset)):
        name = getattr(call.func, "attr", getattr(call.func, "id", ""))
        if name in ONE and _texts(call, 1):
            yield Entry(sentence=call.args[0].value)
        elif name in COUNTED and _texts(call, 2):
            yield Entry(sentence=call.args[0].value, many=call.args[1].value)
        elif name == GLOSSARY:
            told = [text for word in call.keywords for text in ast.walk(word.value)]
            yield from (Entry(sentence=t.value) for t in told if isinstance(t, ast.Constant))
        elif name in IN_CONTEXT and _texts(call, 2):
            yield Entry(context=call.args[0].value, sentence=call.args[1].value)


def _texts(call, count):
    given = call.args[:count]
    return len(given) == count and all(
        isinstance(one, ast.Constant) and isinstance(one.value, str) and one.value for one in given
    )


def in_template(text):
    """Return the sentences of a template: those of its tags, and those given to other tags."""
    nodes = Engine.get_default().from_string(text).nodelist
    for node in nodes.get_nodes_by_type((TranslateNode, BlockTranslateNode)):
        if isinstance(node, BlockTranslateNode):
            one, _ = node.render_token_list(node.singular)
            many, _ = node.render_token_list(node.plural) if node.plural else ("", ())
            yield Entry(sentence=one, many=many, context=_context(node))
        elif isinstance(node.filter_expression.var.literal, str):
            literal = str(node.filter_expression.var.literal)
            yield Entry(sentence=literal.replace("%", "%%"), context=_context(node))
    for match in IN_FILTER.finditer(text):
        yield Entry(sentence=match[1] or match[2])


def in_paper(text):
    """Return the sentences of a printed paper."""
    return [Entry(sentence=word) for word in WORDS.findall(text)]


READ = {".html": in_template, ".py": in_code, ".typ": in_paper}


def _context(node):
    said = node.message_context
    return str(getattr(said.var, "literal", said.var)) if said else ""


def brought_up_to_date():
    """Write each catalogue anew from what is said now, compile it, and return it by its path."""
    done = {}
    for path in language_files():
        entries = catalogue.updated(catalogue.read(path.read_text(encoding="utf-8")), found())
        path.write_text(catalogue.written(entries), encoding="utf-8", newline="\n")
        path.with_suffix(".mo").write_bytes(catalogue.compiled(entries))
        done[path] = entries
    return done
