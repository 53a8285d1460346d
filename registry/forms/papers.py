"""Forms for papers that animals come and travel on, with their files."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..arriving import PaperGiven
from ..models import PaperKind
from ..telling import tell
from ..uploads import keep, kept, kept_name, refuse_file
from .codes import animals_field
from .days import DayField, PastDayField


class PaperForm(forms.Form):
    """One paper; a form left empty is no paper."""

    kind = forms.ChoiceField(choices=[("", _("no paper")), *PaperKind.choices], required=False)
    number = forms.CharField(max_length=120, required=False)
    issuer = forms.CharField(max_length=200, required=False, label=_("Issued by"))
    day = PastDayField(required=False, label=_("Issued on"))
    valid_until = DayField(required=False, label=_("Valid until"))
    file = forms.FileField(
        required=False, help_text=_("A PDF, PNG or JPEG file, at most 10 MB."), max_length=200
    )
    kept = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean_file(self):
        """Refuse a file that is too large, or not what its name says."""
        file = self.cleaned_data["file"]
        if file:
            refuse_file(file)
        return file

    def clean(self):
        """Take the file kept from the page before; refuse a file of no kind of paper."""
        data = super().clean()
        data["file"] = data.get("file") or kept(data.get("kept", ""))
        told = any(data.get(name) for name in ("number", "issuer", "day", "file"))
        if told and not data.get("kind") and not self.has_error("kind"):
            self.add_error("kind", tell("Say what kind of paper it is."))
        if data.get("kind") and not told and not self.errors:
            self.add_error("number", tell("Give the number, the issuer or the file of the paper."))
        return data

    def keep_file(self):
        """Keep a file that was handed in until the form is sent again."""
        file = self.files.get(self.add_prefix("file"))
        if file and not self.has_error("file"):
            self.data = self.data.copy()
            self.data[self.add_prefix("kept")] = keep(file)

    @property
    def file_kept(self):
        """The name of the file that is kept, to be shown."""
        return kept_name(self["kept"].value() or "") if self.is_bound else ""

    @property
    def is_used(self):
        """Whether anything was filled in."""
        return self.is_bound and any(self[name].data for name in self.fields)

    def paper(self):
        """Return the paper as it is given, None for an empty form."""
        data = self.cleaned_data
        if not data.get("kind"):
            return None
        return PaperGiven(
            kind=data["kind"],
            number=data["number"],
            issuer=data["issuer"],
            day=data["day"],
            file=data["file"],
        )


class SinglePaperForm(PaperForm):
    """A paper entered on its own, for animals on record."""

    animals = animals_field(required=False, label=_("Animals it is about"))
    note = forms.CharField(
        max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["kind"].required = True
        self.order_fields(
            ["kind", "number", "issuer", "day", "valid_until", "file", "animals", "note", "kept"]
        )


PapersFormSet = forms.formset_factory(PaperForm, extra=3, max_num=3)
