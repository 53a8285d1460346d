"""Says in words what a pedigree picture shows, for a screen reader and for whoever prefers text."""

from dataclasses import dataclass

from registry.charts.lettering import clean
from registry.charts.words import parents_said, spoken

BACK = ("Asked about", "Parents", "Grandparents", "Great-grandparents")
ON = ("Asked about", "Young", "Young of the young")
OTHERS = "Also drawn"


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
    yield from _layers(pedigree.asked, parents, BACK, "generations back")
    yield from list(_layers(pedigree.asked, young, ON, "generations on"))[1:]
    yield OTHERS, [animal.key for animal in pedigree.animals]


def _layers(asked, steps, names, beyond):
    """Walk generation by generation; whoever is met twice belongs to the nearest."""
    seen, layer, number = set(asked), list(asked), 0
    while layer:
        yield names[number] if number < len(names) else f"{number} {beyond}".capitalize(), layer
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
        ("common ancestor", key in pedigree.common),
        (pedigree.unseen.get(key, ""), key in pedigree.unseen),
    ]
    return [words for words, on in marks if on]


def _parents(family, names):
    """Say the parents, and the clutch where it matters for them."""
    clutch = f", {family.clutch}" if family.clutch else ""
    return f"Parents{clutch}: {parents_said(family, names)}"


def _tells_group(family, animal, names):
    """Whether the group of a family is told with this animal: the first parent that is drawn."""
    first = next((parent.key for parent in family.parents if parent.key in names), None)
    return family.more is not None and first == animal.key


def _group(family, names):
    """Say the young of a family that are drawn as a group."""
    return (
        f"And {family.more.size} more young ({family.more.made_of}) "
        f"of {parents_said(family, names)}"
    )
