"""Each sort of relation against sums done by hand: just held, just missed, with the number by which it is missed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import box, catalog, job, mover, part, space, vehicle, wall

from planner.knockon import Fault, find_knockons, present_faults
from planner.model.effects import CauseKind, EffectKind, Knockons, Proof
from planner.model.job import Add, Change, Move
from planner.model.shapes import Pose, Turn, Vec
from planner.model.vehicle import Component, Driver, FootBand, Keeps, Relation, Spot, Vehicle

CUBE: Vec = (100.0, 100.0, 100.0)
SMALL: Vec = (20.0, 20.0, 20.0)
FOOT = FootBand(
    low_mm=197.0, high_mm=248.0, low_words="the short", high_words="the long", source="a table", ankle_least_deg=87.0
)
HEEL: Vec = (1000.0, 0.0, 100.0)
DRIVER = Driver(heel=Spot(at_mm=HEEL), hip=Spot(at_mm=(1800.0, 0.0, 300.0)), foot=FOOT)


def relation(keeps: Keeps, part_id: str = "one", of: str | None = None, by_mm: float = 0.0, **more: object) -> Relation:
    return Relation(id="r", part=part_id, keeps=keeps, of=of, by_mm=by_mm, **more)  # type: ignore[arg-type]


def faults(*parts: Component, rule: Relation, **more: object) -> list[Fault]:
    bare = vehicle([wall(), *parts], relations=[rule])
    return [f for f in present_faults(replace(bare, **more)) if f.kind is CauseKind.RELATION]  # type: ignore[arg-type]


# ---- the foot: heel at (1000, 100) seen from the side -------------------------------------------------------------


@pytest.mark.parametrize(
    ("forward", "up", "missed_mm", "words"),
    [
        (120.0, 160.0, None, ""),  # 3-4-5: 200 from the heel, within 197..248
        (144.0, 192.0, None, ""),  # 240
        (96.0, 128.0, 37.0, "37 mm short of the 197 mm of the short"),  # 160
        (180.0, 240.0, 52.0, "52 mm beyond the 248 mm of the long"),  # 300
        (220.0, -12.0, 12.0, "it lies 12 mm below the heel"),
        (-9.0, 210.0, 9.0, "it lies 9 mm behind the heel"),
    ],
)
def test_foot_reach(forward: float, up: float, missed_mm: float | None, words: str) -> None:
    """Sideways does not count: the pad is 340 to the left."""
    pedal = part("one", (1000 - forward - 30, -340, 100 + up - 40), SMALL, ports_mm={"pad": (30, 0, 40)})
    driver = replace(DRIVER, hip=None)
    found = faults(pedal, rule=relation(Keeps.FOOT_REACH, port="pad"), driver=driver)
    assert [f.mm for f in found] == ([] if missed_mm is None else [pytest.approx(missed_mm, abs=1e-6)])
    assert all(words in f.text and "one (pad)" in f.text for f in found)


def test_foot_reach_allowance_and_turned_port() -> None:
    """The port is at (0, 0, 40) of a part turned 90 degrees about y: 40 mm rearward of its origin."""
    pedal = part("one", (740, 0, 100), SMALL, ports_mm={"pad": (0, 0, 40)}, turn=(0, 90, 0))
    driver = replace(DRIVER, hip=None)  # 1000 - 780 = 220: in reach; 740 alone would be 260
    assert faults(pedal, rule=relation(Keeps.FOOT_REACH, port="pad"), driver=driver) == []
    origin = relation(Keeps.FOOT_REACH)
    assert [f.mm for f in faults(pedal, rule=origin, driver=driver)] == [pytest.approx(12.0)]
    assert faults(pedal, rule=replace(origin, by_mm=12.0), driver=driver) == []
    [told] = faults(pedal, rule=replace(origin, by_mm=10.0), driver=driver)
    assert "2 mm beyond the 258 mm of the long, 10 mm allowed (a table)" in told.text


def test_ankle_closed_too_far() -> None:
    """Straight up from the heel, the hip 800 behind and 200 up: 90 - atan(200 / 800) = 75.96 degrees."""
    pedal = part("one", (1000, 0, 320), SMALL)
    [told] = faults(pedal, rule=relation(Keeps.FOOT_REACH), driver=DRIVER)
    assert told.mm == 0.0
    assert "closed to 76 degrees" in told.text
    assert "misses it by 11.0 degrees" in told.text
    assert "line from heel to hip" in told.text


def test_ankle_holds_when_the_pad_leans_away() -> None:
    """132 forward and 176 up: 53.13 degrees from level, 180 - 14.04 - 53.13 = 112.8 degrees."""
    pedal = part("one", (868, 0, 276), SMALL)
    assert faults(pedal, rule=relation(Keeps.FOOT_REACH), driver=DRIVER) == []
    tight = replace(DRIVER, foot=replace(FOOT, ankle_least_deg=113.0))
    [told] = faults(pedal, rule=relation(Keeps.FOOT_REACH), driver=tight)
    assert "misses it by 0.2 degrees" in told.text


# ---- the hand ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("by_mm", "missed_mm"), [(700.0, None), (690.0, 10.0)])
def test_hand_reach(by_mm: float, missed_mm: float | None) -> None:
    """(200, 300, 600): 700 away."""
    driver = Driver(points={"right-shoulder": Spot(at_mm=(500, 0, 900))})
    switch = part("one", (300, 300, 300), SMALL)
    found = faults(switch, rule=relation(Keeps.HAND_REACH, by_mm=by_mm, from_point="right-shoulder"), driver=driver)
    assert [f.mm for f in found] == ([] if missed_mm is None else [pytest.approx(missed_mm, abs=1e-6)])
    assert all("right shoulder (a reach you measured yourself): it is 700 mm away" in f.text for f in found)


# ---- heights and leaning -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("end_z", "missed_mm", "words"),
    [
        (490.0, None, ""),  # 300-400-500: half a metre level, 20 a metre: 10 must fall
        (494.0, 4.0, "by 20 mm a metre, here 10 mm: it falls 6 mm and misses it by 4 mm"),
        (503.0, 13.0, "it rises 3 mm and misses it by 13 mm"),
    ],
)
def test_falls_towards(end_z: float, missed_mm: float | None, words: str) -> None:
    tank = part("one", (100, 0, 480), SMALL, ports_mm={"out": (0, 0, 20)})
    low = part("two", (400, 400, end_z), SMALL)
    rule = relation(Keeps.FALLS, of="two", by_mm=20.0, port="out")
    found = faults(tank, low, rule=rule)
    assert [f.mm for f in found] == ([] if missed_mm is None else [pytest.approx(missed_mm, abs=1e-6)])
    assert all(words in f.text and "one (out) must fall towards two" in f.text for f in found)


@pytest.mark.parametrize(("other_z", "missed_mm"), [(503.0, None), (497.0, None), (508.0, 5.0), (492.0, 5.0)])
def test_level(other_z: float, missed_mm: float | None) -> None:
    one, two = part("one", (100, 0, 500), SMALL), part("two", (100, 300, other_z), SMALL)
    found = faults(one, two, rule=relation(Keeps.LEVEL, of="two", by_mm=3.0))
    assert [f.mm for f in found] == ([] if missed_mm is None else [pytest.approx(missed_mm, abs=1e-6)])


@pytest.mark.parametrize(
    ("turn", "leans"),
    [
        ((0.0, 0.0, 137.0), None),  # a turn about the vertical is no lean
        ((4.0, 0.0, 0.0), None),
        ((0.0, -4.9, 50.0), None),
        ((0.0, 8.0, 0.0), "leans 8.0 and misses it by 3.0 degrees"),
        ((4.0, 3.5, 0.0), "leans 5.3 and misses it by 0.3 degrees"),  # acos(cos 4 cos 3.5) = 5.314
        ((180.0, 0.0, 0.0), "leans 180.0 and misses it by 175.0 degrees"),
    ],
)
def test_upright(turn: Vec, leans: str | None) -> None:
    found = faults(part("one", (200, 0, 500), SMALL, turn=turn), rule=relation(Keeps.UPRIGHT, within_deg=5.0))
    assert [f.mm for f in found] == ([] if leans is None else [0.0])
    assert all(leans is not None and leans in f.text for f in found)


# ---- the ground ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("by_mm", "at_bump", "unsprung", "missed_mm"),
    [
        (150.0, False, False, None),  # underside at -150, ground at -300
        (160.0, False, False, 10.0),
        (90.0, True, False, None),
        (100.0, True, False, 10.0),
        (150.0, True, True, None),
    ],
)
def test_off_the_ground_at_bump(by_mm: float, at_bump: bool, unsprung: bool, missed_mm: float | None) -> None:
    sump = part("one", (200, 0, -100), CUBE, unsprung=unsprung)
    rule = relation(Keeps.OFF_GROUND, by_mm=by_mm, at_bump=at_bump)
    found = faults(sump, rule=rule, bump_mm=60.0)
    assert [f.mm for f in found] == ([] if missed_mm is None else [pytest.approx(missed_mm)])
    assert all(("at bump (60 mm down)" in f.text) == at_bump for f in found)


# ---- the straight run ----------------------------------------------------------------------------------------------

RUN = relation(Keeps.STRAIGHT_RUN, of="two", by_mm=15.0, port="end")
ONE = part("one", (200, -300, 500), SMALL, ports_mm={"end": (0, 10, 0)})
TWO = part("two", (200, 300, 500), SMALL)
"""The line goes from y = -290 to y = 300 at x = 200, z = 500."""


@pytest.mark.parametrize(
    ("at", "missed_mm", "words"),
    [
        ((200.0, 0.0, 570.0), None, ""),  # underside at 520
        ((200.0, 0.0, 560.0), 5.0, "comes within 10 mm of the straight line from one (end) to two"),
        ((250.0, 0.0, 500.0), 15.0, "missed by 15 mm"),  # its face is on the line
        ((220.0, 0.0, 500.0), 45.0, "stands in the straight line"),  # 30 mm out the short way
        ((200.0, 420.0, 500.0), None, ""),  # beyond the end: nearest 70
    ],
)
def test_straight_run(at: Vec, missed_mm: float | None, words: str) -> None:
    third = part("three", at, CUBE)
    found = faults(ONE, TWO, third, rule=RUN)
    assert [f.mm for f in found] == ([] if missed_mm is None else [pytest.approx(missed_mm, abs=0.02)])
    assert all(words in f.text for f in found)


def test_straight_run_passes_riders_and_motion() -> None:
    in_it = part("three", (200, 0, 500), CUBE)
    assert faults(ONE, TWO, in_it, rule=replace(RUN, passes=("three",))) == []
    assert faults(ONE, TWO, replace(in_it, mounted_on="two", rides=True), rule=RUN) == []
    assert len(faults(ONE, TWO, replace(in_it, mounted_on="two"), rule=RUN)) == 1
    # A bar standing up beside the line, that swings down into it.
    bar = part("three", (200, 0, 640), (20, 20, 200), ports_mm={})
    swing = Turn(about_mm=(0.0, 0.0, -60.0), axis=(1.0, 0.0, 0.0), from_deg=0.0, to_deg=180.0)
    assert faults(ONE, TWO, bar, rule=RUN) == []
    assert len(faults(ONE, TWO, replace(bar, motion=swing), rule=RUN)) == 1


@pytest.mark.parametrize(
    ("turn", "off"),
    [((0.0, 0.0, 0.0), None), ((0.0, 0.0, 8.0), None), ((0.0, 0.0, 90.0), "stands 90.0 off and misses it by 80.0")],
)
def test_straight_run_follows_its_direction(turn: Vec, off: str | None) -> None:
    one = part("one", (200, -300, 500), SMALL, turn=turn)
    rule = relation(Keeps.STRAIGHT_RUN, of="two", by_mm=0.0, along_dir=(0.0, 2.0, 0.0), within_deg=10.0)
    found = faults(one, TWO, rule=rule)
    assert [f.text.count(off or "-") for f in found] == ([] if off is None else [1])


# ---- in the choice of homes ----------------------------------------------------------------------------------------


def found_for(v: Vehicle, *changes: Change, **more: object) -> Knockons:
    return find_knockons(v, job(*changes, **more), catalog())


def causes_of(found: Knockons, subject: str, kind: EffectKind = EffectKind.MOVES) -> list[str]:
    return [c.text for e in found.effects if (e.subject, e.kind) == (subject, kind) for c in e.causes]


FAR = space("far", (200, 700, 500), CUBE, on="wall")
LINE = (part("one", (200, -300, 500), SMALL), TWO)


def test_a_part_makes_room_for_a_new_run() -> None:
    """A new box whose straight run to `two` goes through `three`: three moves, and is told why."""
    three = mover("three", (200, 0, 500), CUBE)
    v = vehicle([wall(), TWO, three], spaces=[FAR])
    run = replace(RUN, port="", by_mm=10.0, why="the shaft turns here")
    new = Add(component=part("one", (200, -300, 500), SMALL))
    found = found_for(v, new, relations={"r": run})
    assert found.proof is Proof.PROVED
    assert found.homes["three"].at_mm == (200, 700, 500)
    assert any("three stands in the straight line from one to two" in t for t in causes_of(found, "three"))
    assert "three" not in found_for(v, new).homes


def test_an_end_takes_the_home_whose_run_is_free() -> None:
    """The nearer home of `one` looks at `two` through the wall's pillar; the farther one does not."""
    one = mover("one", (200, -300, 500), SMALL)
    pillar = part("pillar", (200, 0, 420), (60, 60, 100))  # z 370..470
    homes = [space("near", (200, -300, 400), SMALL, takes=("one",)), space("up", (200, -300, 650), SMALL)]
    v = vehicle([wall(), one, TWO, pillar], spaces=homes, relations=[replace(RUN, port="", by_mm=15.0)])
    new = Add(component=part("new", (200, -300, 510), SMALL))
    found = found_for(v, new)
    # From (-300, 400) to (300, 500) the line is at z 455 over the pillar's right edge: below its top at 470.
    assert found.homes["one"].at_mm == (200, -300, 650)
    free = found_for(replace(v, relations={}), new)
    assert free.homes["one"].at_mm == (200, -300, 400)


def test_a_barred_run_that_cannot_give_way_is_told() -> None:
    v = vehicle([wall(), TWO, part("three", (200, 0, 500), CUBE)])
    found = found_for(v, Add(component=part("one", (200, -300, 500), SMALL)), relations={"r": replace(RUN, port="")})
    assert found.proof is Proof.NONE
    assert any("three stands in the straight line from one to two" in line for line in found.trouble)


def test_a_run_barred_at_the_start_is_let_pass_until_it_gets_worse() -> None:
    three = part("three", (200, 0, 555), CUBE)  # 5 above the line, 15 asked for
    v = vehicle([wall(), *LINE, three], relations=[replace(RUN, port="")])
    assert found_for(v, Move(part="three", to=Pose(at_mm=(200, 20, 555)))).proof is Proof.PROVED
    assert found_for(v, Move(part="three", to=Pose(at_mm=(200, 0, 553)))).proof is Proof.NONE


def test_a_relation_of_the_job_holds_in_full_between_parts_that_were_there() -> None:
    """Nothing else changes: the relation alone sends the tank up."""
    parts = [wall(), part("pump", (200, 200, 500), CUBE), mover("tank", (200, -200, 500), CUBE)]
    high = space("high", (200, -200, 700), CUBE, takes=("tank",))
    rule = relation(Keeps.ABOVE, "tank", "pump", 40.0)
    loose = part("loose", (900, 0, 500), SMALL)
    v = vehicle(parts, spaces=[high])
    assert found_for(v, Add(component=loose)).homes == {}
    found = found_for(v, Add(component=loose), relations={"r": rule})
    assert found.homes["tank"].at_mm == (200, -200, 700)
    assert any("tank must stay 40 mm above the top of pump" in t for t in causes_of(found, "tank"))


def test_the_job_moves_the_seat_and_the_pedal_goes_with_the_foot() -> None:
    """The heel is by the seat: 100 mm forwards, and the pad at 220 is at 120, too near."""
    seat = part("seat", (1200, 0, 200), CUBE, ports_mm={"heel": (-200, 0, -100)})
    pedal = mover("pedal", (780, 0, 101), SMALL)
    homes = space("toe-board", (680, 0, 101), SMALL, takes=("pedal",))
    driver = Driver(heel=Spot(on="seat", port="heel"), foot=replace(FOOT, ankle_least_deg=None))
    rule = relation(Keeps.FOOT_REACH, "pedal")
    v = replace(vehicle([wall(), seat, pedal], spaces=[homes], relations=[rule]), driver=driver)
    assert present_faults(v) == ()
    found = found_for(v, Move(part="seat", to=Pose(at_mm=(1100, 0, 200))))
    assert found.homes["pedal"].at_mm == (680, 0, 101)
    [effect] = [e for e in found.effects if (e.kind, e.subject) == (EffectKind.MOVES, "pedal")]
    assert [c.source for c in effect.causes] == ["moves:seat"]
    assert "77 mm short of the 197 mm" in effect.causes[0].text


def test_a_battery_is_not_laid_down() -> None:
    """Lying down it would fit the nearer space; upright it has to go to the farther one."""
    battery = mover("one", (200, 0, 500), (40, 40, 100), turns_deg=((0.0, 0.0, 0.0), (90.0, 0.0, 0.0)))
    low = space("low", (200, 150, 500), (40, 100, 40), takes=("one",))
    high = space("high", (200, 400, 500), (40, 40, 100), takes=("one",))
    new = Add(component=part("new", (200, 0, 500), SMALL))
    v = vehicle([wall(), battery], spaces=[low, high])
    assert found_for(v, new).homes["one"].turn_deg == (90, 0, 0)
    upright = replace(v, relations={"r": relation(Keeps.UPRIGHT, within_deg=10.0)})
    assert found_for(upright, new).homes["one"].at_mm == (200, 400, 500)


def test_a_new_lowest_point_is_told() -> None:
    v = replace(vehicle([wall(), part("sump", (200, 0, -100), CUBE)]), bump_mm=60.0)
    pipe = part("pipe", (400, 0, -180), box(SMALL).size_mm)
    found = found_for(v, Add(component=pipe))
    # underside at -190, ground at -300; the sump was at -150
    [told] = causes_of(found, "pipe~ground", EffectKind.MEASURED)
    assert "110 mm off the ground (50 mm at bump)" in told
    assert "the lowest sprung part was at 150 mm" in told
    assert (
        causes_of(found_for(v, Add(component=replace(pipe, unsprung=True))), "pipe~ground", EffectKind.MEASURED) == []
    )
    higher = replace(pipe, pose=Pose(at_mm=(400, 0, -140)))
    assert causes_of(found_for(v, Add(component=higher)), "pipe~ground", EffectKind.MEASURED) == []
