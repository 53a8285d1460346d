"""The form by which animals come: who, whence, on what papers, and where they wait."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from registry.arriving import MOST_AT_ONCE, Coming, Newcomer, Told
from registry.codes import counts, listed_codes, run_of_codes
from registry.forms.days import AgreedDayField, PastDayField
from registry.models import (
    DUE,
    ArrivalKind,
    Belief,
    Holding,
    Locality,
    Party,
    PartyKind,
    Precision,
    SourceCode,
    SourceGroup,
    Taxon,
)
from registry.telling import tell

from ..models import Isolation
from ..receiving import Apart, NewSupplier
from .choices import DEALT, VersionField, enclosures_field, free_words

KINDS = [(v, label) for v, label in ArrivalKind.choices if v not in {"return"}]
DUE_BACK = {"required": False, "label": _("Due back on"), "help_text": DUE}
UNUSED = {"keeper", "unknown", "nothing"}
SEXES = ("male", "female", "")


def _is_used(field):
    """Whether somebody filled a field in that is not chosen to begin with."""
    value = field.data if field.form.is_bound else None
    return bool(value) and str(value) not in UNUSED


class ApartFields(forms.Form):
    """Where those that came wait: a batch of their own, one that is open, or neither."""

    version = VersionField(
        required=False,
        empty_label=_("open no isolation now"),
        help_text=_(
            "They are held in any case; the protocol tells until when. It is a "
            "starting point; your veterinarian and local rules come first."
        ),
    )
    name = forms.CharField(max_length=120, required=False, label=_("What the batch is called"))
    batch = forms.ModelChoiceField(
        Isolation.objects.none(),
        required=False,
        label=_("Or they join"),
        empty_label=_("no batch that is open"),
        help_text=_("The days of that batch start again."),
    )
    enclosures = enclosures_field(required=False)

    GROUPS = ()

    def groups(self):
        """Return the fields under their headings; what is seldom needed is folded until used."""
        for heading, names, folded in self.GROUPS:
            fields = [self[name] for name in names.split()]
            used = any(field.errors or _is_used(field) for field in fields)
            yield {"heading": heading, "fields": fields, "folded": folded, "open": used}

    def offer(self, batches, free=()):
        """Offer the protocols in force and the batches that are open; name enclosures to use."""
        self.fields["version"].offer()
        self.fields["batch"].queryset = batches
        self.fields["enclosures"].help_text = f"{DEALT} {free_words(free)}"

    def refuse_both(self, data):
        """Refuse a batch of their own and one to join at once."""
        if data.get("version") and data.get("batch"):
            self.add_error("batch", tell("They join a batch or have one of their own, not both."))

    def apart(self):
        """Return where they wait."""
        data = self.cleaned_data
        return Apart(
            name=data["name"],
            version=data["version"],
            batch=data["batch"],
            enclosures=tuple(data["enclosures"]),
        )


class ArrivalForm(ApartFields):
    """New animals of one taxon and place that came together."""

    day = PastDayField(label=_("Arrived on"))
    kind = forms.ChoiceField(choices=KINDS)
    due_back = AgreedDayField(**DUE_BACK)
    supplier = forms.ModelChoiceField(
        Party.objects.all(), required=False, empty_label=_("a new one, or nobody")
    )
    supplier_name = forms.CharField(max_length=200, required=False, label=_("New supplier, name"))
    supplier_kind = forms.ChoiceField(
        choices=PartyKind.choices, required=False, label=_("New supplier, is a")
    )
    supplier_address = forms.CharField(
        max_length=1000,
        required=False,
        label=_("New supplier, address"),
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    holding = forms.ModelChoiceField(Holding.objects.all(), label=_("Premises"), empty_label=None)
    country = forms.RegexField(
        r"^[A-Za-z]{2}$",
        required=False,
        label=_("Came from (country)"),
        error_messages={"invalid": _("A country is its two letters, as in EC or MG.")},
        help_text=_("Two letters, as in EC or MG."),
    )
    route = forms.CharField(
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Every holding and country passed on the way, mixed ones too."),
    )
    taxon = forms.ModelChoiceField(Taxon.objects.all(), empty_label=_("choose one"))
    locality = forms.ModelChoiceField(
        Locality.objects.select_related("taxon"),
        required=False,
        empty_label=_("unknown, or a new one"),
    )
    locality_name = forms.CharField(max_length=160, required=False, label=_("New locality, name"))
    source_code = forms.ChoiceField(
        choices=SourceCode.choices, initial="U", label=_("Origin (CITES source code)")
    )
    born = PastDayField(required=False, label=_("Born"))
    born_precision = forms.ChoiceField(
        choices=Precision.choices, initial="unknown", label=_("Known")
    )
    count = forms.CharField(
        max_length=20,
        label=_("How many"),
        help_text=_("Males.females.unsexed, as 0.0.6 or 1.2.3; sexes are the seller's word."),
    )
    pattern = forms.CharField(
        max_length=40,
        required=False,
        label=_("Numbered as"),
        help_text=_("EA-### gives EA-001, EA-002 and so on, from the next free number."),
    )
    codes = forms.CharField(
        max_length=20_000,
        required=False,
        label=_("Or their codes"),
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("One to a line: males first, then females, then unsexed."),
    )
    belief = forms.ChoiceField(choices=Belief.choices, initial=Belief.NOTHING, label=_("Parents"))
    sires = forms.IntegerField(
        min_value=1, max_value=999, required=False, label=_("About so many sires")
    )
    dams = forms.IntegerField(
        min_value=1, max_value=999, required=False, label=_("About so many dams")
    )
    group = forms.ModelChoiceField(
        SourceGroup.objects.all(),
        required=False,
        label=_("Or the same parents as"),
        empty_label=_("no earlier arrival"),
    )
    note = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    GROUPS = (
        (_("Coming"), "day kind due_back supplier holding", False),
        (_("A new supplier"), "supplier_name supplier_kind supplier_address", True),
        (_("The way they came"), "country route", True),
        (_("Animals"), "taxon locality source_code count pattern codes", False),
        (_("A new locality, and their age"), "locality_name born born_precision", True),
        (_("What is said of their parents"), "belief sires dams group note", True),
        (_("Where they wait"), "version name batch enclosures", False),
    )

    def clean(self):
        """Refuse what contradicts itself, each beside its field."""
        data = super().clean()
        self.refuse_both(data)
        self._clean_supplier(data)
        self._clean_source(data)
        self._clean_animals(data)
        if data.get("locality") and data.get("locality_name"):
            self.add_error("locality_name", tell("Choose a locality or write a new one, not both."))
        return data

    def _clean_supplier(self, data):
        if data.get("supplier") and data.get("supplier_name"):
            self.add_error("supplier_name", tell("Choose a supplier or write a new one, not both."))
        if data.get("kind") != "opening" and not (
            data.get("supplier") or data.get("supplier_name")
        ):
            self.add_error("supplier", tell("Choose the supplier, or write a new one below."))

    def _clean_source(self, data):
        counted = data.get("belief") == Belief.COUNTED
        for name in ("sires", "dams"):
            if counted and not data.get(name) and not self.has_error(name):
                self.add_error(
                    name, tell("Give a number, at least 1, where the parents are counted.")
                )
            if not counted:
                data[name] = None

    def _clean_animals(self, data):
        """Turn the count and the codes into newcomers."""
        try:
            numbers = counts(data.get("count", "")) if data.get("count") else None
            if numbers is not None:
                data["newcomers"] = self._newcomers(numbers, data)
        except ValidationError as problem:
            self.add_error("count", problem)

    def _newcomers(self, numbers, data):
        total = sum(numbers)
        if not 1 <= total <= MOST_AT_ONCE:
            raise ValidationError(
                tell(
                    "An arrival is of 1 to {MOST_AT_ONCE} animals, not {total}.",
                    MOST_AT_ONCE=MOST_AT_ONCE,
                    total=total,
                )
            )
        sexes = [s for s, n in zip(SEXES, numbers, strict=True) for _ in range(n)]
        codes = self._codes(total, data)
        return tuple(Newcomer(code=c, sex=s) for c, s in zip(codes, sexes, strict=False))

    def _codes(self, total, data):
        """Return a code for each animal; what is wrong with them stands beside their field."""
        try:
            return self._read_codes(total, data)
        except ValidationError as problem:
            self.add_error("codes" if data.get("codes") else "pattern", problem)
            return []

    def _read_codes(self, total, data):
        if data.get("codes") and data.get("pattern"):
            raise ValidationError(tell("Number them or write their codes, not both."))
        if data.get("codes"):
            codes = listed_codes(data["codes"])
            if len(codes) != total:
                raise ValidationError(
                    tell(
                        "{count} codes are given for {total} animals.",
                        count=len(codes),
                        total=total,
                    )
                )
            return codes
        if data.get("pattern"):
            return run_of_codes(data["pattern"], total)
        raise ValidationError(tell("Say how they are numbered, or write their codes."))

    def new_supplier(self):
        """Return the new supplier, None where one on record was chosen."""
        data = self.cleaned_data
        if not data["supplier_name"]:
            return None
        return NewSupplier(
            name=data["supplier_name"],
            kind=data["supplier_kind"] or PartyKind.KEEPER,
            address=data["supplier_address"],
            country=data["country"].upper(),
        )

    def coming(self, papers=()):
        """Return the arrival as it is told."""
        data = self.cleaned_data
        same = ("day", "kind", "supplier", "holding", "route", "note", "taxon", "newcomers")
        return Coming(
            **{name: data[name] for name in (*same, "due_back")},
            locality=data["locality"] or self._new_locality(),
            source_code=data["source_code"],
            born=data["born"],
            born_precision=data["born_precision"],
            country=data["country"].upper(),
            told=Told(
                belief=data["belief"], sires=data["sires"], dams=data["dams"], group=data["group"]
            ),
            papers=tuple(papers),
        )

    def _new_locality(self):
        """Return the locality written in the form, entered at its first use; None for none."""
        name, taxon = self.cleaned_data["locality_name"].strip(), self.cleaned_data["taxon"]
        return Locality.objects.get_or_create(taxon=taxon, name=name)[0] if name else None
