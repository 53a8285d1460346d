"""The plots of a line: from what the register knows to a picture with its table."""

from django.utils.translation import gettext_lazy as _

from .charts.ages import AgeClass, age_and_sex
from .charts.diversity import Standing, diversity_over_years
from .charts.figures import Figure
from .charts.founders import FounderShare, founder_shares
from .charts.funnel import joint_funnel
from .charts.heatmap import MOST, Kinships, kinship_map
from .founding import founders_of
from .funnels import clutches_of_line, summed
from .keeping import drawn_once
from .kin_tables import tables_of, takes_long
from .lines import years
from .models import Precision
from .reckoning import Question, answered
from .telling import tell, tell_many

MOST_FOUNDERS = 60
MOST_AGES = 15  # a longer-lived line is shown in classes of five years


def diversity_plot(census, on):
    """Draw gene diversity, founder genome equivalents and the traced share year by year."""
    kept = census.over_the_years(on)
    living = tuple(_standing(one.on, one.living) for one in kept)
    proven = tuple(_standing(one.on, one.proven) for one in kept)
    return drawn_once(diversity_over_years, living, proven if proven != living else ())


def _standing(on, collected):
    if collected is None:
        nothing = dict.fromkeys(("gene_diversity", "genome_equivalents", "traced"))
        return Standing(year=on.year, animals=0, **nothing)
    return Standing(
        year=on.year,
        animals=len(collected.mean_kinships),
        gene_diversity=collected.gene_diversity,
        genome_equivalents=collected.founder_genome_equivalents,
        traced=collected.traced,
    )


def founders_plot(census, on):
    """Draw the share each founder has in the living; of very many only the largest."""
    founders = founders_of(census, on, census.kept(on))
    shown = [FounderShare(code=one.words, share=one.share) for one in founders[:MOST_FOUNDERS]]
    return drawn_once(founder_shares, tuple(shown))


def ages_plot(census, on):
    """Draw how many of each sex there are at each age, the oldest on top."""
    return drawn_once(age_and_sex, tuple(age_classes(census, on)))


def age_classes(census, on):
    """Return the living by age in whole years and by sex; ages without anybody are kept."""
    ages = [(_age(a, on), census.sexing(a).column) for a in census.here(on)]
    known = [age for age, _ in ages if age is not None]
    step = 1 if max(known, default=0) < MOST_AGES else 5
    classes = [
        _age_class(
            _age_words(age, step), [c for a, c in ages if a is not None and a // step == age]
        )
        for age in range(max(known, default=-1) // step, -1, -1)
    ]
    unknown = [c for a, c in ages if a is None]
    return [*classes, _age_class(tell("age unknown"), unknown)] if unknown else classes


def _age(animal, on):
    if animal.born is None or animal.born_precision == Precision.UNKNOWN:
        return None
    return max(0, years(animal.born, on))


def _age_words(age, step):
    if step > 1:
        first = age * step
        return tell("{first} to {last} years", first=first, last=first + step - 1)
    return tell_many("{count} year", "{count} years", age) if age else tell("under a year")


def _age_class(words, columns):
    counts = (columns.count(column) for column in range(3))
    return AgeClass(age=words, **dict(zip(("males", "females", "unsexed"), counts, strict=True)))


def clutches_plot(census, on):
    """Draw how many of all the line's clutches reached each stage."""
    found = [c for c in clutches_of_line(census.line) if c.found_on <= on]
    return drawn_once(
        joint_funnel, tell("Clutches of {line}", line=census.line), tuple(summed(found))
    )


class NotYetDrawn(Exception):
    """What a plot shows takes long to work out; its `question` is asked, or wants asking."""

    def __init__(self, question, reckoning):
        super().__init__(tell("This takes long to work out."))
        self.question, self.reckoning = question, reckoning


def kinship_plot(census, on):
    """Draw kinship among the living, expected and at worst; of many those with rare genes.

    Raises NotYetDrawn where that takes long and has not been worked out.
    """
    question = Question(kind="kinship", census=census, on=on)
    long = takes_long(census, [a.pk for a in mapped(census, on)])
    told, reckoning = answered(question, long)
    if told is None:
        raise NotYetDrawn(question, reckoning)
    return drawn_kinship(told)


def map_kinship(census, on, question=None, progress=None):
    """Return kinship among the living as plain values; `progress(done, whole)` hears of parts."""
    animals = mapped(census, on)
    tables = tables_of(census, [a.pk for a in animals], progress)
    parts = (tables.expected, tables.worst, tables.bounds)
    return {"codes": [a.code for a in animals], "figures": [part.tolist() for part in parts]}


def drawn_kinship(told):
    """Draw kinship that was worked out before."""
    figures = (
        tuple(Figure(expected=e, worst=w, bound=b) for e, w, b in zip(*row, strict=True))
        for row in zip(*told["figures"], strict=True)
    )
    return drawn_once(kinship_map, Kinships(codes=tuple(told["codes"]), figures=tuple(figures)))


def mapped(census, on):
    """Return the animals of the kinship map, by code."""
    rarest = [m.animal for m in census.members(on)[:MOST]]
    return sorted(rarest, key=lambda a: a.code)


TITLES = {
    "diversity": _("Diversity over the years"),
    "founders": _("Founders’ shares"),
    "ages": _("Age and sex"),
    "kinship": _("Kinship among the living"),
    "funnel": _("Clutches through their stages"),
}
PLOTS = {
    "diversity": diversity_plot,
    "founders": founders_plot,
    "ages": ages_plot,
    "kinship": kinship_plot,
    "funnel": clutches_plot,
}
