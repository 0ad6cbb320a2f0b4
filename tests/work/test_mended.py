"""Work found on the way: the states it is done in, what is away from it, what it comes before, what looks at it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

import pytest
from workshop import demands, first_of, link, part, scuttle, shelf, worked

from planner.log.entries import entry_of, line_of
from planner.model.job import Job, Mending, Move, OwnTask, Purchase, TakeOff
from planner.model.log import FoundLine
from planner.model.shapes import Pose
from planner.model.standing import Standing
from planner.model.vehicle import Vehicle
from planner.model.words import Deed
from planner.model.work import Demand, Task, WorkList
from planner.verify import check_gates
from planner.work import amended, with_fuel_off

HOT = {"battery-isolated", "charging-unplugged", "fuel-pipe-capped", "fire-watch-ready"}
"""29 CFR 1910.252(a)(2) for fire watch and what burns; battery, alternator, fuel by common practice."""


def mending(*does: Deed, off: tuple[str, ...] = (), **more: object) -> OwnTask:
    known = Mending(does=does, **more)  # type: ignore[arg-type]
    return OwnTask(id="found-7", title="Mend it", minutes=60, off=off, mending=known)


def planned(own: OwnTask) -> tuple[WorkList, Task]:
    """The work for a job that takes the horn off, with a mending; the independent checker has nothing against it."""
    job = Job(id="job", name="job", changes=(TakeOff(part="horn"),), tasks=(own,))
    job = with_fuel_off(job, scuttle(), shelf())
    work, knockons = worked(scuttle(), *job.changes, tasks=job.tasks)
    assert check_gates(scuttle(), knockons, work, shelf(), job=job) == ()
    return work, work.tasks["found-7"]


def states(task: Task) -> set[str]:
    return {d.feature.removeprefix("state:") for d in task.demands if d.on and d.feature.startswith("state:")}


def away(task: Task) -> set[str]:
    return {d.feature for d in task.demands if not d.on}


def test_welding_on_the_vehicle_is_done_as_welding_a_cut_is() -> None:
    """What burns within 300 mm is away: by hand, the union's face is 150 mm from the cylinder's, 200 from the next
    wheel cylinder's, and 550 mm from the fuel filter's. The fire watch of half an hour is signed with the step."""
    work, task = planned(mending(Deed.WELD, on="union"))
    assert states(task) >= HOT
    assert {"master", "wheel-cylinder", "front-pipe", "hose"} <= away(task)
    assert "filter" not in away(task)
    assert "union" not in away(task)
    assert task.checkpoint == "fire-watch"
    assert task.minutes == 60 + 30 + shelf().rules["fire-watch"].minutes
    assert shelf().cautions["hot work"] in task.cautions
    assert {f"weld-look.{task.id}", "crack-check", f"cut-edges.{task.id}"} <= work.checkpoints.keys()


def test_at_a_spot_only_what_is_near_the_spot_is_away() -> None:
    """By hand: the filter is 100 mm wide at y = -400, the spot 50 mm at -600; the cylinder's face is 525 mm away."""
    _, task = planned(mending(Deed.WELD, on="bulkhead", spot_mm=(0.0, -600.0, 500.0)))
    assert "filter" in away(task)
    assert not {"master", "front-pipe"} & away(task)
    _, whole = planned(mending(Deed.WELD, on="bulkhead"))
    assert {"filter", "master", "front-pipe"} <= away(whole)


def test_sparks_want_a_watch_and_no_weld_is_looked_for() -> None:
    work, task = planned(mending(Deed.GRIND, on="bulkhead", spot_mm=(0.0, 900.0, 900.0)))
    assert "fire-watch-ready" in states(task)
    assert "charging-unplugged" not in states(task)
    assert task.checkpoint == "fire-watch"
    assert not {f"weld-look.{task.id}", "crack-check"} & work.checkpoints.keys()
    # The watch asks for the battery off and the fuel made safe in its turn.
    assert {"state:battery-isolated", "state:fuel-pipe-capped"} <= work.features.keys()


def test_a_part_that_is_off_is_welded_at_the_bench() -> None:
    work, task = planned(mending(Deed.WELD, on="master", off=("master",), ahead=("master",)))
    assert states(task) == set()
    assert away(task) == {"master"}
    assert task.checkpoint is None
    assert task.minutes == 60
    assert shelf().cautions["hot work"] in task.cautions
    assert {f"weld-look.{task.id}", "mended-look"} <= work.checkpoints.keys()
    assert "fire-watch" not in work.checkpoints
    fits = work.features["master"].turn_on
    assert fits is not None
    assert "found-7" in fits.after


def wired() -> Vehicle:
    """The scuttle with a battery on it, and a cable that gives way from there to the horn."""
    plain = scuttle()
    battery = part("battery", "battery", (60, -900, 300))
    cable = link("battery-cable", "cable", "battery", "horn")
    return replace(plain, components={**plain.components, "battery": battery}, links={**plain.links, "cable": cable})


def test_a_cable_that_is_made_anew_is_as_far_from_the_heat_as_the_old_one() -> None:
    """The battery goes to the other side, so the cable is made anew; both runs end at the horn, where it is welded."""
    vehicle = wired()
    own = mending(Deed.WELD, on="horn")
    job = Job(id="job", name="job", changes=(Move(part="battery", to=Pose(at_mm=(60.0, 900.0, 700.0))),), tasks=(own,))
    work, knockons = worked(vehicle, *job.changes, tasks=job.tasks)
    assert knockons.runs["cable"].points_mm
    assert not knockons.links_after["cable"].rigid
    assert {"cable", "cable@new"} <= away(work.tasks["found-7"])
    assert check_gates(vehicle, knockons, work, shelf(), job=job) == ()


@pytest.mark.parametrize("does", [Deed.WELD, Deed.GRIND, Deed.CUT])
def test_what_held_fuel_comes_off_and_whoever_mends_it_is_named_first(does: Deed) -> None:
    """29 CFR 1910.252(a)(3)(i): no welding on used containers before no flammable vapour is left in them."""
    work, task = planned(mending(does, on="filter"))
    assert "filter" in away(task)
    assert "explodes" in task.cautions[0]
    fits = work.features["filter"].turn_on
    assert fits is not None
    assert "found-7" in fits.after
    if does is Deed.WELD:
        assert "check.specialist-named" in first_of(work, "found-7")
        assert "found-7" in first_of(work, "check.specialist-papers")


def test_what_held_fuel_is_let_be_where_nothing_is_heated_or_it_is_off_anyway() -> None:
    plain = Job(id="job", name="job", changes=(), tasks=(mending(Deed.PLAIN, on="filter"),))
    off = replace(plain, tasks=(mending(Deed.WELD, on="filter", off=("filter",), ahead=("filter",)),))
    horn = replace(plain, tasks=(mending(Deed.WELD, on="horn"),))
    for job in (plain, off, horn):
        assert with_fuel_off(job, scuttle(), shelf()) == job


@pytest.mark.parametrize("does", [Deed.WELD, Deed.GRIND])
def test_no_session_ends_with_the_watch_for_fire_still_on(does: Deed) -> None:
    """29 CFR 1910.252(a)(2)(iii): watched for at least half an hour after; nobody has gone home by then."""
    work, _ = planned(mending(does, on="union"))
    (hold,) = work.holds.values()
    assert hold.demands == (Demand(feature="state:fire-watch-ready", on=False),)
    assert hold.asks(date(2027, 2, 4))
    bench, _ = planned(mending(does, on="master", off=("master",), ahead=("master",)))
    assert bench.holds == {}


def test_drilling_has_the_battery_off_and_the_far_side_looked_at() -> None:
    work, task = planned(mending(Deed.CUT, on="bulkhead"))
    assert states(task) == {"battery-isolated"}
    assert {"new-holes", "bulkhead-sealed", f"cut-edges.{task.id}"} <= work.checkpoints.keys()


def test_under_the_vehicle_is_on_stands_that_were_rocked() -> None:
    """HSE INDG434 and HSG261: never under a vehicle on jacks alone."""
    work, task = planned(mending(Deed.UNDER))
    assert states(task) == {"on-stands"}
    assert shelf().cautions["lifting"] in task.cautions
    entered = work.features["state:on-stands"].turn_on
    assert entered is not None
    assert entered.checks == ("stands-rock",)


@pytest.mark.parametrize(("system", "check"), [("coolant", "coolant-level"), ("front", "brake-leak")])
def test_a_circuit_is_open_while_it_is_done_then_closed_and_proved(system: str, check: str) -> None:
    work, task = planned(mending(Deed.OPEN, opens=(system,)))
    assert demands(task, f"circuit:{system}") == Demand(feature=f"circuit:{system}", on=False)
    circuit = work.features[f"circuit:{system}"]
    assert (circuit.start, circuit.goal) == (True, True)
    assert check in work.checkpoints


def test_what_hands_reach_a_part_in_is_asked_for_unless_the_work_is_plain() -> None:
    wheel = part("front-hub", "hub", (60, 900, 300), on=None)
    assert wheel.needs == shelf().kinds["front-hub"].needs != ()
    vehicle = replace(scuttle(), components={**scuttle().components, "hub": wheel})
    work, _ = worked(vehicle, TakeOff(part="horn"), tasks=(mending(Deed.CUT, on="hub"),))
    assert states(work.tasks["found-7"]) >= {*wheel.needs}
    plain, _ = worked(vehicle, TakeOff(part="horn"), tasks=(mending(Deed.PLAIN, on="hub"),))
    assert states(plain.tasks["found-7"]) == set()


def test_what_it_comes_before_is_not_fitted_first() -> None:
    work, _ = planned(mending(Deed.PLAIN, on="bulkhead", ahead=("horn",)))
    fits = work.features["horn"].turn_on
    assert fits is not None
    assert "found-7" in fits.after


def test_heat_on_a_part_that_rides_is_as_near_to_the_rest() -> None:
    """A lamp that rides on the horn, its top at z = 400; by hand the cylinder's bottom is at 450."""
    lamp = part("lamp", "lamp", (60, 0, 350), on="horn", rides=True)
    vehicle = replace(scuttle(), components={**scuttle().components, "lamp": lamp})
    own = mending(Deed.WELD, on="lamp", ahead=("lamp",))
    work, knockons = worked(vehicle, TakeOff(part="filter"), tasks=(own,))
    assert "master" in away(work.tasks["found-7"])
    job = Job(id="job", name="job", changes=(TakeOff(part="filter"),), tasks=(own,))
    assert check_gates(vehicle, knockons, work, shelf(), job=job) == ()


@pytest.mark.parametrize("does", [*Deed])
@pytest.mark.parametrize("on", ["union", "front-pipe", "filter", "bulkhead", "seat", ""])
def test_whatever_is_mended_is_looked_at_before_it_moves_and_before_the_road(does: Deed, on: str) -> None:
    own = mending(does, on=on, opens=("front",) if does is Deed.OPEN else ())
    work, _ = planned(own)
    check = work.checkpoints["mended-look"]
    assert {"moving", "road"} <= {*check.blocks}
    assert "found-7" in first_of(work, "check.mended-look")
    for gate in ("first-move", "road-test"):
        assert {"found-7", "check.mended-look"} <= first_of(work, gate)
    assert "Mend it" in check.why


def test_a_mended_brake_part_is_proved_as_one_that_was_off_and_looked_at_where_it_stays() -> None:
    """Rules that name the cylinder when it is disturbed; the horn's job would call for none of them."""
    before, _ = worked(scuttle(), TakeOff(part="horn"))
    work, _ = planned(mending(Deed.CUT, on="master", off=("master",), ahead=("master",)))
    wanted = {"brake-free-play", "brake-pedal-holds", "brake-proof-road", "road-allowed"}
    assert not wanted & before.checkpoints.keys()
    assert wanted <= work.checkpoints.keys()
    in_place, _ = planned(mending(Deed.CUT, on="master"))
    assert wanted <= in_place.checkpoints.keys()
    for rule in wanted:
        assert "found-7" in first_of(in_place, f"check.{rule}"), rule
    held = demands(work.tasks["check.mended-look"], "master")
    assert held == Demand(feature="master", on=True, last=True)


def test_what_nobody_said_is_told() -> None:
    _, task = planned(mending(Deed.UNSAID, on="union"))
    assert "Nobody said what this mending does" in task.cautions[0]
    assert "on stands" in task.cautions[0]


LINE = {"n": 3, "at": "2027-02-04T10:00:00", "sort": "found", "id": "found-3", "title": "a crack", "minutes": 45}


def _grown(line: FoundLine) -> OwnTask:
    job = Job(id="job", name="job", changes=(), purchases=(Purchase(id="x", what="x"),))
    grown = amended(job, Standing(found=(line,)), datetime.combine(date(2027, 2, 4), time(10)), 0)
    return grown.tasks[0]


def test_a_line_from_before_anybody_was_asked_reads_as_it_did() -> None:
    """The task as it was made before lines had these fields, field by field."""
    line = entry_of({**LINE, "before": ["horn"], "off": ["tank"]})
    assert isinstance(line, FoundLine)
    assert (line.does, line.on, line.opens, line.spot_mm) == ((), "", (), None)
    own = _grown(line)
    assert own == OwnTask(id="found-3", title="a crack", minutes=45, before=("horn",), off=("tank",))
    work, _ = worked(scuttle(), TakeOff(part="horn"), tasks=(own,))
    task = work.tasks["found-3"]
    assert (task.cautions, task.notes, task.minutes, task.checkpoint) == ((), (), 45, None)
    assert states(task) == set()
    assert "mended-look" not in work.checkpoints


def test_a_line_says_all_of_it_and_comes_back_from_the_file() -> None:
    more = {"does": ["weld", "open"], "on": "union", "opens": ["front"], "spot_mm": [1.5, 2.0, 3.0]}
    line = entry_of({**LINE, **more})
    assert isinstance(line, FoundLine)
    assert line_of(line) == {**{k: v for k, v in LINE.items() if k != "n"}, **more}
    own = _grown(line)
    assert own.mending == Mending(
        does=(Deed.WELD, Deed.OPEN), on="union", opens=("front",), spot_mm=(1.5, 2.0, 3.0), ahead=("union",)
    )


@pytest.mark.parametrize(
    ("more", "ahead"),
    [
        ({}, ("union",)),
        ({"before": ["horn"]}, ("horn",)),
        ({"before": ["horn"], "off": ["union"]}, ("horn", "union")),
    ],
)
def test_what_is_mended_goes_back_mended_unless_it_is_said_before_what(
    more: dict[str, object], ahead: tuple[str, ...]
) -> None:
    line = entry_of({**LINE, "does": ["plain"], "on": "union", **more})
    assert isinstance(line, FoundLine)
    own = _grown(line)
    assert own.mending is not None
    assert own.mending.ahead == ahead
