"""Every page of the site; other apps are put in by name only."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path, register_converter

from .views import animals, components, enclosures, kin, pairings, pedigrees, today


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
    path("sign-in/", auth_views.LoginView.as_view(template_name="sign_in.html"), name="sign-in"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign-out"),
    path("animals/", animals.animal_list, name="animal-list"),
    path("animals/<int:pk>/", animals.animal_show, name="animal-show"),
    path("enclosures/", enclosures.enclosure_list, name="enclosure-list"),
    path("enclosures/<int:pk>/", enclosures.enclosure_show, name="enclosure-show"),
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
    path("pairings/join/", pairings.pairing_join, name="pairing-join"),
    path("pairings/<int:pk>/", pairings.pairing_show, name="pairing-show"),
    path("pairings/<int:pk>/join/", pairings.pairing_begin, name="pairing-begin"),
    path("pairings/<int:pk>/end/", pairings.pairing_end, name="pairing-end"),
    path("quarantine/", include("quarantine.urls")),
    path("pieces/", components.components_show, name="components"),
    path("admin/", admin.site.urls),
]
