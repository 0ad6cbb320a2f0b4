"""The knock-on graph: what the change asks for at the top, what follows from it below, with the reason on every arc."""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.draw.layered import Arc, Box, Gaps, Laid, laid_out, layers_of
from planner.draw.layered_dot import Dot, laid_out_by_dot
from planner.draw.lettering import num
from planner.draw.picture import (
    HEAD_MM,
    LINE,
    MARGIN_MM,
    SMALL_MM,
    Form,
    Picture,
    Words,
    drawn,
    lines,
    plain,
    rect,
    words_wide,
)
from planner.draw.sheet import Mark, Point
from planner.draw.svg import COLOURS, HATCH_WIDE, HATCHES
from planner.draw.tree_boxes import (
    LETTERS,
    ROOT,
    STRIP_MM,
    TAB_MM,
    TAB_TEXT_MM,
    WIDE_MM,
    Tab,
    TreeBox,
    effect_numbers,
    tree_boxes,
)
from planner.model.effects import EffectKind, Knockons
from planner.model.vehicle import Vehicle

Items = list[Words | Form]

_GAPS = Gaps(beside=3.0, below=15.0)
_ROOT_HIGH_MM = 11.0
_SEAM_MM = 4.0
"""Room above a row of boxes for the dots of what is asked for."""
_PAD_MM = 1.6
_LEAST_WIDE_MM = 180.0
_FEWEST, _MOST = 3, 7
_ALL_ARCS = 24
"""With more boxes than this, only nearest causes have arcs."""
_PLAIN_MARKS = {letter: Mark(letter) for letter in LETTERS.values() if letter in set(Mark)}
_FILLS = {
    **{
        f"kind-{letter}": (
            HATCHES[mark],
            f'stroke="{COLOURS[mark]}" stroke-width="{HATCH_WIDE.get(mark, 0.45):g}"',
        )
        for letter, mark in _PLAIN_MARKS.items()
    },
    "kind-V": ("M.5 0V1.1M1.5 .9V2", 'stroke="#CC79A7" stroke-width=".4"'),
    "kind-Q": ("M.5 0V2M1.5 0V2", 'stroke="#000" stroke-width=".3"'),
    "kind-U": ("M1 1h.01", 'stroke="#E69F00" stroke-width=".7" stroke-linecap="round"'),
}
_LOOKS = {
    **{name: f"fill:url(@{name});stroke:#000;stroke-width:.3" for name in _FILLS},
    "arc": "fill:none;stroke:#000;stroke-width:.45",
    "more": "fill:none;stroke:#555;stroke-width:.25;stroke-dasharray:1.4 .9",
    "tab": "fill:#fff;stroke:#000;stroke-width:.2",
    "root": "fill:#000;stroke:none",
}


def tree_picture(
    vehicle: Vehicle,
    knockons: Knockons,
    engine: Dot | None = None,
    *,
    job: str = "",
    name: str = "tree",
    wide_mm: float | None = None,
) -> Picture:
    """Draw what follows from what.

    Parameters
    ----------
    vehicle : Vehicle
        For its name and its owner's units.
    knockons : Knockons
    engine : Dot, optional
        The program to lay it out with; None: by ourselves. Drawn the same either way.
    job : str
        Name of the job, for the title.
    name : str
        Begins every id in the drawing.
    wide_mm : float, optional
        How much room boxes side by side may take [mm], arcs that pass between them not counted; None: as suits it.

    Returns
    -------
    Picture
        Effects are numbered. An effect's nearest cause has a whole arc; two more are told on top of its box
        by their number, with a dashed arc where there are no more than 24 boxes; how many are left out is told there.
        Effects of one kind that are nobody's nearest cause share a box under their own, and tell of others only
        numbers. What is asked for but lies further down than the first row has a black dot in place of an arc.
        Causes that go round in a circle have no arc. The twin tells all of them. It may be cut between its rows.

    Raises
    ------
    DotError
        The program did not do its work.
    """
    boxes = tree_boxes(knockons, vehicle.units)
    graph, arcs = _graph(boxes, wide_mm)
    laid = laid_out(graph, arcs, _GAPS) if engine is None else laid_out_by_dot(graph, arcs, _GAPS, engine)
    head = f"{plain(vehicle.name)}: {plain(job) if job else 'what follows from the change'}"
    left = MARGIN_MM + max(0.0, (_LEAST_WIDE_MM - 2 * MARGIN_MM - laid.size[0]) / 2)
    top = MARGIN_MM + HEAD_MM * 2.6
    wide = max(_LEAST_WIDE_MM, laid.size[0] + 2 * MARGIN_MM)
    items: Items = [Words(at=(MARGIN_MM, MARGIN_MM + HEAD_MM), text=_fit(head, wide), size_mm=HEAD_MM, bold=True)]
    items += _arcs(boxes, arcs, laid, (left, top))
    items += _root((laid.tops[0][0] + left, laid.tops[0][1] + top))
    for n, box in enumerate(boxes, 1):
        at = (laid.tops[n][0] + left - WIDE_MM / 2, laid.tops[n][1] + top)
        items += _box(box, at, has_arc={a.source for a in arcs if a.target == n}, index=_index(boxes))
    y = top + laid.size[1] + 8.0
    if not boxes:
        items.append(Words(at=(MARGIN_MM, y), text="Nothing else follows from it."))
        y += 4.0
    legend, y = _legend(boxes, y, wide)
    return Picture(
        name=name,
        title=head,
        about="Boxes are what happens to a part; an arc leads from each to what it causes, with the reason.",
        size=(wide, y + MARGIN_MM),
        items=(*items, *legend),
        looks=_LOOKS,
        fills=_FILLS,
        seams=_seams(graph, laid, top),
    )


draw_tree = drawn(tree_picture)
"""The same as SVG text."""


def draw_tree_words(vehicle: Vehicle, knockons: Knockons, *, job: str = "") -> tuple[str, ...]:
    """The same in lines: every effect with every one of its causes, and what each comes from."""
    known = effect_numbers(knockons)
    told = [f"{plain(vehicle.name)}: {plain(job) if job else 'what follows from the change'}"]
    for n, effect in enumerate(knockons.effects, 1):
        told.append(f"{n} {LETTERS[effect.kind]} {plain(effect.text)}")
        for cause in effect.causes:
            where = f" (from {known[cause.source]})" if cause.source in known else ""
            told.append(f"    because {plain(cause.text)}{where}")
    if not knockons.effects:
        told.append("nothing else follows from it")
    return tuple(told)


def _seams(graph: Sequence[Box], laid: Laid, top: float) -> tuple[float, ...]:
    """Heights between one row of boxes and the next, just above the dots and reasons on top of the next."""
    rows: dict[int, tuple[float, float]] = {}
    for box, (_, y) in zip(graph, laid.tops, strict=True):
        high, low = rows.get(box.layer, (y, y))
        rows[box.layer] = (min(high, y), max(low, y + box.high))
    apart = [(rows[n][1], rows[n + 1][0]) for n in sorted(rows) if n + 1 in rows]
    return tuple(max((a + b) / 2, b - _SEAM_MM) + top for a, b in apart)


def _fit(text: str, wide: float) -> str:
    kept = text
    while words_wide(kept, HEAD_MM, bold=True) > wide - 2 * MARGIN_MM:
        kept = kept.removesuffix("...")[:-1].rstrip() + "..."
    return kept


def _index(boxes: Sequence[TreeBox]) -> dict[str, int]:
    """Box of each effect, from 1; the root is 0."""
    return {ROOT: 0} | {e.id: n for n, box in enumerate(boxes, 1) for e in box.effects}


def _graph(boxes: Sequence[TreeBox], wide_mm: float | None) -> tuple[list[Box], list[Arc]]:
    """Boxes in layers with the root on top, and the arcs that are drawn."""
    index = _index(boxes)
    every = len(boxes) <= _ALL_ARCS
    drawn = [
        (index[t.source], n, t)
        for n, box in enumerate(boxes, 1)
        for t in box.tabs
        if t.source is not None and (t.nearest or every)
    ]
    pairs = [(source, n) for source, n, _ in drawn]
    beside = min(max(math.ceil(math.sqrt(len(boxes))), _FEWEST), _MOST)
    if wide_mm is not None:
        beside = max(1, int((wide_mm - 2 * MARGIN_MM) // (WIDE_MM + _GAPS.beside)))
    a_row = beside * (WIDE_MM + _GAPS.beside)
    # What has no cause that is shown stands under the root as well.
    loose = [(0, n) for n in range(1, len(boxes) + 1) if not any(p[1] == n for p in pairs)]
    widths = [a_row, *(WIDE_MM + _GAPS.beside for _ in boxes)]
    layers = layers_of(widths, pairs + loose, a_row, _turns(len(boxes), [(s, n) for s, n, t in drawn if t.nearest]))
    graph = [Box(wide=WIDE_MM, high=_ROOT_HIGH_MM, layer=0)]
    graph += [Box(wide=WIDE_MM, high=_high(box), layer=layers[n]) for n, box in enumerate(boxes, 1)]
    arcs = [
        Arc(source=source, target=n, port=tab.left + tab.wide / 2 - WIDE_MM / 2)
        for source, n, tab in drawn
        if source != 0 or layers[n] == 1
    ]
    return graph, arcs


def _turns(count: int, nearest: Sequence[tuple[int, int]]) -> list[int]:
    """Every box right after what it follows from, so that what follows from one thing stays together; quiet ones last.

    Returns the turn of the root and of each box.
    """
    following: dict[int, list[int]] = {}
    for source, target in nearest:
        following.setdefault(source, []).append(target)
    sequence: list[int] = []
    todo = [0]
    while todo:
        box = todo.pop()
        sequence.append(box)
        todo += sorted(following.get(box, ()), key=lambda b: (b not in following, b), reverse=True)
    place = {box: n for n, box in enumerate(sequence)}
    return [place.get(box, count + box) for box in range(count + 1)]


def _high(box: TreeBox) -> float:
    lines_mm = sum(len(t) for t in box.texts) * SMALL_MM * LINE
    return TAB_MM + lines_mm + 2 * _PAD_MM * len(box.texts)


def _arcs(boxes: Sequence[TreeBox], arcs: Sequence[Arc], laid: Laid, at: Point) -> Items:
    index = _index(boxes)
    nearest = {
        (index[t.source], n) for n, b in enumerate(boxes, 1) for t in b.tabs if t.nearest and t.source is not None
    }
    ids = [ROOT, *(box.effects[0].id for box in boxes)]
    items: Items = []
    for arc, curve in zip(arcs, laid.curves, strict=True):
        points = [(x + at[0], y + at[1]) for x, y in curve]
        d = f"M{num(points[0][0])} {num(points[0][1])}C" + " ".join(f"{num(x)} {num(y)}" for x, y in points[1:])
        look = "arc" if (arc.source, arc.target) in nearest else "more"
        items.append(Form(d=d, look=look, data=(("from", ids[arc.source] or "root"), ("to", ids[arc.target]))))
        x, y = points[-1]
        items.append(Form(d=f"M{num(x)} {num(y)}l-1 -2.4h2Z", look="solid"))
    return items


def _root(top: Point) -> Items:
    x, y = top
    return [
        Form(d=rect(x - WIDE_MM / 2, y, WIDE_MM, _ROOT_HIGH_MM), look="heavy", data=(("root", "1"),)),
        _dot(x - WIDE_MM / 2 + 4.0, y + _ROOT_HIGH_MM / 2),
        Words(at=(x, y + 6.6), text="the change", size_mm=3.6, anchor="middle", bold=True),
    ]


def _dot(x: float, y: float) -> Form:
    return Form(d=f"M{num(x - 1)} {num(y)}a1 1 0 1 0 2 0a1 1 0 1 0 -2 0Z", look="root")


def _box(box: TreeBox, at: Point, *, has_arc: set[int], index: dict[str, int]) -> Items:
    x, y = at
    items: Items = []
    for tab in box.tabs:
        items += _tab(tab, (x, y), drawn=tab.source is not None and index[tab.source] in has_arc)
    top = y + TAB_MM
    high = _high(box) - TAB_MM
    letter = LETTERS[box.effects[0].kind]
    items.append(Form(d=rect(x, top, WIDE_MM, high), look="box", tip=box.effects[0].kind.value))
    items.append(Form(d=rect(x, top, STRIP_MM, high), look=f"kind-{letter}"))
    middle = (x + STRIP_MM / 2, top + high / 2 + 1.3)
    items.append(Words(at=middle, text=letter, size_mm=3.6, anchor="middle", bold=True, halo=True))
    edge = top
    for n, (effect, texts) in enumerate(zip(box.effects, box.texts, strict=True)):
        if n:
            items.append(Form(d=lines((x + STRIP_MM, edge), (x + WIDE_MM, edge)), look="pale"))
        deep = len(texts) * SMALL_MM * LINE + 2 * _PAD_MM
        d = rect(x + STRIP_MM, edge, WIDE_MM - STRIP_MM, deep)
        items.append(Form(d=d, look="none", tip=effect.text, data=(("effect", effect.id),)))
        items += [
            Words(at=(x + STRIP_MM + 1.5, edge + _PAD_MM + SMALL_MM * (0.95 + k * LINE)), text=text)
            for k, text in enumerate(texts)
        ]
        edge += deep
    return items


def _tab(tab: Tab, at: Point, *, drawn: bool) -> Items:
    x, y = at[0] + tab.left, at[1]
    items: Items = [Form(d=rect(x, y, tab.wide, TAB_MM), look="tab")] if tab.source is not None else []
    items.append(Words(at=(x + tab.wide / 2, y + 2.8), text=tab.text, size_mm=TAB_TEXT_MM, anchor="middle"))
    if tab.source == ROOT and not drawn:
        items.append(_dot(x + tab.wide / 2, y - 1.6))
    return items


def _legend(boxes: Sequence[TreeBox], y: float, wide: float) -> tuple[Items, float]:
    items: Items = []
    x = MARGIN_MM
    for kind in EffectKind:
        if not any(box.effects[0].kind is kind for box in boxes):
            continue
        letter = LETTERS[kind]
        needed = 9.0 + words_wide(letter, bold=True) + 1.5 + words_wide(kind.value) + 5.0
        if x + needed > wide - MARGIN_MM:
            x, y = MARGIN_MM, y + 5.0
        items.append(Form(d=rect(x, y - 3.0, 7.0, 3.8), look=f"kind-{letter}"))
        items.append(Words(at=(x + 8.5, y), text=letter, bold=True))
        items.append(Words(at=(x + 12.0, y), text=kind.value))
        x += needed
    y += 5.0
    for d, look, text in (
        (lines((MARGIN_MM, y - 1.0), (MARGIN_MM + 7.0, y - 1.0)), "arc", "the nearest cause"),
        (lines((MARGIN_MM + 60.0, y - 1.0), (MARGIN_MM + 67.0, y - 1.0)), "more", "a further cause; +n: so many more"),
    ):
        items.append(Form(d=d, look=look))
        items.append(Words(at=(MARGIN_MM + (8.5 if look == "arc" else 68.5), y), text=text))
    y += 5.0
    items.append(_dot(MARGIN_MM + 3.5, y - 1.0))
    items.append(Words(at=(MARGIN_MM + 8.5, y), text="asked for by the change itself"))
    return items, y
