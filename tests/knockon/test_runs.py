"""New runs of links made anew: where they go, what they keep clear of, what is told of them, and the checker's word."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from random import Random

import pytest
import trials
from garage import catalog, job, link, part, vehicle, wall

from planner.knockon import find_knockons, present_faults
from planner.knockon.run_words import bends_of, clips_at, way_words
from planner.model.catalog import Catalog, ClearanceRule, LinkKind
from planner.model.effects import EffectKind, Knockons
from planner.model.job import AddLink, Job, Move
from planner.model.runs import Laid, RunSort
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component, Freedom, Link, Vehicle
from planner.space.route_bends import developed_mm
from planner.verify import check_homes

BEND = 14.0


def shelf(**rules: ClearanceRule) -> Catalog:
    plain = catalog()
    pipe = replace(
        plain.link_kinds["hose"],
        id="pipe",
        name="pipe",
        rigid=True,
        run=RunSort.PIPE,
        clip_pitch_mm=300.0,
        straight_mm=20.0,
        fitted="union",
    )
    wire = replace(pipe, id="wire", name="wire", rigid=False, run=RunSort.LOOM, spare_mm=50.0, clip_pitch_mm=0.0)
    kinds: dict[str, LinkKind] = {**plain.link_kinds, "pipe": pipe, "wire": wire}
    return replace(plain, link_kinds=kinds, clearances=dict(rules))


def bay(*more: Component, links: tuple[Link, ...]) -> Vehicle:
    """A tank and a pump 600 mm to its right, ports face to face, in reach of a clip on the wall behind them."""
    tank = part("tank", (-60.0, -300.0, 500.0), (60.0, 60.0, 60.0), ports_mm={"out": (0.0, 30.0, 0.0)})
    pump = part("pump", (-60.0, 300.0, 500.0), (60.0, 60.0, 60.0), ports_mm={"in": (0.0, -30.0, 0.0)})
    return vehicle([wall(), tank, pump, *more], links=links)


def pipe(name: str = "pipe", **more: object) -> Link:
    facts: dict[str, object] = {"kind": "pipe", "rigid": True, "bend_radius_mm": BEND, "across_mm": 5.0}
    return link(name, "tank.out", "pump.in", **{**facts, **more})


def shift(by: Vec, name: str = "pump", at: Vec = (-60.0, 300.0, 500.0)) -> Job:
    return job(Move(part=name, to=Pose(at_mm=tuple(a + b for a, b in zip(at, by, strict=True)))))  # type: ignore[arg-type]


def questions(found: Knockons) -> dict[str, str]:
    return {e.subject: e.causes[0].text for e in found.effects if e.kind is EffectKind.MEASURED}


def test_with_nothing_in_the_way_the_new_run_is_straight_and_told_in_the_effect() -> None:
    v, work = bay(links=(pipe(),)), shift((0.0, 100.0, 0.0))
    found = find_knockons(v, work, shelf())
    run = found.runs["pipe"]
    assert run.points_mm == ((-60.0, -270.0, 500.0), (-60.0, 370.0, 500.0))
    assert run.length_mm == run.bound_mm == pytest.approx(640.0)
    assert [e.text for e in found.effects if e.kind is EffectKind.REMADE] == [
        "pipe is made anew: 640 mm of pipe, 5 mm across, 0 bends, 3 clips"
    ]
    assert run.lines[0] == "cut 640 mm"
    assert check_homes(v, work, found, shelf()) == ()


def test_it_goes_round_what_stands_there_and_is_led_so_afterwards() -> None:
    block = part("block", (-70.0, 0.0, 500.0), (120.0, 60.0, 200.0), keep_clear_mm=8.0)
    v, work = bay(block, links=(pipe(via_mm=((-250.0, 0.0, 500.0),)),)), shift((0.0, 60.0, 0.0))
    found = find_knockons(v, work, shelf())
    run = found.runs["pipe"]
    # Past the middle of the block it is 70 + 8 + 2.5 mm ahead of the line from port to port, or higher up.
    least = math.hypot(270.0, 80.5) + math.hypot(330.0, 80.5)
    assert least < run.length_mm < 1.06 * least
    assert found.links_after["pipe"].via_mm == run.points_mm[1:-1] != ()
    assert len(run.bends) == len(run.points_mm) - 2
    assert check_homes(v, work, found, shelf()) == ()


def test_it_hangs_no_lower_than_the_lowest_sprung_part_though_the_way_below_is_shorter() -> None:
    """Below the block it would be hardly longer than straight; the wheel, which is unsprung, is no excuse."""
    block = part("block", (-210.0, 0.0, 710.0), (400.0, 60.0, 500.0), keep_clear_mm=8.0)
    wheel = part("wheel", (-700.0, 0.0, 0.0), (60.0, 600.0, 600.0), unsprung=True)
    v, work = bay(block, wheel, links=(pipe(),)), shift((0.0, 60.0, 0.0))
    hung = replace(v, components={i: _raised(c) for i, c in v.components.items()})
    below, found = (find_knockons(k, work, shelf()) for k in (v, hung))
    lowest_mm = [min(p[2] for p in k.runs["pipe"].points_mm) for k in (below, found)]
    assert lowest_mm[0] < 460.0 - 8.0 - 2.4
    assert lowest_mm[1] >= 460.0 + 2.5 - 0.01
    assert check_homes(v, work, below, shelf()) == check_homes(hung, work, found, shelf()) == ()
    assert any("lower than anything sprung" in f for f in _faults(hung, work, found, below.runs["pipe"]))


def _raised(thing: Component) -> Component:
    """The wall ends 10 mm above the block's lower edge, so that nothing but the wheel reaches lower than that."""
    return replace(thing, pose=Pose(at_mm=(0.0, 0.0, 970.0))) if thing.id == "wall" else thing


def rule(one: str, other: str, mm: float) -> ClearanceRule:
    return ClearanceRule(id="r", one=(one,), other=(other,), keep_mm=mm, why="it cooks", source="starting guess")


def test_a_rule_of_the_catalog_is_kept() -> None:
    block = part("block", (-70.0, 0.0, 500.0), (120.0, 60.0, 200.0), kind="panel")
    v, work = bay(block, links=(pipe(via_mm=((-250.0, 0.0, 500.0),)),)), shift((0.0, 60.0, 0.0))
    near, far = (find_knockons(v, work, s) for s in (shelf(), shelf(r=rule("pipe", "panel", 60.0))))
    assert far.runs["pipe"].length_mm > near.runs["pipe"].length_mm + 20.0
    assert check_homes(v, work, far, shelf(r=rule("pipe", "panel", 60.0))) == ()
    assert any("60 mm is to be kept" in f for f in check_homes(v, work, near, shelf(r=rule("pipe", "panel", 60.0))))


def test_it_still_goes_through_its_hole() -> None:
    lamp = part("lamp", (150.0, 300.0, 500.0), (60.0, 60.0, 60.0), ports_mm={"in": (-30.0, 0.0, 0.0)})
    through = link(
        "feed", "tank.out", "lamp.in", kind="pipe", rigid=True, bend_radius_mm=BEND, across_mm=5.0,
        via_mm=((-60.0, 100.0, 450.0), (60.0, 100.0, 450.0)), passes=("wall",),
    )  # fmt: skip
    v, work = bay(lamp, links=(through,)), shift((0.0, 0.0, 80.0), "lamp", (150.0, 300.0, 500.0))
    found = find_knockons(v, work, shelf())
    run = found.runs["feed"]
    assert any(math.dist(p, (0.0, 100.0, 450.0)) < 30.0 for p in run.points_mm)
    assert check_homes(v, work, found, shelf()) == ()
    elsewhere = replace(
        run, points_mm=(run.points_mm[0], run.points_mm[-1]), length_mm=math.dist(run.points_mm[0], run.points_mm[-1])
    )
    assert run.length_mm > math.dist(run.points_mm[0], run.points_mm[-1])
    assert any("`wall`" in f for f in _faults(v, work, found, elsewhere))


def test_aslant_through_a_hole_beside_its_own_port_it_stays_in_that_hole() -> None:
    """A thick loom to a switch just behind a thin plate: farther off than it is thick it would need another hole."""
    dash = part("dash", (-335.0, 0.0, 1016.0), (4.0, 1280.0, 150.0), freedom=Freedom.STAYS)
    box = part("box", (-390.0, 400.0, 961.0), (60.0, 60.0, 60.0), ports_mm={"out": (8.0, -30.0, -35.0)})
    switch = part("switch", (-308.0, -200.0, 1010.0), (50.0, 120.0, 60.0), ports_mm={"in": (-14.0, 50.0, -30.0)})
    drawn_mm = ((-375.0, 200.0, 985.0), (-372.0, -100.0, 975.0), (-340.0, -146.0, 962.0))
    loom = link(
        "loom", "box.out", "switch.in", kind="wire", bend_radius_mm=35.0, across_mm=13.0, via_mm=drawn_mm,
        passes=("dash",),
    )  # fmt: skip
    v = vehicle([wall(), dash, box, switch], links=(loom,))
    work = shift((0.0, 200.0, 0.0), "box", (-390.0, 400.0, 961.0))
    found = find_knockons(v, work, shelf())
    assert "loom" in found.runs
    assert check_homes(v, work, found, shelf()) == ()


def test_where_none_is_found_it_is_a_question_and_the_answer_stands() -> None:
    sides = [
        part(f"side-{n}", at, size, freedom=Freedom.STAYS)
        for n, (at, size) in enumerate(
            [
                ((-100.0, 200.0, 500.0), (900.0, 10.0, 900.0)),
                ((-550.0, 400.0, 500.0), (10.0, 400.0, 900.0)),
                ((-100.0, 600.0, 500.0), (900.0, 10.0, 900.0)),
                ((-250.0, 400.0, 950.0), (700.0, 400.0, 10.0)),
                ((-250.0, 400.0, 50.0), (700.0, 400.0, 10.0)),
            ]
        )
    ]
    v, work = bay(*sides, links=(pipe(),)), shift((0.0, 60.0, 0.0))
    found = find_knockons(v, work, shelf())
    assert found.runs == {}
    assert [e.text for e in found.effects if e.kind is EffectKind.REMADE] == ["pipe is made anew"]
    assert "no clear run found" in questions(found)["pipe"]
    assert check_homes(v, work, found, shelf()) == ()


def test_a_rod_goes_straight_or_not_at_all() -> None:
    rod = link("rod", "tank.out", "pump.in", kind="rod", rigid=True, across_mm=8.0)
    v, work = bay(links=(rod,)), shift((0.0, 60.0, 30.0))
    run = find_knockons(v, work, shelf()).runs["rod"]
    assert run.sort is RunSort.ROD
    assert run.length_mm == pytest.approx(math.hypot(600.0, 30.0))
    # 540 mm straight before; 600 along and 30 up now: atan(30 / 600).
    assert any("2.9 degrees" in line for line in run.lines)
    block = part("block", (-70.0, 0.0, 530.0), (120.0, 60.0, 40.0))
    stopped = find_knockons(bay(block, links=(rod,)), work, shelf())
    assert stopped.runs == {}
    assert "block" in questions(stopped)["rod"]


def test_a_run_found_is_in_the_way_of_the_next() -> None:
    tank = part(
        "tank", (-60.0, -300.0, 500.0), (60.0, 90.0, 60.0), ports_mm={"a": (-5.0, 45.0, 0.0), "b": (5.0, 45.0, 0.0)}
    )
    pump = part(
        "pump", (-60.0, 300.0, 500.0), (60.0, 90.0, 60.0), ports_mm={"a": (5.0, -45.0, 0.0), "b": (-5.0, -45.0, 0.0)}
    )
    pipes = tuple(
        link(f"pipe-{e}", f"tank.{e}", f"pump.{e}", kind="pipe", rigid=True, bend_radius_mm=BEND, across_mm=5.0)
        for e in "ab"
    )
    v, work = vehicle([wall(), tank, pump], links=pipes), shift((0.0, 80.0, 0.0))
    found = find_knockons(v, work, shelf())
    assert set(found.runs) == {"pipe-a", "pipe-b"}
    assert len(found.runs["pipe-a"].points_mm) == 2
    assert len(found.runs["pipe-b"].points_mm) > 2
    assert check_homes(v, work, found, shelf()) == ()


def drawn_through_a_block() -> tuple[Vehicle, Job]:
    block = part("block", (-70.0, 0.0, 500.0), (120.0, 60.0, 200.0))
    return bay(block, links=()), job(AddLink(link=pipe("new-pipe")))


def test_a_drawn_run_that_is_not_clear_gives_way_to_the_one_found() -> None:
    v, work = drawn_through_a_block()
    found = find_knockons(v, work, shelf())
    run, led = found.runs["new-pipe"], found.links_after["new-pipe"]
    assert run.laid is Laid.INSTEAD
    assert led.via_mm == run.points_mm[1:-1] != ()
    [told] = [e for e in found.effects if e.subject == "new-pipe" and e.kind is EffectKind.MEASURED]
    assert "is not clear: it is made by another one (" in told.text
    assert [c.text for c in told.causes] == ["block stands in its run"]
    assert check_homes(v, work, found, shelf()) == ()
    # Judged as the file of the finished vehicle is: nothing is in anything's way.
    assert present_faults(replace(v, components=found.after, links=found.links_after)) == ()


def test_the_checker_sees_what_is_wrong_with_a_run_instead_of_the_drawn_one() -> None:
    v, work = drawn_through_a_block()
    found = find_knockons(v, work, shelf())
    run, led = found.runs["new-pipe"], found.links_after["new-pipe"]
    silent = tuple(e for e in found.effects if e.kind is not EffectKind.MEASURED)
    wrong = {
        "told as found and is not": replace(found, runs={"new-pipe": replace(run, laid=Laid.FOUND)}),
        "another way than the job draws it": replace(found, runs={}),
        "another way than its run is told": replace(found, links_after={"new-pipe": replace(led, via_mm=())}),
        "and nothing says so": replace(found, effects=silent),
    }
    for words, broken in wrong.items():
        assert any(words in f for f in check_homes(v, work, broken, shelf())), words


def test_a_drawn_run_through_a_rigid_link_is_not_clear_either() -> None:
    """The pipe there crosses the line of the new one at a right angle, both in the middle of their way."""
    ends = {"a": (-60.0, 0.0, 300.0), "b": (-60.0, 0.0, 700.0)}
    posts = [part(f"post-{n}", at, (30.0, 30.0, 30.0)) for n, at in ends.items()]
    there = link("upright", "post-a", "post-b", kind="pipe", rigid=True, bend_radius_mm=BEND, across_mm=5.0)
    v, work = bay(*posts, links=(there,)), job(AddLink(link=pipe("new-pipe")))
    found = find_knockons(v, work, shelf())
    assert found.runs["new-pipe"].laid is Laid.INSTEAD
    [told] = [e for e in found.effects if e.subject == "new-pipe" and e.kind is EffectKind.MEASURED]
    assert [c.text for c in told.causes] == ["it and upright run 5 mm through each other"]
    assert check_homes(v, work, found, shelf()) == ()
    assert present_faults(replace(v, components=found.after, links=found.links_after)) == ()


def test_a_drawn_run_that_is_clear_is_made_as_it_is_drawn() -> None:
    """540 mm from port to port; by a corner 200 mm aside each leg is 336.0 mm, and a bend of 73.1 degrees (73.07...)
    takes 2 * 14 * tan(36.54) = 20.75 mm of the legs and gives 14 * 1.2754 = 17.86 mm back."""
    v = bay(links=())
    straight = find_knockons(v, job(AddLink(link=pipe("new-pipe"))), shelf())
    run = straight.runs["new-pipe"]
    assert (run.laid, run.length_mm, run.bends) == (Laid.DRAWN, pytest.approx(540.0), ())
    assert run.lines[0] == "cut 540 mm"
    via = ((-260.0, 0.0, 500.0),)
    bent = find_knockons(v, job(AddLink(link=pipe("new-pipe", via_mm=via))), shelf())
    run, leg, turn = bent.runs["new-pipe"], math.hypot(200.0, 270.0), 2.0 * math.atan(200.0 / 270.0)
    back = BEND * math.tan(turn / 2.0)
    [bend] = run.bends
    assert run.length_mm == pytest.approx(2.0 * (leg - back) + BEND * turn)
    assert (bend.at_mm, bend.angle_deg) == (pytest.approx(leg - back), pytest.approx(math.degrees(turn)))
    assert bent.links_after["new-pipe"].via_mm == via
    for found in (straight, bent):
        assert not any(e.kind is EffectKind.MEASURED for e in found.effects)
        work = job(AddLink(link=pipe("new-pipe", via_mm=found.links_after["new-pipe"].via_mm)))
        assert check_homes(v, work, found, shelf()) == ()


def test_a_drawn_pipe_bent_too_near_its_end_says_so() -> None:
    """A square bend of 14 mm takes 14 mm of each leg: of 20 mm six are left, where the fitting wants 20 mm."""
    via = ((-60.0, -250.0, 500.0), (-260.0, -250.0, 500.0), (-260.0, 270.0, 500.0))
    run = find_knockons(bay(links=()), job(AddLink(link=pipe("new-pipe", via_mm=via))), shelf()).runs["new-pipe"]
    assert [line for line in run.lines if "straight" in line] == [
        "only 6 mm straight at the first end, its fitting wants 20 mm: draw the corner there farther off"
    ]


def test_a_drawn_run_that_cannot_be_bent_so_gets_no_cut_list() -> None:
    """Two square corners 10 mm apart leave no room for two bends of 14 mm."""
    via = ((-260.0, -270.0, 500.0), (-260.0, -260.0, 500.0), (-60.0, -260.0, 500.0))
    found = find_knockons(bay(links=()), job(AddLink(link=pipe("new-pipe", via_mm=via))), shelf())
    assert found.runs == {}
    assert found.links_after["new-pipe"].via_mm == via


def test_spare_is_in_the_cut() -> None:
    v, work = bay(links=(pipe(kind="wire", rigid=False),)), shift((0.0, 100.0, 0.0))
    run = find_knockons(v, work, shelf()).runs["pipe"]
    assert run.cut_mm == pytest.approx(740.0)
    assert run.lines[0] == "cut 740 mm, 50 mm spare at each end in it"


def _faults(v: Vehicle, work: Job, found: Knockons, run: object) -> tuple[str, ...]:
    [name] = found.runs
    return check_homes(v, work, replace(found, runs={name: run}), shelf())  # type: ignore[dict-item]


def test_the_checker_sees_each_thing_that_can_be_wrong_with_a_run() -> None:
    block = part("block", (-70.0, 0.0, 500.0), (120.0, 60.0, 200.0), keep_clear_mm=8.0)
    v, work = bay(block, links=(pipe(via_mm=((-250.0, 0.0, 500.0),)),)), shift((0.0, 60.0, 0.0))
    found = find_knockons(v, work, shelf())
    run = found.runs["pipe"]
    start, *corners, finish = run.points_mm
    inward = [(c[0] + math.copysign(8.0, -70.0 - c[0]), c[1], c[2] + math.copysign(8.0, 500.0 - c[2])) for c in corners]
    moved = (start, *inward, finish)
    wrong = {
        "from its port": replace(run, points_mm=(start, *corners, (finish[0], finish[1] - 3.0, finish[2]))),
        "another way than its run": replace(run, points_mm=moved),
        "least is 14": replace(run, bend_mm=10.0),
        "too short for its bends": replace(run, bend_mm=2000.0),
        "is told as": replace(run, length_mm=run.length_mm + 5.0),
        "is said to be cut": replace(run, cut_mm=run.cut_mm + 5.0),
        "farther apart than": replace(run, clips_mm=(60.0, run.length_mm - 60.0)),
        "bound": replace(run, bound_mm=run.length_mm + 5.0),
        "told as drawn and is not": replace(run, laid=Laid.DRAWN),
        "comes within": replace(
            run, points_mm=moved, length_mm=(long := developed_mm(moved, BEND)), bound_mm=600.0, cut_mm=long
        ),
    }
    for words, broken in wrong.items():
        assert any(words in f for f in _faults(v, work, found, broken)), words


@pytest.mark.parametrize("seed", range(30))
def test_the_checker_agrees_on_random_bays(seed: int) -> None:
    rng = Random(seed)
    blocks = [
        part(
            f"block-{n}",
            (rng.uniform(-220.0, -80.0), rng.uniform(-180.0, 180.0), rng.uniform(420.0, 580.0)),
            (rng.uniform(20.0, 90.0), rng.uniform(20.0, 90.0), rng.uniform(20.0, 150.0)),
            turn=(0.0, 0.0, rng.choice([0.0, rng.uniform(0.0, 90.0)])),
            keep_clear_mm=rng.choice([0.0, 5.0, 12.0]),
        )
        for n in range(rng.randint(2, 7))
    ]
    tank, pump = (
        part(n, (-60.0, y, 500.0), (60.0, 60.0, 60.0), ports_mm={"a": (0.0, f, -15.0), "b": (0.0, f, 15.0)})
        for n, y, f in (("tank", -300.0, 30.0), ("pump", 300.0, -30.0))
    )
    facts = {"kind": "pipe", "rigid": True, "via_mm": ((-350.0, 0.0, 500.0),)}
    one = link("pipe-one", "tank.a", "pump.a", across_mm=5.0, bend_radius_mm=BEND, **facts)
    two = link("pipe-two", "tank.b", "pump.b", across_mm=8.0, bend_radius_mm=24.0, **facts)
    v = vehicle([wall(), tank, pump, *blocks], links=(one, two))
    work = shift((rng.uniform(-40.0, 0.0), rng.uniform(20.0, 80.0), rng.uniform(-60.0, 60.0)))
    found = find_knockons(v, work, shelf())
    assert set(found.runs) | set(questions(found)) >= {"pipe-one", "pipe-two"}
    assert [f for f in check_homes(v, work, found, shelf()) if "run" in f] == []
    assert find_knockons(v, work, shelf()).runs == found.runs


def test_bends_as_they_are_marked_on_the_tube() -> None:
    """100 rearwards, 100 right, 100 up, two square bends of 20: each begins 80 on, arcs are 20 * pi / 2 long."""
    points = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 100.0, 0.0), (100.0, 100.0, 100.0))
    first, second = bends_of(points, 20.0, 0.0)
    assert (first.at_mm, first.angle_deg, first.roll_deg, first.towards) == (80.0, 90.0, 0.0, "right")
    assert second.at_mm == pytest.approx(80.0 + 10.0 * math.pi + 60.0)
    # Normals of the two bends: up, then rearward. A right hand about the way between them (right, y) turns z to x.
    assert second.roll_deg == pytest.approx(90.0)
    assert second.towards == "up"


def test_clips_are_near_each_end_and_no_farther_apart_than_the_pitch() -> None:
    assert clips_at(100.0, 300.0) == ()
    assert clips_at(150.0, 300.0) == (75.0,)
    assert clips_at(420.0, 300.0) == (60.0, 360.0)
    assert clips_at(430.0, 300.0) == (60.0, 215.0, 370.0)
    assert clips_at(1000.0, 0.0) == ()


def test_ways_in_words() -> None:
    assert way_words((0.8, -0.6, 0.0)) == "rearwards and left"
    assert way_words((0.1, 0.1, -0.99)) == "down"


def test_a_hole_just_where_the_way_bends_is_passed_once() -> None:
    knockons = find_knockons(trials.vehicle(), shifted_bottle(), trials.catalog())
    for run in knockons.runs.values():
        assert all(math.dist(a, b) > 1e-3 for a, b in pairwise(run.points_mm))
    assert "washer-hose" in knockons.runs


def shifted_bottle() -> Job:
    at = trials.vehicle().components["washer-bottle"].pose
    there = replace(at, at_mm=(at.at_mm[0], at.at_mm[1] + 1200.0, at.at_mm[2]))
    return Job(id="aside", name="aside", changes=(Move(part="washer-bottle", to=there),))
