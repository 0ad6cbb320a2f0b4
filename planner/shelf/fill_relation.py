"""Relations: what each needs to be said, and what it has no use for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from planner.files import KeyPath
from planner.files.schema_relations import RelationFile, Stance
from planner.finding.words import did_you_mean, quoted
from planner.model.shapes import Vec
from planner.model.vehicle import Component, Driver, End, Keeps, Relation
from planner.shelf.bench import Bench
from planner.shelf.fill_component import PARTS
from planner.shelf.fill_link import fill_end

_WIDEST_DEG = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What one sort of relation is written with; every key is missing, allowed or wanted."""

    wanted: frozenset[str] = frozenset()
    allowed: frozenset[str] = frozenset()
    places: bool = False
    """It is about places: ports may be named."""


def _needs(*wanted: str, allowed: tuple[str, ...] = (), places: bool = False) -> Needs:
    return Needs(wanted=frozenset(wanted), allowed=frozenset(allowed), places=places)


NEEDS = {
    Keeps.ABOVE: _needs("of", "by"),
    Keeps.BELOW: _needs("of", "by"),
    Keeps.WITHIN: _needs("of", "by"),
    Keeps.APART: _needs("of", "by"),
    Keeps.OFF_GROUND: _needs("by", allowed=("at",)),
    Keeps.FOOT_REACH: _needs(allowed=("by",), places=True),
    Keeps.HAND_REACH: _needs("by", "from", places=True),
    Keeps.STRAIGHT_RUN: _needs("of", "by", allowed=("within", "along", "passes"), places=True),
    Keeps.FALLS: _needs("of", "by", places=True),
    Keeps.LEVEL: _needs("of", "by", places=True),
    Keeps.UPRIGHT: _needs("within"),
}
_HINTS = {
    "of": "name it under `of`",
    "by": "say it under `by`, such as `by: 40`",
    "from": "name a point of the driver under `from`, such as `right-shoulder`",
    "within": "say how many degrees it may lean, such as `within: 5 deg`",
}
_WORDS = {"of": "the other part", "by": "to say by how much", "from": "the place it starts from", "within": "a limit"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What relations are held against besides parts: the driver and the suspension."""

    driver: Driver | None
    bump_mm: float | None


def fill_relation(
    path: KeyPath, file: RelationFile, bench: Bench, parts: Mapping[str, Component], around: Around
) -> Relation:
    """Fill in a relation.

    Parameters
    ----------
    path : KeyPath
        Where it is written; the last of it is its id.
    file : RelationFile
    bench : Bench
    parts : mapping of str to Component
        Components that were read, for their ports.
    around : Around
    """
    needs = NEEDS[file.keeps]
    said = {"from" if key == "from_" else key for key in file.model_fields_set}
    sound = _check_keys(path, file, needs, said, bench)
    part = _end((*path, "part"), file.part, needs, bench, parts)
    of = None
    if file.of is not None and "of" in needs.wanted:
        of = _end((*path, "of"), file.of, needs, bench, parts)
        if of.component == part.component:
            message = f"{quoted(part.component)} is held against itself"
            bench.faults.error("self-relation", (*path, "of"), message, "name another part")
    if sound:
        _check_around(path, file, around, bench)
    return Relation(
        id=str(path[-1]),
        part=part.component,
        keeps=file.keeps,
        of=None if of is None else of.component,
        by_mm=bench.allowance((*path, "by"), file.by, 0.0),
        why=file.why or "",
        port=part.port,
        of_port="" if of is None else of.port,
        within_deg=_within(path, file, bench),
        along_dir=_along(path, file, bench),
        passes=bench.check_ids((*path, "passes"), file.passes, *PARTS),
        from_point=file.from_ or "",
        at_bump=file.at is Stance.BUMP,
    )


def _check_keys(path: KeyPath, file: RelationFile, needs: Needs, said: set[str], bench: Bench) -> bool:
    """Report keys that are wanted and missing, or said for nothing; whether there was neither."""
    word = f"`{file.keeps.value}`"
    sound = True
    for key in sorted(needs.wanted - said):
        bench.faults.error("bad-relation", path, f"{word} needs {_WORDS[key]}", _HINTS[key], key=True)
        sound = False
    known = needs.wanted | needs.allowed | {"part", "keeps", "why"}
    for key in sorted(said - known):
        what = "has no other part" if key == "of" else f"has no use for `{key}`"
        bench.faults.error("bad-relation", (*path, key), f"{word} {what}", f"leave out `{key}`", key=key != "of")
        sound = False
    if ("within" in said) != ("along" in said) and "along" in needs.allowed:
        hint = "say both `along: [1, 0, 0]` and `within: 10 deg`, or neither"
        bench.faults.error("bad-relation", path, f"{word} needs `along` and `within` together", hint, key=True)
        sound = False
    return sound


def _end(path: KeyPath, written: str, needs: Needs, bench: Bench, parts: Mapping[str, Component]) -> End:
    """Read a part, or a port of a part where a place counts."""
    if needs.places:
        return fill_end(path, written, bench, parts)
    bench.check_id(path, written, *PARTS)
    return End(component=written)


def _within(path: KeyPath, file: RelationFile, bench: Bench) -> float | None:
    if file.within is not None and not 0 <= file.within <= _WIDEST_DEG:
        message = f"`{file.within:g} deg` is not between 0 and {_WIDEST_DEG:g}"
        bench.faults.error("out-of-range", (*path, "within"), message, "a few degrees are usual")
    return file.within


def _along(path: KeyPath, file: RelationFile, bench: Bench) -> Vec | None:
    if file.along is None:
        return None
    x, y, z = file.along
    if math.hypot(x, y, z) < 1e-6:  # noqa: PLR2004  no direction at all
        bench.faults.error("bad-relation", (*path, "along"), "`along` points nowhere", "such as `along: [1, 0, 0]`")
    return (x, y, z)


def _check_around(path: KeyPath, file: RelationFile, around: Around, bench: Bench) -> None:
    """Report what a reach or a bump needs of the vehicle and does not find there."""
    driver = around.driver
    if file.at is Stance.BUMP and around.bump_mm is None:
        message = "how far the body comes down at bump is not told"
        bench.faults.error("no-bump", (*path, "at"), message, "say `bump: 60 mm` at the top of the vehicle file")
    if file.keeps is Keeps.FOOT_REACH:
        _check_foot(path, file, driver, bench)
    if file.keeps is Keeps.HAND_REACH and file.from_ is not None:
        points = {} if driver is None else driver.points
        if file.from_ not in points:
            hint = did_you_mean(file.from_, points) or "say where it is under `driver: {points: ...}`"
            message = f"the driver has no point {quoted(file.from_)}"
            bench.faults.error("no-driver", (*path, "from"), message, hint)


def _check_foot(path: KeyPath, file: RelationFile, driver: Driver | None, bench: Bench) -> None:
    here = (*path, "keeps")
    if driver is None or driver.heel is None:
        hint = "say where the heel rests under `driver: {heel: [x, y, z]}`"
        bench.faults.error("no-driver", here, "where the driver's heel rests is not told", hint)
    elif driver.foot is None:
        hint = "say `people: {from: 5th woman, to: 95th man}` under `driver`, or your own `foot`"
        bench.faults.error("no-driver", here, "whose foot must reach is not told", hint)
    elif driver.foot.low_mm == driver.foot.high_mm and (file.by is None or file.by.mm <= 0):
        message = "one length of foot leaves the pad no room at all"
        bench.faults.error(
            "bad-relation", path, message, "say under `by` how far off it may be, such as `by: 20`", key=True
        )
