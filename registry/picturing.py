"""From the register to a pedigree picture: whom it reaches, and what is written beside each."""

from django.db.models import Q
from django.urls import reverse

from .charts import pedigree as drawn
from .charts import reach
from .charts.figures import Figure
from .herd import sexings_of
from .lineage import ClutchOf, OneOf, PairOf, Unseen, pairs_of
from .mixes import young_named_in
from .models import Animal, Candidate, Clutch, Departure, Precision, Sexing
from .pedigree import Ancestry, ancestry_of
from .phrases import written
from .telling import tell

MOST_GENERATIONS = 12


def picture_of(animals, up, down, on):
    """Return the pedigree of animals: ancestors `up` and descendants `down` generations."""
    ancestry = ancestry_of(list(_with_young(animals, down)))
    stated = stated_parents(ancestry)
    asked = [str(a.pk) for a in animals]
    chosen = _chosen(asked, stated, up, down)
    keys = [int(key) for key in chosen]
    described = _described(ancestry, keys, on)
    return drawn.pedigree(chosen, asked=asked, animals=described, parentage=stated)


def _chosen(asked, stated, up, down):
    """Return the keys within so many generations, each way that is asked for."""
    found = set(asked)
    if up:
        found |= reach.ancestors(asked, stated, up)
    if down:
        found |= reach.descendants(asked, stated, down)
    return found


def _with_young(animals, depth):
    """Yield animals and their descendants, so many generations down."""
    wave = {a.pk: a for a in animals}
    seen = set()
    for _ in range(depth + 1):
        yield from wave.values()
        seen |= wave.keys()
        wave = {a.pk: a for a in young_of(wave) if a.pk not in seen}


def young_of(keys):
    """Return the animals of which any of these may be a parent."""
    keys = list(keys)
    named = Candidate.objects.filter(
        Q(animal__in=keys) | Q(mate__in=keys),
        descent__superseded_at__isnull=True,
        descent__void=False,
    )
    return young_named_in(named.values("descent")).select_related("taxon", "source_group")


def stated_parents(ancestry: Ancestry):
    """Return what the picture says of everybody's parents, by key."""
    clutches = Clutch.objects.in_bulk({a.clutch_id for a in ancestry.animals.values()} - {None})
    words = {key: tell("clutch {clutch}", clutch=clutch.code) for key, clutch in clutches.items()}
    return {
        str(a.pk): parentage(ancestry, a, words.get(a.clutch_id, ""))
        for a in ancestry.animals.values()
    }


def parentage(ancestry: Ancestry, animal, clutch=""):
    """Return what the picture says of an animal's parents: certain, one of several, or a pair."""
    sire, dam = ancestry.parents(animal)
    if isinstance(sire, ClutchOf):
        return _mixed(pairs_of(sire, dam), clutch)
    if isinstance(sire, PairOf):
        pairs = {(_name(a), _name(b)): w for (a, b), w in sire.weights.items()}
        return drawn.Parentage.of_pairs(pairs, clutch=clutch)
    return drawn.Parentage.of(sires=_weights(sire), dams=_weights(dam), clutch=clutch)


def _mixed(pairs, clutch):
    """Return what the picture says of one of a mix; a parent that all clutches share is certain."""
    sides = [_summed(pairs, side) for side in (0, 1)]
    if min(map(len, sides)) > 1:
        return drawn.Parentage.of_pairs(
            {tuple(map(_name, p)): w for p, w in pairs.items()}, clutch=clutch
        )
    sires, dams = ({str(k): w for k, w in side.items() if k is not None} for side in sides)
    return drawn.Parentage.of(sires=sires, dams=dams, clutch=clutch)


def _summed(pairs, side):
    weights = {}
    for pair, weight in pairs.items():
        weights[pair[side]] = weights.get(pair[side], 0.0) + weight
    return weights


def _name(key):
    return None if key is None else str(key)


def _weights(parent):
    """Return candidates by key; founders nobody saw are not drawn."""
    if parent is None:
        return {}
    if isinstance(parent, OneOf):
        return {str(k): w for k, w in parent.weights.items() if not isinstance(k, Unseen)}
    return {str(parent): 1.0}


def _described(ancestry, keys, on):
    """Return what is written beside the symbol of each animal."""
    rows = Animal.objects.filter(pk__in=keys).select_related("locality")
    sexings, dead = sexings_of(keys), _dead(keys, on)
    lineage = ancestry.lineage()
    inbreeding = lineage.inbreeding()
    return {
        str(a.pk): drawn.Animal(
            key=str(a.pk),
            code=a.code,
            name=a.name,
            alive=a.pk not in dead,
            locality=a.locality.name if a.locality else tell("unknown locality"),
            born=born_words(a),
            inbreeding=inbreeding_figure(lineage, a.pk, inbreeding[a.pk]),
            href=reverse("animal-show", args=[a.pk]),
            **sex_signs(sexings.get(a.pk, Sexing())),
        )
        for a in rows
    }


def inbreeding_figure(lineage, key, expected):
    """Return F of an animal, expected and at worst; None where both are nothing."""
    worst = lineage.at_worst(key, key)
    own = 2 * float(worst) - 1
    if expected <= 0 and own <= 1e-12:
        return None
    return Figure(expected=expected, worst=max(own, expected), bound=worst.is_bound)


def sex_signs(sexing):
    """Return the symbol of an animal's sex, and how sure it is."""
    if sexing.contradicted:
        return {"sex": "unsexed", "certainty": "contradicted"}
    if sexing.sex is None:
        return {"sex": "unsexed", "certainty": ""}
    return {"sex": sexing.sex, "certainty": "strong" if sexing.strong else "weak"}


def _dead(keys, on):
    gone = Departure.objects.current().filter(animal__in=keys, kind="death", day__lte=on)
    return set(gone.values_list("animal", flat=True))


def born_words(animal):
    """Say when an animal was born, as exactly as it is known.

    >>> from datetime import date
    >>> born_words(Animal(born=date(2024, 5, 1), born_precision="month"))
    'May 2024'
    """
    day = animal.born
    if day is None or animal.born_precision == Precision.UNKNOWN:
        return ""
    if animal.born_precision == Precision.YEAR:
        return str(day.year)
    if animal.born_precision == Precision.MONTH:
        return f"{day:%b %Y}"
    about = "about " if animal.born_precision == Precision.ABOUT else ""
    return f"{about}{written(day)}"


def path_picture(animals, keys, on):
    """Return the pedigree of animals with nobody in it but those on the paths between them."""
    ancestry = ancestry_of(animals)
    stated = stated_parents(ancestry)
    chosen = {str(key) for key in keys} | {str(a.pk) for a in animals}
    described = _described(ancestry, [int(key) for key in chosen], on)
    asked = [str(a.pk) for a in animals]
    return drawn.pedigree(chosen, asked=asked, animals=described, parentage=stated)
