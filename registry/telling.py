"""Says sentences in the reader's language; pure: the site plugs its catalogue in when it starts.

Each sentence is written in English where it is said, whole, with names for what stands in it.
Without a catalogue it is said as it is written.
"""


def _as_written(sentence):
    return sentence


def _as_counted(one, many, count):
    return one if count == 1 else many


_catalogue = {"told": _as_written, "counted": _as_counted}


def plug(told, counted):
    """Take the two look-ups of a catalogue: of a sentence, and of one that depends on a count."""
    _catalogue.update(told=told, counted=counted)


def told(sentence, /, **names):
    """Return a sentence in the reader's language, with what it names put in.

    >>> told("{one} and {other} could cross.", one="A", other="B")
    'A and B could cross.'
    """
    said = _catalogue["told"](str(sentence))
    return said.format(**names) if names else said


def counted(one, many, count, /, **names):
    """Return the form of a sentence that fits a count, which it names as `count`.

    >>> counted("{count} day", "{count} days", 1), counted("{count} day", "{count} days", 3)
    ('1 day', '3 days')
    """
    return _catalogue["counted"](one, many, count).format(count=count, **names)


def later(sentence):
    """Return words as they are, and mark them for the catalogue: they are told where they are read.

    >>> later("in isolation")
    'in isolation'
    """
    return sentence
