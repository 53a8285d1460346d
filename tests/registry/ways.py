"""The ways by which a move can be entered; what one refuses, all refuse."""

from django.urls import reverse

from registry.objections import Refused
from registry.placement import place

LEVELS = ("stop", "ask", "note")


def by_door(client, placement, user):
    """Call the door; return what it refuses, `{sentence: level}`, or nothing once it is done."""
    try:
        place(placement, by=user)
    except Refused as refused:
        return {o.message: o.level for o in refused.objections}
    return {}


def by_page(client, placement, user):
    """Post the form of the page."""
    answer = client.post(reverse("move-add"), typed(placement) | {"do": "1"})
    if answer.status_code == 302:
        assert answer["Location"] == reverse("enclosure-show", args=[placement.enclosure.pk])
        return {}
    return {o.message: o.level for o in answer.context["objections"]}


def by_admin(client, placement, user):
    """Post the form of the administration pages."""
    answer = client.post(reverse("admin:registry_stay_add"), typed(placement))
    if answer.status_code == 302:
        assert answer["Location"] == reverse("admin:registry_stay_changelist")
        return {}
    said = [line.partition(": ") for line in answer.context["adminform"].form.non_field_errors()]
    return {text: level.lower() for level, _, text in said if level.lower() in LEVELS}


def typed(placement):
    """Return a placement as somebody types it."""
    return {
        "animals": ", ".join(a.code for a in placement.animals),
        "clutches": ", ".join(c.code for c in placement.clutches),
        "enclosure": placement.enclosure.pk,
        "day": placement.day.isoformat(),
        "until": placement.until.isoformat() if placement.until else "",
    }


WAYS = {"door": by_door, "page": by_page, "admin": by_admin}
