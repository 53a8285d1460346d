"""Choices that several forms offer: animals to tick, enclosures by unit, laboratories."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.forms.codes import CodesField
from registry.models import Animal, Enclosure, Party
from registry.telling import tell

from ..models import Assay, ProtocolVersion
from ..wording import in_force


class AnimalsField(forms.ModelMultipleChoiceField):
    """Animals to tick."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, animals=(), **kwargs):
        kwargs.setdefault("error_messages", {"required": _("Choose at least one animal.")})
        rows = Animal.objects.filter(pk__in=[a.pk for a in animals])
        super().__init__(rows.select_related("taxon"), **kwargs)


class EnclosuresField(forms.ModelMultipleChoiceField):
    """Enclosures to tick, with their unit."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, enclosures=None, **kwargs):
        rows = Enclosure.objects.filter(retired_on__isnull=True)
        if enclosures is not None:
            rows = rows.filter(pk__in=[e.pk for e in enclosures])
        super().__init__(rows.select_related("unit"), **kwargs)

    def label_from_instance(self, enclosure):
        """Say which unit it stands in and what that is for."""
        return f"{enclosure.code}, {enclosure.unit} ({enclosure.unit.get_role_display()})"


DEALT = _("Codes, with commas between; animals are dealt out evenly in the order of their codes.")


def enclosures_field(**kwargs):
    """Return a field for enclosures by their codes."""
    rows = Enclosure.objects.filter(retired_on__isnull=True).select_related("unit")
    return CodesField(rows, label=_("Into"), help_text=DEALT, **kwargs)


def free_words(enclosures):
    """Say which enclosures are empty and meant for those that come."""
    codes = [e.code for e in enclosures]
    return tell("Empty in quarantine: {join}.", join=", ".join(codes[:12])) if codes else ""


class AssaysField(forms.ModelMultipleChoiceField):
    """Kinds of test to tick."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs):
        super().__init__(Assay.objects.all(), **kwargs)


class VersionField(forms.ModelChoiceField):
    """A protocol in force, by its newest version."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", _("Protocol"))
        kwargs.setdefault(
            "help_text", _("A starting point; your veterinarian and local rules come first.")
        )
        super().__init__(ProtocolVersion.objects.none(), **kwargs)

    def offer(self):
        """Offer the protocols in force now."""
        keys = [version.pk for version in in_force()]
        self.queryset = ProtocolVersion.objects.filter(pk__in=keys).select_related("protocol")

    def label_from_instance(self, version):
        """Say how long it lasts."""
        return tell(
            "{protocol} ({min_days} days)", protocol=version.protocol, min_days=version.min_days
        )


class PartyField(forms.ModelChoiceField):
    """A person or firm on record."""

    def __init__(self, kinds=(), **kwargs):
        rows = Party.objects.filter(kind__in=kinds) if kinds else Party.objects.all()
        super().__init__(rows, **kwargs)


def laboratory(**kwargs):
    """Return a field for a laboratory, which may be left open."""
    return PartyField(kinds=["laboratory"], required=False, empty_label=_("not said"), **kwargs)


def veterinarian(**kwargs):
    """Return a field for a veterinarian, who may be left open."""
    return PartyField(kinds=["veterinarian"], required=False, empty_label=_("not said"), **kwargs)
