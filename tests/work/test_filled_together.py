"""A circuit is filled when nothing it shares a cylinder or a reservoir with is open (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

from workshop import demands, first_of, link, part, scuttle, shelf, worked

from planner.model.effects import Knockons
from planner.model.job import Move, TakeOff
from planner.model.vehicle import System, Vehicle
from planner.model.work import Demand, WorkList
from planner.verify.circuits import beside_faults, circuit_faults
from planner.verify.sequence import forced_order


def tandem() -> Vehicle:
    """The master cylinder feeds a second circuit: a pipe from it to a union of its own."""
    v = scuttle()
    master = replace(
        v.components["master"],
        systems=("front", "rear"),
        ports_mm={"out": (0.0, 50.0, 0.0), "second": (0.0, -50.0, 0.0)},
    )
    union = part("brake-union", "rear-union", (60, -250, 500), systems=("rear",), ports_mm={"in": (0, 50, 0)})
    pipe = link("brake-pipe", "rear-pipe", "master.second", "rear-union.in", system="rear")
    return replace(
        v,
        components=v.components | {"master": master, "rear-union": union},
        links=v.links | {"rear-pipe": pipe},
        systems=v.systems | {"rear": System(id="rear", kind="hydraulic-brake", name="rear brakes")},
    )


def filled_with(v: Vehicle, *changes: object) -> dict[str, set[str]]:
    work, found = worked(v, *changes)  # type: ignore[arg-type]
    assert list(circuit_faults(v, found, work, shelf())) == []
    closing = {i: f.turn_on for i, f in work.features.items() if i.startswith("circuit:")}
    return {i: {d.feature for d in t.demands if d.on} for i, t in closing.items() if t is not None}


def test_no_circuit_of_a_tandem_cylinder_is_filled_with_the_other_pipe_away() -> None:
    asked = filled_with(tandem(), TakeOff(part="master"), TakeOff(part="rear-union"), TakeOff(part="union"))
    for circuit in ("circuit:front", "circuit:rear"):
        assert {"master", "union", "rear-union"} <= asked[circuit]


def test_a_pipe_made_anew_in_the_other_circuit_is_waited_for() -> None:
    v = tandem()
    moved = Move(part="rear-union", to=replace(v.components["rear-union"].pose, at_mm=(60.0, -250.0, 350.0)))
    asked = filled_with(v, moved, TakeOff(part="master"))
    assert {"rear-pipe@new", "rear-union@new"} <= asked["circuit:front"]


def test_circuits_that_share_no_part_are_filled_one_by_one() -> None:
    v = tandem()
    apart = replace(v.components["master"], systems=("front",))
    v = replace(
        v, components=v.components | {"master": apart}, links={i: k for i, k in v.links.items() if i != "rear-pipe"}
    )
    asked = filled_with(v, TakeOff(part="rear-union"), TakeOff(part="union"))
    assert "rear-union" not in asked["circuit:front"]
    assert "union" not in asked["circuit:rear"]


def test_an_engine_in_the_fuel_and_cooling_circuits_joins_no_fluids() -> None:
    v = scuttle()
    engine = part("engine", "engine", (300, 0, 300), systems=("coolant", "fuel"))
    asked = filled_with(
        replace(v, components=v.components | {"engine": engine}), TakeOff(part="tank"), TakeOff(part="filter")
    )
    assert "filter" not in asked["circuit:coolant"]


def test_the_checker_finds_a_filling_that_waits_for_its_own_members_alone() -> None:
    v = tandem()
    work, found = worked(v, TakeOff(part="master"), TakeOff(part="rear-union"))
    front = work.features["circuit:front"]
    assert front.turn_on is not None
    kept = tuple(d for d in front.turn_on.demands if d != Demand(feature="rear-union", on=True))
    bad = replace(front, turn_on=replace(front.turn_on, demands=kept))
    said = list(circuit_faults(v, found, replace(work, features=work.features | {front.id: bad}), shelf()))
    assert said == ["`circuit:front` may be filled while `rear-union` of `rear` is away"]


HOLDS = frozenset({"brake-pedal-holds", "brake-fluid"})
"""Checks that feel the pedal and read the level."""


def told(v: Vehicle, work: WorkList, knockons: Knockons) -> list[str]:
    return list(beside_faults(v, knockons, work, shelf(), forced_order(work)))


def test_the_other_circuit_of_a_drawn_reservoir_has_a_step_of_its_own_before_the_pedal_is_judged() -> None:
    """The rear union comes off: its reservoir is drawn down; of the front circuit, fed from it too, none is undone."""
    work, knockons = worked(tandem(), TakeOff(part="rear-union"))
    assert "circuit:front" not in work.features
    look = work.tasks["front.beside"]
    assert demands(look, "circuit:rear") == Demand(feature="circuit:rear", on=True, last=True)
    assert "level" in look.title
    assert "bleed" in look.title
    points = {t.checkpoint: i for i, t in work.tasks.items()}
    assert all("front.beside" in first_of(work, points[rule]) for rule in HOLDS)
    assert "front.beside" in first_of(work, "first-start")
    assert told(tandem(), work, knockons) == []


def test_no_step_where_both_are_opened_or_nothing_is_shared() -> None:
    both, _ = worked(tandem(), TakeOff(part="rear-union"), TakeOff(part="union"))
    assert not any(i.endswith(".beside") for i in both.tasks)
    v = tandem()
    apart = replace(v.components["master"], systems=("front",))
    links = {i: k for i, k in v.links.items() if i != "rear-pipe"}
    one, _ = worked(replace(v, components=v.components | {"master": apart}, links=links), TakeOff(part="rear-union"))
    assert not any(i.endswith(".beside") for i in one.tasks)


def test_a_union_in_both_is_no_reservoir() -> None:
    """What is drawn down is where the fluid stands; a junction shared by two circuits holds none to draw."""
    v = tandem()
    parts = v.components | {
        "master": replace(v.components["master"], systems=("front",)),
        "rear-union": replace(v.components["rear-union"], systems=("front", "rear")),
        "wheel-cylinder": replace(v.components["wheel-cylinder"], systems=("rear",)),
    }
    links = {i: k for i, k in v.links.items() if i not in {"rear-pipe", "hose"}}
    work, _ = worked(replace(v, components=parts, links=links), TakeOff(part="wheel-cylinder"))
    assert "circuit:rear" in work.features
    assert not any(i.endswith(".beside") for i in work.tasks)


def test_the_checker_misses_the_step_and_its_turn() -> None:
    v = tandem()
    work, knockons = worked(v, TakeOff(part="rear-union"))
    without = replace(work, tasks={i: t for i, t in work.tasks.items() if i != "front.beside"})
    assert told(v, without, knockons) == [
        "`circuit:rear` draws down what `front` is fed from, and nobody looks at that after it"
    ]
    early = {i: replace(t, after=tuple(a for a in t.after if a.task != "front.beside")) for i, t in work.tasks.items()}
    spoilt = told(v, replace(work, tasks=early), knockons)
    assert "`check.brake-each-circuit` may come before `front`, fed from the same reservoir, was looked at" in spoilt
