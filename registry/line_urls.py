"""The pages of lines; a line's address is its taxon and its locality, or `unknown`."""

from django.urls import path, register_converter

from .line_plots import PLOTS
from .views import lines, plans, reckonings


class Place:
    """A locality's key, or "unknown"."""

    regex = "[0-9]{1,18}|unknown"

    def to_python(self, value):
        """Return the key, None for a locality nobody knows."""
        return None if value == "unknown" else int(value)

    def to_url(self, value):
        """Return the key, or "unknown"."""
        return "unknown" if value is None else str(value)


class Plot:
    """The name of a plot."""

    regex = "|".join(PLOTS)

    def to_python(self, value):
        """Return the name."""
        return value

    def to_url(self, value):
        """Return the name."""
        return value


register_converter(Place, "place")
register_converter(Plot, "plot")

LINE = "<int:taxon>/<place:locality>"

urlpatterns = [
    path("", lines.line_list, name="line-list"),
    path("work/<int:pk>/", reckonings.reckoning_show, name="reckoning-show"),
    path("work/<int:pk>/stop/", reckonings.reckoning_stop, name="reckoning-stop"),
    path(f"{LINE}/", lines.line_show, name="line-show"),
    path(f"{LINE}/mean-kinship.csv", lines.line_export, name="line-export"),
    path(f"{LINE}/picture/<plot:plot>/", lines.line_plot, name="line-plot"),
    path(f"{LINE}/plan/", plans.line_plan, name="line-plan"),
    path(f"{LINE}/plan/enter/", plans.line_plan_enter, name="line-plan-enter"),
    path(f"{LINE}/alleles/", reckonings.line_alleles, name="line-alleles"),
]
