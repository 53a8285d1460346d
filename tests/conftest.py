"""What every test runs under."""

import pytest


@pytest.fixture(autouse=True)
def quick_passwords(settings):
    """Hash passwords quickly: no test is about how slow that is."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
