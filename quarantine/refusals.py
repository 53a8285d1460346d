"""Why an act of quarantine cannot be done; nothing was changed."""


class ActRefused(Exception):
    """An act cannot be done as it is told; `field` names what to change, where one thing is."""

    def __init__(self, message, field=None):
        self.field = field
        super().__init__(message)


class StalePage(ActRefused):
    """Something was entered since the page was shown on which an act was decided."""


class NoRight(ActRefused):
    """The person may not do this."""
