"""What every test runs under."""

import os

import pytest
from django.conf import settings as site
from django.db import connection
from django.utils import translation
from pytest_django.plugin import blocking_manager_key

# What is committed is emptied out after the test, and with it what the migrations had entered.
GIVES_BACK = pytest.mark.django_db(transaction=True, serialized_rollback=True)
NO_SKIPS = os.environ.get("KINWARD_CI_NO_SKIPS") == "1"


@pytest.fixture(autouse=True)
def quick_passwords(settings):
    """Hash passwords quickly: no test is about how slow that is."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def files_of_their_own(settings, tmp_path_factory):
    """Keep what a test uploads away from the files of whoever runs it."""
    settings.MEDIA_ROOT = tmp_path_factory.getbasetemp() / "media"


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix, tmp_path_factory):
    """Give each process its database; SQLite's is a file, so that threads share no transaction."""
    if not on_postgresql():
        file = tmp_path_factory.mktemp("database") / "tests.sqlite3"
        site.DATABASES["default"].setdefault("TEST", {})["NAME"] = str(file)


def on_postgresql():
    """Return whether the tests run on PostgreSQL."""
    return site.DATABASES["default"]["ENGINE"].endswith("postgresql")


def pytest_collection_modifyitems(config, items):
    """Let tests that commit give back what migrations entered; leave out PostgreSQL's elsewhere."""
    for item in items:
        if commits(item):
            item.add_marker(GIVES_BACK, append=False)
    if not on_postgresql():
        leave_out(config, items, "postgresql")


def commits(item):
    """Return whether a test commits, so that the database is emptied after it."""
    return bool({"live_server", "transactional_db"} & set(item.fixturenames))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(item, nextitem):
    """Give back at once what migrations entered: any test may come next in a shared-out run.

    The language a page was asked for in does not stay for the next test either.
    """
    done = yield
    translation.deactivate()
    if commits(item) and nextitem:
        with item.config.stash[blocking_manager_key].unblock():
            connection.creation.deserialize_db_from_string(connection._test_serialized_contents)
    return done


def leave_out(config, items, marker):
    """Take the tests with a marker out of a run, and have them counted."""
    left_out = [item for item in items if item.get_closest_marker(marker)]
    items[:] = [item for item in items if not item.get_closest_marker(marker)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)


def pytest_report_header():
    """Say which database is asked, and how to ask the other."""
    if on_postgresql():
        return "database: PostgreSQL"
    return "database: SQLite; with DATABASE_URL=postgresql://... the tests run on PostgreSQL"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport():
    """Where nothing may be skipped, make a skipped test a failed one."""
    return forbid_skip((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report():
    """Where nothing may be skipped, make a skipped file a failed one."""
    return forbid_skip((yield))


def forbid_skip(report):
    """Return a report that says failed where it said skipped; a known fault is not a skip."""
    if NO_SKIPS and report.skipped and not hasattr(report, "wasxfail"):
        reason = report.longrepr[-1] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"Skipped where nothing may be skipped: {reason}"
    return report
