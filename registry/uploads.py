"""Files people hand in: what kind they are by their content, and keeping them between two pages."""

import secrets
import time
from pathlib import Path, PurePath

from django.conf import settings
from django.core import signing
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile

from .telling import tell

KINDS = {
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
}
BEGINNINGS = (
    (b"%PDF-", "application/pdf"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"\xff\xd8\xff", "image/jpeg"),
)
SALT = "kept upload"
KEPT_SECONDS = 24 * 60 * 60


def kind_by_name(name):
    """Return what a file claims to be by the end of its name, None for what is not taken."""
    return KINDS.get(PurePath(name).suffix.lower())


def kind_by_content(file):
    """Return what a file is by its first bytes, None for what is not taken."""
    file.seek(0)
    beginning = file.read(16)
    file.seek(0)
    return next((kind for first, kind in BEGINNINGS if beginning.startswith(first)), None)


def refuse_file(file):
    """Refuse a file that is empty, too large, of a kind not taken, or not what its name says."""
    claimed, most = kind_by_name(file.name), settings.PAPER_MAX_BYTES
    if file.size > most:
        raise ValidationError(
            tell(
                "The file has {size:.1f} MB; at most {most:.0f} MB are kept. Scan it "
                "again in a lower resolution.",
                size=file.size / 2**20,
                most=most / 2**20,
            )
        )
    if claimed is None:
        raise ValidationError(tell("Hand in a PDF, PNG or JPEG file."))
    if file.size == 0:
        raise ValidationError(tell("The file is empty."))
    if kind_by_content(file) != claimed:
        raise ValidationError(
            tell("The file is not what its name says; save it as a PDF, PNG or JPEG and try again.")
        )


def keep(file):
    """Keep an uploaded file until the form is sent again; return the word it is found by."""
    _forget_old()
    name = secrets.token_urlsafe(24)
    _folder().mkdir(parents=True, exist_ok=True)
    with (_folder() / name).open("xb") as kept:
        kept.writelines(file.chunks())
    return signing.dumps([name, PurePath(file.name).name], salt=SALT)


def kept(word):
    """Return the file kept under a word, None where it is unknown, changed or a day old."""
    path, called = _found(word)
    return ContentFile(path.read_bytes(), name=called) if path else None


def kept_name(word):
    """Return what the file kept under a word was called, "" where there is none."""
    path, called = _found(word)
    return called if path else ""


def _found(word):
    """Return where a kept file lies and what it was called."""
    try:
        name, called = signing.loads(word, salt=SALT, max_age=KEPT_SECONDS)
    except signing.BadSignature:
        return None, ""
    path = _folder() / name
    return (path, called) if path.exists() else (None, "")


def _folder():
    return Path(settings.DATA_DIR) / "kept"


def _forget_old():
    """Remove files nobody came back for."""
    for path in _folder().glob("*"):
        if path.stat().st_mtime < time.time() - KEPT_SECONDS:
            path.unlink(missing_ok=True)
