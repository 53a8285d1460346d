"""Forms of the administration pages that enter facts through the register's doors."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from ..objections import Refused
from ..placement import Happened
from ..refusals import REFUSALS
from ..trying import undone

LINES = forms.Textarea(attrs={"rows": 2})


class DoorForm(forms.ModelForm):
    """A form whose `act()` is a door; what the door refuses is said, and nothing is saved."""

    by = None
    right = ""

    def clean(self):
        """Try the door, and say what it refuses."""
        data = super().clean()
        if not self.errors:
            try:
                undone(self.act)
            except Refused as refused:
                self.say(refused)
            except REFUSALS as problem:
                self.add_error(None, str(problem))
            except ValidationError as problem:
                self.add_error(None, problem.messages)
        return data

    def say(self, refused):
        """Say each objection."""
        self.add_error(None, [f"{o.level.capitalize()}: {o.message}" for o in refused.objections])

    def _post_clean(self):
        """Leave to the door what the fact must be."""

    def data_of(self, *names):
        """Return some of what was typed, by name."""
        return {name: self.cleaned_data[name] for name in names}


class AskingForm(DoorForm):
    """A door that may ask: one reason answers all questions that were shown."""

    reason = forms.CharField(
        required=False,
        max_length=2000,
        widget=LINES,
        label=_("Why it is right all the same"),
        help_text=_("Answers every question shown above; it is kept with each."),
    )
    shown = forms.CharField(required=False, widget=forms.HiddenInput)

    def answers(self):
        """Return the reason for each question that was shown before."""
        reason = self.cleaned_data.get("reason", "").strip()
        keys = self.cleaned_data.get("shown", "").split()
        return dict.fromkeys(keys, reason) if reason else {}

    def say(self, refused):
        """Say each objection, and remember which questions were shown."""
        super().say(refused)
        self.data = self.data.copy()
        self.data[self.add_prefix("shown")] = " ".join(o.key for o in refused.objections)


class BreachForm(AskingForm):
    """A door with stops that may have been passed: what happened anyway is entered as a breach."""

    breach_who = forms.CharField(
        required=False,
        max_length=120,
        label=_("It happened anyway: who did it"),
        help_text=_("Only to enter what did happen against a stop. Needs its own right."),
    )
    breach_why = forms.CharField(
        required=False, max_length=2000, widget=LINES, label=_("Why it happened")
    )

    def breach(self):
        """Return what happened anyway, if somebody with that right says so in full."""
        who, why = self.cleaned_data.get("breach_who"), self.cleaned_data.get("breach_why")
        allowed = self.by.has_perm("registry.enter_breach")
        return Happened(who=who, why=why) if who and why and allowed else None
