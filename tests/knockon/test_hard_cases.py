"""Corners of the choice of homes, each a vehicle of a few blocks whose answer is worked out by hand.

A ``thing`` takes 10 min off and 20 min on, and 9 min of steps in a new home: 39 hand-minutes and its distance.
"""

from __future__ import annotations

from dataclasses import replace

from garage import catalog, job, link, mover, part, space, vehicle, wall

from planner.knockon import find_knockons, present_faults
from planner.model.effects import CauseKind, EffectKind, Knockons, Proof
from planner.model.job import Add, Change, Grow, Move, Remove, Replace
from planner.model.shapes import Direction, Pose
from planner.model.vehicle import Component, Freedom, Room, RoomNeed, Space, Vehicle

CUBE = (100.0, 100.0, 100.0)
SLIM = (100.0, 50.0, 50.0)
PUSH = Add(component=part("new", (100.0, 0.0, 500.0), SLIM))
"""Pushes whatever stands at y = 0, z = 500."""


def answer(v: Vehicle, *changes: Change) -> Knockons:
    assert present_faults(v) == ()
    return find_knockons(v, job(*changes), catalog())


def kinds_of(told: Knockons, subject: str) -> set[EffectKind]:
    return {e.kind for e in told.effects if e.subject == subject}


def test_link_to_an_heir_whose_port_is_elsewhere_is_made_anew() -> None:
    pedal = part("pedal", (60, 0, 500), SLIM, ports_mm={"rod": (0, 0, 0)})
    rod = link("rod", "pedal.rod", "cylinder", rigid=True, kind="rod")
    v = vehicle([wall(), pedal, part("cylinder", (60, 300, 500), SLIM)], links=[rod])
    there = part("new-pedal", (60, 0, 500), SLIM, ports_mm={"rod": (0, 0, 0)})
    same = answer(v, Replace(part="pedal", component=there))
    assert kinds_of(same, "rod") == set()
    away = replace(there, pose=Pose(at_mm=(60, -400, 500)))
    told = answer(v, Replace(part="pedal", component=away))
    assert kinds_of(told, "rod") == {EffectKind.REMADE}
    assert told.cost == 5 + 40 + 6


def pipe_past(*, freedom: Freedom) -> Vehicle:
    ends = [part("a", (60, -300, 500), SLIM), part("b", (60, 300, 500), SLIM)]
    return vehicle([wall(), *ends], links=[link("pipe", "a", "b", rigid=True, freedom=freedom)])


def test_job_that_spoils_a_link_that_stays_has_no_answer() -> None:
    block = Add(component=part("new", (60, 0, 500), SLIM))
    drag = Move(part="a", to=Pose(at_mm=(60, -500, 500)))
    for change in (block, drag):
        for freedom in (Freedom.STAYS, Freedom.COMES_OFF):
            told = answer(pipe_past(freedom=freedom), change)
            assert told.proof is Proof.NONE
            assert "pipe" in " ".join(told.trouble)
        assert EffectKind.REMADE in kinds_of(answer(pipe_past(freedom=Freedom.MOVES), change), "pipe")


def test_part_that_stays_is_not_carried_away() -> None:
    host = mover("host", (60, 0, 500), CUBE)
    rider = part("rider", (60, 0, 600), CUBE, on="host", freedom=Freedom.STAYS)
    shelf = space("shelf", (60, 500, 500), (100, 300, 100))
    told = answer(vehicle([wall(), host, rider], spaces=[shelf]), PUSH)
    assert told.proof is Proof.NONE
    loose = replace(rider, freedom=Freedom.COMES_OFF)
    told = answer(vehicle([wall(), host, loose], spaces=[shelf]), PUSH)
    assert set(told.homes) == {"host", "rider"}


def test_host_of_an_added_part_keeps_still() -> None:
    host = mover("host", (60, 0, 500), CUBE)
    shelf = space("shelf", (60, 500, 500), (100, 300, 100))
    on_top = Add(component=part("lamp", (60, 0, 600), CUBE, on="host"))
    told = answer(vehicle([wall(), host], spaces=[shelf]), PUSH, on_top)
    assert told.proof is Proof.NONE, told.homes


def test_rider_gets_a_home_of_its_own_when_its_host_moves() -> None:
    """The host only fits under a post that leaves no room for what stands on it."""
    parts = [
        wall(),
        mover("host", (60, 0, 500), CUBE),
        mover("rider", (60, 0, 600), CUBE, on="host"),
        part("post", (60, 500, 650), (100, 300, 190)),
    ]
    spaces = [
        space("a", (60, 500, 500), CUBE, takes=("host",)),
        space("b", (60, -500, 500), CUBE, takes=("rider",)),
    ]
    told = answer(vehicle(parts, spaces=spaces), PUSH)
    assert told.proof is Proof.PROVED
    assert {i: p.at_mm for i, p in told.homes.items()} == {"host": (60, 500, 500), "rider": (60, -500, 500)}


def home_on_neighbour(first: str, other: str) -> tuple[Vehicle, Component]:
    """The near home of ``first`` is too close to ``other``; its other home is on top of that, while that stays."""
    one = mover(first, (60, 0, 500), CUBE)
    two = mover(other, (60, 300, 500), CUBE, keep_clear_mm=60.0)
    spaces = [
        space("near", (60, 150, 500), CUBE, takes=(first,)),
        space("top", (60, 300, 600), CUBE, on=other, takes=(first,)),
        space("far", (60, -900, 500), CUBE, takes=(other,)),
    ]
    return vehicle([wall(), one, two], spaces=spaces), two


def test_home_on_a_part_does_not_depend_on_its_name() -> None:
    for first, other in (("a", "b"), ("c", "b")):
        v, _ = home_on_neighbour(first, other)
        told = answer(v, PUSH)
        assert {i: p.at_mm for i, p in told.homes.items()} == {first: (60, 300, 600)}
        assert told.after[first].mounted_on == other
        assert told.cost == 40


def test_home_on_a_part_that_has_to_leave_does_not_count() -> None:
    v, two = home_on_neighbour("a", "b")
    spaces = [s for s in v.spaces.values() if s.id != "near"]
    v = vehicle([wall(), v.components["a"], two], spaces=spaces)
    push_both = Add(component=part("bar", (100, 150, 500), (100, 300, 50)))
    assert answer(v, push_both).proof is Proof.NONE
    roomy = [*spaces, space("low", (60, 0, 100), CUBE, takes=("a",))]
    told = answer(vehicle([wall(), v.components["a"], two], spaces=roomy), push_both)
    assert {i: p.at_mm for i, p in told.homes.items()} == {"a": (60, 0, 100), "b": (60, -900, 500)}


def test_two_spaces_at_one_place_are_judged_apart() -> None:
    """Mounted on the shelf the part may touch it; mounted on the wall, in the same place, it has to keep 20 mm off."""
    shelf, one = part("shelf", (60, 500, 500), CUBE), mover("a", (60, 0, 500), CUBE, keep_clear_mm=20.0)
    on_wall, on_shelf = space("s1", (60, 400, 500), CUBE), space("s2", (60, 400, 500), CUBE, on="shelf")
    spaces: list[list[Space]] = [[on_wall, on_shelf], [on_shelf, on_wall]]
    for both in spaces:
        told = answer(vehicle([wall(), shelf, one], spaces=both), PUSH)
        assert told.proof is Proof.PROVED
        assert told.after["a"].mounted_on == "shelf"


def test_a_link_is_paid_for_once() -> None:
    """The job shifts an end (to be set), and what must make room stands in the run (made anew): 39.2 + 51."""
    ends = [part("a", (60, 0, 500), SLIM), part("b", (60, 600, 500), SLIM)]
    v = vehicle(
        [wall(), *ends, mover("m", (60, 300, 700), CUBE)],
        links=[link("hose", "a", "b", slack_mm=500)],
        spaces=[space("s", (60, 300, 500), CUBE)],
    )
    shift = Move(part="a", to=Pose(at_mm=(60, -10, 500)))
    told = answer(v, shift, Add(component=part("new", (100, 300, 700), SLIM)))
    assert kinds_of(told, "hose") == {EffectKind.REMADE}
    assert told.cost == 91


def test_link_of_a_part_that_goes_is_not_paid_for() -> None:
    """Without the spare (10 min off) its hose, in whose run the job puts a new part, goes for nothing."""
    spare = part("spare", (60, -300, 500), SLIM, freedom=Freedom.MAY_GO)
    v = vehicle([wall(), spare, part("b", (60, 300, 500), SLIM)], links=[link("hose", "spare", "b")])
    crowd = Add(component=part("crowd", (100, -300, 500), SLIM))
    told = answer(v, PUSH, crowd, Add(component=part("across", (60, 100, 500), SLIM)))
    assert kinds_of(told, "spare") == {EffectKind.GONE}
    assert kinds_of(told, "hose") == {EffectKind.GONE}
    assert told.cost == 10


def test_what_passes_the_old_part_passes_its_heir() -> None:
    panel = part("panel", (300, 0, 500), (10, 600, 600), touches=("carpet",))
    parts = [
        wall(),
        panel,
        part("carpet", (310, 0, 500), (10, 600, 600), touches=("panel",), keep_clear_mm=3.0),
        part("a", (60, 0, 500), SLIM),
        part("b", (500, 0, 500), SLIM),
    ]
    v = vehicle(parts, links=[link("pipe", "a", "b", rigid=True, passes=("panel", "carpet"))])
    told = answer(v, Replace(part="panel", component=part("panel-2", (300, 0, 500), (10, 600, 600))))
    assert told.proof is Proof.PROVED
    assert kinds_of(told, "pipe") == set()


def test_new_rider_inside_another_is_a_clash() -> None:
    for host in ("host", "wall"):
        old = part("old", (130, 0, 500), SLIM, on=host, rides=True)
        parts = [part("host", (55, 0, 500), (90, 100, 100)), old] if host == "host" else [old]
        told = answer(vehicle([wall(), *parts]), Add(component=part("new", (130, 10, 500), SLIM, on=host, rides=True)))
        assert told.proof is Proof.NONE, f"both on {host}"


def test_three_storeys_that_stay_cost_nothing() -> None:
    """Link-stretching wakes the whole pile; nothing of it moves, so nothing of it is paid for."""
    pile = [
        mover("low", (60, 300, 500), CUBE, keep_clear_mm=60.0),
        mover("middle", (60, 300, 600), CUBE, on="low"),
        mover("high", (60, 300, 700), CUBE, on="middle"),
    ]
    spaces = [
        space("near", (60, 150, 500), CUBE, takes=("a",)),
        space("away", (60, -400, 500), CUBE, takes=("a",)),
    ]
    told = answer(vehicle([wall(), mover("a", (60, 0, 500), CUBE), *pile], spaces=spaces), PUSH)
    assert set(told.homes) == {"a"}
    assert told.homes["a"].at_mm == (60, -400, 500)
    assert told.cost == 40


def test_trouble_says_how_many_homes_were_tried() -> None:
    """Two homes, both filled by parts that stay."""
    filled = [part("f1", (60, 500, 500), CUBE), part("f2", (60, -500, 500), CUBE)]
    spaces = [space("s1", (60, 500, 500), CUBE), space("s2", (60, -500, 500), CUBE)]
    told = answer(vehicle([wall(), mover("a", (60, 0, 500), CUBE), *filled], spaces=spaces), PUSH)
    assert told.proof is Proof.NONE
    [line] = told.trouble
    assert line.startswith("a: ")
    assert "none of the 2 homes" in line
    [line] = answer(vehicle([wall(), mover("a", (60, 0, 500), CUBE)]), PUSH).trouble
    assert "no mounting space takes it" in line


def test_homeless_part_takes_a_home_or_there_is_no_answer() -> None:
    bracket = part("bracket", (60, 0, 500), CUBE)
    fuse_box = mover("fuse-box", (60, 0, 600), CUBE, on="bracket")
    shelf = space("shelf", (60, 400, 500), CUBE)
    told = answer(vehicle([wall(), bracket, fuse_box], spaces=[shelf]), Remove(part="bracket"))
    assert told.after["fuse-box"].mounted_on == "wall"
    [move] = [e for e in told.effects if e.kind is EffectKind.MOVES]
    assert [c.kind for c in move.causes] == [CauseKind.MOUNTED_ON]
    assert move.causes[0].source == "goes:bracket"
    for stuck in (replace(fuse_box, freedom=Freedom.COMES_OFF), fuse_box):
        told = answer(vehicle([wall(), bracket, stuck]), Remove(part="bracket"))
        assert told.proof is Proof.NONE
        assert "bracket goes, which it is mounted on" in told.trouble[0]


def test_grown_part_pushes_by_what_it_grew() -> None:
    parts = [wall(), part("tank", (60, 0, 500), CUBE), mover("a", (60, 120, 500), CUBE)]
    v = vehicle(parts, spaces=[space("s", (60, 400, 500), CUBE)])
    assert answer(v, Grow(part="tank", by_mm=(0, 40, 0))).homes == {}
    told = answer(v, Grow(part="tank", by_mm=(0, 60, 0)))
    assert set(told.homes) == {"a"}
    [move] = [e for e in told.effects if e.kind is EffectKind.MOVES]
    assert move.causes[0].kind is CauseKind.CLASH
    assert move.causes[0].mm == 10.0


def test_rider_may_not_settle_in_the_room_of_its_host() -> None:
    """The tank needs 80 mm above it to take its cap off; being mounted on it is no leave to stand there."""
    cap = Room(name="cap off", needed=RoomNeed.ALWAYS, side=Direction.UP, depth_mm=80.0)
    tank = part("tank", (60, 300, 500), CUBE, rooms=(cap,))
    above = space("above", (60, 300, 600), CUBE, on="tank")
    v = vehicle([wall(), tank, mover("a", (60, 0, 500), CUBE)], spaces=[above])
    assert answer(v, PUSH).proof is Proof.NONE


def test_hit_link_may_go_with_its_end() -> None:
    """The one home is in the run of a hose; where that may not be made anew, its spare end (10 min off) goes."""
    spare = part("spare", (60, 300, 800), SLIM, freedom=Freedom.MAY_GO)
    tap = part("tap", (60, -300, 800), SLIM)
    home = space("home", (60, 0, 800), CUBE)
    for freedom, remake_min in ((Freedom.STAYS, 1), (Freedom.MOVES, 100)):
        hose = link("hose", "spare", "tap", freedom=freedom, remake_min=remake_min)
        v = vehicle([wall(), mover("a", (60, 0, 500), CUBE), spare, tap], links=[hose], spaces=[home])
        told = answer(v, PUSH)
        assert told.proof is Proof.PROVED
        assert kinds_of(told, "spare") == kinds_of(told, "hose") == {EffectKind.GONE}
        assert told.cost == 50
    cheap = link("hose", "spare", "tap", remake_min=-6, off_min=5, on_min=6)
    v = vehicle([wall(), mover("a", (60, 0, 500), CUBE), spare, tap], links=[cheap], spaces=[home])
    assert kinds_of(answer(v, PUSH), "hose") == {EffectKind.REMADE}


def test_touching_part_may_not_be_pushed_deeper() -> None:
    """Leave to touch is no leave to be moved into: a gasket's 1 mm, not 20."""
    lid = mover("lid", (60, 100, 500), CUBE, touches=("pot",))
    v = vehicle([wall(), part("pot", (60, 0, 500), CUBE), lid], spaces=[space("home", (60, 500, 500), CUBE)])
    told = answer(v, Grow(part="pot", by_mm=(0, 1.5, 0)))
    assert told.homes == {}
    told = answer(v, Grow(part="pot", by_mm=(0, 40, 0)))
    assert told.homes["lid"].at_mm == (60, 500, 500)
    [move] = [e for e in told.effects if e.kind is EffectKind.MOVES]
    assert (move.causes[0].kind, move.causes[0].mm) == (CauseKind.CLASH, 20.0)
