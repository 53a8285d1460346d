"""The pictures on a proof of origin: the pedigree, and the photograph each animal is known by."""

from base64 import b64encode
from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from .charts.drawing import draw
from .charts.files import SVG, svg_file
from .charts.layout import LayoutFailed, TooMuchToDraw
from .charts.pedigree_sketch import pedigree_sketch
from .phrases import in_a_row, written
from .picturing import picture_of
from .telling import tell

UP = 3  # generations in the picture
LONGEST = 900  # pixels of the longer side of a photograph on paper


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture by the name a template calls it, with what it shows in words."""

    name: str
    content: bytes
    alt: str
    caption: str

    def told(self):
        """Return what the template is told of it."""
        return {"file": self.name, "alt": self.alt, "caption": self.caption}


def pedigrees(animals, on):
    """Yield a pedigree for each set of clutchmates; one too large to draw is left out."""
    groups = {}
    for animal in animals:
        groups.setdefault(animal.clutch_id or f"alone {animal.pk}", []).append(animal)
    for number, group in enumerate(groups.values(), 1):
        picture = picture_of(group, UP, 0, on)
        names = in_a_row(a.code for a in group)
        try:
            svg = svg_file(draw(pedigree_sketch(picture)))
        except (TooMuchToDraw, LayoutFailed):
            continue
        yield Picture(
            name=f"pedigree-{number}.svg",
            content=svg,
            alt=tell(
                "Pedigree of {names}, {count} animals", names=names, count=len(picture.animals)
            ),
            caption=tell("Pedigree of {names}, {count} generations up", names=names, count=UP),
        )


def photographs(animals, marks):
    """Yield the last photograph of each animal that can be read."""
    for number, animal in enumerate(animals, 1):
        photos = [m for m in marks[animal.pk] if m.photo]
        content = _small(photos[-1].photo) if photos else None
        if content:
            day = written(photos[-1].day)
            yield Picture(
                name=f"photograph-{number}.svg",
                content=content,
                alt=tell("Photograph of {code}", code=animal.code),
                caption=tell("{code}, photographed {day}", code=animal.code, day=day),
            )


def _small(photo):
    """Return a photograph made small, None where it cannot be read."""
    try:
        with photo.storage.open(photo.name) as file, Image.open(file) as picture:
            small = picture.convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None
    small.thumbnail((LONGEST, LONGEST))
    return _as_svg(small)


def _as_svg(photo):
    """Return a photograph inside an SVG picture: the typesetter takes text files only."""
    kept = BytesIO()
    photo.save(kept, "JPEG", quality=85)
    size = f'width="{photo.width}" height="{photo.height}"'
    data = f"data:image/jpeg;base64,{b64encode(kept.getvalue()).decode()}"
    return f'<svg xmlns="{SVG}" {size}><image {size} href="{data}"/></svg>'.encode()
