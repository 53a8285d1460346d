"""The places of the site, as base.html names them."""

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext_lazy as _

register = template.Library()

PLACES = (
    (_("Today"), "today"),
    (_("Animals"), "animal-list"),
    (_("Pairings"), "pairing-list"),
    (_("Quarantine"), "quarantine:home"),
    (_("Enclosures"), "enclosure-list"),
    (_("Lines"), "line-list"),
    (_("Papers"), "paper-list"),
)


@register.simple_tag(takes_context=True)
def places(context):
    """Return each place with its address and whether the page shown belongs to it."""
    here = getattr(context.get("request"), "path", "")
    found = [(label, address(name)) for label, name in PLACES]
    return [
        {"label": label, "href": href, "current": belongs(here, href)}
        for label, href in found
        if href
    ]


def address(name):
    """Return where a page is, "" if the site is put together without it."""
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def belongs(here, href):
    """Return whether a path lies at or below a place; the front page has nothing below it."""
    return here == href or (href != reverse("today") and here.startswith(href))
