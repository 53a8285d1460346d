"""What models and their fields are called where nobody named them: by their names, in words.

Django makes these names of what the code calls things; here each language may say them its own way.
"""

from django.utils.text import camel_case_to_spaces
from django.utils.translation import pgettext_lazy

FIELD, MODEL = "field", "model"


def name_in_each_language(models):
    """Let the names of models and fields that Django made be read in the reader's language."""
    for model in models:
        options = model._meta
        one, many = _made_of(model)
        if one:
            options.verbose_name = pgettext_lazy(MODEL, one)
        if many:
            options.verbose_name_plural = pgettext_lazy(MODEL, many)
        for field in _unnamed(model):
            field.verbose_name = pgettext_lazy(FIELD, _words_of(field))


def made_names(models):
    """Yield `(context, name)` for every name that Django made."""
    for model in models:
        yield from ((MODEL, name) for name in _made_of(model) if name)
        yield from ((FIELD, _words_of(field)) for field in _unnamed(model))


def _made_of(model):
    """Return the names of one and of many, each "" where it was given."""
    given, one = model._meta.original_attrs, camel_case_to_spaces(model._meta.object_name)
    named = "verbose_name" in given
    return "" if named else one, "" if "verbose_name_plural" in given or named else f"{one}s"


def _unnamed(model):
    return [f for f in model._meta.concrete_fields if f._verbose_name is None and not f.primary_key]


def _words_of(field):
    return field.name.replace("_", " ")
