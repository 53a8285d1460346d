"""Protocols and their wording; an isolation keeps the version it was opened under."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render

from registry.telling import tell

from .. import wording
from ..forms.protocols import RULES, NewProtocolForm, TestsFormSet, VersionForm
from ..models import Protocol
from ..protocols import ImpossibleProtocol

FIELDS = ("assay", "n", "gap", "first", "last", "per", "k", "tailed_only")


def protocol_list(request):
    """List the protocols in force with what each asks, and those that are retired."""
    context = {"versions": wording.in_force(), "retired": Protocol.objects.filter(retired=True)}
    return render(request, "quarantine/protocol_list.html", context)


def protocol_show(request, pk):
    """Show every version of a protocol, the newest first."""
    protocol = get_object_or_404(Protocol, pk=pk)
    versions = wording.versions().filter(protocol=protocol).order_by("-number")
    context = {"protocol": protocol, "versions": versions}
    return render(request, "quarantine/protocol_show.html", context)


@permission_required("quarantine.add_protocolversion", raise_exception=True)
def protocol_edit(request, pk):
    """Word a protocol anew; isolations that run keep the version they opened under."""
    protocol = get_object_or_404(Protocol, pk=pk)
    newest = wording.versions().filter(protocol=protocol).order_by("-number").first()
    form = VersionForm(request.POST or None, initial=_first(newest))
    lines = [{name: getattr(t, name) for name in FIELDS} for t in newest.tests.all()]
    tests = TestsFormSet(request.POST or None, initial=lines, prefix="test")
    context = {
        "title": tell("Word “{protocol}” anew", protocol=protocol),
        "protocol": protocol,
        "tests": tests,
    }

    def act(rules, rows):
        return wording.reword(protocol, rows, **rules)

    return _page(request, form, tests, context, act)


@permission_required("quarantine.add_protocolversion", raise_exception=True)
def protocol_add(request):
    """Enter a protocol of your own."""
    form = NewProtocolForm(request.POST or None)
    tests = TestsFormSet(request.POST or None, prefix="test")
    context = {"title": tell("A protocol of your own"), "tests": tests}

    def act(rules, rows):
        return wording.begin(rules.pop("protocol_name"), rows, **rules)

    return _page(request, form, tests, context, act)


def _first(version):
    return {name: getattr(version, name) for name in RULES}


def _page(request, form, tests, context, act):
    """Show both forms; save them where the protocol does not contradict itself."""
    if request.method == "POST" and form.is_valid() and tests.is_valid():
        rows = [row for row in (one.line() for one in tests) if row]
        try:
            version = act(dict(form.cleaned_data), rows)
        except ImpossibleProtocol as problem:
            for sentence in problem.sentences:
                form.add_error(None, sentence)
        else:
            messages.success(
                request,
                tell("{version} is in force for isolations opened from now on.", version=version),
            )
            return redirect("quarantine:protocol-show", version.protocol_id)
    return render(request, "quarantine/protocol_edit.html", context | {"form": form})
