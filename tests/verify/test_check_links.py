"""Links after a job: each that is lost, loose, out of reach or in the way is told by name."""

from dataclasses import replace

from scuttle import (
    COMPONENTS,
    EFFECTS,
    LINKS,
    PEDAL_BOX,
    SOUND,
    VEHICLE,
    block,
    job,
    knockons,
    link,
    tank_moved,
    told,
    without,
)
from scuttle import (
    check_scuttle as check,
)

from planner.model.job import Add, AddLink, Move, Remove
from planner.model.shapes import Pose
from planner.model.vehicle import Freedom


def test_parts_and_links_that_hang_on_a_removed_part() -> None:
    owner = job(Add(component=PEDAL_BOX), Remove(part="tank"))
    gone = replace(without(SOUND, "tank"), effects=(*EFFECTS, *told(GONE=["tank"])))
    assert check(gone, owner=owner) == ("`sensor` is mounted on `tank`, which is not there afterwards",)
    owner = job(Add(component=PEDAL_BOX), Remove(part="tank"), Remove(part="sensor"))
    gone = replace(without(gone, "sensor"), effects=(*EFFECTS, *told(GONE=["tank", "sensor"])))
    assert check(gone, owner=owner) == ("link `level-wire` ends at `sensor`, which is not there afterwards",)
    gone = replace(without(gone, "level-wire"), effects=(*EFFECTS, *told(GONE=["tank", "sensor", "level-wire"])))
    assert check(gone, owner=owner) == ()


def test_links_lost_found_and_kept() -> None:
    assert check(without(SOUND, "level-wire")) == (
        "link `level-wire` is missing afterwards and no effect says that it goes",
    )
    gone = replace(without(SOUND, "level-wire"), effects=(*EFFECTS, *told(GONE=["level-wire"])))
    assert check(gone) == ("link `level-wire` goes, which nobody asked for, and both its ends are still there",)
    owner = job(Add(component=PEDAL_BOX), Remove(part="level-wire"))
    assert check(gone, owner=owner) == ()
    kept = replace(SOUND, effects=gone.effects)
    assert check(kept, owner=owner) == ("link `level-wire` is removed and is still there afterwards",)
    extra = link("spare-wire", ("battery", "plus"), ("sensor", "pin"))
    found = replace(SOUND, links_after={**SOUND.links_after, "spare-wire": extra})
    assert check(found) == ("link `spare-wire` is no link of the vehicle or the job and is there afterwards",)
    owner = job(Add(component=PEDAL_BOX), AddLink(link=extra))
    assert check(replace(found, effects=(*EFFECTS, *told(NEW=["spare-wire"]))), owner=owner) == ()


def test_a_link_out_of_reach() -> None:
    silent = replace(SOUND, effects=told(NEW=["pedal-box"], MOVES=["fuse-box"]))
    # The fuse box goes 400 mm to the right and 100 mm up.
    assert check(silent) == (
        (
            "an end of link `main-wire` moves 412.3 mm, more than its spare 30 mm, "
            "and it is not listed as made anew or adjusted"
        ),
    )


def test_a_link_that_adjusting_does_not_help() -> None:
    answer = tank_moved(Pose(at_mm=(55, -300, 700)), Pose(at_mm=(55, -230, 700)))
    answer = replace(
        answer,
        effects=told(NEW=["pedal-box"], MOVES=["fuse-box", "tank", "sensor"], ADJUSTED=["main-wire", "level-wire"]),
    )
    # Its ends are 25, 120 and 300 mm apart, then 25, 420 and 300: 324.1 mm become 516.7 mm.
    assert check(answer) == (
        (
            "link `level-wire` has 10 mm to spare, its run changes by 192.7 mm with an end 300.0 mm away, "
            "and it is not listed as made anew"
        ),
    )


def test_a_rigid_link_too_long_and_a_bent_one() -> None:
    rod = link("rod", ("battery", "plus"), ("fuse-box", "wire"), rigid=True, adjust_mm=5)
    for old in (rod, replace(rod, via_mm=((200, 200, 450),))):
        vehicle = replace(VEHICLE, links={"rod": old})
        answer = replace(
            SOUND,
            links_after={"rod": old},
            effects=told(NEW=["pedal-box"], MOVES=["fuse-box"], ADJUSTED=["rod"]),
        )
        [sentence] = check(answer, vehicle=vehicle)
        assert sentence.startswith("link `rod` has 5 mm to spare")


def test_a_link_that_may_not_be_made_anew() -> None:
    fixed = replace(LINKS[0], freedom=Freedom.STAYS)
    vehicle = replace(VEHICLE, links={**VEHICLE.links, "main-wire": fixed})
    answer = replace(SOUND, effects=told(NEW=["pedal-box"], MOVES=["fuse-box"], REMADE=["main-wire"]))
    assert check(answer) == ()
    assert check(answer, vehicle=vehicle) == ("link `main-wire` stays and is said to be made anew",)


def test_a_link_through_a_part() -> None:
    # The level wire runs from (55, 80, 700) to (80, 200, 400); a relay of 60 mm stands in the middle of it.
    relay = block("relay", (60, 60, 60), (67, 140, 520))
    owner = job(Add(component=PEDAL_BOX), Add(component=relay))
    answer = knockons((*COMPONENTS, PEDAL_BOX, relay), LINKS, SOUND.homes, (*EFFECTS, *told(NEW=["relay"])))
    said = check(answer, owner=owner)
    assert [s for s in said if "level-wire" in s] != []
    assert all("runs" in s and "through `relay`" in s for s in said)
    anew = replace(answer, effects=(*answer.effects, *told(REMADE=["level-wire", "main-wire"])))
    assert check(anew, owner=owner) == ()


def test_a_link_that_ran_through_a_part_at_the_start_already() -> None:
    """The relay goes 13 mm along the wire that runs through it, no deeper; or 8 mm across it, deeper."""
    relay = block("relay", (60, 60, 60), (80, 140, 520))
    vehicle = replace(VEHICLE, components={**VEHICLE.components, "relay": relay})
    for to, ways in (((81, 144.8, 508), 0), ((72, 140, 520), 1)):
        owner = job(Add(component=PEDAL_BOX), Move(part="relay", to=Pose(at_mm=to)))
        homes = {**SOUND.homes, "relay": Pose(at_mm=to)}
        answer = knockons((*COMPONENTS, PEDAL_BOX, relay), LINKS, homes, (*EFFECTS, *told(MOVES=["relay"])))
        said = check(answer, owner=owner, vehicle=vehicle)
        assert len(said) == ways, said
        assert all("`level-wire` runs" in s and "through `relay`" in s for s in said)
