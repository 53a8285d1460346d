"""Proofs of origin: shown with what is missing before they are issued, kept as they were issued."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..forms.proofs import ProofForm
from ..models import Animal, Paper, Proof
from ..phrases import in_a_row
from ..proving import ProofRefused, Proving, is_as_issued, issue, issue_each
from ..telling import tell

PROOFS = Proof.objects.select_related("holding__party", "paper__entered_by")


@permission_required("registry.issue_proof", raise_exception=True)
def proof_issue(request):
    """Show what a proof would say and lack; issue it once that was shown."""
    form = ProofForm(request.POST or None, initial={"papers": "each"} | request.GET.dict())
    context = {"form": form}
    if request.method == "POST" and form.is_valid():
        proving = _proving(form.cleaned_data)
        try:
            if "do" in request.POST:
                return _issued(request, proving, ACTS[form.cleaned_data["papers"]])
            missing, earlier, holding = proving.missing, proving.earlier, proving.holding
            context |= {"shown": proving, "missing": missing}
            context |= {"earlier": earlier, "holding": holding, "sheets": proving.sheets}
        except ProofRefused as problem:
            form.add_error("animals", str(problem))
    return render(request, "registry/proof_issue.html", context)


ACTS = {"each": issue_each, "one": lambda proving, by: [issue(proving, by=by)]}


def _proving(data):
    animals, receiver = data["animals"], data["receiver"]
    return Proving(animals=animals, day=timezone.localdate(), receiver=receiver)


def _issued(request, proving, act):
    proofs = act(proving, by=request.user)
    messages.success(request, tell("Issued: {proofs}.", proofs=in_a_row(proofs)))
    if len(proofs) == 1:
        return redirect("proof-show", proofs[0].pk)
    return redirect("proof-list")


def proof_list(request):
    """List the proofs issued, the latest first."""
    rows = PROOFS.prefetch_related("paper__animals").order_by("-pk")
    page = Paginator(rows, 50).get_page(request.GET.get("page"))
    return render(request, "registry/proof_list.html", {"page": page})


def proof_show(request, pk):
    """Show one proof: of whom, what was missing, what it names and what names it."""
    proof = get_object_or_404(PROOFS, pk=pk)
    context = {
        "proof": proof,
        "animals": proof.paper.animals.select_related("taxon"),
        "earlier": proof.earlier.select_related("paper"),
        "later": proof.later.select_related("paper"),
        "intact": is_as_issued(proof),
    }
    return render(request, "registry/proof_show.html", context)


def animal_papers(request, pk):
    """Show an animal's papers: its own, those we issued, and what is missing for a proof."""
    animal = get_object_or_404(Animal.objects.select_related("taxon"), pk=pk)
    proving = Proving(animals=(animal,), day=timezone.localdate())
    context = {"animal": animal, "lines": animal.register_lines.select_related("holding")}
    context["papers"] = Paper.objects.current().filter(animals=animal).select_related("proof")
    try:
        context["missing"] = proving.missing
    except ProofRefused as problem:
        context["problem"] = str(problem)
    return render(request, "registry/animal_papers.html", context)
