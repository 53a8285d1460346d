"""Heavy drawing in a process of its own, so that neither its time nor its end is the site's."""

import subprocess
import sys
from pathlib import Path
from threading import BoundedSemaphore

from ..telling import tell

CHILD = Path(__file__).with_name("child.py")
SECONDS = 60
AT_ONCE = BoundedSemaphore(2)


class LayoutFailed(RuntimeError):
    """A picture could not be laid out or turned into a file, in time or at all."""


def done_apart(act, given, *how):
    """Have one act of `child.py` done.

    Parameters
    ----------
    act : str
        "layout", "plot", "png" or "pdf".
    given : str
        The graph, the description of the plot, or the picture.
    how : str
        What else the act asks for.

    Returns
    -------
    bytes

    Raises
    ------
    LayoutFailed
        After 60 seconds, or where the process ends without an answer.
    """
    command = [sys.executable, "-I", str(CHILD), act, *how]
    try:
        with AT_ONCE:
            done = subprocess.run(
                command, input=given.encode(), capture_output=True, timeout=SECONDS, check=True
            )
    except subprocess.TimeoutExpired as slow:
        raise LayoutFailed(
            tell("The picture was not ready within {SECONDS} seconds.", SECONDS=SECONDS)
        ) from slow
    except subprocess.CalledProcessError as failed:
        told = failed.stderr.decode(errors="replace").strip()[-500:]
        raise LayoutFailed(tell("The picture could not be drawn: {told}", told=told)) from failed
    return done.stdout
