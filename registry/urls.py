"""Every page of the site; other apps are put in by name only."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path

from .views import animals, enclosures, today

urlpatterns = [
    path("", today.today_show, name="today"),
    path("sign-in/", auth_views.LoginView.as_view(template_name="sign_in.html"), name="sign-in"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign-out"),
    path("animals/", animals.animal_list, name="animal-list"),
    path("animals/<int:pk>/", animals.animal_show, name="animal-show"),
    path("enclosures/", enclosures.enclosure_list, name="enclosure-list"),
    path("enclosures/<int:pk>/", enclosures.enclosure_show, name="enclosure-show"),
    path("quarantine/", include("quarantine.urls")),
    path("admin/", admin.site.urls),
]
