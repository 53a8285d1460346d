"""Lines as they are printed in templates: counts, spans of time, and what is kept in words."""

from django import template
from django.urls import reverse

from ..lines import counted, span
from ..phrases import figure, share
from ..telling import decimal, tell

register = template.Library()
register.filter("counted", counted)
register.filter("since", span)


@register.filter
def line_address(line, name):
    """Return the address of a page of a line."""
    return reverse(name, args=line.address)


@register.simple_tag
def plot_address(line, plot):
    """Return the address of a plot of a line."""
    return reverse("line-plot", args=[*line.address, plot])


@register.filter
def equivalents(number):
    """Print founder genome equivalents, or effective founders.

    >>> equivalents(2.4)
    '2.40'
    """
    return decimal(f"{number:.2f}")


@register.filter
def kept_words(kept):
    """Say what a collection keeps of its founders, and never more than the register knows."""
    genes, founders = figure(kept.gene_diversity), equivalents(kept.founder_genome_equivalents)
    said = tell(
        "They keep {genes} of the gene diversity of their founders’ "
        "population, as much as {founders} founders that are unrelated and "
        "not inbred.",
        genes=genes,
        founders=founders,
    )
    if kept.traced >= 1:
        return said + " " + tell("All of their ancestry is traced to the wild.")
    return (
        said
        + " "
        + tell(
            "Only {share} of their ancestry is traced to the wild: a missing parent counts as a "
            "new founder and flatters the figure.",
            share=share(kept.traced),
        )
    )


OPPOSITE = {"keep": "forbid", "forbid": "keep"}


@register.simple_tag(takes_context=True)
def choose(context, name, value):
    """Return the address of the plan with one more choice, and without what contradicts it."""
    query = _query(context)
    value = str(value)
    _drop(query, OPPOSITE.get(name, name), value)
    if name == "without":
        for pair in query.getlist("keep"):
            if value in pair.split("-"):
                _drop(query, "keep", pair)
    _drop(query, name, value)
    query.appendlist(name, value)
    return _plan(context, query)


@register.simple_tag(takes_context=True)
def let_go(context, name, value):
    """Return the address of the plan without one choice."""
    query = _query(context)
    _drop(query, name, str(value))
    return _plan(context, query)


@register.simple_tag(takes_context=True)
def allow_again(context, one, other):
    """Return the address of the plan in which two animals may be a pair again."""
    return let_go(context, "forbid", f"{one.pk}-{other.pk}")


def _query(context):
    return context["request"].GET.copy()


def _drop(query, name, value):
    same = sorted(value.split("-"))  # a pair is the same either way round
    query.setlist(name, [v for v in query.getlist(name) if sorted(v.split("-")) != same])


def _plan(context, query):
    return f"{line_address(context['line'], 'line-plan')}?{query.urlencode()}"
