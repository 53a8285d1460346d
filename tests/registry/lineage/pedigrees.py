"""Small random pedigrees with uncertain parents, for tests of what holds in all of them."""

from hypothesis import strategies as st

from registry.lineage import ClutchOf, OneOf, PairOf

MOST_WAYS = 48


@st.composite
def pedigrees(draw, most=9, names=(True, False)):
    """Records of up to `most` animals, numbered by age, in any order; few ways to settle them.

    `names` tells whether a choice of parents has a name: always, never, or by chance.
    """
    book = _Book(draw, names)
    for key in range(draw(st.integers(3, most))):
        book.enter(key)
    return draw(st.permutations(book.records))


class _Book:
    """Records so far, and the choices of parents that later young may share."""

    def __init__(self, draw, names):
        self.draw = draw
        self.names = names
        self.records = []
        self.choices = {ClutchOf: [], OneOf: [], PairOf: []}
        self.ways = 1

    def enter(self, key):
        older = list(range(key))
        self.records.append((key, *(self._mixed(older) or self._parents(older))))

    def _parents(self, older):
        if len(older) >= 2 and self.draw(st.integers(0, 3)) == 0:
            pair = self._shared_or_new(PairOf, st.permutations(older).map(lambda p: tuple(p[:2])))
            return pair, pair
        return self._parent(older), self._parent(older)

    def _mixed(self, older):
        """The parents of one of two clutches, such as other young may have for certain."""
        if len(older) < 2 or self.ways * 3 > MOST_WAYS or self.draw(st.integers(0, 3)):
            return None
        self.ways *= 3
        known = [both for _, *both in self.records]
        families = [
            self.draw(st.sampled_from(known)) if self.draw(st.booleans()) else self._parents(older)
            for _ in range(2)
        ]
        parts = [self.draw(st.integers(1, 9)) for _ in families]
        whole = sum(parts) + self.draw(st.sampled_from([0, 0, 3]))
        told = [(*both, part / whole) for both, part in zip(families, parts, strict=True)]
        mixed = ClutchOf(told, name=self._name())
        self.choices[ClutchOf].append(mixed)
        return mixed, mixed

    def _parent(self, older):
        kind = self.draw(st.sampled_from(["none", "known", "known", "one of", "one of"]))
        if kind == "none" or not older:
            return None
        if kind == "known":
            return self.draw(st.sampled_from(older))
        return self._shared_or_new(OneOf, st.sampled_from(older))

    def _shared_or_new(self, kind, candidates):
        if self.choices[kind] and self.draw(st.booleans()):
            return self.draw(st.sampled_from(self.choices[kind]))
        several = self.draw(st.lists(candidates, min_size=1, max_size=3, unique=True))
        if self.ways * (len(several) + 1) > MOST_WAYS:
            return None
        self.ways *= len(several) + 1
        new = kind(self._weighed(several), name=self._name())
        self.choices[kind].append(new)
        return new

    def _weighed(self, several):
        parts = [self.draw(st.integers(1, 9)) for _ in several]
        outsider = self.draw(st.sampled_from([0, 0, 3]))
        return {
            one: part / (sum(parts) + outsider) for one, part in zip(several, parts, strict=True)
        }

    def _name(self):
        number = sum(map(len, self.choices.values()))
        return f"choice {number}" if self.draw(st.sampled_from(self.names)) else None
