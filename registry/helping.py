"""What the help page tells, read from the code and the settings, so that it cannot disagree."""

import inspect
from dataclasses import dataclass
from fractions import Fraction
from types import CodeType, FunctionType

from django.conf import settings
from django.utils.module_loading import import_string

from . import objections
from .conception import UNSEEN_DAYS
from .daily import AHEAD as TOLD_AHEAD
from .forms.days import AHEAD as PLANNED_AHEAD
from .lineage.groups import NOTHING_SAID
from .lineage.worst import MOST_CHOICES
from .lines import FEW, YEARS_WITHOUT_YOUNG
from .missing import COUNTS_AS_DEAD
from .models.dates import ABOUT_DAYS
from .phrases import kin_words, one_of
from .rules import ASK_EXPECTED, ASK_WORST, NOTE_EXPECTED, NOTE_WORST
from .telling import tell, to_tell

LEVELS = {
    objections.stop: "stop",
    objections.impossible: "stop",
    objections.ask: "ask",
    objections.note: "note",
}
ORDER = (to_tell("stop"), to_tell("ask"), to_tell("note"))


@dataclass(frozen=True, kw_only=True)
class HelpSection:
    """One table of the help page."""

    slug: str
    title: str
    told: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caution: str = ""


def help_sections():
    """Return the sections named in the settings, in their order."""
    return [import_string(path)() for path in settings.HELP_SECTIONS]


def levels_of(rule):
    """Return what a rule may answer, as its code and the functions it calls in its module say."""
    found, seen, waiting = set(), set(), [inspect.unwrap(rule)]
    module = waiting[0].__module__
    while waiting:
        function = waiting.pop()
        if function in seen:
            continue
        seen.add(function)
        for name in _names(function.__code__):
            named = function.__globals__.get(name)
            if isinstance(named, FunctionType):
                found.add(LEVELS.get(named, ""))
                if inspect.unwrap(named).__module__ == module:
                    waiting.append(inspect.unwrap(named))
    return tuple(level for level in ORDER if level in found)


def _names(code):
    """Yield the names a function and the functions inside it refer to."""
    yield from code.co_names
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _names(constant)


def sentence_of(rule):
    """Return what a keeper would say: the docstring of a rule."""
    return " ".join(inspect.getdoc(rule).split())


def rules_asked():
    """Return every rule on company, leaving and carrying that the settings name."""
    paths = (*settings.PLACEMENT_RULES, *settings.DEPARTURE_RULES, *settings.CARRYING_RULES)
    return [import_string(path) for path in dict.fromkeys(paths)]


def _rules(paths):
    rules = (import_string(path) for path in paths)
    return tuple((tell(sentence_of(rule)), one_of(map(tell, levels_of(rule)))) for rule in rules)


def rules_on_company():
    """Every rule asked before animals come to be together, in the order of the settings."""
    return HelpSection(
        slug="company",
        title=tell("Who may live together"),
        told=tell(
            "Asked of everyone who would be together, on the day of a move and on each later day "
            "already planned; asked of pairs too, before they are joined, and of what stands now."
        ),
        heads=(tell("Rule"), tell("It may answer with")),
        rows=_rules(settings.PLACEMENT_RULES),
    )


def rules_on_leaving():
    """Every rule asked before an animal leaves, and before things are moved."""
    return HelpSection(
        slug="leaving",
        title=tell("Who may leave, and what may be moved"),
        told=tell(
            "Asked before a departure is entered, and before plants, water or tools go from one "
            "enclosure to another."
        ),
        heads=(tell("Rule"), tell("It may answer with")),
        rows=_rules([*settings.DEPARTURE_RULES, *settings.CARRYING_RULES]),
        caution=tell(
            "Captive animals and their water are never released outdoors. Permits, proof of "
            "origin and rules on import differ by country: what is missing is said here, not what "
            "is lawful."
        ),
    )


def _f(figure):
    return f"{Fraction(figure)} ({kin_words(figure)})"


def thresholds():
    """Every figure of the register that decides something."""
    return HelpSection(
        slug="thresholds",
        title=tell("Figures the register goes by"),
        told=tell("What differs from species to species stands with each taxon."),
        heads=(tell("Figure"), tell("Is")),
        rows=(
            (tell("F of the young, expected, from which there is a note"), _f(NOTE_EXPECTED)),
            (tell("F of the young, expected, from which there is an ask"), _f(ASK_EXPECTED)),
            (tell("F of the young, at worst, from which there is a note"), _f(NOTE_WORST)),
            (tell("F of the young, at worst, from which there is an ask"), _f(ASK_WORST)),
            (
                tell("Choices of uncertain parents up to which “at worst” is exact"),
                f"{MOST_CHOICES:,}",
            ),
            (
                tell(
                    "Unseen sires, and as many dams, taken to stand behind an arrival of which "
                    "nothing is said"
                ),
                f"{NOTHING_SAID}",
            ),
            (tell("Days after which a missing animal counts as dead"), f"{COUNTS_AS_DEAD.days}"),
            (tell("Days either way that “about” a day means"), f"{ABOUT_DAYS}"),
            (tell("Days earlier that a stage nobody saw begin may have begun"), f"{UNSEEN_DAYS}"),
            (tell("Days ahead for which a move may be planned"), f"{PLANNED_AHEAD.days}"),
            (
                tell("Days before young must leave their parents that Today tells it"),
                f"{TOLD_AHEAD.days}",
            ),
            (tell("Living animals with which a line that had more is dying out"), f"{FEW}"),
            (tell("Years without young after which a line is dying out"), f"{YEARS_WITHOUT_YOUNG}"),
        ),
    )
