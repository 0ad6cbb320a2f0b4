"""How a part moves in use, from the file to the model."""

from __future__ import annotations

import math

from planner.files import KeyPath
from planner.files.schema_shapes import MotionFile, SlidesFile, TurnsFile
from planner.model.shapes import Motion, Moves, Slide, Turn, Vec
from planner.shelf.bench import Bench

_FULL_TURN_DEG = 360.0


def fill_motion(file: MotionFile | list[MotionFile], path: KeyPath, bench: Bench) -> Motion:
    """One motion, or several in a row with the inner one first; every empty or absurd travel is reported."""
    if isinstance(file, MotionFile):
        return _step(file, path, bench)
    steps = tuple(_step(step, (*path, i), bench) for i, step in enumerate(file))
    return steps[0] if len(steps) == 1 else Moves(steps=steps)


def _step(file: MotionFile, path: KeyPath, bench: Bench) -> Turn | Slide:
    if file.turns is not None:
        return _turn(file.turns, (*path, "turns"), bench)
    if file.slides is not None:
        return _slide(file.slides, (*path, "slides"), bench)
    raise AssertionError("the schema lets no motion pass without a form")


def _turn(turns: TurnsFile, path: KeyPath, bench: Bench) -> Turn:
    _check_travel(turns.from_, turns.to, path, bench)
    if abs(turns.to - turns.from_) > _FULL_TURN_DEG:
        message = f"the part turns by `{abs(turns.to - turns.from_):g} deg`, a full turn is 360"
        bench.faults.error("bad-motion", (*path, "to"), message, "write `from: 0, to: 360` for a full turn")
    about = bench.point((*path, "about"), turns.about)
    low, high = sorted((turns.from_, turns.to))
    return Turn(about_mm=about, axis=_unit(turns.axis), from_deg=low, to_deg=high)


def _slide(slides: SlidesFile, path: KeyPath, bench: Bench) -> Slide:
    _check_travel(slides.from_.mm, slides.to.mm, path, bench)
    for name, size in (("from", slides.from_), ("to", slides.to)):
        bench.check_near((*path, name), size.mm)
    low, high = sorted((slides.from_.mm, slides.to.mm))
    return Slide(along=_unit(slides.along), from_mm=low, to_mm=high)


def _unit(way: Vec) -> Vec:
    """The way at length 1."""
    length = math.hypot(*way)
    x, y, z = (v / length for v in way)
    return (x, y, z)


def _check_travel(start: float, end: float, path: KeyPath, bench: Bench) -> None:
    if start == end:
        hint = "leave `motion` out when the part does not move"
        bench.faults.error("bad-motion", path, "`from` and `to` of the motion are the same", hint, key=True)
