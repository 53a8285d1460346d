"""Quarantine in the administration pages: nothing there goes round the acts."""

from django import forms
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.db.models import Max

from registry.admin.reading import FactAdmin, Kept, ReadOnly
from registry.telling import tell

from . import addresses
from . import models as q
from .protocols import ImpossibleProtocol
from .wording import refuse_impossible


@admin.register(q.Assay)
class AssayAdmin(Kept):
    """Kinds of test; what a positive means until decided may be set by the keeper."""

    list_display = ("name", "code", "default_verdict")

    def get_readonly_fields(self, request, obj=None):
        """A code that results go by is not changed."""
        return () if obj is None else ("code",)


@admin.register(q.Protocol)
class ProtocolAdmin(Kept):
    """Protocols by name; their rules are in their versions."""

    list_display = ("name", "retired")


class LinesFormSet(forms.BaseInlineFormSet):
    """The tests of a version, which together must not contradict the rest of it."""

    def clean(self):
        """Refuse an impossible protocol with the sentences of the clock."""
        super().clean()
        if any(self.errors) or not self.instance.protocol_id:
            return
        lines = [form.instance for form in self.forms if form.cleaned_data.get("assay")]
        try:
            refuse_impossible(self.instance, lines)
        except ImpossibleProtocol as problem:
            raise ValidationError(list(problem.sentences)) from problem


class Lines(admin.TabularInline):
    """The tests of a version."""

    model = q.ProtocolTest
    formset = LinesFormSet
    extra = 4

    def has_change_permission(self, request, obj=None):
        """A version on record is not changed."""
        return obj is None

    def has_delete_permission(self, request, obj=None):
        """Nor are its tests taken away."""
        return False


@admin.register(q.ProtocolVersion)
class VersionAdmin(Kept):
    """Versions: a new one is entered, those on record are only read."""

    list_display = ("protocol", "number", "min_days", "scope")
    exclude = ("number",)
    inlines = [Lines]

    def has_change_permission(self, request, obj=None):
        """Isolations run under it; a new version replaces it for those opened later."""
        return False

    def save_model(self, request, obj, form, change):
        """Number the version after the last."""
        last = obj.protocol.versions.aggregate(last=Max("number"))["last"] or 0
        obj.number = last + 1
        super().save_model(request, obj, form, change)


class Members(admin.TabularInline):
    """Who belongs to an isolation."""

    model = q.Membership
    extra = 0
    can_delete = False
    fields = readonly_fields = ("animal", "start", "end", "entered_at", "entered_by")

    def has_add_permission(self, request, obj=None):
        """Animals join on the page of the batch, where what that delays is shown."""
        return False


class Entered(FactAdmin):
    """Facts entered on the pages of quarantine, and only read here."""

    def correction(self, fact):
        """Say where it is corrected."""
        return tell("On the page of its batch.")


@admin.register(q.Isolation)
class IsolationAdmin(Entered):
    """Isolations with their members."""

    inlines = [Members]
    search_fields = ("name",)


@admin.register(q.Membership, q.Sample, q.Result, q.Course, q.Necropsy, q.Hold)
class EnteredAdmin(Entered):
    """Memberships, samples, results, courses, necropsies and holds."""


@admin.register(q.Clearance)
class ClearanceAdmin(Entered):
    """Signatures: made on the page of the batch, by whoever has that right."""


@admin.register(q.ProtocolTest)
class TestAdmin(ReadOnly):
    """Lines of protocols."""

    __test__ = False


@admin.register(addresses.CalendarAddress)
class CalendarAddressAdmin(ReadOnly):
    """Who has a calendar; the address itself is its owner's and is not shown."""

    list_display = ("user", "renewed_at")
    exclude = ("secret",)


@admin.register(addresses.Reminder)
class ReminderAdmin(ReadOnly):
    """Who is reminded by mail, and when last."""

    list_display = ("user", "sent_on")
