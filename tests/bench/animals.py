"""Invented registers of any size, as arrays of sires and dams, to measure on."""

import random

import numpy as np

from registry.lineage import OneOf


def closed_lines(lines, animals=2000, generations=12, pairs=6, seed=1):
    """Lines that never mix, each kept by so many pairs of every generation."""
    rng = np.random.default_rng(seed)
    ends = np.linspace(0, animals, generations + 1).astype(int)
    sire = np.full((lines, animals), -1)
    dam = np.full((lines, animals), -1)
    first = animals * np.arange(lines)[:, None]
    for begin, middle, end in zip(ends, ends[1:], ends[2:], strict=False):
        order = np.argsort(rng.random((lines, middle - begin)), axis=1)[:, : 2 * pairs]
        breeders = first + begin + order
        pair = rng.integers(0, pairs, (lines, end - middle))
        sire[:, middle:end] = np.take_along_axis(breeders[:, :pairs], pair, axis=1)
        dam[:, middle:end] = np.take_along_axis(breeders[:, pairs:], pair, axis=1)
    return sire.ravel(), dam.ravel()


def wide(animals, generations=15, sires=333, seed=1):
    """One population mated at random: so many sires of each generation, half of its females."""
    rng = np.random.default_rng(seed)
    ends = np.linspace(0, animals, generations + 1).astype(int)
    sire, dam = np.full(animals, -1), np.full(animals, -1)
    for begin, middle, end in zip(ends, ends[1:], ends[2:], strict=False):
        older = rng.permutation(np.arange(begin, middle))
        females = older[len(older) // 2 :]
        sire[middle:end] = rng.choice(older[: min(sires, len(older) // 2)], end - middle)
        dam[middle:end] = rng.choice(females[: max(1, len(females) // 2)], end - middle)
    return sire, dam


def uncertain(sire, dam, share=0.1, seed=1):
    """Records in which so many of the parents are one of two or three of their generation."""
    rng = random.Random(seed)
    sides = [side.tolist() for side in (sire, dam)]

    def parent(side, key):
        known = side[key]
        if known < 0:
            return None
        if rng.random() >= share:
            return known
        near = {side[one] for one in range(max(0, key - 60), key) if side[one] >= 0} - {known}
        several = [known, *rng.sample(sorted(near), min(len(near), rng.randint(1, 2)))]
        return OneOf(dict.fromkeys(several, 1 / len(several)))

    return [(key, *(parent(side, key) for side in sides)) for key in range(len(sire))]
