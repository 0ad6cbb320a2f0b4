"""One component: what the file says, and what its kind says where the file is silent."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from planner.files import KeyPath
from planner.files.schema_vehicle import ComponentFile
from planner.finding.words import quoted
from planner.model.catalog import Kind
from planner.model.shapes import Mesh, Pose, Solid, Vec
from planner.model.vehicle import Component, Freedom
from planner.shelf.bench import Bench
from planner.shelf.extents import extent_mm
from planner.shelf.fill_figures import fill_piston
from planner.shelf.fill_motion import fill_motion
from planner.shelf.fill_remake import fill_remake
from planner.shelf.fill_solid import fill_room, fill_solid, fill_turn
from planner.shelf.fill_ways import fill_ways
from planner.shelf.needless_solids import needless
from planner.units import Size

PARTS = ("part",)
PARTS_AND_LINKS = ("part", "link")


def words_of(name: str) -> str:
    """Read an id as words: dashes become spaces."""
    return name.replace("-", " ")


def fill_component(name: str, file: ComponentFile, path: KeyPath, bench: Bench) -> Component:
    """Fill in a component.

    Parameters
    ----------
    name : str
        Its id.
    file : ComponentFile
    path : KeyPath
        Way to its block in the file.
    bench : Bench
    """
    kind = _kind(file, path, bench)
    solids = _solids(file, kind, path, bench)
    said = file.model_fields_set
    bore, stroke = fill_piston(file, path, bench, solids)
    return Component(
        id=name,
        kind=file.kind,
        name=file.name or words_of(name),
        group=kind.group,
        pose=Pose(at_mm=bench.point((*path, "at"), file.at), turn_deg=fill_turn(file.turn)),
        solids=solids,
        mounted_on=_mounting(name, file, path, bench),
        fixings=file.fixings or "",
        freedom=file.freedom or kind.freedom,
        rides=_rides(file, kind, path, bench),
        turns_deg=_turns(file),
        keep_clear_mm=bench.allowance((*path, "keep_clear"), file.keep_clear, kind.keep_clear_mm),
        rooms=kind.rooms
        if file.rooms is None
        else tuple(fill_room(room, (*path, "rooms", i), bench) for i, room in enumerate(file.rooms)),
        motion=None if file.motion is None else fill_motion(file.motion, (*path, "motion"), bench),
        unsprung=kind.unsprung if file.unsprung is None else file.unsprung,
        way_out=None if file.way_out is None else fill_ways(file.way_out, (*path, "way_out"), bench),
        off_min=bench.minutes((*path, "off"), file.off, kind.off_min),
        on_min=bench.minutes((*path, "on"), file.on, kind.on_min),
        hands=file.hands or kind.hands,
        make_min=_make(file, path, bench) if "make" in said else kind.make_min,
        price=file.price or 0.0,
        lead_days=bench.days((*path, "lead"), file.lead),
        lead_told=file.lead is not None,
        mass_kg=None if file.mass is None else bench.mass((*path, "mass"), file.mass),
        systems=bench.check_ids((*path, "systems"), file.systems, "system"),
        ports_mm={port: bench.point((*path, "ports", port), at) for port, at in file.ports.items()},
        touches=_touches(name, file, path, bench),
        near_mm=fill_near(file.near, path, bench),
        tools=kind.tools if file.tools is None else tuple(file.tools),
        needs=kind.needs if file.needs is None else bench.check_ids((*path, "needs"), file.needs, "condition"),
        remake=fill_remake(file, path, bench),
        position_doubt_mm=bench.doubt(*file.at),
        position_doubts_mm=_doubts(file.at, bench),
        bore_mm=bore,
        stroke_mm=stroke,
        pistons=file.pistons,
        port_doubts_mm={port: _doubts(at, bench) for port, at in file.ports.items()},
    )


def _solids(file: ComponentFile, kind: Kind, path: KeyPath, bench: Bench) -> tuple[Solid, ...]:
    """Its solids; a warning for one that adds nothing to the others."""
    solids = tuple(fill_solid(solid, (*path, "solids", i), bench) for i, solid in enumerate(file.solids))
    _check_extent(solids, kind, path, bench)
    for one, other in needless(solids):
        message = f"solid {one + 1} lies wholly inside solid {other + 1} of the same part"
        bench.faults.warn("needless-solid", (*path, "solids", one), message, "it adds nothing: check where it sits")
    return solids


def _doubts(sizes: Sequence[Size], bench: Bench) -> Vec:
    """How sure a place is along each axis."""
    x, y, z = (bench.doubt(size) for size in sizes)
    return (x, y, z)


def _kind(file: ComponentFile, path: KeyPath, bench: Bench) -> Kind:
    """Its kind, or a silent stand-in when there is no such kind."""
    if bench.check_id((*path, "kind"), file.kind, "kind"):
        return bench.catalog.kinds[file.kind]
    return Kind(id=file.kind, name="", group="", freedom=Freedom.COMES_OFF, largest_mm=math.inf, source="")


def _check_extent(solids: tuple[Solid, ...], kind: Kind, path: KeyPath, bench: Bench) -> None:
    """Report a part larger than any believable one of its kind, at the solid that is to blame."""
    longest = extent_mm(solids)
    if longest <= kind.largest_mm:
        return
    alone = [i for i, solid in enumerate(solids) if extent_mm([solid]) > kind.largest_mm]
    blamed: KeyPath = (*path, "solids", alone[0]) if alone else (*path, "solids")
    message = f"a {kind.name} {bench.length(longest)} long: the largest believed is {bench.length(kind.largest_mm)}"
    drawn = any(isinstance(solids[i], Mesh) for i in alone or range(len(solids)))
    unit = "an STL file has no unit of its own: check `units`" if drawn else "check the unit"
    bench.faults.error("absurd-size", blamed, message, f"{unit}, or choose another kind")


def _mounting(name: str, file: ComponentFile, path: KeyPath, bench: Bench) -> str | None:
    if file.mounted_on is None:
        return None
    here = (*path, "mounted_on")
    if file.mounted_on == name:
        bench.faults.error("mounted-ring", here, f"{quoted(name)} is mounted on itself", "name the part it is fixed to")
        return None
    return file.mounted_on if bench.check_id(here, file.mounted_on, *PARTS) else None


def _rides(file: ComponentFile, kind: Kind, path: KeyPath, bench: Bench) -> bool:
    """Whether it comes off with its mounting; without a mounting the kind's word means nothing."""
    if file.rides and file.mounted_on is None:
        hint = "say what it is mounted on"
        bench.faults.error("rides-alone", (*path, "rides"), "it comes off with its mounting, but has none", hint)
    if file.rides is None:
        return kind.rides and file.mounted_on is not None
    return file.rides


def _turns(file: ComponentFile) -> tuple[Vec, ...]:
    extra = (fill_turn(turn) for turn in file.turns or ())
    return tuple(dict.fromkeys(((0.0, 0.0, 0.0), *extra)))


def _make(file: ComponentFile, path: KeyPath, bench: Bench) -> int | None:
    return None if file.make is None else bench.minutes((*path, "make"), file.make, 0)


def _touches(name: str, file: ComponentFile, path: KeyPath, bench: Bench) -> tuple[str, ...]:
    if name in file.touches:
        here = (*path, "touches", file.touches.index(name))
        bench.faults.error("self-relation", here, f"{quoted(name)} touches itself", "leave it out")
    return bench.check_ids((*path, "touches"), file.touches, *PARTS_AND_LINKS)


def fill_near(near: Mapping[str, Size], path: KeyPath, bench: Bench) -> dict[str, float]:
    """How near [mm] the named parts and links may come."""
    return {
        name: bench.allowance((*path, "near", name), size, 0.0)
        for name, size in near.items()
        if bench.check_id((*path, "near", name), name, *PARTS_AND_LINKS)
    }
