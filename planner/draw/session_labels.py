"""Numbers of bars too narrow to hold them: in a row above or below the bars, moved apart, each with its leader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.draw.picture import words_wide
from planner.draw.spread import spread

_GAP_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrow:
    """A bar that is too narrow for its number: where it is, from where to where, and in which lanes."""

    text: str
    at_mm: float
    span_mm: tuple[float, float]
    lanes: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A number, or the first and the last of several, and the bars it stands for: where each is and in which lane."""

    text: str
    at_mm: float
    above: bool
    targets: tuple[tuple[float, int], ...]


def labels_of(bars: Sequence[Narrow], others: Sequence[Narrow], left: float, right: float) -> tuple[Label, ...]:
    """Place the labels between two edges; ``others`` are the bars that hold their own.

    Bars below others go below, those above others above, the rest turn by turn, so that neighbours have room. When the
    two rows cannot hold them, neighbours share a label above.
    """
    sides = _sides(bars, others)
    above = [b for b, over in zip(bars, sides, strict=True) if over]
    below = [b for b, over in zip(bars, sides, strict=True) if not over]
    if max(_room(above), _room(below)) <= right - left:
        return (*_placed([[b] for b in above], left, right, True), *_placed([[b] for b in below], left, right, False))  # noqa: FBT003
    many = 2
    while True:
        groups = [list(bars[n : n + many]) for n in range(0, len(bars), many)]
        if many >= len(bars) or sum(_wide(g) + _GAP_MM for g in groups) <= right - left:
            return _placed(groups, left, right, True)  # noqa: FBT003
        many += 1


def _sides(bars: Sequence[Narrow], others: Sequence[Narrow]) -> list[bool]:
    found: list[bool] = []
    for n, bar in enumerate(bars):
        beside = [o for o in (*bars[:n], *bars[n + 1 :], *others) if _meet(o, bar)]
        if any(max(o.lanes) < min(bar.lanes) for o in beside):
            found.append(False)
        elif any(min(o.lanes) > max(bar.lanes) for o in beside):
            found.append(True)
        else:
            found.append(not found or not found[-1])
    return found


def _meet(one: Narrow, other: Narrow) -> bool:
    return one.span_mm[0] < other.span_mm[1] and other.span_mm[0] < one.span_mm[1]


def _room(bars: Sequence[Narrow]) -> float:
    return sum(words_wide(b.text, bold=True) + _GAP_MM for b in bars)


def _name(group: Sequence[Narrow]) -> str:
    if len(group) == 1:
        return group[0].text
    return f"{group[0].text}-{group[-1].text}"


def _wide(group: Sequence[Narrow]) -> float:
    return words_wide(_name(group), bold=True)


def _placed(groups: Sequence[Sequence[Narrow]], left: float, right: float, above: bool) -> tuple[Label, ...]:  # noqa: FBT001
    wanted = [sum(b.at_mm for b in g) / len(g) for g in groups]
    at = spread(wanted, [_wide(g) for g in groups], _GAP_MM, left, right)
    return tuple(
        Label(
            text=_name(g),
            at_mm=x,
            above=above,
            targets=tuple((b.at_mm, min(b.lanes) if above else max(b.lanes)) for b in g),
        )
        for g, x in zip(groups, at, strict=True)
    )
