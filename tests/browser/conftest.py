"""A real browser, pointed at the site as the tests fill it."""

import sqlite3
from contextlib import closing, contextmanager
from time import monotonic, sleep

import pytest
from asgiref.local import _ThreadCriticalLocal
from django.db import connection
from django.test import Client
from django.utils import timezone
from playwright.sync_api import sync_playwright

from quarantine import demo
from tests import addresses, make

from .finding import NO_CHROMIUM, QUIET, program

DESK = {"width": 1280, "height": 860}
PHONE = {"width": 360, "height": 740}
STORY_TAKES = 240  # seconds to wait for another process before telling the story oneself


@pytest.fixture(scope="session")
def chromium():
    """Start Chromium once; without one these tests are skipped, or fail where none may be."""
    with _one_thread_is_one_connection(), sync_playwright() as play:
        found = program(play) or pytest.skip(NO_CHROMIUM)
        started = play.chromium.launch(executable_path=found, args=QUIET)
        yield started
        started.close()


@contextmanager
def _one_thread_is_one_connection():
    """Keep Django on its connection while Playwright's loop runs in the thread of the tests.

    A running loop makes Django refuse the database, and hand out a second connection if forced;
    nothing here is asynchronous, so a connection for each thread stays right.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        patch.setattr(_ThreadCriticalLocal, "_get_storage", lambda local: local._storage)
        yield


@pytest.fixture(scope="session")
def live_server(django_db_setup, live_server):
    """Serve the site once the tests' database is there, so that both use one connection."""
    return live_server


@pytest.fixture
def keeper(transactional_db):
    """Somebody with every right, who is signed in wherever a page is opened."""
    return make.user("keeper", superuser=True, staff=True)


@pytest.fixture
def room(keeper, tmp_path_factory):
    """The demo keeper's room as it stands today, and the keeper in it.

    The story takes long to tell, so one process tells it and keeps it for every test to copy.
    """
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if base.name.startswith("popen-") else base
    kept = shared / f"room-{timezone.localdate()}.sqlite3"
    if not _there(kept):
        demo.load(timezone.localdate())
        addresses.furnish(keeper)
        if connection.vendor == "sqlite":
            _keep(kept)
    else:
        with closing(sqlite3.connect(kept)) as story:
            story.backup(connection.connection)
    keeper.pk = type(keeper).objects.get(username=keeper.username).pk
    keeper.refresh_from_db()
    return keeper


def _there(kept):
    """Return whether the room is kept already; wait for it if another process is at it."""
    if connection.vendor != "sqlite":
        return False
    try:
        kept.with_suffix(".begun").touch(exist_ok=False)
    except FileExistsError:
        until = monotonic() + STORY_TAKES
        while not kept.exists() and monotonic() < until:
            sleep(0.2)
    return kept.exists()


def _keep(kept):
    """Keep the database as it is; it is there for others once it is whole."""
    part = kept.with_suffix(".part")
    with closing(sqlite3.connect(part)) as copy:
        connection.connection.backup(copy)
    part.replace(kept)


@pytest.fixture
def opened(chromium, live_server, keeper):
    """Open a page of the site: `opened("/path/")`, as on a phone or in the dark if asked for."""
    contexts = []

    def show(path, *, size=DESK, scheme="light", scripts=True, signed_in=True):
        context = chromium.new_context(
            viewport=size,
            color_scheme=scheme,
            java_script_enabled=scripts,
            has_touch=size is PHONE,
            is_mobile=size is PHONE,
        )
        if signed_in:
            context.add_cookies([_cookie(keeper, live_server.url)])
        contexts.append(context)
        page = context.new_page()
        page.goto(live_server.url + path)
        return page

    yield show
    for context in contexts:
        context.close()


def _cookie(person, address):
    """Return the cookie of somebody signed in."""
    client = Client()
    client.force_login(person)
    return {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": address}
