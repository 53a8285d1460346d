"""What holds of a register at the end of a year, read plainly: a sentence where it does not."""

from collections import Counter, defaultdict
from datetime import date
from itertools import pairwise

from registry import models as m

EVER = date.max
ORDER = [stage.value for stage in m.Stage]
LARVAE_ON = ORDER[ORDER.index("hatched") :]


def problems(on):
    """Return every sentence that says what does not hold on a day."""
    found = []
    for check in (counts_fall, young_have_parents, lines_are_gapless, everyone_is_in_one_place,
                  nobody_stays_while_away):  # fmt: skip
        found += check()
    return found + list(balances_agree(on))


def counts_fall():
    """Down the stages of a clutch counts do not rise, and no more left it than ever were in it."""
    most = defaultdict(dict)
    for row in m.StageCount.objects.current().filter(count__isnull=False):
        stages = most[row.clutch_id]
        stages[row.stage] = max(stages.get(row.stage, 0), row.count)
    out = Counter(m.Animal.objects.filter(clutch__isnull=False).values_list("clutch", flat=True))
    lost = Counter()
    for loss in m.Loss.objects.current():
        lost[loss.clutch_id] += loss.count
    for clutch in m.Clutch.objects.all():
        stages = most[clutch.pk]
        known = [(stage, stages[stage]) for stage in ORDER if stage in stages]
        for (before, more), (after, fewer) in pairwise(known):
            if fewer > more:
                yield f"{clutch}: {fewer} {after} of {more} {before}."
        gone = out[clutch.pk] + lost[clutch.pk]
        if known and gone > max(count for _, count in known):
            yield f"{clutch}: {gone} left it or were lost, of {known}."


def young_have_parents():
    """Every young has a sire and a dam on record, or a statement that says why one is unknown."""
    stated = defaultdict(set)
    for row in m.Descent.objects.current().prefetch_related("candidates"):
        if row.candidates.all() or row.note:
            key = ("clutch", row.clutch_id) if row.clutch_id else ("animal", row.animal_id)
            stated[key] |= {"sire", "dam"} if row.role == "pair" else {row.role}
    for young in m.Animal.objects.filter(clutch__isnull=False):
        told = stated["clutch", young.clutch_id] | stated["animal", young.pk]
        for role in ("sire", "dam"):
            if role not in told:
                yield f"{young} has no {role}, and nothing says why."


def lines_are_gapless():
    """The lines of each premises are numbered from one, in the order of entry, month by month."""
    for holding in m.Holding.objects.all():
        lines = list(m.RegisterLine.objects.filter(holding=holding).order_by("number"))
        numbers = [line.number for line in lines]
        if numbers != list(range(1, len(lines) + 1)):
            yield f"{holding}: the lines are numbered {numbers[:3]} … {numbers[-3:]}."
        months = [(line.entered_at.year, line.entered_at.month) for line in lines]
        if months != sorted(months):
            yield f"{holding}: lines of one month stand among those of another."


def balances_agree(on):
    """What the lines of each premises come to is who is there, and the larvae in their cups."""
    there = defaultdict(Counter)
    for animal, holding in premises_of_those_here(on):
        there[holding][animal.taxon.name] += 1
    for clutch, count in larvae(on):
        there[clutch.enclosure.unit.holding][clutch.taxon.name] += count
    for holding in m.Holding.objects.all():
        lines = dict(m.RegisterLine.objects.filter(holding=holding).balances())
        kept = {name: count for name, count in there[holding].items() if count}
        if lines != kept:
            yield f"{holding}: the lines come to {lines}, and {kept} are there."


def premises_of_those_here(on):
    """Yield who is here on a day and not missing, with the premises of the last coming."""
    comings, goings = comings_and_goings(on)
    lost = set(m.Missing.objects.current().filter(found_on=None).values_list("animal", flat=True))
    rows = m.Animal.objects.select_related("taxon", "clutch__enclosure__unit__holding")
    for animal in rows:
        if len(comings[animal.pk]) > len(goings[animal.pk]) and animal.pk not in lost:
            yield animal, comings[animal.pk][-1][1]


def comings_and_goings(on=EVER):
    """Return the days on which each animal came, with the premises, and those on which it left."""
    comings, goings = defaultdict(list), defaultdict(list)
    bred = m.Animal.objects.filter(clutch__isnull=False, separated_on__lte=on)
    for animal in bred.select_related("clutch__enclosure__unit__holding"):
        comings[animal.pk].append((animal.separated_on, animal.clutch.enclosure.unit.holding))
    rows = m.ArrivalMember.objects.filter(
        arrival__void=False, arrival__superseded_at=None, arrival__day__lte=on
    )
    for row in rows.select_related("arrival__holding").order_by("arrival__day"):
        comings[row.animal_id].append((row.arrival.day, row.arrival.holding))
    for row in m.Departure.objects.current().filter(day__lte=on).order_by("day"):
        goings[row.animal_id].append((row.day, row.kind))
    return comings, goings


def larvae(on):
    """Yield the clutches that stand somewhere on a day, with the young in them from larvae on."""
    running = m.Stay.objects.current().running(on).filter(clutch__isnull=False)
    rows = m.Clutch.objects.filter(pk__in=running.values("clutch"))
    for clutch in rows.select_related("taxon", "enclosure__unit__holding"):
        counts = m.StageCount.objects.current().filter(clutch=clutch, stage__in=LARVAE_ON)
        counts = list(counts.filter(count__gt=0).order_by("day"))
        if counts:
            since = clutch.losses.current().filter(day__gte=counts[0].day)
            lost = sum(loss.count for loss in since)
            yield clutch, max(c.count for c in counts) - lost - clutch.young.count()


def everyone_is_in_one_place():
    """No two stays of one animal or clutch overlap."""
    last = {}
    rows = m.Stay.objects.current().select_related("animal", "clutch", "enclosure")
    for stay in rows.order_by("start", "pk"):
        who = stay.animal or stay.clutch
        if who in last and (last[who].end or EVER) > stay.start:
            yield f"{last[who]} goes on while {stay}."
        if who not in last or (stay.end or EVER) >= (last[who].end or EVER):
            last[who] = stay


def nobody_stays_while_away():
    """Nobody lives anywhere before it came, after it left, or once it is dead."""
    comings, goings = comings_and_goings()
    rows = m.Stay.objects.current().filter(animal__isnull=False)
    for stay in rows.select_related("animal", "enclosure"):
        came = [day for day, _ in comings[stay.animal_id] if day <= stay.start]
        left = [day for day, _ in goings[stay.animal_id] if day <= stay.start]
        inside = [d for d, _ in goings[stay.animal_id] if stay.start < d < (stay.end or EVER)]
        if len(came) <= len(left) and not (stay.start == stay.end and stay.start in left):
            yield f"{stay}, and was not here."
        if inside:
            yield f"{stay} goes on after it left on {inside[0]}."
        died = [day for day, kind in goings[stay.animal_id] if kind == "death"]
        if died and (stay.end or EVER) > died[0]:
            yield f"{stay}, and died on {died[0]}."
