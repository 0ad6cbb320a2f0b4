"""Ways of two legs: a first move aside by the least travel that frees a straight way out.

For two convex pieces the travels of the first move at which the second leg would meet are one interval, and so are
those at which the first leg meets. Both come from directions that keep the two apart (exact for flat-sided pieces,
from outside by a few hundredths of the radius for round ones), so every travel worth trying is the end of an interval.
The few that are left are then judged exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import numpy as np

from planner.model.shapes import Direction
from planner.space.crowd import Counts, Crowd, Pairs, Passage, vectors_of
from planner.space.frames import FloatArray, as_vec
from planner.space.pair_lines import PairLines
from planner.space.passages import blocked_all, fixed_span
from planner.space.spans import Span
from planner.space.surfaces import IntArray
from planner.space.ways import SLACK_MM

_CHUNK = 32
"""Bodies looked at in one go: enough to spread the cost of array calls, few enough to stay in memory."""
_HAIR_MM = 1e-6

_WAYS = tuple(Direction)
_TURNS = tuple(
    (first, then)
    for first in _WAYS
    for then in _WAYS
    if all(a * b == 0.0 for a, b in zip(first.vector, then.vector))  # noqa: B905 - three each
)


class Wish(NamedTuple):
    """A body that looks for a way of two legs.

    ``first_mm`` is how far it may go at first and ``out_mm`` how far at last, along each direction; ways that are
    known already make others needless whose blockers include theirs.
    """

    body: str
    first_mm: Callable[[Direction], float]
    out_mm: Callable[[Direction], float]
    known: tuple[frozenset[str], ...] = ()


class Detour(NamedTuple):
    """A way of two legs: ``first_mm`` along ``first``, then out along ``then``; ``blockers`` stand in one or both."""

    first: Direction
    first_mm: float
    then: Direction
    blockers: frozenset[str]


def detours(crowd: Crowd, wishes: Sequence[Wish], never: Counts, *, tick_mm: float = 1.0) -> list[list[Detour]]:
    """Ways of two legs for each wish, in which nothing stands that ``never`` lets pass; the fewest blockers first.

    A way is left out when the blockers of another, or of a known one, are among its own. First moves are counted in
    whole ``tick_mm``, rounded up.
    """
    pair_lines = PairLines(crowd)
    found: list[list[Detour]] = []
    for start in range(0, len(wishes), _CHUNK):
        found += _chunk(crowd, wishes[start : start + _CHUNK], never, pair_lines, tick_mm)
    return found


class _Rows(NamedTuple):
    """Lines in arrays: wish, body (n,), first move's way (n, 3) and most travel (n,) [mm], second leg (n, 3) [mm]."""

    wish: IntArray
    body: IntArray
    way: FloatArray
    most_mm: FloatArray
    sweep_mm: FloatArray


class _Clashes(NamedTuple):
    """Obstacle ``other[k]`` is met on line ``row[k]`` at first moves between ``start`` and ``end`` [mm]."""

    row: IntArray
    other: IntArray
    start: FloatArray
    end: FloatArray


def _chunk(
    crowd: Crowd, wishes: Sequence[Wish], never: Counts, pair_lines: PairLines, tick_mm: float
) -> list[list[Detour]]:
    plain = _rows(crowd, wishes, [(first, None) for first in _WAYS])
    turned = _rows(crowd, wishes, list(_TURNS))
    on_first, on_second = _clashes(crowd, plain, pair_lines), _clashes(crowd, turned, pair_lines)
    maybe = []
    for number, wish in enumerate(wishes):
        one = _of_wish(on_first, plain, number)
        other = _of_wish(on_second, turned, number)
        maybe.append(_promising(crowd, wish, (one, other), never, tick_mm))
    return _judged(crowd, wishes, maybe, never)


def _rows(crowd: Crowd, wishes: Sequence[Wish], turns: Sequence[tuple[Direction, Direction | None]]) -> _Rows:
    """One line for each wish and turn, in that order."""
    most = [wish.first_mm(first) for wish in wishes for first, _ in turns]
    sweeps = [
        np.zeros(3) if then is None else np.array(then.vector) * wish.out_mm(then)
        for wish in wishes
        for _, then in turns
    ]
    return _Rows(
        np.repeat(np.arange(len(wishes)), len(turns)),
        np.repeat([crowd.index[wish.body] for wish in wishes], len(turns)),
        np.tile(vectors_of([first for first, _ in turns]), (len(wishes), 1)),
        np.array(most),
        np.array(sweeps).reshape(-1, 3),
    )


def _clashes(crowd: Crowd, rows: _Rows, pair_lines: PairLines) -> _Clashes:
    reach = rows.way * rows.most_mm[:, None]
    low = np.minimum(reach, 0.0) + np.minimum(rows.sweep_mm, 0.0)
    high = np.maximum(reach, 0.0) + np.maximum(rows.sweep_mm, 0.0)
    row, other = crowd.met(rows.body, crowd.lows[rows.body] + low, crowd.highs[rows.body] + high)
    pairs = crowd.pairs(row, rows.body[row], other)
    pairs = _kept(pairs, crowd.in_line(pairs, low, high))
    lines, sweeps = (np.zeros((len(pairs.row), 3)), rows.way[pairs.row]), rows.sweep_mm[pairs.row]
    limits = np.full(len(pairs.row), SLACK_MM)
    start, end = fixed_span(crowd, pairs, lines, limits, sweeps)
    open_ = np.maximum(start, 0.0) < np.minimum(end, rows.most_mm[pairs.row])
    pairs, lines, sweeps = _kept(pairs, open_), (lines[0][open_], lines[1][open_]), sweeps[open_]
    limits = SLACK_MM + crowd.allowed_mm(pairs.first, pairs.second)
    start, end = _narrowed(crowd, pairs, (lines[1], sweeps), limits, pair_lines)
    start, end = np.maximum(start, 0.0), np.minimum(end, rows.most_mm[pairs.row] + 1.0)
    real = start < end
    return _Clashes(pairs.row[real], crowd.owner[pairs.second[real]], start[real], end[real])


def _narrowed(
    crowd: Crowd, pairs: Pairs, moves: tuple[FloatArray, FloatArray], limits: FloatArray, pair_lines: PairLines
) -> Span:
    """Spans by the fixed directions and, where those are not exact, by the pieces' own."""
    ways, sweeps = moves
    start, end = fixed_span(crowd, pairs, (np.zeros_like(ways), ways), limits, sweeps)
    askew = np.flatnonzero((start < end) & ~(crowd.upright[pairs.first] & crowd.upright[pairs.second]))
    keys = pairs.first[askew] * len(crowd.pieces) + pairs.second[askew]
    order = np.argsort(keys, kind="stable")
    cuts = np.flatnonzero(np.diff(keys[order])) + 1
    for group in np.split(askew[order], cuts):
        if len(group):
            pair = (int(pairs.first[group[0]]), int(pairs.second[group[0]]))
            own = pair_lines.swept_span(pair, ways[group], sweeps[group], limits[group])
            start[group], end[group] = np.maximum(start[group], own[0]), np.minimum(end[group], own[1])
    return start, end


def _kept(pairs: Pairs, mask: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> Pairs:
    return Pairs(*(column[mask] for column in pairs))


def _of_wish(clashes: _Clashes, rows: _Rows, number: int) -> tuple[_Rows, _Clashes]:
    """The lines of one wish, and its clashes with their rows counted among those."""
    mine = rows.wish == number
    start = int(np.argmax(mine))
    rows_mine = _Rows(*(column[mine] for column in rows))
    kept = rows.wish[clashes.row] == number
    return rows_mine, _Clashes(clashes.row[kept] - start, clashes.other[kept], clashes.start[kept], clashes.end[kept])


def _promising(
    crowd: Crowd, wish: Wish, legs: tuple[tuple[_Rows, _Clashes], tuple[_Rows, _Clashes]], never: Counts, tick_mm: float
) -> list[Detour]:
    """Detours by the spans, with what they say stands in the way; none worse than another or a known way."""
    (plain, on_first), (_, on_second) = legs
    others = np.unique(np.concatenate([on_first.other, on_second.other]))
    if not len(others):
        return []
    names = [crowd.names[k] for k in others.tolist()]
    barred = np.array([never(wish.body, name) for name in names], dtype=bool)
    hit = _first_met(on_first, others, len(_WAYS))
    tried: dict[bytes, tuple[float, Direction, Direction]] = {}
    for turn, (first, then) in enumerate(_TURNS):
        number = _WAYS.index(first)
        mine = on_second.row == turn
        start, end = on_second.start[mine], on_second.end[mine]
        travels = _worth_trying(end, plain.most_mm[number], tick_mm)
        inside = (start < travels[:, None]) & (travels[:, None] < end)
        blocks = (inside.astype(np.int32) @ (on_second.other[mine][:, None] == others).astype(np.int32)) > 0
        blocks |= hit[number] < travels[:, None]
        for k in np.flatnonzero(~(blocks & barred).any(axis=1)).tolist():
            key = blocks[k].tobytes()
            if key not in tried or (float(travels[k]), first, then) < tried[key]:
                tried[key] = (float(travels[k]), first, then)
    ways = [
        Detour(first, mm, then, frozenset(n for n, b in zip(names, np.frombuffer(key, dtype=bool), strict=True) if b))
        for key, (mm, first, then) in tried.items()
    ]
    return not_worse(ways, wish.known)


def _first_met(clashes: _Clashes, others: IntArray, count: int) -> FloatArray:
    """Travel (count, m) [mm] at which each line first meets each obstacle, infinite when never."""
    hit = np.full((count, len(others)), np.inf)
    np.minimum.at(hit, (clashes.row, np.searchsorted(others, clashes.other)), clashes.start)
    return hit


def _worth_trying(ends: FloatArray, most_mm: float, tick_mm: float) -> FloatArray:
    """First moves (n,) [mm] at which something is just cleared, in whole ticks."""
    travels = np.unique(np.ceil((ends - _HAIR_MM) / tick_mm) * tick_mm)
    return travels[(travels > 0.0) & (travels <= most_mm)]


def not_worse(ways: Iterable[Detour], known: tuple[frozenset[str], ...] = ()) -> list[Detour]:
    """Drop each way whose blockers include all those of another or of a known one; the fewest blockers first."""
    kept: list[Detour] = []
    for way in sorted(ways, key=lambda w: (len(w.blockers), w.first_mm, w.first, w.then)):
        if not any(blockers <= way.blockers for blockers in (*known, *(k.blockers for k in kept))):
            kept.append(way)
    return kept


def _judged(crowd: Crowd, wishes: Sequence[Wish], maybe: list[list[Detour]], never: Counts) -> list[list[Detour]]:
    """The promising ways with what truly stands in their legs."""
    passages = [
        passage for wish, ways in zip(wishes, maybe, strict=True) for way in ways for passage in _legs_of(wish, way)
    ]
    answers = iter(blocked_all(crowd, passages))
    judged = []
    for wish, ways in zip(wishes, maybe, strict=True):
        true = [way._replace(blockers=next(answers) | next(answers)) for way in ways]
        judged.append(
            not_worse([way for way in true if not any(never(wish.body, b) for b in way.blockers)], wish.known)
        )
    return judged


def _legs_of(wish: Wish, way: Detour) -> tuple[Passage, Passage]:
    aside = as_vec(np.array(way.first.vector) * way.first_mm)
    return (
        Passage(wish.body, way.first, way.first_mm),
        Passage(wish.body, way.then, wish.out_mm(way.then), aside),
    )
