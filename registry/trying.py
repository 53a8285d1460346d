"""What an act would raise, found by doing it and undoing it."""

from django.db import transaction


class _Undone(Exception):
    """Ends the trial; never leaves this module."""


def undone(act):
    """Return what `act()` returns, with everything it wrote taken back."""
    found = None
    try:
        with transaction.atomic():
            found = act()
            raise _Undone
    except _Undone:
        return found


def would_raise(act, look):
    """Return what `look()` sees after `act()` that it did not see before; nothing is kept."""

    def seen():
        act()
        return look()

    before = {str(old) for old in look()}
    return [one for one in undone(seen) if str(one) not in before]
