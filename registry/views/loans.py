"""What is lent and what is borrowed."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..forms.as_of import day_asked
from ..forms.owners import OwnerForm
from ..lending import lendings
from ..models import Animal
from ..owning import pass_on
from ..telling import tell
from .acting import nothing, quick_page


def loan_list(request):
    """List what each premises has lent and borrowed on a day, those due first first."""
    on = day_asked(request)
    return render(request, "registry/loan_list.html", {"lendings": lendings(on), "on": on})


@permission_required("registry.register_departure", raise_exception=True)
def animal_owner(request, pk):
    """Enter that an animal on loan was sold, given or exchanged where it is."""
    animal = get_object_or_404(Animal, pk=pk)
    first = {"day": timezone.localdate(), "owner": request.GET.get("to")}
    form = OwnerForm(request.POST or None, initial=first)

    def done(data, answers):
        pass_on(animal, by=request.user, **data)
        told = {"animal": animal, "owner": data["owner"]}
        messages.success(request, tell("{animal} belongs to {owner}.", **told))
        return redirect("animal-show", pk)

    context = {"animal": animal, "title": tell("{animal} passes to another owner", animal=animal)}
    return quick_page(request, form, "registry/animal_act.html", context, raised=nothing, done=done)
