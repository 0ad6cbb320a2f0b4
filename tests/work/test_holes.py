"""Holes for what is new: in what holds a part, and in what a link goes through; and what waits for them.

The orders are common practice, no published source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import box
from workshop import bracket, first_of, link, part, scuttle, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Add, AddLink, Change, Cut, Grow, Move, OwnTask, Remove, Replace
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import After, Demand, Task, WorkList
from planner.order import least_strip
from planner.verify import check_gates, check_strip

OUT: Vec = (0.0, 50.0, 0.0)


def cylinder(at: Vec = (60, 700, 500), *, on: str = "bulkhead", name: str = "rear-cylinder") -> Component:
    return part("brake-master-cylinder", name, at, on=on, systems=("front",), ports_mm={"out": OUT, "rod": (-50, 0, 0)})


def cabin() -> Vehicle:
    """The scuttle with a pedal behind the bulkhead, on the floor."""
    v = scuttle()
    floor = part("floor", "floor", (-500, 0, 0), (900, 2000, 2), on=None)
    pedal = part(
        "brake-pedal", "pedal", (-300, 700, 500), on="floor", touches=("bulkhead",), ports_mm={"pin": (50, 0, 0)}
    )
    return replace(v, components={**v.components, "floor": floor, "pedal": pedal})


def rod(**more: object) -> Link:
    facts: dict[str, object] = {"passes": ("bulkhead",), **more}
    return link("pedal-push-rod", "rod", "pedal.pin", "rear-cylinder.rod", **facts)


def of_part(work: WorkList, name: str, kind: Work) -> list[Task]:
    tasks = [t for i, t in work.tasks.items() if i.rpartition(".")[0] == name]
    return [t for t in tasks if t.work is kind]


def order_of(v: Vehicle, *changes: Change, **more: object) -> tuple[WorkList, dict[str, int]]:
    """The least strip-down's place of each task and last fitting, held against the checker."""
    work, knockons = worked(v, *changes, **more)
    strip = least_strip(work, limit_s=20.0)
    assert check_strip(work, strip) == ()
    assert check_gates(v, knockons, work, shelf()) == ()
    places = {s.ref if s.on is None else f"{'+' if s.on else '-'}{s.ref}": n for n, s in enumerate(strip.steps)}
    return work, places


def test_a_bought_part_is_marked_drilled_for_fitted_and_tried_before_its_rod_is_measured() -> None:
    work, at = order_of(cabin(), Add(component=cylinder()), AddLink(link=rod()))
    [mark], [drill], [trial], [bled] = (
        of_part(work, "rear-cylinder", w) for w in (Work.MARKING, Work.DRILLING, Work.TRIAL_FIT, Work.FILLING)
    )
    assert at[mark.id] < at[drill.id] < at[trial.id] < at["rod.1"] < at["+rod"]
    assert Demand(feature="rear-cylinder", on=True) in trial.demands
    assert at[trial.id] < at[bled.id] < at["+rear-cylinder"]
    assert "bulkhead" in mark.title
    assert "bulkhead" in drill.title
    assert any("far side" in c for c in mark.cautions)
    assert Demand(feature="state:battery-isolated", on=True) in drill.demands
    assert mark.id in first_of(work, drill.id)
    assert set(trial.again.redo if trial.again else ()) == {drill.id}


def test_a_rods_hole_is_made_with_its_cylinder_off_and_before_anything_is_made_against_it() -> None:
    work, at = order_of(cabin(), Add(component=cylinder()), AddLink(link=rod()))
    mark, drill = (work.tasks[f"rod.bulkhead.{n}"] for n in (1, 2))
    assert (mark.work, drill.work) == (Work.MARKING, Work.DRILLING)
    assert Demand(feature="rear-cylinder", on=False) in drill.demands
    assert Demand(feature="state:battery-isolated", on=True) in drill.demands
    assert at[mark.id] < at[drill.id] < at["+rear-cylinder"]
    assert drill.id in first_of(work, "rod.1")
    assert "rod" in drill.title
    assert "bulkhead" in drill.title


def test_new_holes_call_for_the_look_behind_them() -> None:
    work, _ = worked(cabin(), Add(component=cylinder()), AddLink(link=rod()))
    for rule in ("new-holes", "bulkhead-sealed"):
        assert rule in work.checkpoints
        assert {"rod.bulkhead.2", "rear-cylinder.3"} <= first_of(work, f"check.{rule}")


def test_a_hose_alone_gets_its_hole_and_the_look_behind_it() -> None:
    """The horn is on one side of the bulkhead, the pedal on the other: only the hose is new."""
    hose = link("vacuum-hose", "hose-2", "pedal.pin", "horn", passes=("bulkhead",))
    work, at = order_of(cabin(), AddLink(link=hose))
    assert at["hose-2.bulkhead.1"] < at["hose-2.bulkhead.2"] < at["hose-2.1"]
    assert "hose-2.bulkhead.2" in first_of(work, "check.new-holes")


def test_the_checker_wants_the_look_behind_a_links_hole() -> None:
    hose = link("vacuum-hose", "hose-2", "pedal.pin", "horn", passes=("bulkhead",))
    v = cabin()
    work, knockons = worked(v, AddLink(link=hose))
    checks = {i: c for i, c in work.checkpoints.items() if c.rule != "new-holes"}
    tasks = {i: t for i, t in work.tasks.items() if t.checkpoint != "new-holes"}
    told = check_gates(v, knockons, replace(work, checkpoints=checks, tasks=tasks), shelf())
    assert any("`new-holes` is called for (drilled `hose-2`)" in line for line in told)


@pytest.mark.parametrize("via", [(), ((30.0, 700.0, 700.0),)])
def test_a_link_that_stays_on_one_side_needs_no_hole(via: tuple[Vec, ...]) -> None:
    pipe = link("vacuum-hose", "hose-2", "rear-cylinder.out", "horn", passes=("bulkhead",), via_mm=via)
    work, _ = worked(cabin(), Add(component=cylinder()), AddLink(link=pipe))
    assert [t for t in work.tasks if t.startswith("hose-2.bulkhead")] == []


def test_where_the_job_cuts_the_hole_or_a_link_leaves_one_none_is_drilled() -> None:
    cut = Cut(id="slot", host="bulkhead", hole=box((40, 60, 60), (0, 700, 500)))
    work, _ = worked(cabin(), Add(component=cylinder()), AddLink(link=rod()), cut)
    assert [t for t in work.tasks if t.startswith("rod.bulkhead")] == []
    v = cabin()
    old = link("vacuum-hose", "old", "pedal.pin", "horn", passes=("bulkhead",))
    v = replace(v, links={**v.links, "old": old})
    work, _ = worked(v, Remove(part="old"), AddLink(link=replace(old, id="hose-2", name="hose-2")))
    assert [t for t in work.tasks if t.startswith("hose-2.bulkhead")] == []
    wider = link("heater-hose", "hose-2", "pedal.pin", "horn", passes=("bulkhead",))
    work, _ = worked(v, Remove(part="old"), AddLink(link=wider))
    assert "hose-2.bulkhead.2" in work.tasks


def test_a_part_of_the_same_kind_in_the_same_place_takes_the_old_holes() -> None:
    v = scuttle()
    new = part("horn", "loud-horn", (60, 0, 250))
    work, _ = worked(v, Replace(part="horn", component=new))
    assert of_part(work, "loud-horn", Work.DRILLING) == []
    assert of_part(work, "loud-horn", Work.MARKING) == []
    [trial] = of_part(work, "loud-horn", Work.TRIAL_FIT)
    assert trial.again is not None
    assert trial.again.redo == ()


@pytest.mark.parametrize(("kind", "at"), [("horn", (60.0, 0.0, 262.0)), ("relay", (60.0, 0.0, 250.0))])
def test_elsewhere_or_of_another_kind_it_is_drilled_for(kind: str, at: Vec) -> None:
    work, _ = worked(scuttle(), Replace(part="horn", component=part(kind, "new", at)))
    assert len(of_part(work, "new", Work.DRILLING)) == 1


def test_nothing_is_drilled_in_what_has_its_makers_holes() -> None:
    """A sender on a tank, a relay on the bulkhead: only sheet and frame are drilled at home."""
    v = scuttle()
    tank = part("fuel-tank", "fuel-tank", (60, -700, 500), systems=("fuel",))
    v = replace(v, components={**v.components, "fuel-tank": tank})
    tap = part("fuel-tap", "tap", (60, -700, 400), on="fuel-tank", systems=("fuel",))
    work, _ = worked(v, Add(component=tap), Add(component=part("relay", "relay", (60, 700, 700))))
    assert of_part(work, "tap", Work.DRILLING) == []
    assert len(of_part(work, "tap", Work.TRIAL_FIT)) == 1
    assert len(of_part(work, "relay", Work.DRILLING)) == 1


def test_a_made_part_is_its_own_template() -> None:
    """Tried, its holes marked through, off, the bulkhead drilled, painted, fitted for good."""
    work, at = order_of(scuttle(), Add(component=bracket()))
    [trial] = of_part(work, "bracket", Work.TRIAL_FIT)
    drills = of_part(work, "bracket", Work.DRILLING)
    host = next(t for t in drills if "Drill bulkhead" in t.title)
    assert "mark its holes through on bulkhead" in trial.title
    assert at[trial.id] < at[host.id] < at["+bracket"]
    assert Demand(feature="bracket", on=False) in host.demands


def test_a_part_is_marked_on_a_host_that_is_there() -> None:
    new = part("horn", "loud-horn", (60, 700, 410), on="bracket")
    _, at = order_of(scuttle(), Add(component=bracket()), Add(component=new))
    _, moved = order_of(
        scuttle(), Add(component=bracket()), Move(part="horn", to=Pose(at_mm=(60, 700, 410)), onto="bracket")
    )
    assert at["loud-horn.2"] < at["loud-horn.3"] < at["+loud-horn"]
    work, _ = worked(scuttle(), Add(component=bracket()), Add(component=new))
    assert Demand(feature="bracket", on=True) in work.tasks["loud-horn.2"].demands
    assert moved["horn.2"] < moved["horn.3"]


def test_a_link_is_set_between_ends_that_were_tried() -> None:
    """The union goes 3 mm aside: the pipe is set, and only after the trial fit."""
    v = scuttle()
    pipe = replace(v.links["front-pipe"], adjust_mm=20.0, slack_mm=0.0)
    work, _ = worked(
        replace(v, links={**v.links, "front-pipe": pipe}), Move(part="union", to=Pose(at_mm=(60, 260, 500)))
    )
    assert work.tasks["union.3"].work is Work.TRIAL_FIT
    set_at = [t for t in work.tasks if t.startswith(("front-pipe.adj", "front-pipe.1"))]
    assert set_at
    assert all("union.3" in first_of(work, t) for t in set_at)


def test_an_own_task_between_part_and_link_makes_no_ring() -> None:
    own = OwnTask(id="look", title="Look", minutes=5, after=("rear-cylinder",), before=("rod",))
    _, at = order_of(cabin(), Add(component=cylinder()), AddLink(link=rod()), tasks=(own,))
    assert at["rear-cylinder.4"] < at["look"]


@pytest.mark.parametrize("flush_mm", [-38.0, -49.0, -60.0])
def test_a_rod_that_ends_flush_with_the_panel_goes_through_it(flush_mm: float) -> None:
    """The cylinder's flange is at 10 mm, the bulkhead's faces at 10 and -10: the rod's end before, in and behind it."""
    drawn = replace(cylinder(), ports_mm={"out": OUT, "rod": (flush_mm, 0.0, 0.0)}, touches=("bulkhead",))
    work, _ = worked(cabin(), Add(component=drawn), AddLink(link=rod()))
    assert "rod.bulkhead.2" in work.tasks


def test_a_part_that_is_made_larger_goes_away_and_is_waited_for() -> None:
    """Off, handed over, 21 days, back, measured, fitted: the purchase does not wait for itself."""
    v = scuttle()
    tank = part("fuel-tank", "fuel-tank", (60, -700, 500), systems=("fuel",), price=400.0, lead_days=3, lead_told=True)
    v = replace(v, components={**v.components, "fuel-tank": tank})
    grown = Grow(part="fuel-tank", by_mm=(0.0, 60.0, 0.0), price=120.0, lead_days=21, lead_told=True)
    work, at = order_of(v, grown)
    buy = work.buys["buy:fuel-tank"]
    assert (buy.price, buy.lead_days, buy.lead_told, buy.what) == (120.0, 21, True, "fuel tank, made larger")
    drawn, handed, measured = (work.tasks[f"fuel-tank.{n}"] for n in (1, 2, 3))
    assert at[drawn.id] < at[handed.id]
    assert at["-fuel-tank"] < at[handed.id] < at[measured.id] < at["+fuel-tank@new"]
    assert After(task=handed.id, lag_min=21 * 24 * 60) in measured.after
    assert (drawn.purchases, handed.purchases, measured.purchases) == ((), (), ("buy:fuel-tank",))
    fit = work.features["fuel-tank@new"].turn_on
    assert fit is not None
    assert fit.purchases == ("buy:fuel-tank",)
    assert any("explodes" in c for c in handed.cautions)


def test_a_lead_nobody_told_is_said_not_to_be_given() -> None:
    work, _ = worked(scuttle(), Grow(part="seat", by_mm=(0.0, 0.0, 20.0)))
    assert (work.buys["buy:seat"].lead_days, work.buys["buy:seat"].lead_told) == (0, False)


def test_a_part_made_larger_at_home_is_on_the_list_with_a_price_or_a_lead() -> None:
    plain, _ = worked(scuttle(), Grow(part="tank", by_mm=(0.0, 20.0, 0.0)))
    priced, _ = worked(scuttle(), Grow(part="tank", by_mm=(0.0, 20.0, 0.0), price=9.0))
    assert [b for b in plain.buys.values() if not b.used_up] == []
    assert (priced.buys["buy:tank"].what, priced.buys["buy:tank"].price) == ("material for tank", 9.0)


def test_what_others_make_from_a_drawing_is_drawn_and_ordered_before_it_comes() -> None:
    new = part("fuel-tank", "tank-2", (60, -700, 500), systems=("fuel",), make_min=30, lead_days=10, lead_told=True)
    work, at = order_of(scuttle(), Add(component=new))
    assert at["tank-2.1"] < at["tank-2.2"] < at["tank-2.3"] < at["tank-2.4"] < at["tank-2.5"] < at["+tank-2"]
    assert After(task="tank-2.2", lag_min=10 * 24 * 60) in work.tasks["tank-2.3"].after
    assert work.tasks["tank-2.2"].purchases == ()
    assert work.buys["buy:tank-2"].what == "tank 2, made to the drawing"


@pytest.mark.parametrize(("aside_mm", "holes"), [(8.0, 0), (60.0, 1)])
def test_a_rod_that_is_only_set_gets_a_hole_where_it_has_none(aside_mm: float, holes: int) -> None:
    """Pedal and cylinder go aside alike: the rod keeps its length, and at 60 mm its old hole is not there."""
    v = cabin()
    parts = {**v.components, "rear-cylinder": cylinder()}
    v = replace(v, components=parts, links={**v.links, "rod": rod(swing_deg=None)})
    to = [
        Move(part=i, to=Pose(at_mm=(parts[i].pose.at_mm[0], 700 + aside_mm, 500))) for i in ("rear-cylinder", "pedal")
    ]
    work, at = order_of(v, *to)
    assert [t.work for i, t in work.tasks.items() if i.startswith("rod.bulkhead.")].count(Work.DRILLING) == holes
    if holes:
        assert at["rear-cylinder.1"] < at["rod.bulkhead.2"] < at["+rear-cylinder@new"] < at["rod.adj1"]
        assert "rod.bulkhead.2" in first_of(work, "check.new-holes")
