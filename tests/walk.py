"""Walks the pages of the site from link to link, and says what each of them costs."""

import re
from collections import Counter, deque
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from time import process_time
from urllib.parse import urljoin

from django.contrib.staticfiles import finders
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, get_resolver, resolve
from django.urls.exceptions import Resolver404

HREF = re.compile(r'<a\b[^>]*?\bhref="(/[^"#]*)')
LOADED = re.compile(r'<(?:link|script|img)\b[^>]*?\b(?:href|src)="/static/([^"?]+)')
IMPORTED = re.compile(r"@import\b|\burl\(")
ADMIN = "admin"  # Django's own pages


@dataclass(frozen=True, kw_only=True)
class Visit:
    """What one page cost: questions to the database, bytes, seconds of processor time."""

    name: str
    address: str
    status: int
    is_page: bool
    queries: tuple[str, ...]
    sent: int
    loaded: int
    seconds: float
    links: tuple[str, ...]

    @property
    def weight(self):
        """The bytes of a page and of every file it loads, not compressed; 0 of a file."""
        return self.sent + self.loaded if self.is_page else 0


def visit(client, address):
    """Open a page and count."""
    with CaptureQueriesContext(connection) as asked:
        began = process_time()
        answer = client.get(address)
        body = answer.getvalue()
        seconds = process_time() - began
    is_page = answer.headers.get("Content-Type", "").startswith("text/html")
    text = body.decode() if is_page else ""
    return Visit(
        name=name_of(address),
        address=address,
        status=answer.status_code,
        is_page=is_page,
        queries=tuple(query["sql"] for query in asked.captured_queries),
        sent=len(body),
        loaded=sum(size(path) for path in set(LOADED.findall(text))),
        seconds=seconds,
        links=tuple(urljoin(address, unescape(href)) for href in HREF.findall(text)),
    )


def size(path):
    """Return how many bytes a file has that a page loads; it must load no other file in turn."""
    file = Path(finders.find(path))
    if file.suffix == ".css":
        assert not IMPORTED.search(file.read_text(encoding="utf-8")), path
    return file.stat().st_size


def name_of(address):
    """Return the name of the page at an address, None where there is none."""
    try:
        return resolve(address.partition("?")[0]).view_name
    except Resolver404:
        return None


def walk(client, begin, each):
    """Yield a visit to each page that links lead to, to so many addresses of one kind at most."""
    waiting, met, seen = deque(begin), set(begin), Counter()
    while waiting:
        address = waiting.popleft()
        name = name_of(address)
        if name is None or name.startswith(ADMIN) or seen[name] >= each:
            continue
        seen[name] += 1
        found = visit(client, address)
        yield found
        fresh = [link for link in found.links if link not in met]
        met.update(fresh)
        waiting.extend(fresh)


def names(patterns=None, space=""):
    """Yield the names of all pages but the administration's."""
    for one in patterns or get_resolver().url_patterns:
        if isinstance(one, URLPattern):
            yield f"{space}{one.name}"
        elif one.namespace != ADMIN:
            inner = f"{space}{one.namespace}:" if one.namespace else space
            yield from names(one.url_patterns, inner)


def table(visits):
    """Return what each kind of page cost at most, the dearest first, as lines of text."""
    by_name = {}
    for one in visits:
        by_name.setdefault(one.name, []).append(one)
    yield f"{'page':32} {'visits':>6} {'queries':>7} {'kB':>5} {'ms':>6}  the one that asks most"
    for name, some in sorted(by_name.items(), key=lambda item: -max(map(_asked, item[1]))):
        most = max(some, key=_asked)
        weight, time = max(v.weight for v in some), max(v.seconds for v in some)
        yield (
            f"{name:32} {len(some):6} {_asked(most):7} {weight / 1000:5.0f} {time * 1000:6.0f}"
            f"  {most.address}"
        )


def _asked(one):
    return len(one.queries)
