#!/usr/bin/env python3
"""The one door: on a bare checkout it makes .venv, installs what is pinned, and goes on there.

Nothing but the standard library is imported until Django is there, and this file parses under
Python 3.8, so that a Python too old for the rest can still be told so.
"""

import errno
import hashlib
import importlib.util
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
STAMP = VENV / "kinward.stamp"  # what is installed, by digest of the lock it was installed from
LOCK = HERE / ".venv.lock"
PINS = HERE / "requirements.txt"
TEST_PINS = HERE / "requirements-dev.txt"  # holds all of PINS as well

OLDEST = (3, 12)
NAMES = ("python3.14", "python3.13", "python3.12", "python3.15", "python3", "python", "py")
ROOM = 1000 * 10**6  # bytes; the packages take about 850 MB once unpacked
TEST_TOOLS = ("pytest_django", "xdist", "hypothesis", "playwright")
UNFINISHED = "unfinished"
PASSED = "KINWARD_DOOR"  # set for the process that is gone on in, so that it never goes round

USAGE = """Usage: python3 manage.py COMMAND

  demo    show the demo collection in a browser on this machine
  test    run the tests
  help    list all commands, once either of these has been run

The first run makes .venv here and installs the pinned packages in it."""

FULL = "The disk is full: free about 1 GB for {folder} and run this again."
SHUT = "{folder} cannot be written to: move it to a folder of yours, or change its permissions."
OS_TROUBLE = {
    errno.ENOSPC: FULL,
    errno.EDQUOT if hasattr(errno, "EDQUOT") else errno.ENOSPC: FULL,
    errno.EACCES: SHUT,
    errno.EPERM: SHUT,
    errno.EROFS: SHUT,
}
PIP_TROUBLE = (
    (r"No space left on device|Errno 28|not enough space", FULL),
    (r"Permission denied|Read-only file system|Access is denied", SHUT),
    (r"DO NOT MATCH THE HASHES", "A package was not the pinned one and was refused: {last}"),
    (
        r"NewConnectionError|Connection refused|getaddrinfo|name resolution|not known"
        r"|ConnectTimeout|ReadTimeout|ProxyError|timed out|Connection aborted|SSLError",
        "The package index cannot be reached: the first run needs the network, later ones do not.",
    ),
    (
        r"No matching distribution found",
        "A package has no build for this system and this Python: {last}",
    ),
)


class Shut(Exception):
    """The door stays shut; the message is the one sentence that says why."""


def main(argv):
    """Run one command and return its exit code; what stands in the way is said in one sentence."""
    try:
        return enter(argv, passed=bool(os.environ.pop(PASSED, "")))
    except Shut as why:
        return refuse(str(why))
    except KeyboardInterrupt:
        return refuse("Stopped.", code=130)
    except OSError as why:
        if why.errno not in OS_TROUBLE or "--traceback" in argv:
            raise
        return refuse(OS_TROUBLE[why.errno].format(folder=why.filename or HERE))


def refuse(sentence, code=1):
    """Print a sentence where errors go and return the exit code."""
    print(sentence, file=sys.stderr, flush=True)
    return code


def enter(argv, passed):
    """Run the command in this Python where it can, otherwise in the one of .venv."""
    pins = TEST_PINS if argv[:1] == ["test"] else PINS
    if is_ready(pins):
        return run(argv)
    if passed:
        raise Shut("Django cannot be imported from .venv: delete that folder and run this again.")
    if argv[:1] in ([], ["help"], ["--help"], ["-h"]):
        print(USAGE)
        return 0
    return go_on(settled(pins), argv)


def run(argv):
    """Run a command of Django's, or the tests."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")
    if argv[:1] == ["test"]:
        return run_tests(argv[1:])
    from django.core.management import execute_from_command_line

    execute_from_command_line([sys.argv[0], *argv])
    return 0


def run_tests(arguments):
    """Run pytest on what is asked for; on everything, in one process per core, when nothing is."""
    import pytest

    if not arguments:
        os.chdir(HERE)
        arguments = ["-n", "auto", "--maxprocesses", "8", "--dist", "worksteal"]
    return int(pytest.main(arguments))


# Is this Python the one to go on in?


def is_ready(pins):
    """Return whether this Python has what the command needs."""
    if sys.version_info < OLDEST or not has_django():
        return False
    if pins == TEST_PINS and not all(importlib.util.find_spec(tool) for tool in TEST_TOOLS):
        return False
    return not (is_inside() and STAMP.exists() and not is_stamped(pins))


def has_django():
    """Return whether Django is here in the series that is pinned."""
    import importlib.metadata  # missing in the oldest Pythons that are told they are too old

    try:
        found = importlib.metadata.version("django")
    except importlib.metadata.PackageNotFoundError:
        return False
    pinned = re.search(r"^django==(\d+\.\d+)", PINS.read_text(), re.MULTILINE)
    return pinned is None or (found + ".").startswith(pinned.group(1) + ".")


def is_inside():
    """Return whether this Python is the one of .venv."""
    return Path(sys.prefix).resolve() == VENV.resolve()


def digest(pins):
    """Return what a lock file is known by in the stamp."""
    return hashlib.sha256(pins.read_bytes()).hexdigest()


def is_stamped(pins):
    """Return whether .venv was filled to the end from this very lock."""
    return STAMP.exists() and digest(pins) in STAMP.read_text().split()


def is_half_made():
    """Return whether filling .venv began and did not end."""
    return STAMP.exists() and STAMP.read_text().strip() == UNFINISHED


# Making .venv and filling it


def settled(pins):
    """Return the Python of .venv, made and filled as far as it is not yet."""
    if not is_filled(pins):
        with alone():
            settle(pins)
    return venv_python()


def is_filled(pins):
    """Return whether .venv holds what a lock file pins and works."""
    return is_stamped(pins) and answers(venv_python(), "import django")


def settle(pins):
    """Make .venv anew where it is missing, broken or half made, and fill it."""
    if is_filled(pins):  # by another run, while this one waited
        return
    if is_stamped(pins) or is_half_made() or not answers(venv_python(), "import pip"):
        make(fitting_python())
    fill(venv_python(), pins)


@contextmanager
def alone():
    """Hold the door while .venv is made: a second run waits for the first."""
    with open(LOCK, "w") as lock:
        if not takes(lock):
            print("Another run is making .venv: waiting for it.", flush=True)
            while not takes(lock):
                time.sleep(0.5)
        yield


def takes(lock):
    """Return whether the lock could be had; the system gives it back when this process ends."""
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as why:
        if why.errno in (errno.EACCES, errno.EAGAIN):
            return False
        raise
    return True


def venv_python():
    """Return where the Python of .venv is, or will be."""
    return str(VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python"))


def answers(python, code):
    """Return whether a Python is there, is new enough and can run a line of code."""
    check = "import sys; assert sys.version_info >= {}; {}".format(OLDEST, code)
    try:
        return heard([python, "-I", "-c", check]).returncode == 0
    except OSError:
        return False


def heard(command, **more):
    """Run a program to its end and return what it said and how it ended."""
    return subprocess.run(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, encoding="utf-8",
        errors="replace", stdin=subprocess.DEVNULL, check=False, **more
    )  # fmt: skip


def fitting_python():
    """Return a Python that is new enough: this one, or else one found on the path."""
    if sys.version_info >= OLDEST:
        return getattr(sys, "_base_executable", sys.executable) if is_inside() else sys.executable
    own = "Python {}.{} is too old for Kinward, which needs 3.12 or newer".format(*sys.version_info)
    for found in filter(None, map(shutil.which, NAMES)):
        if answers(found, "pass"):
            print(f"{own}; going on with {found}.", flush=True)
            return found
    raise Shut(f"{own}: install a newer Python and run this again with it.")


def make(python):
    """Make an empty .venv; what an earlier try left in it is thrown away."""
    if not answers(python, "import ensurepip, venv"):
        raise Shut(
            "This Python lacks ensurepip, which makes .venv: install it"
            " (on Debian and Ubuntu: apt-get install python3-venv) and run this again."
        )
    if shutil.disk_usage(HERE).free < ROOM:
        raise Shut(FULL.format(folder=HERE))
    empty(VENV)
    STAMP.write_text(UNFINISHED)
    done = heard([python, "-I", "-m", "venv", str(VENV)])
    if done.returncode:
        raise Shut(explained(done.stdout, "A virtual environment could not be made in .venv"))


def empty(folder):
    """Leave a folder there with nothing in it."""
    folder.mkdir(exist_ok=True)
    for child in folder.iterdir():
        if child.is_dir() and not child.is_symlink():
            shutil.rmtree(child)
        else:
            child.unlink()


def fill(python, pins):
    """Install what a lock file pins, nothing else and nothing built here."""
    STAMP.write_text(UNFINISHED)
    size = "210 MB" if pins == TEST_PINS else "150 MB"
    print(f"Installing the packages of {pins.name} in .venv (about {size}, once).", flush=True)
    install = "-I -m pip install --no-input --retries 3 --require-hashes --only-binary :all:"
    done = heard([python, *install.split(), "-r", str(pins)], env=pip_environment())
    if done.returncode:
        raise Shut(explained(done.stdout, "The pinned packages could not be installed"))
    filled = [PINS, TEST_PINS] if pins == TEST_PINS else [PINS]
    STAMP.write_text("\n".join(map(digest, filled)))


def pip_environment():
    """Return the environment without what would send packages elsewhere than to .venv."""
    elsewhere = {"PIP_TARGET", "PIP_PREFIX", "PIP_ROOT"}
    kept = {name: value for name, value in os.environ.items() if name not in elsewhere}
    return {**kept, "PIP_USER": "0", "PIP_DISABLE_PIP_VERSION_CHECK": "1"}


def explained(output, otherwise):
    """Return the sentence for what a failed installation printed."""
    lines = [line for line in map(str.strip, output.splitlines()) if line]
    errors = [line[6:].strip() for line in lines if line.startswith("ERROR:")]
    last = (errors or lines or ["it did not say why."])[-1]
    for pattern, sentence in PIP_TROUBLE:
        if re.search(pattern, output):
            return sentence.format(folder=HERE, last=last)
    return f"{otherwise}: {last}"


def go_on(python, argv):
    """Run this same file in the Python of .venv; on Windows as a child, elsewhere in our place."""
    os.environ[PASSED] = "1"
    command = [python, str(HERE / "manage.py"), *argv]
    if os.name != "nt":
        os.execv(python, command)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is for the child to answer
    return subprocess.call(command)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
