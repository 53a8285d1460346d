"""The one shape of a page on which a thing is entered or changed that is no dated fact."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION, CHANGE
from django.db import transaction
from django.shortcuts import redirect, render

from ..identity import log
from ..telling import tell


def record_page(request, form, title, after, intro=""):
    """Show a form, or save it, keep who changed what, and go where `after(thing)` says."""
    if request.method == "POST" and form.is_valid():
        thing = save(form, request.user)
        messages.success(request, tell("{thing} is saved.", thing=thing))
        return redirect(after(thing))
    thing = form.instance
    back = after(thing) if thing.pk else None
    context = {"form": form, "title": title, "intro": intro, "back": back}
    return render(request, "registry/record_edit.html", context)


@transaction.atomic
def save(form, by):
    """Save what a form holds, and keep who entered or changed it."""
    is_new = form.instance.pk is None
    thing = form.save()
    changed = ", ".join(str(form.fields[name].label or name) for name in form.changed_data)
    said = (
        tell("Entered.")
        if is_new
        else tell("Changed: {fields}.", fields=changed or tell("nothing"))
    )
    log(by, thing, ADDITION if is_new else CHANGE, said)
    return thing
