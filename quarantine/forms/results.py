"""Forms for what a laboratory reports: one result, all that are awaited, a pasted table."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.forms.days import PastDayField
from registry.telling import tell

from ..models import Outcome, Verdict

NOT_YET = [("", _("not reported yet")), *Outcome.choices]
USUAL = [("", _("as the test has it")), *Verdict.choices]
VERDICT_HELP = _(
    "What a positive means for the batch. Without one the test's own "
    "default holds: Bd starts all again, ranavirus and Bsal are for the "
    "veterinarian, a faecal waits for a decision."
)


class ResultForm(forms.Form):
    """What was reported of one sample."""

    day = PastDayField(label=_("Reported on"))
    outcome = forms.ChoiceField(
        choices=Outcome.choices,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what was reported.")},
    )
    verdict = forms.ChoiceField(choices=USUAL, required=False, help_text=VERDICT_HELP)
    note = forms.CharField(max_length=400, required=False)


class CorrectForm(ResultForm):
    """What the laboratory now says, and why it was corrected."""

    why = forms.CharField(
        max_length=2000, label=_("Why it is corrected"), widget=forms.Textarea(attrs={"rows": 2})
    )


class DecideForm(forms.Form):
    """What a positive means."""

    verdict = forms.ChoiceField(
        choices=Verdict.choices,
        widget=forms.RadioSelect,
        label=_("It means"),
        error_messages={"required": _("Choose what it means.")},
    )
    why = forms.CharField(
        max_length=2000, label=_("Who decides, and why"), widget=forms.Textarea(attrs={"rows": 2})
    )


class AwaitedForm(forms.Form):
    """One line for every sample of a batch that waits for its result."""

    day = PastDayField(label=_("Reported on"))

    def __init__(self, *args, samples=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.samples = {f"outcome-{s.pk}": s for s in samples}
        for name, sample in self.samples.items():
            self.fields[name] = forms.ChoiceField(
                choices=NOT_YET, required=False, label=sample.words
            )
            self.fields[name.replace("outcome", "verdict")] = forms.ChoiceField(
                choices=USUAL, required=False, label=tell("if positive, it means")
            )

    def reported(self):
        """Return (sample, outcome, verdict) for each that has an outcome."""
        data = self.cleaned_data
        return [
            (sample, data[name], data[name.replace("outcome", "verdict")])
            for name, sample in self.samples.items()
            if data[name]
        ]

    def clean(self):
        """Refuse a form without any outcome, and verdicts of what is not positive."""
        data = super().clean()
        if not any(data.get(name) for name in self.samples):
            raise forms.ValidationError(tell("Choose at least one outcome."))
        for name in self.samples:
            verdict = name.replace("outcome", "verdict")
            if data.get(verdict) and data.get(name) != Outcome.POSITIVE:
                self.add_error(verdict, tell("Only a positive result has a verdict."))
        return data


class PasteForm(forms.Form):
    """A table of results as the laboratory sent it."""

    day = PastDayField(label=_("Reported on"), help_text=_("For lines without a day of their own."))
    text = forms.CharField(
        label=_("Lines"),
        max_length=200_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false"}),
        help_text=_(
            "One result on each line, parted by tabs, semicolons or commas: "
            "animal, enclosure or label; test; outcome; and if wanted the day "
            "reported, the verdict, and the day taken. For example: EA-7, Bd "
            "PCR, negative, 2026-05-22"
        ),
    )
