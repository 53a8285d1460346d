"""Every address of the site by its name, each with something of the demo collection on it."""

from datetime import timedelta

from django.apps import apps
from django.urls import URLPattern, get_resolver, reverse
from django.utils import timezone

from quarantine.models import Hold, Isolation, Result, Sample
from registry.census import Census
from registry.lines import Line
from registry.models import (
    Animal,
    Clutch,
    Departure,
    Enclosure,
    Holding,
    Mark,
    Missing,
    Observation,
    OneOfThese,
    Pairing,
    RegisterLine,
    SavedFilter,
    SexFinding,
)
from registry.proving import Proving, issue
from registry.reckoning import Question, ask

# Addresses that are no pages: files, acts that only take a form, and those that lead elsewhere.
FILES = {
    "animal-export", "line-export", "paper-file", "pedigree-file", "pedigree-two-file",
    "register-table", "register-print", "quarantine:audit-file", "quarantine:calendar-feed",
    "mark-photo", "stock-template", "pairing-export", "enclosure-export", "paper-export",
    "quarantine:batch-export", "quarantine:trace-picture",
}  # fmt: skip
ACTS = {
    "filter-delete", "sign-out", "set-language", "reckoning-stop", "line-plan-enter",
    "quarantine:calendar-renew", "quarantine:calendar-stop",
}  # fmt: skip
ELSEWHERE = {"enclosure-label", "arrival-again", "sign-in"}
OTHERS = FILES | ACTS | ELSEWHERE


def names():
    """Return the names of all addresses of the site, the administration's apart."""
    return set(_names(get_resolver(), ""))


def pages():
    """Return the names of all pages, in order."""
    return sorted(names() - OTHERS)


def _names(resolver, space):
    for one in resolver.url_patterns:
        if isinstance(one, URLPattern):
            yield space + (one.name or "")
        elif one.namespace != "admin":
            yield from _names(one, f"{one.namespace}:" if one.namespace else space)


def furnish(keeper):
    """Enter what the demo collection has none of, so that each page has something to show."""
    today = timezone.localdate()
    frogs = Animal.objects.here(today).order_by("pk")
    Mark.objects.create(animal=frogs[0], kind="chip", value="985 112 003", day=today)
    Missing.objects.create(animal=frogs[1], day=today)
    Observation.objects.create(animal=frogs[2], kind="sign", start=today, text="thin")
    Hold.objects.create(animal=frogs[2], start=today, reason="looks ill")
    SavedFilter.objects.create(user=keeper, page="animal-list", name="Males", query="sex=male")
    issue(Proving(animals=(frogs[3],), day=today), by=keeper)
    Pairing.objects.create(first_id=two()[0], second_id=two()[1], planned_on=today)
    line = Line(taxon=frogs[0].taxon, locality=frogs[0].locality)
    runs = {"runs": 100, "seed": 1}
    ask(Question(kind="alleles", census=Census(line), on=today, asked=runs), keeper)


def address(name):
    """Return where a page is: with what it is asked, on something of the demo collection."""
    asked = QUERIES[name]() if name in QUERIES else ""
    return reverse(name, args=_examples(name)) + asked


def _examples(name):
    if name in EXAMPLES:
        return EXAMPLES[name]()
    model = _noun(name)
    return [model.objects.order_by("pk")[0].pk] if model else []


def says_what_it_shows(name):
    """Return whether an address needs no key, is given one here, or is named for a model."""
    return name in EXAMPLES or not _keys(name) or (_keys(name) == 1 and _noun(name) is not None)


def _keys(name):
    """Return how many keys an address with this name has at most."""
    resolver = get_resolver()
    space, _, plain = name.rpartition(":")
    if space:
        resolver = resolver.namespace_dict[space][1]
    found = resolver.reverse_dict.getlist(plain)
    return max(len(params) for one in found for _, params in one[0])


def _noun(name):
    """Return the model that an address with a key is named for, if any."""
    noun = name.rpartition(":")[2].partition("-")[0]
    known = (apps.all_models[app].get(noun) for app in ("registry", "quarantine"))
    return next(filter(None, known), None) if _keys(name) else None


def code(text):
    """Return an animal by its code."""
    return Animal.objects.get(code=text)


def two():
    """Return two animals with common ancestors."""
    return [code("RI-025").pk, code("RI-039").pk]


def line(*more):
    """Return the address of the line that is bred most."""
    frog = code("RI-025")
    return [frog.taxon_id, frog.locality_id, *more]


def entry(model):
    """Return the kind and key of the newest entry of a kind."""
    return [model._meta.label_lower, model.objects.latest("pk").pk]


def of(rows):
    """Return the key of the newest of some rows."""
    return [rows.latest("pk").pk]


def box():
    """Return the batch that waits for its results."""
    return of(Isolation.objects.filter(name="Rio Candelo box"))


def larvae():
    """Return a clutch that no young have left."""
    return of(Clutch.objects.filter(young=None))


def several(**about):
    """Return the key of what happened to one of several of the demo collection."""
    return of(OneOfThese.objects.filter(**about))


def unread():
    """Return a sample whose result is waited for."""
    return of(Sample.objects.filter(results=None))


EXAMPLES = {
    "animal-show": lambda: [code("RI-025").pk],
    "animal-clutch": lambda: [code("RI-041").pk],
    "animal-owner": lambda: [Departure.objects.filter(kind="loan").first().animal_id],
    "animal-papers": lambda: [code("EA-001").pk],
    "clutch-add": lambda: [Enclosure.objects.get(code="F12").pk],
    "clutch-count": larvae,
    "clutch-lose": larvae,
    "clutch-end": larvae,
    "clutch-separate": larvae,
    "clutch-year": lambda: [days_ago(60).year],
    "enclosure-show": lambda: [Enclosure.objects.get(code="F12").pk],
    "enclosure-happened": lambda: [Enclosure.objects.get(code="F29").pk, "death"],
    "filter-edit": lambda: of(SavedFilter.objects),
    "fact-correct": lambda: entry(SexFinding),
    "fact-withdraw": lambda: entry(SexFinding),
    "holding-edit": lambda: of(Holding.objects),
    "kin-show": lambda: [code("RI-025").pk],
    "kin-why": two,
    "line-alleles": line,
    "line-plan": line,
    "line-plot": lambda: line("ages"),
    "line-show": line,
    "one-of-let-be": lambda: several(what="death", departures=None),
    "one-of-open": lambda: several(departures__isnull=False),
    "one-of-settle": lambda: several(what="death", departures=None),
    "one-of-show": lambda: several(what="death", departures=None),
    "pairing-begin": lambda: of(Pairing.objects.filter(began_on=None)),
    "pairing-end": lambda: of(Pairing.objects.filter(began_on__isnull=False, ended_on=None)),
    "pairing-mates": lambda: [code("RI-025").pk],
    "pedigree-show": lambda: [code("RI-039").pk],
    "pedigree-two": two,
    "register-line": lambda: of(RegisterLine.objects),
    "register-restate": lambda: of(RegisterLine.objects),
    "section-show": lambda: ["order_of_work"],
    "sign-gone": lambda: of(Observation.objects.filter(kind="sign")),
    "quarantine:batch-move": box,
    "quarantine:batch-show": box,
    "quarantine:clear": box,
    "quarantine:course-add": box,
    "quarantine:fact-amend": lambda: entry(Sample),
    "quarantine:fact-take-back": lambda: entry(Sample),
    "quarantine:join": box,
    "quarantine:necropsy-add": lambda: of(Departure.objects.filter(kind="death", necropsies=None)),
    "quarantine:necropsy-of-one": lambda: several(what="death", departures=None),
    "quarantine:result-add": unread,
    "quarantine:result-correct": lambda: of(Result.objects),
    "quarantine:result-decide": lambda: of(Result.objects.filter(outcome="positive")),
    "quarantine:results-add": box,
    "quarantine:sample-add": box,
    "quarantine:split": box,
}
QUERIES = {
    "clutch-mix": lambda: "?clutches=KI-M1,KR-01",
    "photographs": lambda: "?animals=DT-005,DT-006",
    "enclosure-move": lambda: "?who=all",
    "pairing-join": lambda: "?first={}&second={}".format(*two()),
    "quarantine:trace": lambda: "?animal=DT-002&start=" + str(days_ago(30)),
    "filter-keep": lambda: "?page=animal-list&query=sex%3Dfemale",
    "search": lambda: "?q=RI-0",
    "quarantine:audit": lambda: "?on=" + str(days_ago(10)),
}


def days_ago(days):
    """Return the day so many days before today."""
    return timezone.localdate() - timedelta(days=days)
