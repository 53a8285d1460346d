"""How a plan of pairs is steered, and what a gene drop is asked."""

import re
from urllib.parse import urlencode

from django import forms
from django.utils.translation import gettext_lazy as _

from ..planning import Steering, ordered
from ..telling import tell

PAIR = re.compile(r"([0-9]{1,18})-([0-9]{1,18})")
KEY = re.compile(r"[0-9]{1,18}")
MOST_RUNS = 20_000
CHOICES = ("keep", "forbid", "without")


class PlanForm(forms.Form):
    """How related a pair of a plan may be, and how many pairs there may be."""

    below = forms.FloatField(
        label=_("F of the young below, expected"),
        min_value=0.001,
        max_value=1,
        help_text=_("Young of half-siblings have 0.125, of full siblings 0.25."),
        widget=forms.NumberInput(attrs={"step": "any"}),
    )
    worst = forms.FloatField(
        label=_("and below, at worst"),
        min_value=0.001,
        max_value=1,
        help_text=_("Where parents are uncertain, this is the higher of the two."),
        widget=forms.NumberInput(attrs={"step": "any"}),
    )
    most = forms.IntegerField(
        label=_("Pairs at most"),
        min_value=1,
        max_value=500,
        required=False,
        help_text=_("Left empty, as many as lower the mean kinship."),
    )

    @classmethod
    def asked(cls, query):
        """Return the form for a page's query; what is not asked has its usual value."""
        usual = Steering()
        return cls({"below": usual.below, "worst": usual.worst, **limits(query)})

    def numbers(self):
        """Return what was asked for, the usual where it cannot be read."""
        self.is_valid()
        return {k: v for k, v in self.cleaned_data.items() if v is not None}


def limits(query):
    """Return the limits given in a query."""
    return {name: query[name] for name in ("below", "worst", "most") if query.get(name)}


class Choices:
    """Which pairs a query keeps or forbids and whom it leaves out, of those who can breed.

    `problems` are sentences on what the query asks that cannot be.
    """

    def __init__(self, query, breeders):
        self.breeders = breeders
        self.problems = []
        self.left_out = self._known(query.getlist("without"))
        self.forbidden = self._pairs(query.getlist("forbid"))
        self.locked = self._keepable(self._pairs(query.getlist("keep")))

    def steering(self, numbers):
        """Return all that a plan is to heed."""
        chosen = (self.locked, self.forbidden, self.left_out)
        locked, forbidden, left_out = map(tuple, chosen)
        return Steering(**numbers, locked=locked, forbidden=forbidden, left_out=left_out)

    def _known(self, texts):
        keys = {int(t) for t in texts if KEY.fullmatch(t)} & self.breeders.animals.keys()
        if len(keys) < len(set(texts)):
            self._say(
                tell("Somebody the address leaves out cannot breed here and is not asked about.")
            )
        return sorted(keys)

    def _pairs(self, texts):
        found = {PAIR.fullmatch(text) for text in texts}
        pairs = {ordered(int(m[1]), int(m[2])) for m in found if m}
        known = {p for p in pairs if p[0] != p[1] and set(p) <= self.breeders.animals.keys()}
        if len(known) < len(set(texts)):
            self._say(
                tell("A pair in the address is not one of two that can breed here; it is let go.")
            )
        return sorted(known)

    def _keepable(self, pairs):
        """Leave out kept pairs that contradict each other or the rest."""
        kept, taken = [], set(self.left_out)
        for pair in pairs:
            two = " x ".join(str(self.breeders.animals[key]) for key in pair)
            if not self.breeders.may_pair(*pair):
                self._say(tell("{two} are of one sex and are not kept as a pair.", two=two))
            elif taken & set(pair) or pair in self.forbidden:
                self._say(
                    tell(
                        "{two} cannot be kept: one of the two is left out or kept in another.",
                        two=two,
                    )
                )
            else:
                kept.append(pair)
                taken |= set(pair)
        return kept

    def _say(self, sentence):
        if sentence not in self.problems:
            self.problems.append(sentence)


class AllelesForm(forms.Form):
    """How often alleles are dropped, and from which seed."""

    runs = forms.IntegerField(
        min_value=1,
        max_value=MOST_RUNS,
        initial=1000,
        help_text=_("Each run lets chance pass every founder’s two alleles down once."),
    )
    seed = forms.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        initial=1,
        help_text=_("The same seed and number of runs give the same result."),
    )


def posted_pairs(posted):
    """Return the pairs a form sends, as keys; what cannot be read is no pair."""
    found = [PAIR.fullmatch(text) for text in posted.getlist("pair")]
    return [ordered(int(m[1]), int(m[2])) for m in found if m]


def chosen(query):
    """Return the choices of a query as (name, value), for a form that keeps them."""
    return [(name, value) for name in CHOICES for value in query.getlist(name)]


def query_of(steering):
    """Return the query that asks for a plan steered so."""
    found = [(name, steering[name]) for name in ("below", "worst", "most") if steering[name]]
    pairs = (("keep", "locked"), ("forbid", "forbidden"))
    found += [(name, f"{a}-{b}") for name, key in pairs for a, b in steering[key]]
    return urlencode(found + [("without", key) for key in steering["left_out"]])
