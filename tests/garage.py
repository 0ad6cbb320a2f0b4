"""Builders of very small vehicles and jobs for the tests of knockon/ and work/: boxes on a wall that stays."""

from __future__ import annotations

from collections.abc import Iterable

from planner.model.catalog import Catalog, Kind, LinkKind, SystemKind, Template, TemplateStep, Trigger, When, Work
from planner.model.job import Change, Job
from planner.model.shapes import Box, Pose, Vec
from planner.model.vehicle import Component, End, Freedom, Link, Relation, Space, System, Vehicle

MADE_UP = "starting guess"
WALL_AT: Vec = (0.0, 0.0, 500.0)
WALL_SIZE: Vec = (20.0, 2000.0, 1000.0)
"""The wall stands across the vehicle: its rear face is at x = 10."""


def box(size: Vec, at: Vec = (0.0, 0.0, 0.0)) -> Box:
    return Box(size_mm=size, pose=Pose(at_mm=at))


def part(
    name: str, at: Vec, size: Vec, *, on: str | None = "wall", turn: Vec = (0.0, 0.0, 0.0), **more: object
) -> Component:
    facts: dict[str, object] = {
        "kind": "thing",
        "group": "body",
        "freedom": Freedom.COMES_OFF,
        "off_min": 10,
        "on_min": 20,
        "solids": (box(size),),
    }
    pose = Pose(at_mm=at, turn_deg=turn)
    return Component(id=name, name=name.replace("-", " "), pose=pose, mounted_on=on, **{**facts, **more})  # type: ignore[arg-type]


def mover(name: str, at: Vec, size: Vec, **more: object) -> Component:
    return part(name, at, size, **{"freedom": Freedom.MOVES, **more})  # type: ignore[arg-type]


def wall(**more: object) -> Component:
    return part("wall", WALL_AT, WALL_SIZE, on=None, **{"kind": "panel", "freedom": Freedom.STAYS, **more})  # type: ignore[arg-type]


def link(name: str, first: str, second: str, **more: object) -> Link:
    """A link between two places written ``part`` or ``part.port``."""
    ends = tuple(End(component=e.partition(".")[0], port=e.partition(".")[2]) for e in (first, second))
    facts: dict[str, object] = {
        "kind": "hose",
        "group": "cooling",
        "remake_min": 40,
        "adjust_min": 7,
        "off_min": 5,
        "on_min": 6,
        "across_mm": 8.0,
    }
    return Link(id=name, name=name.replace("-", " "), ends=(ends[0], ends[1]), **{**facts, **more})  # type: ignore[arg-type]


def space(name: str, at: Vec, size: Vec, *, on: str = "wall", step: float = 50.0, **more: object) -> Space:
    facts: dict[str, object] = {"takes": ()}
    name_words = name.replace("-", " ")
    return Space(id=name, name=name_words, on=on, box=box(size, at), step_mm=step, **{**facts, **more})  # type: ignore[arg-type]


def vehicle(
    parts: Iterable[Component],
    *,
    links: Iterable[Link] = (),
    spaces: Iterable[Space] = (),
    relations: Iterable[Relation] = (),
    systems: Iterable[System] = (),
    ground: float = -300.0,
) -> Vehicle:
    return Vehicle(
        name="test",
        units="mm",
        ground_z_mm=ground,
        systems={s.id: s for s in systems},
        components={c.id: c for c in parts},
        links={k.id: k for k in links},
        spaces={s.id: s for s in spaces},
        relations={r.id: r for r in relations},
    )


def job(*changes: Change, **more: object) -> Job:
    return Job(id="job", name="job", changes=changes, **more)  # type: ignore[arg-type]


def catalog(**more: object) -> Catalog:
    """One kind of part, one of panel, two of link; a moved ``thing`` costs 9 hand-minutes of steps, a panel 4."""
    facts: dict[str, object] = {
        "kinds": {k: _kind(k) for k in ("thing", "panel", "gadget")},
        "link_kinds": {k: _link_kind(k) for k in ("hose", "rod")},
        "system_kinds": {},
        "conditions": {},
        "templates": {t.id: t for t in (_moved("moved-any", (), (4,)), _moved("moved-thing", ("thing",), (3, 6)))},
        "rules": {},
        "hot_conditions": (),
        "hot_clear": ("brakes", "fuel"),
        "hot_reach_mm": 300.0,
        "limits_near_mm": 60.0,
        "cut_reach_mm": 120.0,
        "bare_reach_mm": 60.0,
        "tidy_min": 10,
        "cautions": {},
    }
    return Catalog(**{**facts, **more})  # type: ignore[arg-type]


def system_kind(name: str, **more: object) -> SystemKind:
    facts: dict[str, object] = {
        "name": name,
        "group": "brakes",
        "fluid": "",
        "source": MADE_UP,
        "open": "Drain it",
        "open_min": 10,
        "open_hands": 1,
        "close": "Fill and bleed it",
        "close_min": 30,
        "close_hands": 2,
    }
    return SystemKind(id=name, **{**facts, **more})  # type: ignore[arg-type]


def _kind(name: str) -> Kind:
    return Kind(id=name, name=name, group="body", freedom=Freedom.COMES_OFF, largest_mm=3000, source=MADE_UP)


def _link_kind(name: str) -> LinkKind:
    return LinkKind(
        id=name,
        name=name,
        group="cooling",
        freedom=Freedom.MOVES,
        source=MADE_UP,
        across_mm=8.0,
        bend_radius_mm=0.0,
        slack_mm=0.0,
        adjust_mm=0.0,
        rigid=name == "rod",
        off_min=5,
        on_min=6,
        hands=1,
        remake_min=40,
        adjust_min=7,
    )


def _moved(name: str, of: tuple[str, ...], minutes: tuple[int, ...]) -> Template:
    steps = tuple(TemplateStep(title="Fix {part}", work=Work.DRILLING, minutes=m) for m in minutes)
    return Template(id=name, trigger=Trigger(when=When.MOVED, of=of), steps=steps, source=MADE_UP)
