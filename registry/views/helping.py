"""The help page: the words, the rules, the figures, and how the register begins."""

from django.shortcuts import render

from ..glossary import CHAPTERS
from ..helping import help_sections


def help_show(request):
    """Explain every word, rule and figure."""
    context = {"chapters": CHAPTERS, "sections": help_sections()}
    return render(request, "registry/help_show.html", context)
