"""Which of the founders' alleles the living of a line still have, by gene drop."""

from .founding import founder_words
from .lineage import alleles_kept, collection

PARTS = (5, 50, 95)  # per cent of the runs


def count_alleles(census, on, question, progress=None):
    """Return what a gene drop kept, as plain values; `progress(done, whole)` hears of each part."""
    keys = [a.pk for a in census.here(on)]
    how = {"seed": question["seed"], "runs": question["runs"], "progress": progress}
    kept = alleles_kept(census.lineage, keys, **how)
    counts = sorted(kept.kept)
    return {
        "animals": len(keys),
        "at_start": kept.at_start,
        "mean": kept.mean,
        "share": kept.share,
        "spread": [counts[min(len(counts) - 1, len(counts) * part // 100)] for part in PARTS],
        "founders": _founders(census, on, keys, kept),
    }


def _founders(census, on, keys, kept):
    """Return what each founder is called, its share of the living, and the part of its alleles."""
    words = founder_words(census, on, [founder for founder, _ in kept.by_founder])
    shares = {c.founder: c.share for c in collection(census.lineage, keys).contributions}
    rows = [[words[one], shares.get(one, 0.0), count / 2] for one, count in kept.by_founder]
    return sorted(rows, key=lambda row: (-row[1], row[0]))
