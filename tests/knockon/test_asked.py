"""The vehicle as the job itself leaves it."""

from __future__ import annotations

from dataclasses import replace

from garage import box, job, link, mover, part, space, vehicle, wall

from planner.knockon.asked import asked_by, grown_by
from planner.model.job import Add, AddLink, Cut, Grow, Move, Remove, Replace, TakeOff
from planner.model.shapes import Box, Cylinder, Direction, Mesh, Outline, Pose, Surface, Tube
from planner.model.vehicle import Keeps, Relation, Vehicle

CUBE = (100.0, 100.0, 100.0)


def plain() -> Vehicle:
    """A pedal with a switch on it, a rod and a spring, a shelf on the pedal, a relation to it."""
    parts = [
        wall(),
        part("pedal", (60, 0, 500), CUBE, ports_mm={"rod": (0, 0, 20), "spring": (0, 0, -20)}),
        part("switch", (60, 0, 600), CUBE, on="pedal"),
        part("bulb", (60, 0, 700), CUBE, on="switch"),
        part("cylinder", (60, 300, 500), CUBE, ports_mm={"rod": (0, 0, 0)}),
    ]
    return vehicle(
        parts,
        links=[
            link("rod", "pedal.rod", "cylinder.rod"),
            link("spring", "wall", "pedal.spring"),
            link("strap", "pedal", "cylinder"),
        ],
        spaces=[space("on-pedal", (60, 200, 500), CUBE, on="pedal")],
        relations=[
            Relation(id="high", part="pedal", keeps=Keeps.ABOVE, of="cylinder", by_mm=-500),
            Relation(id="ground", part="pedal", keeps=Keeps.OFF_GROUND, of=None, by_mm=100),
        ],
    )


def test_heir_takes_over_riders_links_spaces_and_relations() -> None:
    heir = part("box", (60, 0, 500), CUBE, ports_mm={"rod": (0, 0, 0)})
    asked = asked_by(plain(), job(Replace(part="pedal", component=heir)))
    assert "pedal" not in asked.base
    assert asked.gone == {"pedal": "box"}
    assert asked.base["switch"].mounted_on == "box"
    assert asked.base["bulb"].mounted_on == "switch"
    assert [(e.component, e.port) for e in asked.links["rod"].ends] == [("box", "rod"), ("cylinder", "rod")]
    assert [(e.component, e.port) for e in asked.links["strap"].ends] == [("box", ""), ("cylinder", "")]
    assert "spring" not in asked.links
    assert asked.links_gone == {"spring": "pedal"}
    assert asked.spaces["on-pedal"].on == "box"
    assert (asked.relations["high"].part, asked.relations["ground"].part) == ("box", "box")
    assert asked.homeless == frozenset()
    assert asked.fixed == asked.new == frozenset({"box"})


def test_removed_host_leaves_its_riders_homeless_and_its_links_endless() -> None:
    asked = asked_by(plain(), job(Remove(part="pedal")))
    assert asked.homeless == frozenset({"switch"})
    assert asked.links == {}
    assert asked.links_gone == {"rod": "pedal", "spring": "pedal", "strap": "pedal"}
    assert asked.spaces == {}
    assert asked.relations == {}
    assert asked.gone == {"pedal": ""}


def test_removed_link_goes_alone() -> None:
    asked = asked_by(plain(), job(Remove(part="rod")))
    assert asked.links_gone == {"rod": ""}
    assert set(asked.links) == {"spring", "strap"}
    assert set(asked.base) == set(plain().components)


def test_mover_carries_all_its_storeys() -> None:
    to = Pose(at_mm=(60, 100, 500), turn_deg=(0, 0, 90))
    asked = asked_by(plain(), job(Move(part="pedal", to=to)))
    assert asked.carried == {"switch": "pedal", "bulb": "pedal"}
    assert asked.fixed == frozenset({"pedal", "switch", "bulb"})
    assert asked.moved == frozenset({"pedal"})
    for rider, height in (("switch", 600.0), ("bulb", 700.0)):
        pose = asked.base[rider].pose
        assert [round(v, 9) for v in pose.at_mm] == [60, 100, height]
        assert [round(v, 9) for v in pose.turn_deg] == [0, 0, 90]


def test_rider_moved_by_the_job_itself_is_not_carried() -> None:
    own = Pose(at_mm=(60, -300, 600))
    changes = (Move(part="pedal", to=Pose(at_mm=(60, 100, 500))), Move(part="switch", to=own))
    for order in (changes, changes[::-1]):
        asked = asked_by(plain(), job(*order))
        assert asked.base["switch"].pose == own
        assert asked.carried == {"bulb": "switch"}
        assert asked.base["bulb"].pose.at_mm == (60, -300, 700)


def test_added_rider_is_where_the_job_says() -> None:
    lamp = part("lamp", (160, 0, 500), CUBE, on="pedal")
    asked = asked_by(plain(), job(Move(part="pedal", to=Pose(at_mm=(60, 100, 500))), Add(component=lamp)))
    assert asked.base["lamp"].pose == lamp.pose
    assert "lamp" not in asked.carried


def test_other_changes_leave_the_parts_alone() -> None:
    hole = Cut(id="hole", host="wall", hole=box((20, 10, 10)))
    extra = link("extra", "pedal", "wall")
    asked = asked_by(plain(), job(TakeOff(part="pedal"), hole, AddLink(link=extra)))
    assert asked.base == plain().components
    assert asked.taken_off == frozenset({"pedal"})
    assert asked.cuts == (hole,)
    assert asked.links_new == frozenset({"extra"})
    assert asked.links["extra"] == extra
    assert asked.fixed == frozenset()


def test_grown_part_is_fixed_where_it_is() -> None:
    """Its front face is on the wall and stays there: its middle goes back by half of the 10 mm."""
    asked = asked_by(plain(), job(Grow(part="cylinder", by_mm=(10, 20, 30))))
    assert asked.base["cylinder"].solids == (box((110, 120, 130), (5, 0, 0)),)
    assert asked.base["cylinder"].pose == plain().components["cylinder"].pose
    assert asked.grown == asked.fixed == frozenset({"cylinder"})


def test_a_side_stays_while_the_part_grows_away_from_it() -> None:
    """Its middle goes half the growth away from that side, along its own axes; along the others it stays."""
    for side, by_mm, middle in (
        (Direction.DOWN, (0.0, 0.0, 30.0), (0.0, 0.0, 15.0)),
        (Direction.UP, (0.0, 20.0, 30.0), (0.0, 0.0, -15.0)),
        (Direction.FORWARDS, (10.0, 20.0, 0.0), (5.0, 0.0, 0.0)),
        (Direction.RIGHT, (0.0, 20.0, 0.0), (0.0, -10.0, 0.0)),
    ):
        asked = asked_by(plain(), job(Grow(part="cylinder", by_mm=by_mm, stays=(side,))))
        size = tuple(100.0 + b for b in by_mm)
        [solid] = asked.base["cylinder"].solids
        assert solid == box(size, middle)
        assert asked.base["cylinder"].pose == plain().components["cylinder"].pose


def test_growth_of_each_shape() -> None:
    assert grown_by(Box(size_mm=(1, 2, 3)), (10, 20, 30)) == Box(size_mm=(11, 22, 33))
    bar = Cylinder(across_mm=20, length_mm=100, along="x")
    assert grown_by(bar, (5, 2, 3)) == replace(bar, length_mm=105, across_mm=23)
    tube = Tube(across_mm=20, through_mm=((0, 0, 0), (0, 0, 100)))
    assert grown_by(tube, (1, 4, 2)) == replace(tube, across_mm=24)
    corner = Outline(points_mm=((0, 0), (100, 0), (100, 50), (0, 50)), thick_mm=4, along="y")
    grown = grown_by(corner, (10, 2, 30))
    assert isinstance(grown, Outline)
    assert grown.thick_mm == 6
    found = {(round(x, 9), round(z, 9)) for x, z in grown.points_mm}
    assert found == {(-5, -15), (105, -15), (105, 65), (-5, 65)}


def test_touch_lists_name_the_heir() -> None:
    base = plain()
    mat = part("mat", (170, 0, 500), CUBE, touches=("pedal",))
    base = replace(base, components={**base.components, "mat": mat})
    heir = mover("box", (60, 0, 500), CUBE)
    asked = asked_by(base, job(Replace(part="pedal", component=heir)))
    assert "box" in asked.base["mat"].touches


def test_moved_onto_another_part() -> None:
    to = Pose(at_mm=(60, 300, 600))
    asked = asked_by(plain(), job(Move(part="bulb", to=to, onto="cylinder")))
    assert (asked.base["bulb"].mounted_on, asked.base["bulb"].pose) == ("cylinder", to)
    asked = asked_by(plain(), job(Move(part="bulb", to=to)))
    assert asked.base["bulb"].mounted_on == "switch"


def test_a_mesh_grows_about_the_middle_of_its_box() -> None:
    surface = Surface(corners_mm=((0, 0, 0), (10, 0, 0), (0, 20, 0), (0, 0, 5)),
                      triangles=((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)))  # fmt: skip
    grown = grown_by(Mesh(surface=surface, file="a.stl"), (2.0, 0.0, -1.0))
    assert isinstance(grown, Mesh)
    assert grown.surface.corners_mm == ((-1, 0, 0.5), (11, 0, 0.5), (-1, 20, 0.5), (-1, 0, 4.5))
    assert grown.file == "a.stl"
