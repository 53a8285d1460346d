"""A keeper's calendar at a secret address, and the reminder by mail."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from registry.telling import tell

from ..addresses import CalendarAddress, Reminder, installation
from ..duties import duties
from ..feed import calendar_of
from ..forms.reminders import ReminderForm

KEPT = 300  # seconds for which a calendar is not worked out again, however often it is asked for


@never_cache
def calendar_show(request):
    """Show the address of one's calendar, and whether a reminder is wanted."""
    known = {"wanted": hasattr(request.user, "reminder"), "email": request.user.email}
    form = ReminderForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        _remind(request, **form.cleaned_data)
        return redirect("quarantine:calendar-show")
    address = CalendarAddress.objects.filter(user=request.user).first()
    context = {"form": form, "address": address, "mail": bool(settings.MAIL_HOST)}
    if address:
        context["link"] = request.build_absolute_uri(_path(address))
    return render(request, "quarantine/calendar_show.html", context)


def _path(address):
    return reverse("quarantine:calendar-feed", args=[address.pk, address.secret])


def _remind(request, wanted, email):
    """Keep what a keeper wants."""
    request.user.email = email
    request.user.save(update_fields=["email"])
    if wanted:
        Reminder.objects.get_or_create(user=request.user)
        messages.success(
            request, tell("The day's round goes to {email} every morning.", email=email)
        )
    else:
        Reminder.objects.filter(user=request.user).delete()
        messages.success(request, tell("No reminder is sent to you."))


@require_POST
def calendar_renew(request):
    """Give an address, or a new one in the place of the old."""
    had = CalendarAddress.objects.filter(user=request.user).exists()
    CalendarAddress.renewed(request.user, timezone.now())
    said = (
        tell("Here is your new address; the old one leads nowhere.")
        if had
        else tell("Here is your address.")
    )
    messages.success(request, said)
    return redirect("quarantine:calendar-show")


@require_POST
def calendar_stop(request):
    """Take the address away."""
    CalendarAddress.objects.filter(user=request.user).delete()
    messages.success(request, tell("Your calendar has no address any more."))
    return redirect("quarantine:calendar-show")


@login_not_required
@require_safe
@never_cache
def calendar_feed(request, pk, secret):
    """Answer with the calendar, without signing in, to whoever knows the address."""
    if CalendarAddress.opened_by(pk, secret) is None:
        raise Http404(tell("No calendar is here."))
    on, host = timezone.localdate(), request.get_host()
    key = f"calendar:{on}:{host}:{request.is_secure()}:{get_language()}"
    made = cache.get_or_set(key, lambda: _calendar(request, on), KEPT)
    headers = {"Content-Disposition": 'inline; filename="kinward.ics"'}
    return HttpResponse(made, content_type="text/calendar; charset=utf-8", headers=headers)


def _calendar(request, on):
    return calendar_of(
        duties(on),
        name="Kinward",
        maker=installation(),
        address=request.build_absolute_uri,
        stamp=timezone.now(),
    )
