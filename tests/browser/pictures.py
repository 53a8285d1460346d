"""Takes pictures of the main pages: `python -m tests.browser.pictures FOLDER`; they are looked at.

With `--readme` it writes those that README shows. A register of its own, with the demo collection
in it, is made in a temporary folder and served for as long as it takes.
"""

import argparse
import os
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path
from threading import Thread

ROOT = Path(__file__).parent.parent.parent
DESK, PHONE = {"width": 1280, "height": 860}, {"width": 390, "height": 844}
WAYS = {
    "desk": (DESK, "light"),
    "desk-dark": (DESK, "dark"),
    "phone": (PHONE, "light"),
    "phone-dark": (PHONE, "dark"),
}
MAIN = (
    "today", "animal-list", "animal-show", "pairing-list", "pairing-mates", "pedigree-two",
    "kin-show", "kin-why", "quarantine:home", "quarantine:batch-show", "quarantine:clear",
    "quarantine:trace", "quarantine:audit", "arrival-add", "enclosure-list", "enclosure-show",
    "clutch-show", "line-list", "line-show", "line-plan", "paper-list", "register-show",
    "animal-papers", "label-print", "move-add", "quarantine:sample-add",
)  # fmt: skip
# What README shows: a page, the way it is seen, and how much of it.
README = {
    "batch": ("quarantine:batch-show", "desk", 955),
    "enclosure": ("enclosure-show", "phone", 844),
}
PEDIGREE = "RV-019"  # one whose sire is one of two, and its parents' too
TALLEST = 4000


def main(arguments):
    """Take the pictures that are asked for; return the exit code."""
    asked = argparse.ArgumentParser(prog="python -m tests.browser.pictures", description=__doc__)
    asked.add_argument("folder", nargs="?", type=Path, help="where the pictures are written")
    asked.add_argument("--readme", action="store_true", help="write those that README shows")
    asked.add_argument("--pages", nargs="+", default=MAIN, help="names of pages; default: the main")
    asked.add_argument("--ways", nargs="+", default=WAYS, choices=WAYS, help="default: all")
    wanted = asked.parse_args(arguments)
    if not wanted.folder and not wanted.readme:
        asked.error("say which folder, or --readme")
    try:
        with tempfile.TemporaryDirectory() as data, site(data) as address, browser() as chromium:
            if wanted.readme:
                take_for_readme(chromium, address)
                take_pedigree(chromium, address)
            if wanted.folder:
                take(chromium, address, wanted.folder, wanted.pages, wanted.ways)
    except Missing as why:
        sys.stderr.write(f"{why}\n")
        return 1
    return 0


class Missing(Exception):
    """What pictures are taken with is not there; the message says how to get it."""


@contextmanager
def site(data):
    """Serve the demo collection from a folder of its own, and yield the address."""
    os.environ |= {"KINWARD_DATA": data, "DJANGO_SETTINGS_MODULE": "registry.settings"}
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"  # the loop that runs is the browser's alone
    os.environ.pop("DATABASE_URL", None)
    import django

    django.setup()
    import waitress
    from django.core.management import call_command
    from django.core.servers.basehttp import get_internal_wsgi_application

    call_command("demo", "--no-serve")
    server = waitress.create_server(
        get_internal_wsgi_application(), host="127.0.0.1", port=0, threads=12
    )
    Thread(target=server.run, daemon=True).start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()


@contextmanager
def browser():
    """Start Chromium, or say how to get it."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError as why:
        raise Missing("No playwright: `python3 manage.py test` installs what tests need.") from why
    from tests.browser.finding import NO_CHROMIUM, QUIET, program

    with sync_playwright() as play:
        found = program(play)
        if not found:
            raise Missing(NO_CHROMIUM)
        started = play.chromium.launch(executable_path=found, args=QUIET)
        yield started
        started.close()


def take(chromium, address, folder, names, ways):
    """Take each page in each way, as long as it is, with something on every one."""
    from django.contrib.auth import get_user_model

    from registry.management.commands.demo import KEEPER
    from tests import addresses

    addresses.furnish(get_user_model().objects.get(username=KEEPER))
    folder.mkdir(parents=True, exist_ok=True)
    for way in ways:
        page = opened(chromium, address, way)
        for name in names:
            shown(page, address, name)
            high = page.evaluate("document.documentElement.scrollHeight")
            page.set_viewport_size(WAYS[way][0] | {"height": min(high, TALLEST)})
            page.wait_for_timeout(200)
            page.screenshot(path=folder / f"{name.replace(':', '-')}.{way}.png")
            page.set_viewport_size(WAYS[way][0])
        page.context.close()


def take_for_readme(chromium, address):
    """Take what README shows, no taller than said there."""
    for file, (name, way, high) in README.items():
        page = opened(chromium, address, way)
        shown(page, address, name)
        page.set_viewport_size(WAYS[way][0] | {"height": high})
        page.wait_for_timeout(200)
        page.screenshot(path=ROOT / "fixtures" / "pictures" / f"{file}.png")
        page.context.close()


def take_pedigree(chromium, address):
    """Take the pedigree that README shows, as the site hands it out."""
    from django.urls import reverse

    from registry.models import Animal

    page = opened(chromium, address, "desk")
    key = Animal.objects.get(code=PEDIGREE).pk
    answer = page.request.get(address + reverse("pedigree-file", args=[key, "png"]))
    (ROOT / "fixtures" / "pictures" / "pedigree.png").write_bytes(answer.body())
    page.context.close()


def opened(chromium, address, way):
    """Open a browser in which the demo's keeper has signed in."""
    from registry.management.commands.demo import KEEPER, demo_password

    (size, scheme), phone = WAYS[way], WAYS[way][0] is PHONE
    context = chromium.new_context(
        viewport=size,
        color_scheme=scheme,
        is_mobile=phone,
        has_touch=phone,
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.goto(f"{address}/sign-in/")
    page.get_by_label("Username").fill(KEEPER)
    page.get_by_label("Password").fill(demo_password())
    page.locator("main button").click()
    return page


def shown(page, address, name):
    """Go to a page, and wait for what comes into it later."""
    from tests import addresses

    page.goto(address + addresses.address(name))
    if page.locator("[hx-get]").count():
        page.wait_for_load_state("networkidle")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
