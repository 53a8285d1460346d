"""The pages of arrivals, named as the register's own pages are."""

from django.urls import path

from .views import arrivals, opening

urlpatterns = [
    path("", arrivals.arrival_list, name="arrival-list"),
    path("add/", arrivals.arrival_add, name="arrival-add"),
    path("again/", arrivals.arrival_again, name="arrival-again"),
    path("opening/", opening.stock_open, name="stock-open"),
    path("opening/list.<str:ending>", opening.stock_template, name="stock-template"),
    path("between/", arrivals.arrival_between, name="arrival-between"),
    path("<int:pk>/", arrivals.arrival_show, name="arrival-show"),
]
