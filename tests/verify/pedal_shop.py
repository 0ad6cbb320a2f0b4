"""A shop floor in the real catalog's words: a second cylinder with its rod through the bulkhead, and what goes with it.

A brake pedal stands on the floor, a horn goes for good and leaves its holes, a tank moves along the bulkhead, a bracket
and a made pedal sit where a slot is cut; the owner has tasks of his own. Sizes are made up.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from workshop import bracket, hole, link, part, scuttle, shelf, worked

from planner.model.effects import Knockons
from planner.model.job import Add, AddLink, Job, Move, OwnTask, Purchase, Remove, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Vehicle
from planner.model.work import Toggle, WorkList
from planner.verify import check_steps


@cache
def cabin() -> Vehicle:
    v = scuttle()
    floor = part("floor", "floor", (-500, 0, 0), (900, 2000, 2), on=None)
    pedal = part(
        "brake-pedal", "pedal", (-300, 700, 500), on="floor", touches=("bulkhead",), ports_mm={"pin": (50, 0, 0)}
    )
    return replace(v, components={**v.components, "floor": floor, "pedal": pedal})


CHANGES = (
    Add(
        component=part(
            "brake-master-cylinder",
            "rear-cylinder",
            (60, 700, 500),
            systems=("front",),
            ports_mm={"out": (0.0, 50.0, 0.0), "rod": (-50, 0, 0)},
        )
    ),
    AddLink(link=link("pedal-push-rod", "rod", "pedal.pin", "rear-cylinder.rod", passes=("bulkhead",), system="front")),
    Remove(part="horn"),
    Move(part="tank", to=Pose(at_mm=(60, -170, 800))),
    Add(component=bracket()),
    Add(component=part("clutch-pedal", "hung", (90, 850, 300), (60, 60, 300), make_min=200)),
    hole(),
    TakeOff(part="seat"),
)
TASKS = (
    OwnTask(id="weigh", title="Weigh it", minutes=20, before=("bracket", "horn"), conditions=("engine-cold",)),
    OwnTask(
        id="clean", title="Clean the bulkhead", minutes=30, after=("weigh", "slot", "horn"), off=("tank",), lag_min=60
    ),
    OwnTask(id="bench", title="Turn it by hand", minutes=30, back=("rear-cylinder",)),
    OwnTask(id="drive", title="Drive up the hill", minutes=60, after=("road-test",)),
)
BOUGHT = (
    Purchase(id="fluid", what="brake fluid, 1 l", price=9.0, for_part="rear-cylinder"),
    Purchase(id="seals", what="brake fluid reservoir seal", for_part="rear-cylinder"),
)
JOB = Job(id="job", name="job", changes=CHANGES, tasks=TASKS, purchases=BOUGHT)


@cache
def shop() -> tuple[WorkList, Knockons]:
    """The planner's own list for this job, to be spoiled."""
    return worked(cabin(), *CHANGES, tasks=TASKS, purchases=BOUGHT)


def told(work: WorkList) -> tuple[str, ...]:
    return check_steps(cabin(), shop()[1], work, shelf(), job=JOB)


def with_task(name: str, **changes: object) -> WorkList:
    work, _ = shop()
    return replace(work, tasks={**work.tasks, name: replace(work.tasks[name], **changes)})


def without_task(name: str) -> WorkList:
    """The list without a step; whatever waited for it waits for what it waited for."""
    work, _ = shop()
    gone = work.tasks[name]
    kept = {i: t for i, t in work.tasks.items() if i != name}
    bridged = {
        i: replace(t, after=(*(a for a in t.after if a.task != name), *gone.after))
        if any(a.task == name for a in t.after)
        else t
        for i, t in kept.items()
    }
    return replace(work, tasks=bridged)


def undemanded(name: str, *features: str) -> WorkList:
    """The list with a task that does not ask for some features any more."""
    task = shop()[0].tasks[name]
    return with_task(name, demands=tuple(d for d in task.demands if d.feature not in features))


def unwaited(name: str, *others: str) -> WorkList:
    """The list with a task that does not wait for some others any more."""
    task = shop()[0].tasks[name]
    return with_task(name, after=tuple(a for a in task.after if a.task not in others))


def with_toggle(name: str, *, on: bool, **changes: object) -> WorkList:
    work, _ = shop()
    feature = work.features[name]
    made: Toggle | None = feature.turn_on if on else feature.turn_off
    assert made is not None
    side = {"turn_on" if on else "turn_off": replace(made, **changes)}
    return replace(work, features={**work.features, name: replace(feature, **side)})


def toggle_asks_not(name: str, *features: str, on: bool = True) -> WorkList:
    feature = shop()[0].features[name]
    made = feature.turn_on if on else feature.turn_off
    assert made is not None
    return with_toggle(name, on=on, demands=tuple(d for d in made.demands if d.feature not in features))


def toggle_waits_not(name: str, *tasks: str, on: bool = True) -> WorkList:
    feature = shop()[0].features[name]
    made = feature.turn_on if on else feature.turn_off
    assert made is not None
    return with_toggle(name, on=on, after=tuple(t for t in made.after if t not in tasks))
