"""Animals and pedigrees to draw; a test names only what it is about."""

from registry.charts.figures import Figure
from registry.charts.pedigree import Animal, Parentage, pedigree

NASTY = (
    "\"Quoted\" and 'single'",
    "</text><script>alert(1)</script>",
    "<b>bold</b> & <i>co</i>",
    "back\\slash \\N \\G \\l ends in \\",
    '=HYPERLINK("http://x.example")',
    "two\nlines\r\nand\ta tab",
    "nul\x00 bell\x07 escape\x1b",
    "\u202egnorts si siht\u202c \u2066isolate",
    "שלום ابن 日本語 Ж ½ ♂♀",
    "e\u0301 and 👩\u200d🔬 and \ud800 alone",
    "n" * 300,
    "<>",
    "{record|port} [a=b]; -> n0",
    "--> ]]> <!-- <![CDATA[",
    "",
    "   ",
)


def animal(key="E-1", **facts):
    """Make an animal whose code is its key."""
    return Animal(key=key, **({"code": key} | facts))


def pair(sire, dam, **facts):
    """Make the parentage of a certain sire and a certain dam."""
    return Parentage.of(sires={sire: 1}, dams={dam: 1}, **facts)


def figure(expected, worst=None):
    """Make a figure that is certain unless a worst case is given."""
    return Figure(expected=expected, worst=expected if worst is None else worst)


def drawn(parentage, asked, **animals):
    """Make the pedigree of everybody in a parentage; animals not given are plain."""
    keys = {*parentage, *(parent for told in parentage.values() for parent in told), *asked}
    described = {key: animals.get(key, animal(key)) for key in keys}
    return pedigree(keys, asked=asked, animals=described, parentage=parentage)
