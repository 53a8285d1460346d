"""The form for who an animal is."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..codes import check_code, codes_in_use
from ..identity import contradicted_by
from ..lifetime import NotOnThatDay
from ..models import Animal, Locality
from ..phrases import dated
from ..separating import refuse_birth
from ..telling import tell
from .days import PastDayField

IDENTITY = ("code", "taxon", "locality", "source_code", "born", "born_precision")


class AnimalForm(forms.ModelForm):
    """Code, name, taxon, place, origin and birth; a change of these says why."""

    born = PastDayField(
        required=False,
        label=_("Born"),
        help_text=_("Metamorphosis where there is one, else hatching. Leave empty if unknown."),
    )
    why = forms.CharField(
        max_length=400,
        required=False,
        label=_("Why it is changed"),
        help_text=_("Kept with the change. Needed for anything but name, owner and note."),
    )

    class Meta:
        model = Animal
        fields = (*IDENTITY[:1], "name", *IDENTITY[1:], "owner", "note")
        labels = {"born_precision": _("Known")}
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["locality"].queryset = Locality.objects.select_related("taxon")
        self.fields["locality"].label_from_instance = lambda one: f"{one.name} ({one.taxon})"
        self.before = {name: self._shown(name) for name in IDENTITY} if self.instance.pk else {}
        if not self.instance.pk:
            del self.fields["why"]

    def _shown(self, name):
        """Return a value as the record of a change says it."""
        one = self.instance
        if name == "born":
            return dated(one.born, one.born_precision) if one.born else "unknown"
        return str(getattr(one, name) or "unknown")

    def clean_code(self):
        """Refuse a code that cannot be written on a label, or is in use."""
        code = self.cleaned_data["code"].strip()
        check_code(code)
        same = self.instance.pk and code.casefold() == self.before["code"].casefold()
        if not same and codes_in_use([code]):
            raise forms.ValidationError(
                tell("“{code}” is in use already; choose another code.", code=code)
            )
        return code

    def clean(self):
        """Refuse a place of another taxon, and a change without a reason."""
        data = super().clean()
        place, taxon = data.get("locality"), data.get("taxon")
        if place and taxon and place.taxon_id != taxon.pk:
            self.add_error(
                "locality", tell("{place} is a place of {taxon}.", place=place, taxon=place.taxon)
            )
        if self.instance.pk and set(self.changed_data) & set(IDENTITY) and not data.get("why"):
            self.add_error("why", tell("Say why; it is kept with the change."))
        return data

    def _post_clean(self):
        """Refuse what contradicts the record once the animal is as typed."""
        super()._post_clean()
        if not self.instance.pk or self.errors:
            return
        one = self.instance
        where = "born" if "born" in self.changed_data else None
        try:
            if one.clutch_id:
                refuse_birth(one.clutch, one.separated_on, one.born, one.born_precision)
        except NotOnThatDay as problem:
            self.add_error(where, str(problem))
            return
        for sentence in contradicted_by(one):
            self.add_error(where, sentence)

    def said(self):
        """Say what was changed, from what to what, and why."""
        changed = [name for name in IDENTITY if self.before[name] != self._shown(name)]
        told = [
            f"{self.fields[name].label or name}: {self.before[name]} → {self._shown(name)}"
            for name in changed
            if name != "born_precision"
        ]
        rest = sorted(set(self.changed_data) - set(IDENTITY) - {"why"})
        told += [tell("{field} changed", field=self.fields[name].label or name) for name in rest]
        why = self.cleaned_data.get("why")
        return f"{'; '.join(told) or tell('Saved')}.{f' {why}' if why else ''}"[:2000]
