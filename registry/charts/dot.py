"""Pictures as DOT: the bare graph that is laid out, and the full one to download."""

import graphviz

from registry.charts.lettering import clean
from registry.charts.sketch import Direction, Shape, card_boxes, knot_box

POINTS_PER_INCH = 72
RANKDIR = {Direction.DOWN: "TB", Direction.ACROSS: "LR"}
PORTS = {Direction.DOWN: ("s", "n"), Direction.ACROSS: ("e", "w")}
NEIGHBOURS = {Direction.DOWN: 0.26, Direction.ACROSS: 0.14}
RANKS, PER_STROKE, WIDEST = 0.5, 0.0015, 1.5
SHAPES = {Shape.SQUARE: "box", Shape.CIRCLE: "ellipse", Shape.DIAMOND: "diamond"}


def skeleton(sketch):
    """Write the graph to be laid out: numbered boxes of known size, and none of the text."""
    graph = graphviz.Digraph(
        graph_attr={
            "rankdir": RANKDIR[sketch.direction],
            "nodesep": str(NEIGHBOURS[sketch.direction]),
            "ranksep": f"{_between_ranks(sketch):.3f}",
        },
        node_attr={"shape": "box", "fixedsize": "true", "label": "", "margin": "0"},
        edge_attr={"arrowhead": "none"},
    )
    sizes = list(card_boxes(sketch).values())
    sizes += [knot_box(knot, sketch.direction) for knot in sketch.knots]
    for number, (wide, high) in enumerate(sizes):
        graph.node(f"n{number}", width=_inches(wide), height=_inches(high))
    ends = _ends(sketch)
    for place, stroke in enumerate(sketch.strokes):
        graph.edge(*ends[place], id=f"e{place}", **_docking(sketch, stroke))
    return graph.source


def _between_ranks(sketch):
    """Keep generations further apart the more strokes run between them; in inches."""
    return min(WIDEST, RANKS + PER_STROKE * len(sketch.strokes))


def _inches(pixels):
    """Turn pixels into what Graphviz measures boxes in."""
    return f"{pixels / POINTS_PER_INCH:.4f}"


def _ends(sketch):
    """Name both ends of each stroke by the number of its box; keys are free text and stay out."""
    keys = [item.key for item in (*sketch.cards, *sketch.knots)]
    number = {key: f"n{place}" for place, key in enumerate(keys)}
    return [(number[stroke.tail], number[stroke.head]) for stroke in sketch.strokes]


def _docking(sketch, stroke):
    """Join a card by the middle of its side, a dotted knot by its own middle."""
    out, into = PORTS[sketch.direction]
    dotted = {knot.key for knot in sketch.knots if knot.dotted}
    tail = {"tailclip": "false"} if stroke.tail in dotted else {"tailport": out}
    head = {"headclip": "false"} if stroke.head in dotted else {"headport": into}
    return tail | head


def dot(sketch):
    """Write a picture as a DOT file that any Graphviz draws: shapes, text, dashes, double lines.

    Graphviz knows no slashed shape: a dead animal is told by its text alone here.
    """
    graph = graphviz.Digraph(
        graph_attr={
            "rankdir": RANKDIR[sketch.direction],
            "label": _label([sketch.title]),
            "labelloc": "t",
            "fontname": "sans-serif",
        },
        node_attr={"fontname": "sans-serif", "fontsize": "11", "margin": "0.06"},
        edge_attr={"fontname": "sans-serif", "fontsize": "10"},
    )
    for number, card in enumerate(sketch.cards):
        graph.node(f"n{number}", **_card(card))
    for number, knot in enumerate(sketch.knots, start=len(sketch.cards)):
        graph.node(f"n{number}", **_knot(knot))
    for ends, stroke in zip(_ends(sketch), sketch.strokes, strict=True):
        graph.edge(*ends, **_pen(stroke))
    return graph.source


def _label(lines):
    """Write lines as a label in which nothing is markup and nothing is an escape."""
    shown = [graphviz.escape(clean(line)) for line in lines if line]
    return graphviz.nohtml("\\n".join(shown))


def _card(card):
    """Say how a card looks; signs a drawing would show are told in words."""
    styles = [name for name, on in (("dashed", card.dashed), ("bold", card.heavy)) if on]
    return {
        "shape": SHAPES[card.shape],
        "label": _label([*card.lines, card.sign]),
        "style": ",".join(styles),
        "peripheries": "2" if card.flagged else "1",
        "tooltip": _label([card.spoken]),
    }


def _knot(knot):
    """Say how a knot looks: a point with its text beside it, or the text alone."""
    if knot.dotted:
        return {"shape": "point", "width": "0.08", "xlabel": _label(knot.lines)}
    return {"shape": "plaintext", "label": _label(knot.lines)}


def _pen(stroke):
    """Say how a stroke looks; a double line is two colours side by side to Graphviz."""
    return {
        "style": "dashed" if stroke.dashed else "solid",
        "color": "black:invis:black" if stroke.double else "black",
        "label": _label([stroke.label]),
        "arrowhead": "normal" if stroke.arrow else "none",
    }
