"""Shows the demo collection in a browser on this machine."""

import errno
import socket

import waitress
from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.core.servers.basehttp import get_internal_wsgi_application
from django.db import OperationalError, transaction
from django.utils.crypto import salted_hmac

from registry.models import Animal

HOST = "127.0.0.1"  # the demo is for this machine only
KEEPER = "keeper"
# Windows would let two programs share a port; elsewhere one just left may be taken again at once.
ALONE = getattr(socket, "SO_EXCLUSIVEADDRUSE", socket.SO_REUSEADDR)
PORT_TROUBLE = {
    errno.EADDRINUSE: "is in use: stop what uses it, or choose another with --port",
    errno.EACCES: "may not be opened by you: choose one above 1023 with --port",
}


class Command(BaseCommand):
    """`demo`: the first command of a fresh checkout."""

    help = "Loads the demo collection, if no collection is there yet, and shows it in a browser."

    def add_arguments(self, parser):
        """Take the port, and whether to stop once the collection is loaded."""
        parser.add_argument("--port", type=int, default=8000, help="default: 8000")
        parser.add_argument("--no-serve", action="store_true", help="load the collection and stop")

    def handle(self, *, port, no_serve, **options):
        """Hold the port, prepare the collection, say where it is and serve it."""
        held = None if no_serve else held_port(port)
        try:
            prepare(self.stdout)
        except OperationalError as why:
            raise CommandError(f"The database cannot be used: {why}.") from why
        self.stdout.write(way_in())
        if held:
            serve(held, self.stdout)


def held_port(port):
    """Return a socket on a free port; it is ours from here on, so nothing is prepared in vain."""
    held = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        held.setsockopt(socket.SOL_SOCKET, ALONE, 1)
        held.bind((HOST, port))
        held.listen()
    except (OSError, OverflowError) as why:
        held.close()
        raise CommandError(f"Port {port} {trouble(why)}.") from why
    return held


def trouble(why):
    """Return why a port could not be had."""
    if isinstance(why, OverflowError):
        return "is no port: choose one from 1 to 65535"
    return PORT_TROUBLE.get(why.errno, f"cannot be opened ({why.strerror})")


def prepare(out):
    """Bring the database up to date and load the demo collection into an empty one."""
    call_command("migrate", verbosity=0, interactive=False)
    if Animal.objects.exists():
        out.write("The collection that is already here is kept.")
        return
    if get_user_model().objects.exists():
        raise CommandError(
            "There are accounts here but no animals, so this looks like your own register: "
            "set KINWARD_DATA to another folder to see the demo."
        )
    out.write("Loading the demo collection: years of a keeper's entries, in about half a minute.")
    out.flush()
    load()


@transaction.atomic
def load():
    """Load the collection and let its keeper sign in: both, or neither."""
    call_command("load_demo", verbosity=0)
    keeper = get_user_model().objects.get(username=KEEPER)
    keeper.set_password(demo_password())
    keeper.save()


def demo_password():
    """Return this installation's demo password: known to it alone, and the same at every start."""
    return salted_hmac("kinward.demo", KEEPER, algorithm="sha256").hexdigest()[:12]


def way_in():
    """Return how to sign in; a password that was changed since is not ours to tell."""
    keeper = get_user_model().objects.filter(username=KEEPER).first()
    if keeper and keeper.check_password(demo_password()):
        return f"Sign in as {KEEPER} with the password {demo_password()}"
    return "Sign in with an account of this collection."


def serve(held, out):
    """Answer on a held port until stopped; a file edited meanwhile is sent as it is now."""
    settings.WHITENOISE_AUTOREFRESH = True  # else it keeps the length each file had at the start
    server = waitress.create_server(get_internal_wsgi_application(), sockets=[held], threads=8)
    out.write(f"Kinward is at http://{HOST}:{held.getsockname()[1]}/ (Ctrl+C stops it)")
    out.flush()
    server.run()
