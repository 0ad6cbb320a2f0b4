"""Ways out in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from planner.knockon.conflicts import TOUCH_MM
from planner.model.effects import Way
from planner.model.shapes import Direction, Vec

Length = Callable[[float], str]
"""Prints a length in the owner's units."""

_BACK = {
    Direction.FORWARDS: Direction.REARWARDS,
    Direction.REARWARDS: Direction.FORWARDS,
    Direction.LEFT: Direction.RIGHT,
    Direction.RIGHT: Direction.LEFT,
    Direction.UP: Direction.DOWN,
    Direction.DOWN: Direction.UP,
}


def going_out(way: Way, length: Length) -> str:
    """The legs of a way out: "40 mm forwards, then up"."""
    legs = [f"{length(leg.mm)} {leg.direction}" for leg in way.first]
    return ", then ".join([*legs, way.direction.value])


def going_in(way: Way, length: Length) -> str:
    """The same legs the other way round: "down, then 40 mm rearwards"."""
    legs = [f"{length(leg.mm)} {_BACK[leg.direction]}" for leg in reversed(way.first)]
    return ", then ".join([_BACK[way.direction].value, *legs])


def listed(names: Iterable[str]) -> str:
    """Names with commas and an "and"."""
    *head, last = [*names]
    return f"{', '.join(head)} and {last}" if head else last


def either(words: Iterable[str]) -> str:
    """Alternatives with commas and an "or"."""
    *head, last = [*words]
    return f"{', '.join(head)} or {last}" if head else last


def ways_told(ways: Iterable[Way], name: Callable[[str], str], length: Length) -> list[str]:
    """A clause for each set of things that must be off first: "up or left: nothing in the way"."""
    by_blockers: dict[frozenset[str], list[str]] = {}
    for way in ways:
        words = going_out(way, length) + (" (as its file says)" if way.stated else "")
        by_blockers.setdefault(way.blockers, []).append(words)
    return [
        f"{either(words)}: {f'after {listed(sorted(map(name, blockers)))}' if blockers else 'nothing in the way'}"
        for blockers, words in sorted(by_blockers.items(), key=lambda pair: (len(pair[0]), sorted(pair[0])))
    ]


def shut_told(shut: Iterable[Way], name: Callable[[str], str], stays: Callable[[str], bool]) -> list[str]:
    """A clause for each direction that is no way out: "not down: steering column never comes off"."""
    by_blockers: dict[frozenset[str], list[str]] = {}
    for way in shut:
        by_blockers.setdefault(way.blockers, []).append(way.direction.value)
    return [f"not {either(words)}: {_shut_by(blockers, name, stays)}" for blockers, words in by_blockers.items()]


def _shut_by(blockers: frozenset[str], name: Callable[[str], str], stays: Callable[[str], bool]) -> str:
    for_good = sorted(name(b) for b in blockers if stays(b))
    hosts = sorted(name(b) for b in blockers if not stays(b))
    told = [f"{listed(for_good)} never {'comes' if len(for_good) == 1 else 'come'} off"] if for_good else []
    return " and ".join(told + [f"it is mounted on {host}" for host in hosts])


_AXIS_WAYS = (
    (Direction.FORWARDS, Direction.REARWARDS),
    (Direction.LEFT, Direction.RIGHT),
    (Direction.DOWN, Direction.UP),
)


def shift_words(by_mm: Vec, length: Length) -> str:
    """A shift [mm] in words, lengths as ``length`` tells them: "120 mm rearwards and 40 mm up"; empty for none."""
    told = [
        f"{length(abs(by_mm[axis]))} {ways[by_mm[axis] > 0]}"
        for axis, ways in enumerate(_AXIS_WAYS)
        if abs(by_mm[axis]) > TOUCH_MM
    ]
    return " and ".join([", ".join(told[:-1]), told[-1]] if len(told) > 1 else told)
