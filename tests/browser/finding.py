"""Finds the Chromium that tests and pictures use."""

import shutil
from pathlib import Path

QUIET = [  # a browser that looks nothing up but the pages of the tests
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-quic",
    "--disable-sync",
    "--no-first-run",
]
NO_CHROMIUM = (
    "No Chromium: install your system's chromium package,"
    " or run `.venv/bin/python -m playwright install chromium`."
)


def program(play):
    """Return Playwright's own Chromium or the machine's, None where there is none."""
    own = Path(play.chromium.executable_path)
    return str(own) if own.exists() else shutil.which("chromium") or shutil.which("google-chrome")
