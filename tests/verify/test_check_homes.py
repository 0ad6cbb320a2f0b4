"""Sound homes pass; each kind of sabotage is told by name.

The scuttle is all boxes square to the axes: every gap below is worked out by hand from the sizes in
``scuttle.py``.
"""

from dataclasses import replace

import pytest
from scuttle import (
    COMPONENTS,
    EFFECTS,
    LINKS,
    NEW_HOME,
    PEDAL_BOX,
    SOUND,
    VEHICLE,
    block,
    job,
    knockons,
    link,
    tank_moved,
    told,
    with_home,
    without,
)
from scuttle import (
    check_scuttle as check,
)

from planner.model.effects import Proof
from planner.model.job import Add, Altered, Cut, Grow, Move, Remove, Replace, TakeOff
from planner.model.shapes import Box, Direction, Pose
from planner.model.vehicle import Component, Freedom, Keeps, Relation, Vehicle
from planner.verify.kept_side import kept_sides


def with_part(part: Component, vehicle: Vehicle = VEHICLE) -> Vehicle:
    return replace(vehicle, components={**vehicle.components, part.id: part})


def test_sound_homes_pass() -> None:
    assert check(SOUND) == ()


def test_an_answer_that_says_why_there_is_none_passes() -> None:
    none = replace(SOUND, proof=Proof.NONE, homes={})
    assert check(replace(none, trouble=("no room for the fuse box",))) == ()
    assert check(none) == ("there is no answer and no reason is told",)


def test_a_displaced_part_left_in_the_way() -> None:
    answer = knockons((*COMPONENTS, PEDAL_BOX), LINKS, {}, told(NEW=["pedal-box"]))
    # 60 mm forward is the fuse box's least way out of the pedal box (x 5..65 of 5..105); 40 mm and half its
    # own thickness rearward is the wire's, whose end is at x = 65.
    assert check(answer) == (
        "`fuse-box` and `pedal-box` overlap by 60.00 mm",
        "link `main-wire` runs 42.5 mm through `pedal-box` and is not listed as made anew",
    )


def test_a_home_that_overlaps_another_part() -> None:
    # y 70..170, z 660..740: 10 mm into the sensor's y 60..80.
    said = check(with_home("fuse-box", Pose(at_mm=(35, 120, 700))))
    assert "`fuse-box` and `sensor` overlap by 10.00 mm" in said


def test_a_home_too_near_another_part() -> None:
    said = check(with_home("fuse-box", Pose(at_mm=(35, 135, 700))))
    assert "`fuse-box` and `sensor` are 5.00 mm apart and must keep 10 mm clear" in said


def test_a_home_outside_its_space() -> None:
    assert check(with_home("fuse-box", Pose(at_mm=(35, 410, 600)))) == (
        "`fuse-box` gets a home that is in none of its spaces (`shelf`: sticks out by 10.0 mm)",
    )


def test_a_home_off_the_face_it_must_sit_against() -> None:
    shelf = replace(VEHICLE.spaces["shelf"], against=Direction.DOWN)
    vehicle = replace(VEHICLE, spaces={**VEHICLE.spaces, "shelf": shelf})
    assert check(SOUND, vehicle=vehicle) == (
        "`fuse-box` gets a home that is in none of its spaces (`shelf`: sits 10.0 mm off its face)",
    )
    assert check(with_home("fuse-box", Pose(at_mm=(35, 215, 590))), vehicle=vehicle) == ()


def test_a_home_in_a_space_turned_about_z() -> None:
    # The shelf's 400 mm run rearwards now and its 150 mm across, y 175..325; the fuse box is at y 150..250.
    pose = Pose(at_mm=(80, 250, 650), turn_deg=(0, 0, 90))
    shelf = replace(VEHICLE.spaces["shelf"], box=Box(size_mm=(150, 400, 200), pose=pose))
    vehicle = replace(VEHICLE, spaces={**VEHICLE.spaces, "shelf": shelf})
    assert check(SOUND, vehicle=vehicle) == (
        "`fuse-box` gets a home that is in none of its spaces (`shelf`: sticks out by 25.0 mm)",
    )


def test_a_home_in_a_turn_that_is_not_allowed() -> None:
    # Half round, the wire comes out towards the bulkhead and is best run anew.
    half = with_home("fuse-box", replace(NEW_HOME, turn_deg=(0, 0, 180)), effects=told(REMADE=["main-wire"]))
    assert check(half) == ()
    assert check(with_home("fuse-box", replace(NEW_HOME, turn_deg=(0, 0, 90)))) == (
        "`fuse-box` gets a home that is in none of its spaces (`shelf`: a turn of (0, 0, 90) is not allowed)",
    )


def test_a_home_no_space_offers() -> None:
    vehicle = replace(VEHICLE, spaces={})
    assert check(SOUND, vehicle=vehicle) == ("`fuse-box` gets another home and no space takes it",)


def test_a_home_on_a_part_that_moves_itself() -> None:
    shelf = replace(VEHICLE.spaces["shelf"], on="tank")
    vehicle = replace(VEHICLE, spaces={**VEHICLE.spaces, "shelf": shelf})
    owner = job(Add(component=PEDAL_BOX), Move(part="tank", to=Pose(at_mm=(55, -40, 700))))
    homes = {
        "fuse-box": NEW_HOME,
        "tank": Pose(at_mm=(55, -40, 700)),
        "sensor": Pose(at_mm=(55, 30, 700)),
    }
    effects = (*EFFECTS, *told(MOVES=["tank", "sensor"], REMADE=["level-wire"]))
    answer = knockons((*COMPONENTS, PEDAL_BOX), LINKS, homes, effects)
    assert check(answer, owner=owner) == ()
    assert check(answer, owner=owner, vehicle=vehicle) == (
        "`fuse-box` gets a home that is in none of its spaces (`shelf`: `tank` moves itself)",
    )


def test_a_part_that_stays_is_moved() -> None:
    effects = told(MOVES=["battery"], REMADE=["level-wire", "main-wire"])
    assert check(with_home("battery", Pose(at_mm=(80, 310, 400)), effects=effects)) == (
        "`battery` stays and gets another home, which nobody asked for",
    )


def test_a_rider_follows_its_host() -> None:
    assert check(tank_moved(Pose(at_mm=(55, -300, 700)), Pose(at_mm=(55, -230, 700)))) == ()


def test_a_rider_follows_a_turn() -> None:
    # A quarter turn about z carries the sensor from the tank's right to its front.
    turned = replace(COMPONENTS[2], turns_deg=((0, 0, 90),))
    vehicle = with_part(turned)
    quarter = (0.0, 0.0, 90.0)
    tank, sensor = (
        Pose(at_mm=(85, -300, 700), turn_deg=quarter),
        Pose(at_mm=(15, -300, 700), turn_deg=quarter),
    )
    answer = tank_moved(tank, sensor)
    assert check(answer, vehicle=vehicle) == ()
    upright = tank_moved(tank, replace(sensor, turn_deg=(0, 0, 0)))
    assert check(upright, vehicle=vehicle) == ("`sensor` comes off and gets another home, which nobody asked for",)


def test_a_rider_left_behind() -> None:
    said = check(tank_moved(Pose(at_mm=(55, -300, 700)), None))
    assert said == ("`sensor` is mounted on `tank`, which moves, and is left behind",)


def test_a_rider_put_elsewhere() -> None:
    said = check(tank_moved(Pose(at_mm=(55, -300, 700)), Pose(at_mm=(55, -200, 700))))
    assert said == ("`sensor` comes off and gets another home, which nobody asked for",)


def test_a_relation_broken() -> None:
    # Bottom at 580, the radiator's top at 550: 30 of the 40 mm asked for.
    assert check(tank_moved(Pose(at_mm=(55, -400, 630)), Pose(at_mm=(55, -330, 630)))) == (
        ("relation `tank-above-radiator` is broken: `tank` must be above `radiator` by 40 mm and misses it by 10.0 mm"),
    )


@pytest.mark.parametrize(
    ("keeps", "of", "by_mm", "missed"),
    [
        (Keeps.BELOW, "sensor", 60, "misses it by 10.0 mm"),  # top 640 under 690; it was 540
        (Keeps.WITHIN, "bulkhead", 50, "misses it by 10.0 mm"),  # x 65 behind 5; it was flush
        (Keeps.APART, "battery", 100, "misses it by 15.0 mm"),  # underside 560 over 475; they were 350 apart
        (Keeps.WITHIN, "battery", 80, ""),  # 85 apart, and 350 at the start: less bad
        (Keeps.APART, "battery", 85, ""),
        (Keeps.OFF_GROUND, None, 560, ""),
    ],
)
def test_every_kind_of_relation(keeps: Keeps, of: str | None, by_mm: float, missed: str) -> None:
    relation = Relation(id="r", part="fuse-box", keeps=keeps, of=of, by_mm=by_mm)
    vehicle = replace(VEHICLE, relations={"r": relation})
    answer = with_home("fuse-box", Pose(at_mm=(95, 200, 600)))
    answer = replace(answer, effects=told(NEW=["pedal-box"], MOVES=["fuse-box"], REMADE=["main-wire"]))
    said = check(answer, vehicle=vehicle)
    assert len(said) == (1 if missed else 0)
    assert all(s.startswith("relation `r` is broken: `fuse-box`") and s.endswith(missed) for s in said)


def test_too_near_the_ground() -> None:
    relation = Relation(id="r", part="tank", keeps=Keeps.OFF_GROUND, of=None, by_mm=600)
    vehicle = replace(VEHICLE, relations={"r": relation})
    low = tank_moved(Pose(at_mm=(55, -400, 630)), Pose(at_mm=(55, -330, 630)))
    assert check(low, vehicle=vehicle) == (
        "relation `r` is broken: `tank` must be off the ground by 600 mm and misses it by 20.0 mm",
    )


def test_a_relation_already_broken_may_stay_as_bad() -> None:
    vehicle = replace(
        VEHICLE,
        relations={"low": Relation(id="low", part="tank", keeps=Keeps.ABOVE, of="radiator", by_mm=200)},
    )
    level = tank_moved(Pose(at_mm=(55, -300, 700)), Pose(at_mm=(55, -230, 700)))
    assert check(level, vehicle=vehicle) == ()
    lower = tank_moved(Pose(at_mm=(55, -300, 690)), Pose(at_mm=(55, -230, 690)))
    assert check(lower, vehicle=vehicle) == (
        "relation `low` is broken: `tank` must be above `radiator` by 200 mm and misses it by 110.0 mm",
    )


def test_a_working_room_taken() -> None:
    horn = block("horn", (40, 40, 40), (55, 0, 790))
    owner = job(Add(component=PEDAL_BOX), Add(component=horn))
    answer = knockons((*COMPONENTS, PEDAL_BOX, horn), LINKS, SOUND.homes, (*EFFECTS, *told(NEW=["horn"])))
    assert check(answer, owner=owner) == ("`horn` stands in the room for cap off of `tank`",)


def test_a_working_room_taken_at_the_start_already() -> None:
    # The horn is in the room of the tank and moves about in it: no worse than it was.
    horn = block("horn", (40, 40, 40), (55, 0, 790))
    vehicle = with_part(horn)
    owner = job(Add(component=PEDAL_BOX), Move(part="horn", to=Pose(at_mm=(55, 20, 790))))
    answer = knockons(
        (*COMPONENTS, PEDAL_BOX, horn),
        LINKS,
        {**SOUND.homes, "horn": Pose(at_mm=(55, 20, 790))},
        (*EFFECTS, *told(MOVES=["horn"])),
    )
    assert check(answer, owner=owner, vehicle=vehicle) == ()


def test_a_room_is_lost_to_what_the_part_is_mounted_on_too() -> None:
    lip = Box(size_mm=(100, 120, 20), pose=Pose(at_mm=(55, -300, 275)))
    hooded = replace(VEHICLE.components["bulkhead"], solids=(*VEHICLE.components["bulkhead"].solids, lip))
    vehicle = with_part(hooded)
    answer = tank_moved(Pose(at_mm=(55, -300, 700)), Pose(at_mm=(55, -230, 700)))
    assert check(answer, vehicle=vehicle) == ("`bulkhead` stands in the room for cap off of `tank`",)


def test_riders_of_one_host_may_not_overlap() -> None:
    lamp = block("lamp", (20, 20, 20), (55, 75, 700), mounted_on="tank", rides=True)
    owner = job(Add(component=PEDAL_BOX), Add(component=lamp))
    answer = knockons((*COMPONENTS, PEDAL_BOX, lamp), LINKS, SOUND.homes, (*EFFECTS, *told(NEW=["lamp"])))
    # The wire leaves the sensor at y = 80 through the lamp's y 65..85.
    assert check(answer, owner=owner) == (
        "`lamp` and `sensor` overlap by 15.00 mm",
        "link `level-wire` runs 7.5 mm through `lamp` and is not listed as made anew",
    )
    meant = replace(lamp, touches=("sensor", "level-wire"))
    owner = job(Add(component=PEDAL_BOX), Add(component=meant))
    assert check(replace(answer, after={**answer.after, "lamp": meant}), owner=owner) == ()


def test_riders_that_overlapped_at_the_start_may_go_on_so() -> None:
    lamp = block("lamp", (20, 20, 20), (55, 75, 700), mounted_on="tank", rides=True)
    vehicle = with_part(lamp)
    answer = tank_moved(Pose(at_mm=(55, -300, 700)), Pose(at_mm=(55, -230, 700)))
    carried = replace(lamp, pose=Pose(at_mm=(55, -225, 700)))
    answer = replace(
        answer,
        after={**answer.after, "lamp": carried},
        homes={**answer.homes, "lamp": carried.pose},
        effects=(*answer.effects, *told(MOVES=["lamp"])),
    )
    assert check(answer, vehicle=vehicle) == ()


def test_a_removed_part_still_there() -> None:
    owner = job(Add(component=PEDAL_BOX), Remove(part="radiator"))
    answer = replace(SOUND, effects=(*EFFECTS, *told(GONE=["radiator"])))
    assert check(answer, owner=owner) == ("`radiator` is removed and is still there afterwards",)


def test_a_part_lost() -> None:
    assert check(without(SOUND, "radiator")) == ("`radiator` is not asked to go and is missing afterwards",)
    gone = replace(without(SOUND, "radiator"), effects=(*EFFECTS, *told(GONE=["radiator"])))
    assert check(gone) == ("`radiator` goes, which nobody asked for, and it may not be done without",)
    vehicle = with_part(replace(VEHICLE.components["radiator"], freedom=Freedom.MAY_GO))
    assert check(gone, vehicle=vehicle) == ()


def test_a_replaced_part_and_its_heir() -> None:
    heir = replace(VEHICLE.components["battery"], id="dry-battery")
    owner = job(Add(component=PEDAL_BOX), Replace(part="battery", component=heir))
    rerun = [
        link("main-wire", ("dry-battery", "plus"), ("fuse-box", "wire"), slack_mm=30),
        link("level-wire", ("sensor", "pin"), ("dry-battery", "plus"), slack_mm=10),
    ]
    effects = (*EFFECTS, *told(NEW=["dry-battery"], GONE=["battery"]))
    parts = [part for part in COMPONENTS if part.id != "battery"]
    answer = knockons((*parts, PEDAL_BOX, heir), rerun, SOUND.homes, effects)
    assert check(answer, owner=owner) == ()
    # An heir 200 mm away leaves the wires short, whatever their ends are called.
    far = replace(heir, pose=Pose(at_mm=(280, 300, 400)), mounted_on=None)
    owner = job(Add(component=PEDAL_BOX), Replace(part="battery", component=far))
    answer = knockons((*parts, PEDAL_BOX, far), rerun, SOUND.homes, effects)
    assert [s for s in check(answer, owner=owner) if "`level-wire`" in s and "200.0 mm" in s]


def test_an_asked_move_not_made() -> None:
    owner = job(Add(component=PEDAL_BOX), Move(part="radiator", to=Pose(at_mm=(-420, 0, 400))))
    answer = replace(SOUND, effects=(*EFFECTS, *told(MOVES=["radiator"])))
    assert check(answer, owner=owner) == ("`radiator` is to move to (-420, 0, 400) and its home is (-400, 0, 400)",)


def test_homes_and_parts_that_disagree() -> None:
    after = {**SOUND.after, "battery": replace(SOUND.after["battery"], pose=Pose(at_mm=(80, 310, 400)))}
    assert check(replace(SOUND, after=after)) == (
        "`battery` is told to stand at (80, 310, 400) and its home is (80, 300, 400)",
    )
    homes = {**SOUND.homes, "horn": NEW_HOME}
    assert check(replace(SOUND, homes=homes)) == ("`horn` gets a home and is not there afterwards",)
    astray = with_home("pedal-box", Pose(at_mm=(55, -210, 500)))
    assert "`pedal-box` is new at (55, -200, 500) and is given a home at (55, -210, 500)" in check(astray)


def test_growth() -> None:
    owner = job(Add(component=PEDAL_BOX), Grow(part="radiator", by_mm=(0, 40, 0)))
    answer = replace(SOUND, effects=(*EFFECTS, *told(GROWS=["radiator"])))
    assert check(answer, owner=owner) == ("`radiator` is to grow by 40 mm along y and grows by 0 and 0 mm",)
    grown = replace(SOUND.after["radiator"], solids=(Box(size_mm=(50, 440, 300)),))
    answer = replace(answer, after={**answer.after, "radiator": grown})
    assert check(answer, owner=owner) == ()


def test_growth_from_a_side_that_stays() -> None:
    """40 mm to the right of a face that stays: the middle of the box goes 20 mm aside with it."""
    owner = job(Add(component=PEDAL_BOX), Grow(part="radiator", by_mm=(0, 40, 0), stays=(Direction.LEFT,)))
    for middle_mm, faults in ((20, 0), (0, 1), (-20, 1), (25, 1)):
        grown = Box(size_mm=(50, 440, 300), pose=Pose(at_mm=(0, middle_mm, 0)))
        after = {**SOUND.after, "radiator": replace(SOUND.after["radiator"], solids=(grown,))}
        answer = replace(SOUND, after=after, effects=(*EFFECTS, *told(GROWS=["radiator"])))
        assert len(check(answer, owner=owner)) == faults, middle_mm


def test_growth_from_the_face_that_is_its_zero_where_no_side_is_told() -> None:
    """30 mm more in height, its bottom on its own zero: the middle goes up by 15, also where its height was taped."""
    low = replace(SOUND.after["radiator"], solids=(Box(size_mm=(50, 400, 300), pose=Pose(at_mm=(0, 0, 150))),))
    for taped in ((), (Altered(solid=0, size="z", mm=330.0),)):
        grow = Grow(part="radiator", by_mm=(0, 0, 30), altered=taped)
        for middle_mm, faults in ((165, 0), (150, 1), (135, 1)):
            grown = Box(size_mm=(50, 400, 330), pose=Pose(at_mm=(0, 0, middle_mm)))
            answer = replace(SOUND, after={**SOUND.after, "radiator": replace(low, solids=(grown,))})
            said = check(answer, owner=job(Add(component=PEDAL_BOX), grow), vehicle=with_part(low))
            assert len([s for s in said if "is to grow by 30 mm along z" in s]) == faults, (middle_mm, taped)


def test_the_side_that_stays_is_the_one_on_the_host() -> None:
    """A block of 100 on the top of a plate that is turned with it; a plate beside it is no host's face."""
    turn = (0.0, 0.0, 30.0)
    cube = block("cube", (100, 100, 100), (0, 0, 50), mounted_on="plate")
    plate = block("plate", (300, 300, 10), (0, 0, -5))
    turned = replace(cube, pose=Pose(at_mm=(0, 0, 50), turn_deg=turn))
    for part, host, sides in (
        (cube, plate, {2: -1}),
        (turned, plate, {2: -1}),
        (cube, replace(plate, pose=Pose(at_mm=(300, 0, -5))), {}),
        (cube, replace(plate, pose=Pose(at_mm=(0, 0, -15))), {}),
        (cube, None, {}),
    ):
        assert kept_sides(part, host) == sides


def test_a_grown_part_that_overlaps() -> None:
    # 380 mm more on each side: its rear face goes from x = -375 to 5, the bulkhead is at -5..5.
    owner = job(Add(component=PEDAL_BOX), Grow(part="radiator", by_mm=(760, 0, 0)))
    grown = replace(SOUND.after["radiator"], solids=(Box(size_mm=(810, 400, 300)),))
    answer = replace(SOUND, after={**SOUND.after, "radiator": grown}, effects=(*EFFECTS, *told(GROWS=["radiator"])))
    assert "`bulkhead` and `radiator` overlap by 10.00 mm" in check(answer, owner=owner)


def test_a_part_mounted_where_its_host_is_cut() -> None:
    hole = Box(size_mm=(20, 60, 60), pose=Pose(at_mm=(0, 300, 400)))
    owner = job(Add(component=PEDAL_BOX), Cut(id="slot", host="bulkhead", hole=hole))
    answer = replace(SOUND, effects=(*EFFECTS, *told(CUT=["slot"])))
    assert check(answer, owner=owner) == ("`battery` is mounted where `bulkhead` is cut (`slot`)",)


def test_a_mounting_made_up() -> None:
    moved = replace(SOUND.after["fuse-box"], mounted_on="battery")
    answer = replace(SOUND, after={**SOUND.after, "fuse-box": moved})
    assert "`fuse-box` was mounted on `bulkhead` and is now said to be on `battery`" in check(answer)


def test_changes_without_their_effects() -> None:
    silent = replace(SOUND, effects=told(ADJUSTED=["main-wire"]))
    owner = job(Add(component=PEDAL_BOX), TakeOff(part="radiator"))
    assert check(silent, owner=owner) == (
        "the job asks for it and no effect says that `pedal-box` is 'new'",
        "the job asks for it and no effect says that `radiator` is 'comes off and goes back'",
        "`fuse-box` gets another home and no effect says that it moves",
    )
