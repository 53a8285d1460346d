"""A line's plan: which pairs to make, steered by the address, entered by one act."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from ..census import Census
from ..entering_plan import PlanOutdated, enter_plan
from ..forms.answers import answers_of
from ..forms.plans import Choices, PlanForm, chosen, posted_pairs
from ..kin_tables import takes_long
from ..objections import Refused
from ..planning import Breeders, figures_of, proposal
from ..reckoning import Question, answered, ask
from ..telling import tell_many
from .lines import line_asked


def line_plan(request, taxon, locality):
    """Show which pairs to make; a plan that takes long is worked out in its turn."""
    plan = _Asked(request, line_asked(taxon, locality))
    if request.method == "POST":
        ask(plan.question, request.user)
        return redirect(f"{request.path}?{request.GET.urlencode()}")
    return plan.page(request, {})


@require_POST
@permission_required("registry.join_pair", raise_exception=True)
def line_plan_enter(request, taxon, locality):
    """Make the pairs that were shown planned pairings: all of them, or none."""
    line = line_asked(taxon, locality)
    plan, answers = _Asked(request, line), answers_of(request)
    pairs, how = posted_pairs(request.POST), {"by": request.user, "reasons": answers.reasons}
    try:
        made = enter_plan(line, pairs, plan.on, known=plan.known, **how)
    except Refused as problem:
        stops = [o for o in problem.objections if o.is_stop]
        return plan.page(request, {**answers.context([], problem), "stops": stops})
    except PlanOutdated as problem:
        return plan.page(request, {**answers.context([]), "outdated": str(problem)})
    messages.success(request, _made(made))
    return redirect("pairing-list")


def _made(pairs):
    return tell_many("{count} pair planned.", "{count} pairs planned.", len(pairs))


class _Asked:
    """What the address asks of a plan, and the plan as far as it is worked out."""

    def __init__(self, request, line):
        self.line, self.on = line, timezone.localdate()
        self.breeders = Breeders(Census(line), self.on)
        self.form = PlanForm.asked(request.GET)
        self.choices = Choices(request.GET, self.breeders)
        self.steering = self.choices.steering(self.form.numbers())
        self.question = Question(
            kind="plan",
            census=self.breeders.census,
            on=self.on,
            asked=self.breeders.question(self.steering),
        )
        long = takes_long(self.breeders.census, self.breeders.animals)
        self.worked, self.reckoning = answered(self.question, long)

    def known(self, one, other):
        """Return both figures of a pair of the plan, None of another."""
        return figures_of(self.worked)(one, other) if self.worked else None

    def page(self, request, more):
        """Return the page, with the plan or with how far it has come."""
        context = {
            "line": self.line,
            "form": self.form,
            "choices": self.choices,
            "chosen": chosen(request.GET),
            "breeders": self.breeders,
            "reckoning": self.reckoning,
            "now": self.breeders.census.kept(self.on).living,
            "query": request.GET.urlencode(),
        }
        if self.worked:
            context["plan"] = proposal(self.breeders, self.steering, self.worked)
        return render(request, "registry/line_plan.html", context | more)
