"""What one page has fetched already, so that it fetches nothing twice; forgotten at every write."""

from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps

from django.db import connection

_shelf = ContextVar("shelf", default=None)
READS = ("SELECT", "SAVEPOINT", "RELEASE")
ELSEWHERE = ('"django_session"', '"auth_user"')


def one_page(get_response):
    """Keep what is fetched while one page is made; named in the settings as middleware."""

    def page(request):
        shelf = {}
        with _opened(shelf):
            response = get_response(request)
        if getattr(response, "streaming", False) and not response.is_async:
            response.streaming_content = _sent(shelf, response.streaming_content)
        return response

    return page


@contextmanager
def _opened(shelf):
    token = _shelf.set(shelf)
    try:
        with connection.execute_wrapper(_watch):
            yield
    finally:
        _shelf.reset(token)


def _sent(shelf, pieces):
    """Yield the pieces of a table that is sent while it is made, each with the same shelf."""
    pieces = iter(pieces)
    while True:
        with _opened(shelf):
            try:
                piece = next(pieces)
            except StopIteration:
                return
        yield piece


def of_one_proposal(rule):
    """Let the rules on one proposal share what they fetch, where no page does."""

    @wraps(rule)
    def objections(proposal):
        with of_herd(proposal.herd):
            return list(rule(proposal))

    return objections


@contextmanager
def of_herd(herd):
    """Keep with a herd what is fetched about it, where no page is made and nothing written."""
    if is_open():
        yield
        return
    token = _shelf.set(herd.once("shelf", dict))
    try:
        yield
    finally:
        _shelf.reset(token)


def _watch(execute, sql, params, many, context):
    """Forget everything as soon as something about the register is written, or taken back."""
    if not sql.startswith(READS) and not any(table in sql for table in ELSEWHERE):
        forget()
    return execute(sql, params, many, context)


def is_open():
    """Whether a page is being made, so that what is fetched is kept."""
    return _shelf.get() is not None


def kept(key, make):
    """Return what `make()` gave the first time this page asked for it under this key."""
    shelf = _shelf.get()
    if shelf is None:
        return make()
    if key not in shelf:
        made = make()
        _shelf.get()[key] = made
        return made
    return shelf[key]


def about(name, keys):
    """Return what this page kept under a name about these keys, or about more than these."""
    for kept_under, found in (_shelf.get() or {}).items():
        if kept_under[0] == name and kept_under[1] >= keys:
            return found
    return None


def forget():
    """Let everything be fetched anew."""
    if _shelf.get():
        _shelf.get().clear()
