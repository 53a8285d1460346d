"""A rule that cannot be found stops the start."""

from django.conf import settings
from django.core.checks import Error, register
from django.utils.module_loading import import_string

RULE_SETTINGS = ("PLACEMENT_RULES", "PAIRING_RULES", "DEPARTURE_RULES", "CARRYING_RULES")


@register()
def rules_can_be_found(app_configs, **kwargs):
    """Report every rule in the settings that names nothing callable."""
    return [
        problem
        for setting in RULE_SETTINGS
        for path in getattr(settings, setting)
        if (problem := _problem(setting, path))
    ]


def _problem(setting, path):
    try:
        rule = import_string(path)
    except ImportError as error:
        return Error(f"{setting} names {path}, which cannot be found: {error}", id="registry.E001")
    if not callable(rule):
        return Error(f"{setting} names {path}, which is not a rule.", id="registry.E002")
    return None
