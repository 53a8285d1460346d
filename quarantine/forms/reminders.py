"""The form by which a keeper asks for the day's round by mail."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.telling import tell


class ReminderForm(forms.Form):
    """Whether it is wanted, and where it goes."""

    wanted = forms.BooleanField(required=False, label=_("Send me the day's round every morning"))
    email = forms.EmailField(required=False, label=_("To this address"))

    def clean(self):
        """A reminder goes somewhere."""
        data = super().clean()
        if data.get("wanted") and not data.get("email") and not self.has_error("email"):
            self.add_error("email", tell("Write the address it goes to."))
        return data
