"""Whatever is done through the doors, in any order: nobody held meets anybody cleared unnoticed.

A room is kept at random: arrivals, moves of today, of the past and planned, swabs, results, deaths,
releases, loans, young, corrections.  After every act the register is read once more by a plain
reckoning.  `KINWARD_INVARIANT_STEPS=5000` takes so many acts, at random; without it a couple of
hundred are taken, the same at every run.
"""

import os

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from quarantine import rules
from tests.quarantine.room import Room

STEPS = int(os.environ.get("KINWARD_INVARIANT_STEPS", 0))
RUN = 25  # acts in one room


def keep(rooms, *, derandomize, phases=(Phase.generate, Phase.shrink)):
    """Keep so many rooms, one after the other."""
    how = settings(
        max_examples=rooms,
        stateful_step_count=RUN,
        derandomize=derandomize,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=phases,
    )
    run_state_machine_as_test(Room, settings=how)


@pytest.mark.django_db
def test_nobody_held_meets_anybody_cleared_unnoticed():
    """And everyone is in one place, and standings are what a plain reckoning finds."""
    keep(STEPS // RUN or 9, derandomize=not STEPS)


@pytest.mark.django_db
def test_a_rule_that_says_nothing_would_be_noticed(monkeypatch):
    """With the rule on newcomers silent, somebody is found together with a held one."""
    monkeypatch.setattr(rules, "newcomers_are_cleared", lambda proposal: iter(()))
    with pytest.raises(AssertionError, match="are together on"):
        keep(9, derandomize=True, phases=(Phase.generate,))
