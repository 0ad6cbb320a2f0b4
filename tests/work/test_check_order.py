"""The order of checks and work within a day, in the real catalog's words (common practice, no published source)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from garage import vehicle
from workshop import demands, first_of, link, part, scuttle, shelf, worked

from planner.knockon import find_knockons
from planner.model.catalog import Work
from planner.model.job import Change, Job, Move, OwnTask, Purchase, Remove, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import System, Vehicle
from planner.model.work import Demand, Task, Toggle, WorkList
from planner.order import least_strip
from planner.verify import check_gates

UNION = Move(part="union", to=Pose(at_mm=(60.0, 300.0, 600.0)))
BATTERY = Move(part="battery", to=Pose(at_mm=(60.0, 700.0, 650.0)))


WALKED_FIRST = (
    "`check.brake-proof-road` may come before `check.brake-proof-walking`, "
    "which rule `brake-proof-road` asks to be first"
)


def wired() -> Vehicle:
    """The scuttle with a battery, an engine, what joins them, a radiator with a fan on it and a fuel pipe."""
    v = scuttle()
    parts = [
        *v.components.values(),
        part("battery", "battery", (60, 700, 500), systems=("wiring",), ports_mm={"earth": (0, 0, 60)}),
        part("engine", "engine", (1500, 0, 500), (300, 300, 300), on=None),
        part("radiator", "radiator", (-600, 0, 500), (50, 400, 400), on=None, systems=("coolant",)),
        part("electric-fan", "fan", (-550, 0, 500), (40, 200, 200), on="radiator", systems=("wiring",)),
    ]
    links = [
        *v.links.values(),
        link("earth-strap", "strap", "battery.earth", "engine", system="wiring", slack_mm=500.0),
    ]
    return vehicle(
        parts, links=links, systems=[*v.systems.values(), System(id="wiring", kind="low-voltage-wiring", name="wiring")]
    )


def after_of(toggle: Toggle | None) -> set[str]:
    assert toggle is not None
    return set(toggle.after)


def drilled(work: WorkList, subject: str) -> list[Task]:
    return [t for i, t in work.tasks.items() if i.startswith(f"{subject}.") and t.work is Work.DRILLING]


def test_what_can_be_known_before_the_starter_turns_is_known_before_it() -> None:
    """Straps are looked at dead, their loss is measured with the starter turning, and only then does the engine run."""
    work, _ = worked(wired(), BATTERY)
    assert {"check.earth-seated", "check.nothing-loose"} <= first_of(work, "check.earth-drop")
    assert {"check.earth-seated", "check.earth-drop"} <= first_of(work, "first-start")
    assert "first-start" not in first_of(work, "check.earth-drop")
    assert work.tasks["check.earth-drop"].apart
    assert demands(work.tasks["check.earth-seated"], "state:battery-isolated") is not None
    assert "check.earth-seated" in after_of(work.features["state:battery-isolated"].turn_off)


def test_fuel_joints_are_looked_at_before_the_engine_is_run_hot() -> None:
    work, _ = worked(wired(), TakeOff(part="filter"), TakeOff(part="tank"))
    assert "first-start" in first_of(work, "check.fuel-first-run")
    assert "check.fuel-first-run" in first_of(work, "check.coolant-leak-hot")


def test_the_word_that_the_engine_is_to_be_run_comes_right_before_it() -> None:
    work, _ = worked(wired(), TakeOff(part="tank"), BATTERY)
    assert first_of(work, "first-start") <= after_of(work.features["state:engine-cold"].turn_off)


def test_a_look_at_clearance_comes_after_the_last_change_and_forbids_later_ones() -> None:
    """The union moves near a wheel, the horn moves far from it: both are where they end, for good."""
    v = scuttle()
    work, _ = worked(v, UNION, Move(part="horn", to=Pose(at_mm=(60.0, -700.0, 250.0))))
    look = work.tasks["check.wheel-clear"]
    for body in ("union@new", "horn@new", "front-pipe@new", "hose@new"):
        if body in work.features:
            assert demands(look, body) == Demand(feature=body, on=True, last=True)
    assert demands(look, "horn@new") is not None
    assert look.apart


def test_nothing_is_cut_before_those_who_must_know_were_told() -> None:
    work, _ = worked(scuttle(), UNION)
    told = work.tasks["check.change-told"]
    assert (told.after, told.demands) == ((), ())
    assert drilled(work, "union")
    assert all("check.change-told" in first_of(work, t.id) for t in drilled(work, "union"))
    assert "metal" in work.checkpoints["change-told"].blocks
    assert "road-test" in work.checkpoints["change-told"].blocked


def test_the_walk_round_comes_after_every_check_with_the_engine_off() -> None:
    work, _ = worked(scuttle(), UNION)
    before = first_of(work, "check.nothing-loose")
    assert {"check.wheel-nuts", "check.wheel-clear", "check.brake-fluid", "check.new-holes"} <= before
    assert "check.brake-proof-walking" not in before
    assert demands(work.tasks["check.brake-fluid"], "state:on-stands") == Demand(
        feature="state:on-stands", on=False, last=True
    )


def test_no_hole_is_drilled_in_a_radiator_nor_closed_in_a_scrapped_one() -> None:
    v = wired()
    onto = Move(part="horn", to=Pose(at_mm=(-560.0, 0.0, 760.0)), onto="radiator")
    work, _ = worked(v, onto)
    assert not drilled(work, "horn")
    [offered] = [t for i, t in work.tasks.items() if i.startswith("horn.") and t.work is Work.MARKING]
    assert "no hole is drilled in radiator" in offered.title
    assert any(i.startswith("horn.") and "left behind" in t.title for i, t in work.tasks.items())
    away = Move(part="fan", to=Pose(at_mm=(60.0, -700.0, 500.0)), onto="bulkhead")
    work, _ = worked(v, away, Remove(part="radiator"))
    assert drilled(work, "fan")
    assert not any("left behind" in t.title for i, t in work.tasks.items() if i.startswith("fan."))


def test_wires_are_labelled_before_any_comes_off() -> None:
    work, _ = worked(wired(), BATTERY, Remove(part="strap"))
    [label] = [i for i, t in work.tasks.items() if t.title.startswith("Label and photograph every wire of battery")]
    assert label in after_of(work.features["state:battery-isolated"].turn_on)
    assert label in after_of(work.features["strap"].turn_off)
    assert label in after_of(work.features["battery"].turn_off)
    assert least_strip(work, limit_s=5).trouble == ()


def test_a_task_before_a_part_that_needs_the_battery_off_leaves_the_label_to_be_first() -> None:
    """It comes before the battery does; the label comes before the isolation that the task itself asks for."""
    own = OwnTask(id="weigh", title="Weigh", minutes=10, conditions=("battery-isolated",), before=("battery",))
    work, _ = worked(wired(), BATTERY, tasks=(own,))
    assert "weigh" in after_of(work.features["battery"].turn_off)
    assert least_strip(work, limit_s=5).trouble == ()


@pytest.mark.parametrize(
    ("what", "is_fluid"), [("brake fluid DOT 4, 2 l", True), ("brake fluid reservoir cap", False), ("union", False)]
)
def test_a_circuit_waits_for_its_fluid_and_no_part_does(what: str, *, is_fluid: bool) -> None:
    fluid = Purchase(id="bought", what=what, price=18.0, lead_days=3, lead_told=True, for_part="union")
    work, _ = worked(scuttle(), UNION, purchases=(fluid,))
    waits = {i for i, t in work.tasks.items() if "bought" in t.purchases}
    fill = work.features["circuit:front"].turn_on
    fit = work.features["union@new"].turn_on
    assert fill is not None
    assert fit is not None
    assert ("bought" in fill.purchases, "bought" in fit.purchases, bool(waits)) == (
        is_fluid,
        not is_fluid,
        not is_fluid,
    )


def test_one_danger_has_one_wording_and_nobody_is_at_the_switch_of_a_push_rod() -> None:
    known = shelf()
    lists = [c.cautions for c in known.conditions.values()] + [s.cautions for s in known.system_kinds.values()]
    said = {c for found in [*lists, tuple(known.cautions.values())] for c in found}
    assert len({c for c in said if "etrol vapour" in c}) == 1
    assert len({c for c in said if "emptied tank" in c}) == 1
    work, _ = worked(scuttle(), UNION)
    switch = known.cautions["testing"]
    runs = {i for i, t in work.tasks.items() if switch in t.cautions}
    assert {"first-start", "first-move", "check.brake-proof-walking"} <= runs
    assert not {"check.brake-free-play", "check.brake-reserve", "check.wheel-clear"} & runs


def _without(work: WorkList, task: str, **changes: object) -> WorkList:
    return replace(work, tasks={**work.tasks, task: replace(work.tasks[task], **changes)})


def _told_late(work: WorkList) -> WorkList:
    tasks = {
        i: replace(t, after=tuple(a for a in t.after if a.task != "check.change-told")) for i, t in work.tasks.items()
    }
    return replace(work, tasks=tasks)


def _word_early(work: WorkList) -> WorkList:
    cold = work.features["state:engine-cold"]
    assert cold.turn_off is not None
    return replace(work, features={**work.features, cold.id: replace(cold, turn_off=replace(cold.turn_off, after=()))})


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (_told_late, "`union.2` cuts, drills or heats and may come before `check.change-told`"),
        (_word_early, "`state:engine-cold` may be left, by a word, before `check.nothing-loose`"),
        (
            lambda w: _without(w, "check.wheel-clear", apart=False),
            "`check.wheel-clear` may be made beside other work, and rule `wheel-clear` asks for nothing beside it",
        ),
        (
            lambda w: _without(w, "check.wheel-clear", demands=()),
            "`union@new` may still be changed after `check.wheel-clear`, which rule `wheel-clear` makes the last of it",
        ),
        (
            lambda w: _without(w, "check.nothing-loose", after=()),
            "`check.new-holes` may come after `check.nothing-loose`, which looks at what it leaves",
        ),
        (
            lambda w: _without(w, "check.brake-proof-road", after=()),
            WALKED_FIRST,
        ),
    ],
)
def test_the_checker_tells_a_check_made_too_early_or_too_late(
    spoil: Callable[[WorkList], WorkList], sentence: str
) -> None:
    v = scuttle()
    changes: tuple[Change, ...] = (UNION, TakeOff(part="tank"))
    job = Job(id="job", name="job", changes=changes)
    knockons = find_knockons(v, job, shelf())
    work, _ = worked(v, *changes)
    assert check_gates(v, knockons, work, shelf(), job=job) == ()
    assert sentence in check_gates(v, knockons, spoil(work), shelf(), job=job)
