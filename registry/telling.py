"""Says sentences in the reader's language; pure: the site plugs its catalogue in when it starts.

Each sentence is written in English where it is said, whole, with names for what stands in it.
Without a catalogue it is said as it is written.
"""


def _as_written(sentence):
    return sentence


def _as_counted(one, many, count):
    return one if count == 1 else many


def _point():
    return "."


_catalogue = {"told": _as_written, "counted": _as_counted, "sign": _point}


def plug(told, counted, sign):
    """Take the look-ups of a language: of a sentence, of one that counts, of its decimal sign."""
    _catalogue.update(told=told, counted=counted, sign=sign)


def tell(sentence, /, **names):
    """Return a sentence in the reader's language, with what it names put in.

    >>> tell("{one} and {other} could cross.", one="A", other="B")
    'A and B could cross.'
    """
    said = _catalogue["told"](str(sentence))
    return said.format(**names) if names else said


def tell_many(one, many, count, /, **names):
    """Return the form of a sentence that fits a count, which it names as `count`.

    >>> tell_many("{count} day", "{count} days", 1), tell_many("{count} day", "{count} days", 3)
    ('1 day', '3 days')
    """
    return _catalogue["counted"](one, many, count).format(count=count, **names)


def decimal(figure):
    """Return a figure with the sign that parts its decimals in the reader's language.

    >>> decimal("0.125")
    '0.125'
    """
    return str(figure).replace(".", _catalogue["sign"]())


def to_tell(sentence):
    """Return words as they are, and mark them for the catalogue: they are told where they are read.

    >>> to_tell("in isolation")
    'in isolation'
    """
    return sentence
