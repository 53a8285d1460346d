"""Kinship figures as they are printed in templates."""

from django import template

from .. import phrases
from ..mates import worst_words

register = template.Library()
register.filter("figure", phrases.figure)
register.filter("share", phrases.share)
register.filter("kin_words", phrases.kin_words)
register.filter("worst", worst_words)
