"""Every page of the site; other apps are put in by name only."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.urls import include, path, register_converter
from django.views.i18n import set_language

from .views import (
    animals,
    beginning,
    breaches,
    breeding,
    brood,
    clutches,
    components,
    conflicts,
    corrections,
    departures,
    enclosures,
    findings,
    happened,
    helping,
    kin,
    loans,
    missing,
    mixing,
    moves,
    one_of_these,
    pairings,
    papers,
    parents,
    parties,
    pedigrees,
    photographs,
    premises,
    saved,
    searching,
    taxa,
    today,
)


class PictureEnding:
    """The endings a picture can be had with."""

    regex = "svg|png|pdf|dot"

    def to_python(self, value):
        """Return the ending."""
        return value

    def to_url(self, value):
        """Return the ending."""
        return value


register_converter(PictureEnding, "ending")

urlpatterns = [
    path("", today.today_show, name="today"),
    path("today/<str:name>/", today.section_show, name="section-show"),
    path("begin/", beginning.begin, name="begin"),
    path("begin/premises/", beginning.begin_premises, name="begin-premises"),
    path("begin/species/", beginning.begin_species, name="begin-species"),
    path("begin/units/", beginning.begin_units, name="begin-units"),
    path("help/", helping.help_show, name="help"),
    path("enclosures/add-several/", beginning.enclosures_add, name="enclosures-add"),
    path("sign-in/", auth_views.LoginView.as_view(template_name="sign_in.html"), name="sign-in"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign-out"),
    path("language/", login_not_required(set_language), name="set-language"),
    path("animals/", animals.animal_list, name="animal-list"),
    path("animals/table.csv", animals.animal_export, name="animal-export"),
    path("filters/", saved.filter_list, name="filter-list"),
    path("filters/keep/", saved.filter_keep, name="filter-keep"),
    path("filters/<int:pk>/change/", saved.filter_edit, name="filter-edit"),
    path("filters/<int:pk>/delete/", saved.filter_delete, name="filter-delete"),
    path("animals/add/", animals.animal_add, name="animal-add"),
    path("animals/<int:pk>/", animals.animal_show, name="animal-show"),
    path("animals/<int:pk>/change/", animals.animal_edit, name="animal-edit"),
    path("animals/<int:pk>/sex/", findings.animal_sex, name="animal-sex"),
    path("animals/<int:pk>/seen/", findings.animal_observe, name="animal-observe"),
    path("animals/<int:pk>/mark/", findings.animal_mark, name="animal-mark"),
    path("animals/<int:pk>/parents/", parents.animal_parents, name="animal-parents"),
    path("animals/<int:pk>/move/", moves.animal_move, name="animal-move"),
    path("animals/<int:pk>/left/", departures.animal_depart, name="animal-depart"),
    path("animals/<int:pk>/missing/", missing.animal_missing, name="animal-missing"),
    path("animals/<int:pk>/outing/", missing.animal_outing, name="animal-outing"),
    path("missing/<int:pk>/found/", missing.missing_found, name="missing-found"),
    path("signs/<int:pk>/gone/", findings.sign_end, name="sign-gone"),
    path("photographs/", photographs.photographs, name="photographs"),
    path(
        "enclosures/<int:pk>/photographs/",
        photographs.enclosure_photographs,
        name="enclosure-photographs",
    ),
    path("marks/<int:pk>/photograph/", findings.mark_photo, name="mark-photo"),
    path("moves/add/", moves.move_add, name="move-add"),
    path("departures/add/", departures.departure_add, name="departure-add"),
    path("entries/<str:kind>/<int:pk>/", corrections.fact_correct, name="fact-correct"),
    path("entries/<str:kind>/<int:pk>/withdraw/", corrections.fact_withdraw, name="fact-withdraw"),
    path("enclosures/", enclosures.enclosure_list, name="enclosure-list"),
    path("enclosures/table.csv", enclosures.enclosure_export, name="enclosure-export"),
    path("enclosures/add/", premises.enclosure_add, name="enclosure-add"),
    path("enclosures/<int:pk>/", enclosures.enclosure_show, name="enclosure-show"),
    path("enclosures/<int:pk>/change/", premises.enclosure_edit, name="enclosure-edit"),
    path("enclosures/<int:pk>/clutch/", clutches.clutch_add, name="clutch-add"),
    path(
        "enclosures/<int:pk>/disinfected/",
        enclosures.enclosure_disinfect,
        name="enclosure-disinfect",
    ),
    path("enclosures/<int:pk>/things/", enclosures.enclosure_carry, name="enclosure-carry"),
    path(
        "enclosures/<int:pk>/happened/<slug:what>/",
        happened.enclosure_happened,
        name="enclosure-happened",
    ),
    path("enclosures/<int:pk>/hatched/", brood.enclosure_hatched, name="enclosure-hatched"),
    path("enclosures/<int:pk>/moved/", moves.enclosure_move, name="enclosure-move"),
    path("one-of-these/<int:pk>/", one_of_these.one_of_show, name="one-of-show"),
    path("one-of-these/<int:pk>/settle/", one_of_these.one_of_settle, name="one-of-settle"),
    path("one-of-these/<int:pk>/open/", one_of_these.one_of_open, name="one-of-open"),
    path("one-of-these/<int:pk>/let-be/", one_of_these.one_of_let_be, name="one-of-let-be"),
    path("e/<str:token>/", enclosures.enclosure_label, name="enclosure-label"),
    path("units/add/", premises.unit_add, name="unit-add"),
    path("units/<int:pk>/change/", premises.unit_edit, name="unit-edit"),
    path("premises/add/", premises.holding_add, name="holding-add"),
    path("premises/<int:pk>/change/", premises.holding_edit, name="holding-edit"),
    path("clutches/", clutches.clutch_list, name="clutch-list"),
    path("clutches/year/<int:year>/", breeding.clutch_year, name="clutch-year"),
    path("animals/<int:pk>/owner/", loans.animal_owner, name="animal-owner"),
    path("animals/<int:pk>/clutch/", mixing.animal_clutch, name="animal-clutch"),
    path("clutches/together/", mixing.clutch_mix, name="clutch-mix"),
    path("clutches/<int:pk>/", clutches.clutch_show, name="clutch-show"),
    path("clutches/<int:pk>/parents/", parents.clutch_parents, name="clutch-parents"),
    path("clutches/<int:pk>/counted/", brood.clutch_count, name="clutch-count"),
    path("clutches/<int:pk>/lost/", brood.clutch_lose, name="clutch-lose"),
    path("clutches/<int:pk>/ended/", brood.clutch_end, name="clutch-end"),
    path("clutches/<int:pk>/young/", brood.clutch_separate, name="clutch-separate"),
    path("taxa/", taxa.taxon_list, name="taxon-list"),
    path("taxa/add/", taxa.taxon_add, name="taxon-add"),
    path("taxa/<int:pk>/change/", taxa.taxon_edit, name="taxon-edit"),
    path("localities/add/", taxa.locality_add, name="locality-add"),
    path("localities/<int:pk>/change/", taxa.locality_edit, name="locality-edit"),
    path("parties/", parties.party_list, name="party-list"),
    path("parties/add/", parties.party_add, name="party-add"),
    path("parties/<int:pk>/", parties.party_show, name="party-show"),
    path("parties/<int:pk>/change/", parties.party_edit, name="party-edit"),
    path("breaches/", breaches.breach_list, name="breach-list"),
    path("breaches/<int:pk>/settle/", breaches.breach_close, name="breach-close"),
    path("conflicts/", conflicts.conflict_list, name="conflict-list"),
    path("search/", searching.search_show, name="search"),
    path("animals/<int:pk>/mates/", pairings.pairing_mates, name="pairing-mates"),
    path("animals/<int:pk>/pedigree/", pedigrees.pedigree_show, name="pedigree-show"),
    path(
        "animals/<int:pk>/pedigree.<ending:ending>", pedigrees.pedigree_file, name="pedigree-file"
    ),
    path(
        "animals/<int:pk>/pedigree/with/<int:other>/",
        pedigrees.pedigree_show,
        name="pedigree-two",
    ),
    path(
        "animals/<int:pk>/pedigree/with/<int:other>.<ending:ending>",
        pedigrees.pedigree_file,
        name="pedigree-two-file",
    ),
    path("animals/<int:pk>/kin/", kin.kin_show, name="kin-show"),
    path("animals/<int:pk>/kin/<int:other>/", kin.kin_why, name="kin-why"),
    path("pairings/", pairings.pairing_list, name="pairing-list"),
    path("pairings/table.csv", pairings.pairing_export, name="pairing-export"),
    path("pairings/join/", pairings.pairing_join, name="pairing-join"),
    path("pairings/<int:pk>/", pairings.pairing_show, name="pairing-show"),
    path("pairings/<int:pk>/join/", pairings.pairing_begin, name="pairing-begin"),
    path("pairings/<int:pk>/end/", pairings.pairing_end, name="pairing-end"),
    path("papers/", papers.paper_list, name="paper-list"),
    path("papers/table.csv", papers.paper_export, name="paper-export"),
    path("papers/add/", papers.paper_add, name="paper-add"),
    path("papers/<int:pk>/", papers.paper_show, name="paper-show"),
    path("papers/<int:pk>/file/", papers.paper_file, name="paper-file"),
    path("papers/", include("registry.paper_urls")),
    path("arrivals/", include("quarantine.arrival_urls")),
    path("lines/", include("registry.line_urls")),
    path("quarantine/", include("quarantine.urls")),
    path("pieces/", components.components_show, name="components"),
    path("admin/", admin.site.urls),
]
