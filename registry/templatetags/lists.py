"""The head of a list: the filters somebody keeps for it, and keeping one more."""

from urllib.parse import urlencode

from django import template
from django.urls import reverse

from ..saving import address_of, plain_query

register = template.Library()


@register.inclusion_tag("registry/_kept_filters.html", takes_context=True)
def kept_filters(context, page):
    """Show the filters kept for a list, and a link to keep the one in the address."""
    request = context["request"]
    query = plain_query(request.META.get("QUERY_STRING", ""))
    rows = request.user.saved_filters.filter(page=page)
    kept = [(one, address_of(one), one.query == query) for one in rows]
    is_new = query and not any(same for *_, same in kept)
    asked = urlencode({"page": page, "query": query})
    keep = f"{reverse('filter-keep')}?{asked}" if is_new else ""
    return {"kept": kept, "keep": keep}
