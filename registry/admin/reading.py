"""Administration pages on which entries are read; what is wrong is corrected, never overwritten."""

from django.contrib import admin
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from ..correcting import can_be_corrected
from ..telling import tell


class Kept(admin.ModelAdmin):
    """Rows that are never deleted."""

    list_per_page = 50
    show_full_result_count = False

    def has_delete_permission(self, request, obj=None):
        """Nobody deletes what is on record."""
        return False


class ReadOnly(Kept):
    """Rows that are only read here."""

    def has_add_permission(self, request):
        """They are made elsewhere."""
        return False

    def has_change_permission(self, request, obj=None):
        """They are changed elsewhere, if at all."""
        return False


class FactAdmin(Kept):
    """Facts: entered through a door where `form` has one, and read-only once entered."""

    def has_add_permission(self, request):
        """Only what has a door can be entered here, by whoever may use it."""
        return hasattr(self.form, "act") and request.user.has_perm(self.form.right)

    def has_change_permission(self, request, obj=None):
        """A fact is not changed; a correction replaces it."""
        return False

    def get_list_display(self, request):
        """Show the fact, when it was entered, and whether it still stands."""
        return ("__str__", "entered_at", "entered_by", "stands")

    @admin.display(boolean=True, description=_("stands"))
    def stands(self, fact):
        """Whether it has been neither corrected nor withdrawn."""
        return fact.superseded_at is None and not fact.void

    @admin.display(description=_("correction"))
    def correction(self, fact):
        """Link to the page on which it is corrected."""
        if not can_be_corrected(fact):
            return tell("Corrected on its own page, or corrected already.")
        address = reverse("fact-correct", args=[fact._meta.label_lower, fact.pk])
        return format_html('<a href="{}">Correct this entry</a>', address)

    def get_fields(self, request, obj=None):
        """Ask what the door asks; show all there is."""
        if obj is None:
            return list(self.form.base_fields)
        names = [f.name for f in self.opts.fields if f.name != "id"]
        return [*names, *[f.name for f in self.opts.many_to_many], "correction"]

    def get_readonly_fields(self, request, obj=None):
        """Nothing on record is written over."""
        return () if obj is None else self.get_fields(request, obj)

    def get_inlines(self, request, obj):
        """Show what belongs to a fact once it is there."""
        return [] if obj is None else self.inlines

    def get_form(self, request, obj=None, change=False, **kwargs):
        """Let the door know who enters."""
        form = super().get_form(request, obj, change=change, **kwargs)
        return type(form.__name__, (form,), {"by": request.user})

    def save_model(self, request, obj, form, change):
        """Enter through the door."""
        made = form.act()
        obj.pk = made.pk
        obj.refresh_from_db()
