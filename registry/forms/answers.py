"""What somebody answers to objections: a reason for each ask, or that it happened anyway."""

from dataclasses import dataclass, field

from ..objections import ReasonsMissing
from ..placement import Happened


@dataclass(frozen=True, kw_only=True)
class Answers:
    """The written reasons of a form by objection key, and a breach where one is entered."""

    reasons: dict = field(default_factory=dict)
    breach_wanted: bool = False
    who: str = ""
    why: str = ""
    may_breach: bool = False

    @property
    def breach(self):
        """What happened anyway, once it says who and why and the person may enter it."""
        complete = self.breach_wanted and self.may_breach and self.who and self.why
        return Happened(who=self.who, why=self.why) if complete else None

    def context(self, found, refused=None):
        """Return what `_objections.html` shows: the objections, and the answers given so far."""
        return {
            "objections": found,
            "ask_reasons": self.reasons,
            "reasons_missing": isinstance(refused, ReasonsMissing),
            "stopped": any(o.is_stop for o in found),
            "refused": refused is not None,
            "can_breach": self.may_breach,
            "breach_wanted": self.breach_wanted,
            "breach_missing": self.breach_wanted and self.breach is None,
            "breach_who": self.who,
            "breach_why": self.why,
        }


def answers_of(request):
    """Read the answers out of a posted form."""
    posted = request.POST
    reasons = {
        name.removeprefix("reason-"): text.strip()[:2000]
        for name, text in posted.items()
        if name.startswith("reason-")
    }
    return Answers(
        reasons=reasons,
        breach_wanted=bool(posted.get("breach")),
        who=posted.get("breach-who", "").strip()[:120],
        why=posted.get("breach-why", "").strip()[:2000],
        may_breach=request.user.has_perm("registry.enter_breach"),
    )
