"""A small scuttle, worked out by hand: a pedal box takes the place of the fuse box, which finds another home.

The bulkhead is a plate at x = -5..5. Behind it sit the fuse box (low, left), the tank with its sensor (high,
middle) and the battery (low, right); the radiator stands ahead of it.
"""

from collections.abc import Iterable
from dataclasses import replace

from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Knockons, Proof
from planner.model.job import Add, Change, Job
from planner.model.shapes import Box, Direction, Pose, Vec
from planner.model.vehicle import (
    Component,
    End,
    Freedom,
    Keeps,
    Link,
    Relation,
    Room,
    RoomNeed,
    Space,
    System,
    Vehicle,
)
from planner.verify import check_homes


def block(name: str, size_mm: Vec, at_mm: Vec, **more: object) -> Component:
    facts: dict[str, object] = {"kind": name, "name": name, "group": "electrics", "mounted_on": "bulkhead"}
    return Component(id=name, pose=Pose(at_mm=at_mm), solids=(Box(size_mm=size_mm),), **{**facts, **more})


def link(name: str, first: tuple[str, str], last: tuple[str, str], **more: object) -> Link:
    ends = (End(component=first[0], port=first[1]), End(component=last[0], port=last[1]))
    return Link(id=name, **{"kind": "wire", "name": name, "group": "electrics", "ends": ends, **more})


CAP_OFF = Room(name="cap off", needed=RoomNeed.ALWAYS, side=Direction.UP, depth_mm=80)

COMPONENTS = (
    block("bulkhead", (10, 1000, 600), (0, 0, 500), mounted_on=None, freedom=Freedom.STAYS),
    block(
        "fuse-box",
        (60, 100, 80),
        (35, -200, 500),
        freedom=Freedom.MOVES,
        keep_clear_mm=10,
        ports_mm={"wire": (30, 0, 0)},
        turns_deg=((0, 0, 180),),
    ),
    block("tank", (100, 120, 100), (55, 0, 700), freedom=Freedom.MOVES, rooms=(CAP_OFF,)),
    block("sensor", (20, 20, 20), (55, 70, 700), mounted_on="tank", rides=True, ports_mm={"pin": (0, 10, 0)}),
    block("battery", (150, 200, 150), (80, 300, 400), freedom=Freedom.STAYS, ports_mm={"plus": (0, -100, 0)}),
    block("radiator", (50, 400, 300), (-400, 0, 400), mounted_on=None, freedom=Freedom.STAYS),
)

LINKS = (
    link("main-wire", ("battery", "plus"), ("fuse-box", "wire"), slack_mm=30),
    link("level-wire", ("sensor", "pin"), ("battery", "plus"), slack_mm=10),
)

SPACES = (
    Space(
        id="shelf",
        name="shelf",
        on="bulkhead",
        box=Box(size_mm=(150, 400, 200), pose=Pose(at_mm=(80, 250, 650))),
        step_mm=20,
        takes=("fuse-box",),
    ),
    Space(
        id="ledge",
        name="ledge",
        on="bulkhead",
        box=Box(size_mm=(150, 600, 220), pose=Pose(at_mm=(80, -200, 690))),
        step_mm=20,
        takes=("tank",),
    ),
)

RELATION = Relation(
    id="tank-above-radiator",
    part="tank",
    keeps=Keeps.ABOVE,
    of="radiator",
    by_mm=40,
    why="it fills by gravity",
)

VEHICLE = Vehicle(
    name="scuttle",
    units="mm",
    ground_z_mm=0,
    systems={"lighting": System(id="lighting", kind="wiring", name="lighting")},
    components={part.id: part for part in COMPONENTS},
    links={item.id: item for item in LINKS},
    spaces={space.id: space for space in SPACES},
    relations={RELATION.id: RELATION},
)

PEDAL_BOX = block("pedal-box", (100, 120, 200), (55, -200, 500), group="brakes", freedom=Freedom.STAYS)

NEW_HOME = Pose(at_mm=(35, 200, 600))
"""On the shelf: x 5..65, y 150..250, z 560..640."""


def job(*changes: Change) -> Job:
    return Job(id="pedals", name="pedals", changes=changes or (Add(component=PEDAL_BOX),))


def effect(kind: EffectKind, subject: str) -> Effect:
    cause = Cause(kind=CauseKind.ASKED, source="", text="asked for")
    return Effect(id=f"{kind}:{subject}", kind=kind, subject=subject, text="", causes=(cause,))


def told(**kinds: Iterable[str]) -> tuple[Effect, ...]:
    """Effects by the name of their kind: ``told(NEW=["pedal-box"])``."""
    return tuple(effect(EffectKind[kind], subject) for kind, subjects in kinds.items() for subject in subjects)


def knockons(
    after: Iterable[Component],
    links: Iterable[Link],
    homes: dict[str, Pose],
    effects: tuple[Effect, ...],
    **more: object,
) -> Knockons:
    """The answer that sets the parts of ``after`` in their new homes."""
    parts = (replace(part, pose=homes.get(part.id, part.pose)) for part in after)
    facts: dict[str, object] = {"access": {}, "cut_rooms": {}, "hot_near": {}, "bare": {}, "limits": {}}
    return Knockons(
        effects=effects,
        homes=homes,
        after={part.id: part for part in parts},
        links_after={item.id: item for item in links},
        proof=Proof.PROVED,
        **{**facts, **more},
    )


EFFECTS = told(NEW=["pedal-box"], MOVES=["fuse-box"], ADJUSTED=["main-wire"])

SOUND = knockons((*COMPONENTS, PEDAL_BOX), LINKS, {"fuse-box": NEW_HOME}, EFFECTS)
"""The fuse box goes to the shelf; its wire has 212 mm too much and is adjusted."""


def with_home(name: str, pose: Pose, *, answer: Knockons = SOUND, effects: tuple[Effect, ...] = ()) -> Knockons:
    """The answer with another home for one part."""
    after = {**answer.after, name: replace(answer.after[name], pose=pose)}
    return replace(answer, after=after, homes={**answer.homes, name: pose}, effects=(*answer.effects, *effects))


def check_scuttle(answer: Knockons, *, owner: Job | None = None, vehicle: Vehicle = VEHICLE) -> tuple[str, ...]:
    return check_homes(vehicle, owner or job(), answer)


def tank_moved(to: Pose, sensor: Pose | None) -> Knockons:
    homes = {"fuse-box": NEW_HOME, "tank": to, **({} if sensor is None else {"sensor": sensor})}
    effects = (*EFFECTS, *told(MOVES=["tank", "sensor"], REMADE=["level-wire"]))
    return knockons((*COMPONENTS, PEDAL_BOX), LINKS, homes, effects)


def without(answer: Knockons, *names: str) -> Knockons:
    return replace(
        answer,
        after={key: part for key, part in answer.after.items() if key not in names},
        links_after={key: item for key, item in answer.links_after.items() if key not in names},
    )
