"""What a pedigree can be refused for; every refusal carries the animals and names them."""

from itertools import pairwise


class PedigreeError(ValueError):
    """A pedigree that cannot be; `animals` are the keys it is about, in that order."""

    def __init__(self, message, animals=()):
        super().__init__(message)
        self.animals = tuple(animals)


class LoopInDescent(PedigreeError):
    """Each of `animals` may be a parent of the next, and the last of the first."""

    def __init__(self, animals):
        ring = [*animals, animals[0]]
        steps = ", ".join(f"{older} of {younger}" for older, younger in pairwise(ring))
        super().__init__(f"The pedigree runs in a circle, parent of young: {steps}.", animals)


class OwnParent(PedigreeError):
    """An animal is given as its own parent, or as one that may be."""

    def __init__(self, animal):
        super().__init__(f"{animal} is given as its own parent.", [animal])


class UnknownAnimal(PedigreeError):
    """A key that no record has, in a question or as a parent of `child`."""

    def __init__(self, animal, child=None):
        told = f", a parent of {child}," if child is not None else ""
        super().__init__(f"{animal}{told} has no record in this pedigree.", [animal])
        self.child = child


class RecordedTwice(PedigreeError):
    """Two records have one key."""

    def __init__(self, animal):
        super().__init__(f"{animal} is recorded twice.", [animal])


class ImpossibleWeights(PedigreeError):
    """A weight is below 0 or no number, or the weights of one choice are above 1 together."""

    def __init__(self, why, animals):
        super().__init__(f"Weights of {', '.join(map(str, animals))}: {why}.", animals)


class PairOfOne(PedigreeError):
    """A pair drawn for parents is one animal twice."""

    def __init__(self, animal):
        super().__init__(f"{animal} is given as both animals of one pair.", [animal])


class HalfAPair(PedigreeError):
    """A pair is given for one parent of an animal only, the other parent being something else."""

    def __init__(self, animal):
        super().__init__(f"The parents of {animal} are drawn as a pair on one side only.", [animal])


class NameUsedTwice(PedigreeError):
    """Two different choices of parents have one name."""

    def __init__(self, name, animals):
        listed = ", ".join(map(str, animals))
        super().__init__(f'Two different choices are both named "{name}": {listed}.', animals)
        self.name = name
