"""Says in words what a pedigree picture shows, for a screen reader and for whoever prefers text."""

from dataclasses import dataclass

from registry.charts.lettering import clean
from registry.charts.words import parents_said, spoken

from ..telling import tell, to_tell

BACK = (
    to_tell("Asked about"),
    to_tell("Parents"),
    to_tell("Grandparents"),
    to_tell("Great-grandparents"),
)
ON = (to_tell("Asked about"), to_tell("Young"), to_tell("Young of the young"))
OTHERS = to_tell("Also drawn")


@dataclass(frozen=True, kw_only=True)
class Item:
    """One animal of an outline: its key, the sentence about it, and the page it links to."""

    key: str
    text: str
    href: str = ""


@dataclass(frozen=True, kw_only=True)
class Section:
    """The animals of one generation under a heading."""

    heading: str
    items: tuple[Item, ...]


def outline(pedigree):
    """Say a pedigree by generations from the animals asked about; each animal once.

    Returns
    -------
    tuple of Section
        First those asked about, then back through their ancestors, then on to their descendants,
        then whoever else is drawn (mates, siblings).
    """
    sections, left = [], {animal.key: animal for animal in pedigree.animals}
    names = {key: animal.code for key, animal in left.items()}
    for heading, keys in _generations(pedigree):
        found = [left.pop(key) for key in sorted(keys) if key in left]
        items = tuple(_item(animal, pedigree, names) for animal in found)
        if items:
            sections.append(Section(heading=heading, items=items))
    return tuple(sections)


def as_text(sections):
    """Write an outline as plain text, a heading and indented lines."""
    written = [line for section in sections for line in _section_lines(section)]
    return "\n".join(written)


def _section_lines(section):
    """Write one generation."""
    return [section.heading, *(f"  {item.text}" for item in section.items)]


def _generations(pedigree):
    """Give a heading and keys for each generation, back first, then on, then the rest."""
    parents, young = {}, {}
    for family in pedigree.families:
        for child in family.young:
            for parent in family.parents:
                parents.setdefault(child, []).append(parent.key)
                young.setdefault(parent.key, []).append(child)
    yield from _layers(pedigree.asked, parents, BACK, to_tell("{number} generations back"))
    yield from list(_layers(pedigree.asked, young, ON, to_tell("{number} generations on")))[1:]
    yield tell(OTHERS), [animal.key for animal in pedigree.animals]


def _layers(asked, steps, names, beyond):
    """Walk generation by generation; whoever is met twice belongs to the nearest."""
    seen, layer, number = set(asked), list(asked), 0
    while layer:
        yield tell(names[number]) if number < len(names) else tell(beyond, number=number), layer
        layer = sorted({far for key in layer for far in steps.get(key, ())} - seen)
        seen.update(layer)
        number += 1


def _item(animal, pedigree, names):
    """Say one animal: who it is, its parents, and the young drawn only as a group."""
    remarks = _remarks(animal.key, pedigree)
    told = [spoken(animal, *remarks)]
    told += [_parents(family, names) for family in pedigree.families if animal.key in family.young]
    told += [
        _group(family, names) for family in pedigree.families if _tells_group(family, animal, names)
    ]
    return Item(key=animal.key, text=clean(f"{'. '.join(told)}."), href=animal.href)


def _remarks(key, pedigree):
    """Say what an animal is in this picture, and what is left out about it."""
    marks = [
        (tell("common ancestor"), key in pedigree.common),
        (pedigree.unseen.get(key, ""), key in pedigree.unseen),
    ]
    return [words for words, on in marks if on]


def _parents(family, names):
    """Say the parents, and the clutch where it matters for them."""
    told = {"parents": parents_said(family, names), "clutch": family.clutch}
    if family.clutch:
        return tell("Parents, {clutch}: {parents}", **told)
    return tell("Parents: {parents}", **told)


def _tells_group(family, animal, names):
    """Whether the group of a family is told with this animal: the first parent that is drawn."""
    first = next((parent.key for parent in family.parents if parent.key in names), None)
    return family.more is not None and first == animal.key


def _group(family, names):
    """Say the young of a family that are drawn as a group."""
    return tell(
        "And {size} more young ({made_of}) of {parents_said}",
        size=family.more.size,
        made_of=family.more.made_of,
        parents_said=parents_said(family, names),
    )
