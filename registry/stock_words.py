"""The words a list of opening stock may be written in: those of every language of the site."""

from functools import cache

from django.conf import settings
from django.utils import translation

from .models import Basis, DescentBasis, MarkKind, SourceCode
from .telling import tell


def in_each_language(make):
    """Yield what `make()` returns for a reader of each language."""
    for language, _ in settings.LANGUAGES:
        with translation.override(language):
            yield make()


def _called(choices):
    """Return choices by their values and by their labels, whatever the case."""
    named = {choice.value.casefold(): choice for choice in choices}
    for labels in in_each_language(lambda: [str(choice.label) for choice in choices]):
        named |= {label.casefold(): choice for label, choice in zip(labels, choices, strict=True)}
    return named


def _told(*words):
    return {said.casefold() for row in in_each_language(lambda: map(tell, words)) for said in row}


@cache
def sexes():
    """The sexes by the words for them."""
    return {
        **dict.fromkeys({"", "u", "?", "-", "0.0.1", *_told("unsexed", "unknown")}, ""),
        **dict.fromkeys({"m", "♂", "1.0", "1.0.0", *_told("male")}, "male"),
        **dict.fromkeys({"f", "w", "♀", "0.1", "0.1.0", *_told("female")}, "female"),
    }


@cache
def bases():
    """What a sex may rest on, by the words for it."""
    return {**_called(Basis), "": Basis.LOOKS}


@cache
def bases_of_parents():
    """What parents may rest on, by the words for it."""
    also = dict.fromkeys(("supplier's word", "seller"), DescentBasis.SUPPLIER)
    return {**_called(DescentBasis), **also}


@cache
def origins():
    """The source codes by their letters and by what they mean."""
    named = _called(SourceCode)
    meanings = {word[2:]: code for word, code in named.items() if word[1:2] == " "}
    known = {"wc": SourceCode.WILD, "cb": SourceCode.CAPTIVE_BRED, "": SourceCode.UNKNOWN}
    return {**named, **meanings, **known}


@cache
def mark_kinds():
    """The kinds of marks by their names."""
    return {**_called(MarkKind), "photo": MarkKind.PHOTOGRAPH}
