"""Solids, working rooms and motions from the file to the model."""

from __future__ import annotations

from collections.abc import Sequence

from planner.files import KeyPath
from planner.files.schema_shapes import CylinderFile, MotionFile, OutlineFile, RoomFile, ShapeKeys, TubeFile
from planner.model.shapes import Box, Cylinder, Motion, Outline, Pose, Slide, Solid, Tube, Turn, Vec
from planner.model.vehicle import Room
from planner.shelf.bench import Bench
from planner.shelf.outline_faults import crossing, is_flat, repeated
from planner.units import Size

_UNIT: dict[str, Vec] = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
_FULL_TURN_DEG = 360.0


def fill_solid(file: ShapeKeys, path: KeyPath, bench: Bench) -> Solid:
    """One solid; every fault in its sizes and points is reported."""
    at = bench.point((*path, "at"), file.at) if file.at else (0.0, 0.0, 0.0)
    pose = Pose(at_mm=at, turn_deg=fill_turn(file.turn))
    if file.box is not None:
        x, y, z = (bench.size((*path, "box", i), size) for i, size in enumerate(file.box))
        return Box(size_mm=(x, y, z), pose=pose, doubt_mm=bench.doubt(*file.box))
    if file.cylinder is not None:
        return _cylinder(file.cylinder, (*path, "cylinder"), bench, pose)
    if file.tube is not None:
        return _tube(file.tube, (*path, "tube"), bench, pose)
    if file.outline is not None:
        return _outline(file.outline, (*path, "outline"), bench, pose)
    raise AssertionError("the schema lets no solid pass without a shape")


def fill_turn(turn: Sequence[float] | None) -> Vec:
    """Turn about x, y, z [deg]."""
    x, y, z = turn or (0.0, 0.0, 0.0)
    return (x, y, z)


def _cylinder(file: CylinderFile, path: KeyPath, bench: Bench, pose: Pose) -> Cylinder:
    return Cylinder(
        across_mm=bench.size((*path, "across"), file.across),
        length_mm=bench.size((*path, "length"), file.length),
        along=file.along.value,
        pose=pose,
        doubt_mm=bench.doubt(file.across, file.length),
    )


def _tube(file: TubeFile, path: KeyPath, bench: Bench, pose: Pose) -> Tube:
    points = tuple(bench.point((*path, "through", i), point) for i, point in enumerate(file.through))
    again = repeated(points, closed=False)
    if again is not None:
        message = f"points {again[0] + 1} and {again[1] + 1} of `through` are the same"
        bench.faults.error("bad-solid", (*path, "through", again[1]), message, "leave one of them out")
    return Tube(
        across_mm=bench.size((*path, "across"), file.across),
        through_mm=points,
        pose=pose,
        doubt_mm=bench.doubt(file.across, *(size for point in file.through for size in point)),
    )


def _outline(file: OutlineFile, path: KeyPath, bench: Bench, pose: Pose) -> Outline:
    points = tuple(_flat(point, (*path, "points", i), bench) for i, point in enumerate(file.points))
    _check_outline(points, (*path, "points"), bench)
    return Outline(
        points_mm=points,
        thick_mm=bench.size((*path, "thick"), file.thick),
        along=file.along.value,
        pose=pose,
        doubt_mm=bench.doubt(file.thick, *(size for point in file.points for size in point)),
    )


def _flat(point: Sequence[Size], path: KeyPath, bench: Bench) -> tuple[float, float]:
    for index, size in enumerate(point):
        bench.check_near((*path, index), size.mm)
    return (point[0].mm, point[1].mm)


def _check_outline(points: Sequence[tuple[float, float]], path: KeyPath, bench: Bench) -> None:
    """Report the first thing that makes the outline no plain polygon."""
    again = repeated(points, closed=True)
    if again is not None:
        message = f"corners {again[0] + 1} and {again[1] + 1} of the outline are the same"
        bench.faults.error("bad-solid", (*path, again[1]), message, "leave one out; the outline closes by itself")
        return
    if is_flat(points):
        bench.faults.error(
            "bad-solid", path, "the outline has no area: its corners lie on one line", "check its corners"
        )
        return
    crossed = crossing(points)
    if crossed is not None:
        first, second = (i + 1 for i in crossed)
        message = f"the outline crosses itself: the sides from corner {first} and from corner {second} meet"
        bench.faults.error("bad-solid", (*path, crossed[1]), message, "list the corners in order round the edge")


def fill_room(file: RoomFile, path: KeyPath, bench: Bench) -> Room:
    """One working room."""
    if file.side is not None and file.depth is not None:
        depth = bench.size((*path, "depth"), file.depth)
        return Room(name=file.name, needed=file.needed, side=file.side, depth_mm=depth)
    return Room(name=file.name, needed=file.needed, solid=fill_solid(file, path, bench))


def fill_motion(file: MotionFile, path: KeyPath, bench: Bench) -> Motion:
    """How a part moves in use."""
    if file.turns is not None:
        turns, here = file.turns, (*path, "turns")
        _check_travel(turns.from_, turns.to, here, bench)
        if abs(turns.to - turns.from_) > _FULL_TURN_DEG:
            message = f"the part turns by `{abs(turns.to - turns.from_):g} deg`, a full turn is 360"
            bench.faults.error("bad-motion", (*here, "to"), message, "write `from: 0, to: 360` for a full turn")
        about = bench.point((*here, "about"), turns.about)
        low, high = sorted((turns.from_, turns.to))
        return Turn(about_mm=about, axis=_UNIT[turns.axis.value], from_deg=low, to_deg=high)
    if file.slides is not None:
        slides, here = file.slides, (*path, "slides")
        _check_travel(slides.from_.mm, slides.to.mm, here, bench)
        for name, size in (("from", slides.from_), ("to", slides.to)):
            bench.check_near((*here, name), size.mm)
        low, high = sorted((slides.from_.mm, slides.to.mm))
        return Slide(along=_UNIT[slides.along.value], from_mm=low, to_mm=high)
    raise AssertionError("the schema lets no motion pass without a form")


def _check_travel(start: float, end: float, path: KeyPath, bench: Bench) -> None:
    if start == end:
        hint = "leave `motion` out when the part does not move"
        bench.faults.error("bad-motion", path, "`from` and `to` of the motion are the same", hint, key=True)
