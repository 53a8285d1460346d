"""The door opens on a bare checkout, and where it stays shut says why in one sentence.

Nothing is fetched: a checkout of the tests' own pins packages of a few bytes, which pip installs
from a folder.
"""

import ast
import base64
import errno
import hashlib
import importlib.util
import os
import shutil
import socket
import sqlite3
import subprocess
import sys
import threading
import zipfile
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import pytest

DOOR = Path(__file__).parent.parent / "manage.py"
SAYS = "import sys\ndef {}(argv):\n    print('ran', argv, sys.prefix)\n    return 0\n"
DJANGO = {
    "django/__init__.py": "",
    "django/core/__init__.py": "",
    "django/core/management/__init__.py": SAYS.format("execute_from_command_line"),
}
TOOLS = {f"{name}.py": "" for name in ("pytest_django", "xdist", "hypothesis", "playwright")}
TOOLS["pytest.py"] = SAYS.format("main")


def pinned(folder, name, version, files):
    """Make a package of these files in a folder and return the line that pins it."""
    facts = f"{name}-{version}.dist-info"
    wheel = folder / f"{name}-{version}-py3-none-any.whl"
    about = {
        f"{facts}/METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n",
        f"{facts}/WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    with zipfile.ZipFile(wheel, "w") as packed:
        for path, text in {**files, **about}.items():
            packed.writestr(path, text)
        names = [*files, *about]
        packed.writestr(f"{facts}/RECORD", "".join(f"{n},{record(packed, n)}\n" for n in names))
    digest = hashlib.sha256(wheel.read_bytes()).hexdigest()
    return f"{name}=={version} --hash=sha256:{digest}\n"


def record(packed, name):
    """Return what a package's record says of one of its files."""
    data = packed.read(name)
    digest = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=").decode()
    return f"sha256={digest},{len(data)}"


def laid(folder):
    """Lay a bare checkout of the tests' own in a folder."""
    folder.mkdir()
    shutil.copy(DOOR, folder)
    packages = folder / "packages"
    packages.mkdir()
    django = pinned(packages, "django", "99.1", DJANGO)
    (folder / "requirements.txt").write_text(django)
    tools = pinned(packages, "tools", "1", TOOLS)
    (folder / "requirements-dev.txt").write_text(django + tools)
    return folder


def knocked(folder, *arguments, **environment):
    """Run the door of a checkout; packages come from its folder alone."""
    fetches = {
        "PIP_CONFIG_FILE": os.devnull,
        "PIP_FIND_LINKS": str(folder / "packages"),
        "PIP_NO_INDEX": "1",
    }
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=folder,
        env={**os.environ, **fetches, **environment},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


def refusal(done):
    """Return the one sentence with which a run was refused."""
    assert done.returncode == 1, done.stdout + done.stderr
    (sentence,) = done.stderr.splitlines()
    return sentence


@pytest.fixture(scope="session")
def first(tmp_path_factory):
    """A checkout on which one command has been run, and what that run said."""
    folder = laid(tmp_path_factory.mktemp("door") / "checkout")
    return folder, knocked(folder, "greet", "--loudly")


@pytest.fixture
def opened(first, tmp_path):
    """A copy of that checkout, for one test to spoil."""
    return shutil.copytree(first[0], tmp_path / "checkout", symlinks=True)


@pytest.fixture
def door(tmp_path):
    """The door of a bare checkout, as a module; it never leaves for another Python."""
    folder = laid(tmp_path / "checkout")
    spec = importlib.util.spec_from_file_location("door", folder / "manage.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.go_on = lambda python, argv: 0
    return module


def test_the_first_command_makes_a_home_and_runs_there(first):
    """One line says what is being done; then the command runs in .venv."""
    folder, done = first
    installing, ran = done.stdout.splitlines()
    assert installing.startswith("Installing the packages of requirements.txt in .venv")
    assert ran == f"ran ['{folder / 'manage.py'}', 'greet', '--loudly'] {folder / '.venv'}"
    assert (done.returncode, done.stderr) == (0, "")


def test_the_next_command_installs_nothing(opened):
    """Not even with no package to be had."""
    shutil.rmtree(opened / "packages")
    done = knocked(opened, "greet")
    assert done.stdout.startswith("ran ")
    assert done.returncode == 0


def test_another_lock_is_installed_before_the_command_runs(opened):
    """And what was installed from the old one is replaced."""
    files = {**DJANGO, "django/core/management/__init__.py": SAYS.format("gone").replace("ran", "")}
    files["django/core/management/__init__.py"] += "execute_from_command_line = lambda a: print(2)"
    (opened / "requirements.txt").write_text(pinned(opened / "packages", "django", "99.2", files))
    assert knocked(opened, "greet").stdout.splitlines()[1:] == ["2"]
    assert knocked(opened, "greet").stdout.splitlines() == ["2"]


def test_a_home_left_half_made_is_made_anew(opened):
    """What an interrupted run left there is thrown away."""
    (opened / ".venv/kinward.stamp").write_text("unfinished")
    (opened / ".venv/left-over").touch()
    done = knocked(opened, "greet")
    assert "ran " in done.stdout
    assert not (opened / ".venv/left-over").exists()


def test_testing_adds_what_only_tests_need(opened):
    """Everything is tested, on every core, when nothing is asked for; else what is asked for."""
    every, some = knocked(opened, "test"), knocked(opened, "test", "tests/test_door.py")
    assert "Installing the packages of requirements-dev.txt" in every.stdout
    assert "ran ['-n', 'auto'" in every.stdout
    assert some.stdout.startswith("ran ['tests/test_door.py']")


def test_what_tests_need_is_kept_when_other_commands_run(opened):
    """One lock holds the other, so that the two never take turns."""
    knocked(opened, "test")
    assert knocked(opened, "greet").stdout.startswith("ran ")
    assert knocked(opened, "test").stdout.startswith("ran ")


def test_no_network_is_said_in_one_sentence(opened):
    """An index that does not answer is no matter for a traceback."""
    with (opened / "requirements.txt").open("a") as pins:
        pins.write(f"elsewhere==1 --hash=sha256:{'0' * 64}\n")
    nowhere = {"PIP_NO_INDEX": "0", "PIP_INDEX_URL": "http://127.0.0.1:9/"}
    assert refusal(knocked(opened, "greet", **nowhere)) == (
        "The package index cannot be reached: the first run needs the network, later ones do not."
    )


def test_a_package_that_is_not_the_pinned_one_is_refused(opened):
    """The hash in the lock decides."""
    (opened / "requirements.txt").write_text(f"django==99.1 --hash=sha256:{'0' * 64}\n")
    (opened / ".venv/kinward.stamp").unlink()
    shutil.rmtree(next((opened / ".venv").rglob("django-99.1.dist-info")))
    assert "was not the pinned one and was refused" in refusal(knocked(opened, "greet"))


def test_a_package_without_a_build_is_named(opened):
    """Somebody on a rare system is told which package it is."""
    with (opened / "requirements.txt").open("a") as pins:
        pins.write(f"elsewhere==1 --hash=sha256:{'0' * 64}\n")
    sentence = refusal(knocked(opened, "greet"))
    assert sentence.startswith("A package has no build for this system and this Python:")
    assert "elsewhere==1" in sentence


def test_a_port_in_use_is_said_before_anything_is_prepared(tmp_path):
    """The demo neither migrates nor loads for a page that nobody could open."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        done = subprocess.run(
            [sys.executable, str(DOOR), "demo", "--port", port],
            env={**os.environ, "KINWARD_DATA": str(tmp_path), "DATABASE_URL": "sqlite://"},
            capture_output=True,
            text=True,
            check=False,
        )
    assert f"Port {port} is in use" in refusal(done)
    with closing(sqlite3.connect(tmp_path / "kinward.sqlite3")) as database:
        assert database.execute("select name from sqlite_master").fetchall() == []


@pytest.mark.parametrize("old", [(3, 8), (3, 9), (3, 10), (3, 11)])
def test_a_python_that_is_too_old_can_read_the_door(old):
    """Otherwise it would answer with a syntax error."""
    ast.parse(DOOR.read_text(), feature_version=old)


def test_a_python_that_is_too_old_is_told_so(door, monkeypatch, capsys):
    """Where no newer one is found."""
    monkeypatch.setattr(door, "OLDEST", (99, 0))
    monkeypatch.setattr(door, "NAMES", ())
    assert door.main(["greet"]) == 1
    own = "Python {}.{} is too old for Kinward".format(*sys.version_info)
    assert capsys.readouterr().err.startswith(own)


def test_a_newer_python_on_the_path_is_gone_on_with(door, monkeypatch, capsys, tmp_path):
    """And which one it is, is said; one that does not run is passed over."""
    newer = tmp_path / "python3.14"
    for python in (tmp_path / "python3.13", newer):
        python.touch(mode=0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(door, "NAMES", ("python3.13", "python3.14"))
    monkeypatch.setattr(door, "OLDEST", (99, 0))
    monkeypatch.setattr(door, "answers", lambda python, code: python == str(newer))
    assert door.fitting_python() == str(newer)
    assert f"going on with {newer}." in capsys.readouterr().out


@pytest.mark.parametrize("said", [[], ["help"], ["--help"], ["-h"]])
def test_asking_for_help_installs_nothing(door, said, capsys):
    """The two first commands are told at once."""
    assert door.main(said) == 0
    assert "demo" in capsys.readouterr().out
    assert not door.VENV.exists()


def test_a_full_disk_is_said_before_anything_is_fetched(door, monkeypatch, capsys):
    """About 1 GB has to be free."""
    monkeypatch.setattr(door.shutil, "disk_usage", lambda path: SimpleNamespace(free=10**9 - 1))
    assert door.main(["greet"]) == 1
    assert capsys.readouterr().err.startswith("The disk is full: free about 1 GB")
    assert not door.VENV.exists()


def test_a_disk_with_just_enough_room_is_enough(door, monkeypatch):
    """The bound itself opens the door."""
    monkeypatch.setattr(door.shutil, "disk_usage", lambda path: SimpleNamespace(free=10**9))
    monkeypatch.setattr(door, "heard", lambda command: SimpleNamespace(returncode=0))
    door.make(sys.executable)
    assert door.is_half_made()


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        (errno.ENOSPC, "The disk is full"),
        (errno.EDQUOT, "The disk is full"),
        (errno.EROFS, "/kept cannot be written to"),
        (errno.EACCES, "/kept cannot be written to"),
        (errno.EPERM, "/kept cannot be written to"),
    ],
)
def test_what_the_system_forbids_is_said_in_one_sentence(
    door, monkeypatch, capsys, number, sentence
):
    """Whether it happens while .venv is made or in the command."""
    monkeypatch.setattr(door, "empty", refusing(OSError(number, "no", "/kept")))
    assert door.main(["greet"]) == 1
    assert capsys.readouterr().err.startswith(sentence)


def refusing(why):
    """Return a function that raises what it is made with."""

    def refuse(*_):
        raise why

    return refuse


def test_other_trouble_is_shown_whole(door, monkeypatch):
    """A fault of the program's own is not dressed up as one of the machine's."""
    monkeypatch.setattr(door, "empty", refusing(OSError(errno.EBADF, "odd")))
    with pytest.raises(OSError, match="odd"):
        door.main(["greet"])


def test_stopping_it_is_no_fault(door, monkeypatch, capsys):
    """Ctrl+C ends it with the code that shells expect."""
    monkeypatch.setattr(door, "empty", refusing(KeyboardInterrupt()))
    assert door.main(["greet"]) == 130
    assert capsys.readouterr().err == "Stopped.\n"


def test_a_home_whose_packages_are_gone_is_made_anew(door, monkeypatch):
    """The stamp alone is not believed."""
    done = []
    door.VENV.mkdir()
    door.STAMP.write_text(door.digest(door.PINS))
    monkeypatch.setattr(door, "answers", lambda python, code: "django" not in code)
    monkeypatch.setattr(door, "make", lambda python: done.append("made"))
    monkeypatch.setattr(door, "fill", lambda python, pins: done.append(pins.name))
    assert door.main(["greet"]) == 0
    assert done == ["made", "requirements.txt"]


def test_a_python_that_cannot_make_a_home_is_named_what_it_lacks(door, monkeypatch, capsys):
    """As Debian's does until python3-venv is installed."""
    monkeypatch.setattr(door, "answers", lambda python, code: "ensurepip" not in code)
    door.VENV.mkdir()
    door.STAMP.write_text("unfinished")
    assert door.main(["greet"]) == 1
    assert "apt-get install python3-venv" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("output", "sentence"),
    [
        ("ERROR: [Errno 28] No space left on device\n", "The disk is full"),
        ("ERROR: [Errno 13] Permission denied: '/x'\n", "{folder} cannot be written to"),
        ("WARNING: Temporary failure in name resolution\nERROR: No matching", "The package index"),
        ("ERROR: an odd thing\n\nnotice: a newer pip\n", "It failed: an odd thing"),
        ("an odd thing\n", "It failed: an odd thing"),
        ("", "It failed: it did not say why."),
    ],
)
def test_what_pip_prints_becomes_one_sentence(door, output, sentence):
    """The cause is looked for in all of it; where none is known its last line is told."""
    expected = sentence.format(folder=door.HERE)
    assert door.explained(output, "It failed").startswith(expected)


def test_a_home_that_stays_empty_does_not_send_the_door_round(door, monkeypatch, capsys):
    """The run in .venv never starts another."""
    monkeypatch.setenv("KINWARD_DOOR", "1")
    assert door.main(["greet"]) == 1
    assert "delete that folder" in capsys.readouterr().err


def test_packages_go_nowhere_but_home(door, monkeypatch):
    """Whatever else the environment asks pip for."""
    monkeypatch.setenv("PIP_TARGET", "/elsewhere")
    monkeypatch.setenv("PIP_USER", "1")
    monkeypatch.setenv("PIP_INDEX_URL", "http://127.0.0.1:9/")
    environment = door.pip_environment()
    assert "PIP_TARGET" not in environment
    assert environment["PIP_USER"] == "0"
    assert environment["PIP_INDEX_URL"] == "http://127.0.0.1:9/"


def test_a_second_run_waits_for_the_first(door, capsys):
    """Two people, or one who is impatient, never fill .venv at once."""
    first = door.LOCK.open("w")
    assert door.takes(first)
    threading.Timer(0.2, first.close).start()
    with door.alone():
        assert first.closed
    assert "Another run is making .venv" in capsys.readouterr().out
