"""What follows from acts and is only read: breaches and the reasons people gave."""

from django.contrib import admin

from ..models import Answer, Breach
from .reading import ReadOnly


@admin.register(Breach)
class BreachAdmin(ReadOnly):
    """What happened against a stop."""

    list_display = ("message", "who", "entered_at", "closed_on")
    search_fields = ("message", "who", "why")


@admin.register(Answer)
class AnswerAdmin(ReadOnly):
    """The reasons given to asks."""

    list_display = ("message", "reason", "entered_by", "entered_at")
    search_fields = ("message", "reason")
