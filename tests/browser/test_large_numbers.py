"""A number larger than the database can hold is refused like any other that means nothing."""

from django.urls import reverse

from registry.models import Animal, OneOfThese
from tests import addresses
from tests.browsing import Reader

LARGE = "99999999999999999999"
TURNED_AWAY = {"sign-out"}  # it ends the visit


def test_no_row_has_a_key_that_large(db):
    for asked in ({"pk": LARGE}, {"pk__in": [LARGE]}, {"taxon": LARGE}, {"taxon__in": [LARGE]}):
        assert not Animal.objects.filter(**asked).exists()
        assert Animal.objects.exclude(**asked).count() == Animal.objects.count()
    assert not OneOfThese.objects.filter(animals=LARGE).exists()
    assert not OneOfThese.objects.filter(animals__in=[LARGE]).exists()


def test_no_form_or_address_fails_at_a_number_too_large(client, room):
    """Every field of every page of the site, all of them at once and each choice by itself."""
    client.force_login(room)
    failed = [
        f"{name}: {told}"
        for name in sorted(set(addresses.pages()) - TURNED_AWAY)
        for told in failures(client, addresses.address(name))
    ]
    assert failed == []


def failures(client, at):
    """Yield what fails at a page once a large number is sent to it in its fields or its address."""
    page = client.get(at)
    if not page.headers.get("Content-Type", "").startswith("text/html"):
        return
    for form in forms_of(page):
        yield from tries(client, form, at)


def forms_of(page):
    """Return the forms of a page, but those that stand on every page."""
    own = {reverse("search"), reverse("set-language"), reverse("sign-out")}
    return [f for f in Reader(page.content.decode()).forms if f.action not in own]


def tries(client, form, at):
    """Yield what fails when a form is sent with a large number in its fields."""
    to = form.action or at
    fields = {**form.values, **form.options, **{name: 1 for name, *_ in form.boxes.values()}}
    fields.pop("csrfmiddlewaretoken", None)
    method, chosen = client.post, {name for name, *_ in form.boxes.values()}
    if form.method == "get":
        method, chosen = client.get, form.options
    sent = [{name: [LARGE] for name in fields}]
    sent += [form.values | {name: [LARGE]} for name in sorted(chosen)]
    buttons = {name: [value] for name, value in form.buttons.values() if name}
    for values in sent:
        if problem := answer(method, to, values | buttons):
            yield f"{to} {problem} {sorted(values)}"
    if problem := answer(client.get, at.partition("?")[0], sent[0]):
        yield f"{at} {problem} in the address"


def answer(method, to, told):
    """Return what went wrong, None where the page answers."""
    try:
        status = method(to, told).status_code
    except OverflowError as why:
        return repr(why)
    return None if status < 500 else status
