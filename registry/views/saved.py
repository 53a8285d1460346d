"""Filters kept under names: kept, renamed, deleted, each by the person whose they are."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from ..forms.saved import AskedForm, SavedFilterForm
from ..models import SavedFilter
from ..saving import LISTS, address_of, by_list
from ..telling import tell


def filter_list(request):
    """List the filters of whoever asks."""
    return render(request, "registry/filter_list.html", {"lists": by_list(request.user)})


def filter_keep(request):
    """Keep what a list was narrowed by under a name."""
    asked = AskedForm(request.POST or request.GET)
    if not asked.is_valid():
        raise Http404(tell("No such list."))
    kept = SavedFilter(user=request.user, **asked.cleaned_data)
    form = SavedFilterForm(request.POST or None, instance=kept)
    context = {
        "kept": kept,
        "title": tell("Keep a filter of {LISTS}", LISTS=LISTS[kept.page].lower()),
    }
    return _named(request, form, context)


def filter_edit(request, pk):
    """Rename a filter."""
    kept = get_object_or_404(SavedFilter, pk=pk, user=request.user)
    form = SavedFilterForm(request.POST or None, instance=kept)
    title = tell("Rename {name}", name=SavedFilter.objects.get(pk=pk))
    return _named(request, form, {"kept": kept, "title": title})


def _named(request, form, context):
    if request.method == "POST" and form.is_valid():
        kept = form.save()
        messages.success(request, tell("“{kept}” is kept.", kept=kept))
        return redirect(address_of(kept))
    context |= {"form": form, "back": address_of(context["kept"])}
    return render(request, "registry/filter_edit.html", context)


@require_POST
def filter_delete(request, pk):
    """Delete a filter; the list itself stays as it is."""
    kept = get_object_or_404(SavedFilter, pk=pk, user=request.user)
    kept.delete()
    messages.success(request, tell("“{kept}” is deleted.", kept=kept))
    return redirect("filter-list")
