"""Filters kept by somebody under names of their own, for the lists that can be narrowed."""

from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

# Every list whose filter can be kept, by the name of its page, and what it is called.
LISTS = {
    "animal-list": _("Animals"),
    "pairing-list": _("Pairings"),
    "enclosure-list": _("Enclosures"),
    "quarantine:batch-list": _("Batches"),
    "paper-list": _("Papers"),
}
MOST = 100  # of one person; more than that nobody finds again
PASSING = ("page", "csrfmiddlewaretoken")  # what is in an address and no part of a filter


def plain_query(text):
    """Return what an address asks of a list, without what is empty or only passing."""
    asked = QueryDict(text, mutable=True)
    for name in PASSING:
        asked.pop(name, None)
    for name, values in list(asked.lists()):
        asked.setlist(name, [value for value in values if value])
        if not asked.getlist(name):
            del asked[name]
    return asked.urlencode()


def address_of(kept):
    """Return where a kept filter leads."""
    here = reverse(kept.page)
    return f"{here}?{kept.query}" if kept.query else here


def by_list(user):
    """Return the filters of somebody, list by list: what each is called, and where it leads."""
    kept = list(user.saved_filters.filter(page__in=LISTS))
    found = ((title, [one for one in kept if one.page == page]) for page, title in LISTS.items())
    return [(title, [(one, address_of(one)) for one in some]) for title, some in found if some]
