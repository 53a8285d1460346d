"""How long pictures of 50 to 500 animals take: run `python -m tests.bench.charts`.

A line of eight generations with litters of up to eight, a tenth of them with one of two sires.
"""

import random
from statistics import median
from time import perf_counter

from registry.charts import layout
from registry.charts.drawing import draw
from registry.charts.figures import Figure
from registry.charts.files import pdf_file, png_file
from registry.charts.heatmap import Kinships, kinship_map
from registry.charts.outline import as_text, outline
from registry.charts.pedigree import Animal, Parentage, pedigree
from registry.charts.pedigree_sketch import pedigree_sketch
from registry.charts.sketch import Direction

SIZES = (50, 200, 500)
GENERATIONS = 8
HALF = Figure(expected=0.125, worst=0.25)


def line(size, seed=1):
    """Make animals and their parentage, layer by layer."""
    chance, animals, parentage = random.Random(seed), {}, {}
    layers = [[] for _ in range(GENERATIONS)]
    for number, layer in enumerate(layers):
        while len(layer) < size // GENERATIONS:
            brood = chance.randint(1, 8) if number else 1
            told = _parents(chance, layers[number - 1]) if number else None
            for _ in range(brood):
                key = f"E-{len(animals):03}"
                animals[key] = _animal(key, chance, number)
                layer.append(key)
                if told:
                    parentage[key] = told
    return animals, parentage


def _parents(chance, older):
    """Choose a dam, and a sire or two that may be it."""
    sire, other, dam = (chance.choice(older) for _ in range(3))
    sires = {sire: 0.5, other: 0.5} if chance.random() < 0.1 and sire != other else {sire: 1}
    return Parentage.of(sires=sires, dams={dam: 1}, clutch=f"K{chance.random():.6f}"[2:])


def _animal(key, chance, generation):
    """Make one animal with all its lines."""
    return Animal(
        key=key,
        code=key,
        name="Long-legged one",
        sex=chance.choice(["male", "female", "unsexed"]),
        certainty=chance.choice(["strong", "weak"]),
        alive=chance.random() < 0.7,
        locality="Rio Candelo",
        born="3 Oct 2024",
        inbreeding=HALF if generation > 2 else None,
        href=f"/animals/{key}",
    )


def clocked(act):
    """Say the median time of three runs in seconds, and the last answer."""
    times = []
    for _ in range(3):
        layout._places.cache_clear()
        start = perf_counter()
        answer = act()
        times.append(perf_counter() - start)
    return median(times), answer


def report(what, act):
    """Print one line and hand the answer on."""
    seconds, answer = clocked(act)
    size = f"{len(answer) / 1024:8.0f} kB" if isinstance(answer, str | bytes) else ""
    print(f"{what:44}{seconds:8.3f} s {size}")
    return answer


def main():
    """Time each step for each size and direction."""
    for size in SIZES:
        animals, parentage = line(size)
        asked = [max(animals)]
        whole = report(
            f"{size}: choose, group, common ancestors",
            lambda p=parentage, a=animals, k=asked: pedigree(a, asked=k, animals=a, parentage=p),
        )
        report(f"{size}: outline", lambda w=whole: as_text(outline(w)))
        for way in Direction:
            sketch = pedigree_sketch(whole, way)
            svg = report(f"{size}: lay out and draw, {way}", lambda s=sketch: draw(s))
        report(f"{size}: PNG", lambda s=svg: png_file(s))
        report(f"{size}: PDF", lambda s=svg: pdf_file(s))
    codes = tuple(f"E-{n}" for n in range(60))
    kinships = Kinships(codes=codes, figures=((HALF,) * 60,) * 60)
    report("kinship map, 60 x 60", lambda: kinship_map(kinships).svg)


if __name__ == "__main__":
    main()
