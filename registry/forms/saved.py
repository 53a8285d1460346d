"""The form by which a filter is kept under a name, or renamed."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import SavedFilter
from ..saving import LISTS, MOST, plain_query
from ..telling import tell


class SavedFilterForm(forms.ModelForm):
    """A name for a filter, not given to another one of the same list."""

    class Meta:
        model = SavedFilter
        fields = ("name",)
        help_texts = {"name": _("For example “Calling males, unpaired”.")}

    def clean_name(self):
        """Refuse a name that another filter of this list has."""
        name, mine = " ".join(self.cleaned_data["name"].split()), self.instance
        others = SavedFilter.objects.filter(user=mine.user, page=mine.page).exclude(pk=mine.pk)
        if others.filter(name__iexact=name).exists():
            raise forms.ValidationError(
                tell("You keep a filter called {name} for this list already.", name=name)
            )
        return name

    def clean(self):
        """Refuse more than anybody finds again."""
        if not self.instance.pk and self.instance.user.saved_filters.count() >= MOST:
            raise forms.ValidationError(
                tell("You keep {MOST} filters; delete some first.", MOST=MOST)
            )
        return super().clean()


class AskedForm(forms.Form):
    """Which list, and what is asked of it."""

    page = forms.ChoiceField(choices=list(LISTS.items()))
    query = forms.CharField(required=False, max_length=2000)

    def clean_query(self):
        """Leave out what is no part of a filter."""
        return plain_query(self.cleaned_data["query"])
