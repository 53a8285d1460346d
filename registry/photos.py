"""Photographs people hand in: drawn anew, so that nothing but the picture is kept."""

import secrets
import warnings
from io import BytesIO

from django.core.files.base import ContentFile
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _
from PIL import Image, ImageOps, UnidentifiedImageError

from .telling import tell

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 60_000_000
LONGEST = 2000  # pixels of the longer side, enough to tell two back patterns apart
KINDS = ("JPEG", "PNG", "WEBP")


class PhotoRefused(Exception):
    """What was handed in is no picture, or too large a one."""


def without_traces(file):
    """Return a picture as a JPEG file that holds no place, date, device or name."""
    if file.size > MOST_BYTES:
        most = MOST_BYTES // 2**20
        raise PhotoRefused(
            tell(
                "The picture has {size:.1f} MB; at most {most} are kept.",
                size=file.size / 2**20,
                most=most,
            )
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _drawn_anew(file)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        raise PhotoRefused(
            tell("This is no picture that can be read; hand in a JPEG or PNG.")
        ) from error
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoRefused(TOO_LARGE) from error


TOO_LARGE = format_lazy(
    _("The picture has more than {MOST_PIXELS} million points; make it smaller."),
    MOST_PIXELS=MOST_PIXELS // 1_000_000,
)


def _drawn_anew(file):
    with Image.open(file, formats=KINDS) as picture:
        if picture.width * picture.height > MOST_PIXELS:
            raise PhotoRefused(TOO_LARGE)
        upright = ImageOps.exif_transpose(picture).convert("RGB")
    upright.thumbnail((LONGEST, LONGEST))
    clean = Image.new("RGB", upright.size)
    clean.paste(upright)
    kept = BytesIO()
    clean.save(kept, "JPEG", quality=85, optimize=True)
    return ContentFile(kept.getvalue(), name=f"{secrets.token_hex(12)}.jpg")
