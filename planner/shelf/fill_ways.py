"""Ways out from the file to the model."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from planner.files import KeyPath
from planner.files.schema_ways import LegFile
from planner.finding.words import quoted
from planner.model.legs import Leg, StatedWay
from planner.shelf.bench import Bench

_HINT = "one way of several legs stands in brackets of its own: `way_out: [[40 mm forwards, up]]`"


def fill_ways(ways: Sequence[Sequence[LegFile]], path: KeyPath, bench: Bench) -> tuple[StatedWay, ...]:
    """The ways, each once; every fault in their legs is reported."""
    return tuple(dict.fromkeys(_fill_way(way, (*path, i), bench) for i, way in enumerate(ways)))


def _fill_way(legs: Sequence[LegFile], path: KeyPath, bench: Bench) -> StatedWay:
    *first, last = legs
    for index, (leg, after) in enumerate(pairwise(legs)):
        if _axis(leg) == _axis(after):
            message = f"{quoted(leg.direction.value)} and then {quoted(after.direction.value)} is along one line"
            bench.faults.error("bad-way", (*path, index + 1), message, "make it one leg, or turn aside between the two")
    for index, leg in enumerate(first):
        if leg.size is None:
            message = f"the leg {quoted(leg.direction.value)} does not say how far, and another follows it"
            bench.faults.error("bad-way", (*path, index), message, _HINT)
    if last.size is not None:
        message = "the last leg says how far, but not how the part goes on out from there"
        bench.faults.error("bad-way", (*path, len(first)), message, _HINT)
    moves = tuple(
        Leg(direction=leg.direction, mm=bench.size((*path, index), leg.size))
        for index, leg in enumerate(first)
        if leg.size is not None
    )
    return StatedWay(direction=last.direction, first=moves)


def _axis(leg: LegFile) -> int:
    return next(axis for axis, along in enumerate(leg.direction.vector) if along)
