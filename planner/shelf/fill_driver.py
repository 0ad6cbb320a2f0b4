"""The driver: places to reach from, and the band that the ball of the foot covers."""

from __future__ import annotations

from collections.abc import Mapping

from planner.files import KeyPath
from planner.files.schema_relations import DriverFile, Place
from planner.finding.words import quoted
from planner.model.catalog import Measure, Person
from planner.model.vehicle import Component, Driver, FootBand, Freedom, Spot
from planner.shelf.bench import Bench
from planner.shelf.fill_link import fill_end
from planner.shelf.people import Found, length_of, person_words, printed, table_for
from planner.units import format_length

LEAST_ANKLE = "least-ankle-angle"
OWN_FOOT = "your own foot, as you measured it in the shoe you drive in"
_PATH: KeyPath = ("driver",)


def fill_driver(file: DriverFile | None, bench: Bench, parts: Mapping[str, Component]) -> Driver | None:
    """Fill in the driver of a vehicle.

    Parameters
    ----------
    file : DriverFile or None
    bench : Bench
    parts : mapping of str to Component
        Components that were read, for their ports.
    """
    if file is None:
        return None
    return Driver(
        heel=_spot((*_PATH, "heel"), file.heel, bench, parts),
        hip=_spot((*_PATH, "hip"), file.hip, bench, parts),
        foot=_foot(file, bench),
        points={
            name: spot
            for name, place in file.points.items()
            if (spot := _spot((*_PATH, "points", name), place, bench, parts)) is not None
        },
    )


def _spot(path: KeyPath, place: Place | None, bench: Bench, parts: Mapping[str, Component]) -> Spot | None:
    """Read a place of the driver; a part that may be given a new home would carry the driver about."""
    if place is None:
        return None
    if not isinstance(place, str):
        return Spot(at_mm=bench.point(path, place))
    end = fill_end(path, place, bench, parts)
    loose = _loose(end.component, parts)
    if loose is not None:
        message = f"the driver sits by {quoted(end.component)}, and {quoted(loose)} may be given a new home"
        hint = f"write the place as `[x, y, z]`, or give {quoted(loose)} the freedom `comes off`"
        bench.faults.error("loose-driver", path, message, hint)
    return Spot(on=end.component, port=end.port)


def _loose(part: str, parts: Mapping[str, Component]) -> str | None:
    """The part, or the first one below it, whose home may be chosen anew."""
    seen: set[str] = set()
    at: str | None = part
    while at is not None and at in parts and at not in seen:
        if parts[at].freedom in {Freedom.MOVES, Freedom.MAY_GO}:
            return at
        seen.add(at)
        at = parts[at].mounted_on
    return None


def _foot(file: DriverFile, bench: Bench) -> FootBand | None:
    figure = bench.catalog.body_figures.get(LEAST_ANKLE)
    least = None if figure is None else figure.value
    if file.foot is not None:
        for key, said in (("people", file.people), ("shoe", file.shoe)):
            if said is not None:
                message = f"`foot` is your own foot in its shoe, and `{key}` says it another way"
                bench.faults.error("bad-driver", (*_PATH, key), message, "keep one of the two", key=True)
        mm = bench.size((*_PATH, "foot"), file.foot)
        return FootBand(
            low_mm=mm,
            high_mm=mm,
            low_words=OWN_FOOT,
            high_words=OWN_FOOT,
            source="own measurement",
            ankle_least_deg=least,
        )
    if file.people is None:
        if file.shoe is not None:
            message = "a shoe without a foot: `shoe` is added to the foot of `people`"
            bench.faults.error("bad-driver", (*_PATH, "shoe"), message, "add `people: {from: 5th woman, to: 95th man}`")
        return None
    shoe = bench.allowance((*_PATH, "shoe"), file.shoe, 0.0)
    low = _length((*_PATH, "people", "from"), file.people.from_, bench)
    high = _length((*_PATH, "people", "to"), file.people.to, bench)
    if low is None or high is None:
        return None
    if low.mm > high.mm:
        hint = "`from` is the one with the shorter foot"
        message = f"a {person_words(file.people.from_)} has a longer foot than a {person_words(file.people.to)}"
        bench.faults.error("bad-driver", (*_PATH, "people"), message, hint)
    return FootBand(
        low_mm=low.mm + shoe,
        high_mm=high.mm + shoe,
        low_words=_words(file.people.from_, low, shoe, bench),
        high_words=_words(file.people.to, high, shoe, bench),
        source=low.source if low.source == high.source else f"{low.source}; {high.source}",
        ankle_least_deg=least,
    )


def _length(path: KeyPath, person: Person, bench: Bench) -> Found | None:
    """The barefoot length from heel to ball; a finding when nothing printed covers that percentile."""
    table = table_for(bench.catalog.body_sizes, Measure.BALL_OF_FOOT, person)
    if table is None:
        message = f"the catalog has no ball of foot of a {person.sex}"
        bench.faults.error("bad-person", path, message, "write your own `foot` instead")
        return None
    found = length_of(table, person.percentile)
    if found is None:
        rows = printed(table)
        message = f"`{person.percentile:g}` is beyond the percentiles that are published for a {person.sex}"
        hint = f"choose one from {rows[0][0]:g} to {rows[-1][0]:g}"
        bench.faults.error("bad-person", path, message, hint)
    return found


def _words(person: Person, found: Found, shoe_mm: float, bench: Bench) -> str:
    def length(mm: float) -> str:
        return format_length(mm, bench.units)

    between = (
        "" if found.between is None else (f", read between the printed {found.between[0]:g} and {found.between[1]:g}")
    )
    shoe = f" and {length(shoe_mm)} of shoe" if shoe_mm else ""
    return f"a {person_words(person)} ({length(found.mm)} barefoot{shoe}{between})"
