"""README's first command shows the demo collection to its keeper, and to nobody else."""

import os
import re
import signal
import socket
import subprocess
import sys
from contextlib import closing, contextmanager
from http.cookiejar import CookieJar
from io import StringIO
from pathlib import Path
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener

import pytest
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.core.management.base import CommandError
from django.core.wsgi import get_wsgi_application
from django.db import OperationalError
from django.test import RequestFactory

from registry.management.commands import demo
from registry.models import Animal
from tests import make

ROOT = Path(__file__).parent.parent.parent


def stoppable():
    """Heed Ctrl+C even where the tests themselves run in the background, which ignores it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@contextmanager
def running(data, *arguments):
    """Run the command on a folder of its own; it is stopped as a keeper stops it."""
    process = subprocess.Popen(
        [sys.executable, "manage.py", "demo", *arguments],
        cwd=ROOT,
        env={**os.environ, "KINWARD_DATA": str(data), "DATABASE_URL": "sqlite://"},
        stdout=subprocess.PIPE,
        text=True,
        preexec_fn=stoppable,
    )
    try:
        yield process
    finally:
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=60)


def told(process, wanted):
    """Return what the command printed up to the line that matches, and the match."""
    said = ""
    for line in process.stdout:
        said += line
        if found := re.search(wanted, line):
            return said, found
    raise AssertionError(f"No line of the command matches {wanted!r}:\n{said}")


def signed_in(address, password):
    """Return the page a browser comes to after signing in, and what opens further ones."""
    jar = CookieJar()
    browser = build_opener(HTTPCookieProcessor(jar))
    browser.open(f"{address}sign-in/").read()
    token = next(cookie.value for cookie in jar if cookie.name == "csrftoken")
    form = {"username": "keeper", "password": password, "csrfmiddlewaretoken": token}
    return browser.open(f"{address}sign-in/", urlencode(form).encode()).read().decode(), browser


def test_the_demo_is_shown_to_who_reads_its_password(tmp_path):
    """On this machine, styled, with animals; started again it keeps them and the password."""
    with running(tmp_path, "--port", "0") as process:
        said, found = told(process, r"http://127\.0\.0\.1:\d+/")
        password = re.search(r"Sign in as keeper with the password (\w+)", said)[1]
        page, browser = signed_in(found[0], password)
        assert "Sign out" in page
        animals = browser.open(f"{found[0]}animals/").read().decode()
        assert len(set(re.findall(r"/animals/\d+/", animals))) > 20
        style = re.search(r'href="(/static/[^"]+\.css)"', page)[1]
        assert browser.open(found[0] + style[1:]).headers["Content-Type"].startswith("text/css")
    assert process.returncode == 0
    with running(tmp_path, "--no-serve") as process:
        said, found = told(process, r"password (\w+)")
    assert "is kept" in said
    assert found[1] == password


@pytest.mark.django_db
def test_a_register_that_has_accounts_but_no_animals_is_left_alone():
    """Somebody has begun a register of their own there."""
    make.user("mara")
    with pytest.raises(CommandError, match="your own register: set KINWARD_DATA"):
        call_command("demo", "--no-serve")
    assert not Animal.objects.exists()


@pytest.mark.django_db
def test_a_collection_that_is_there_is_kept_and_no_password_told(capsys):
    """The command makes nobody an account in it."""
    make.animal()
    call_command("demo", "--no-serve")
    said = capsys.readouterr().out
    assert "is kept" in said
    assert "Sign in with an account of this collection." in said
    assert not demo.get_user_model().objects.filter(username="keeper").exists()


@pytest.mark.django_db
def test_a_password_changed_since_is_not_told(capsys):
    """Only the one the command itself set."""
    keeper = make.user("keeper")
    assert demo.way_in() == "Sign in with an account of this collection."
    keeper.set_password(demo.demo_password())
    keeper.save()
    assert demo.way_in() == f"Sign in as keeper with the password {demo.demo_password()}"


def test_the_password_is_another_in_every_installation(settings):
    """Nobody can look it up."""
    first = demo.demo_password()
    settings.SECRET_KEY = "another"
    assert demo.demo_password() != first


@pytest.mark.parametrize("port", [-1, 65536])
def test_a_number_that_is_no_port_is_refused(port):
    """With the bounds."""
    with pytest.raises(CommandError, match="choose one from 1 to 65535"):
        demo.held_port(port)


def test_a_port_is_held_from_the_start_for_this_machine_alone():
    """A second demo cannot take it while the first is still loading."""
    with demo.held_port(0) as held:
        host, port = held.getsockname()
        assert host == "127.0.0.1"
        with pytest.raises(CommandError, match=f"Port {port} is in use"):
            demo.held_port(port)


@pytest.mark.parametrize("number", [13, 1])
def test_a_port_that_the_system_keeps_is_said_so(monkeypatch, number):
    """Whatever the reason, it is one sentence."""

    def refused(*_):
        raise OSError(number, "Not for you")

    monkeypatch.setattr(socket.socket, "bind", refused)
    with pytest.raises(CommandError, match=r"Port 80 (may not be opened|cannot be opened)"):
        demo.held_port(80)


@pytest.mark.django_db
def test_a_database_that_cannot_be_used_is_said_in_one_sentence(monkeypatch):
    """A disk that fills up while the collection is loaded, for one."""

    def full(out):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(demo, "prepare", full)
    with pytest.raises(CommandError, match="cannot be used: database or disk is full"):
        call_command("demo", "--no-serve")


@pytest.mark.django_db
def test_a_style_edited_while_the_demo_serves_is_sent_whole(settings, tmp_path, monkeypatch):
    style, served = tmp_path / "edited.css", []
    settings.STATICFILES_DIRS, settings.WHITENOISE_AUTOREFRESH = [tmp_path], False
    finders.get_finder.cache_clear()
    monkeypatch.setattr(demo, "get_internal_wsgi_application", get_wsgi_application)
    monkeypatch.setattr(
        demo.waitress, "create_server", lambda app, **_: served.append(app) or Idle()
    )
    style.write_text("a {}")
    demo.serve(Idle(), StringIO())
    for text in ("a {}", "a {} /* and longer */", "b {}"):
        style.write_text(text)
        assert sent(served[0], "/static/edited.css") == (str(len(text)), text)
    finders.get_finder.cache_clear()


class Idle:
    """A server that does not run, on a port that is not held."""

    def run(self):
        """Answer nobody."""

    def getsockname(self):
        """Return where it would be."""
        return ("127.0.0.1", 8000)


def sent(app, path):
    """Return the length an application says a file has, and what it sends."""
    said = {}
    environ = RequestFactory().get(path).environ
    with closing(app(environ, lambda status, headers, *_: said.update(headers))) as pieces:
        body = b"".join(pieces)
    return said["Content-Length"], body.decode()
