"""What the register's own tests run under."""

import pytest


@pytest.fixture
def only_the_register(settings):
    """Leave the rules of other apps out: these tests are about the register's own."""
    for name in ("PLACEMENT_RULES", "PAIRING_RULES", "DEPARTURE_RULES", "CARRYING_RULES"):
        own = [path for path in getattr(settings, name) if path.startswith("registry.")]
        setattr(settings, name, own)
