"""Filters that turn what the register holds into what people read."""

from datetime import date, datetime

from django import template
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.translation import pgettext

from .. import phrases
from ..glossary import WORDS
from ..objections import ASK, NOTE, STOP
from ..telling import tell

register = template.Library()


@register.filter
def day(when):
    """Show a day written out with its distance from today: 3 Oct 2026 (in 12 days)."""
    return away(when, timezone.localdate())


@register.filter
def away(when, on):
    """Show a day written out with its distance from another: 3 Oct 2026 (in 12 days)."""
    found = as_date(when)
    if found is None or as_date(on) is None:
        return plain(found)
    far = phrases.distance(found, as_date(on))
    return format_html(
        '<time datetime="{}">{} ({})</time>', found.isoformat(), phrases.written(found), far
    )


@register.filter
def plain(when):
    """Show a day written out, without its distance: 3 Oct 2026."""
    found = as_date(when)
    if found is None:
        return ""
    return format_html('<time datetime="{}">{}</time>', found.isoformat(), phrases.written(found))


@register.filter
def dated(when, precision):
    """Show a day no more exactly than it is known: about 3 Oct 2026, Oct 2026, 2026, unknown."""
    found = as_date(when)
    if found is None or precision == "unknown":
        return tell("unknown")
    known = found.strftime({"month": "%Y-%m", "year": "%Y"}.get(precision, "%Y-%m-%d"))
    return format_html('<time datetime="{}">{}</time>', known, phrases.dated(found, precision))


@register.filter
def moment(when):
    """Show a moment to the minute: 3 Oct 2026, 14:05."""
    if not isinstance(when, datetime):
        return plain(when)
    local = timezone.localtime(when) if timezone.is_aware(when) else when
    text = f"{phrases.written(local.date())}, {local:%H:%M}"
    return format_html('<time datetime="{}">{}</time>', local.isoformat(timespec="minutes"), text)


def as_date(when):
    """Return the local day of a date or a moment, None of anything else."""
    if isinstance(when, datetime):
        return (timezone.localtime(when) if timezone.is_aware(when) else when).date()
    return when if isinstance(when, date) else None


@register.filter
def figure(f):
    """Show a kinship with the relatives everyone knows beside it: no figure stands alone."""
    if f is None:
        return ""
    return f"{phrases.figure(f)}, {phrases.kin_words(f)}"


@register.filter
def kin(f):
    """Say how close a kinship is."""
    return "" if f is None else phrases.kin_words(f)


@register.filter
def share(part):
    """Show a share in whole per cent."""
    return "" if part is None else phrases.share(part)


@register.filter
def row(things):
    """Join names as in a sentence: A, B and C."""
    return phrases.in_a_row(things)


@register.filter
def either(things):
    """Join names by "or": A, B or C."""
    return phrases.one_of(things)


@register.filter
def at(mapping, key):
    """Return what a mapping holds under a key that a template cannot spell, "" for nothing."""
    return (mapping or {}).get(key, "")


@register.filter
def level_word(level):
    """Say an objection's level: it is told by this word and by a shape, never by colour alone."""
    return {
        STOP: pgettext("level", "Stop"),
        ASK: pgettext("level", "Ask"),
        NOTE: pgettext("level", "Note"),
    }[level]


@register.filter
def may_be_breach(objections):
    """Return whether there is a stop, and every stop may have happened all the same."""
    stops = [o for o in objections if o.is_stop]
    return bool(stops) and all(o.possible for o in stops)


@register.filter
def birth(animal):
    """Show when an animal was born, as exactly as it is known."""
    return phrases.dated(animal.born, animal.born_precision)


@register.filter
def said(thing):
    """Say a thing with its dates written out."""
    return phrases.said(thing)


@register.filter
def correction(entry, user):
    """Return where somebody may correct an entry of a time line, empty where they may not."""
    return entry.correction(user)


@register.simple_tag(takes_context=True)
def word(context, slug, shown=""):
    """Show a word; at its first use on a page as a quiet button that opens what it means."""
    text = tell(shown or WORDS[slug].word)
    explained = _explained(context)
    if slug in explained:
        return text
    explained[slug] = WORDS[slug]
    shape = '<button type="button" class="word" popovertarget="told-{}">{}</button>'
    return format_html(shape, slug, text)


@register.simple_tag(takes_context=True)
def meanings(context):
    """Put what the words of a page mean at its end, each closed until its button is used."""
    shape = (
        '<div popover class="told" id="told-{0}"><p><b>{1}</b>: {2}</p>'
        '<p><a href="{3}#word-{0}">{4}</a></p></div>'
    )
    help_page = reverse("help")
    words = _explained(context).values() if context.get("request") else ()
    all_words = tell("All words")
    told = ((w.slug, tell(w.word), tell(w.told), help_page, all_words) for w in words)
    return format_html_join("\n", shape, told)


def _explained(context):
    """Return the words explained on this page so far, by slug; all where there is no page."""
    request = context.get("request")
    return request.__dict__.setdefault("words_explained", {}) if request else WORDS
