"""What `knockon new FOLDER` offers for what nobody measured lies where such a thing is on a vehicle."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.new_trial import piped
from cli.shed import catalog

from planner.model.vehicle import Vehicle
from planner.shelf import load_vehicle
from planner.space import extent_mm

WHOLE = "Flea\nmm\n3000 x 1500 x 1300\n400\n200\n3\n"
WALL = "firewall\nfirewall\nfloor\n20 x 900 x 500\nbottom 400 0 10\n"
END = "\n"


def made(tmp_path: Path, answers: str) -> tuple[Vehicle, str]:
    done = piped(WHOLE + answers, "new", tmp_path / "flea")
    assert done.err == ""
    vehicle, _ = load_vehicle(tmp_path / "flea", catalog())
    assert vehicle is not None
    return vehicle, " ".join(done.out.split())


def floor_of(vehicle: Vehicle) -> tuple[tuple[float, ...], tuple[float, ...]]:
    floor = vehicle.components["floor"]
    return extent_mm(floor.solids, floor.pose)


@pytest.mark.parametrize("answer", ["", "2"])
def test_a_floor_nobody_measured_is_smaller_than_the_vehicle(answer: str, tmp_path: Path) -> None:
    # From the front axle to 400 mm short of the tail, 200 mm free on either side for the wheels.
    vehicle, out = made(tmp_path, f"floor\n{answer}\n{WALL}{END}nothing\nnone yet\n")
    assert floor_of(vehicle) == ((0, -550, 0), (2200, 550, 2))
    assert "floor: x 0 to 2200, y -550 to 550, z 0 to 2 mm" in out


def test_a_floor_that_was_measured_is_as_measured(tmp_path: Path) -> None:
    vehicle, _ = made(tmp_path, f"floor\n1800 x 900 x 3\n{WALL}{END}nothing\nnone yet\n")
    assert floor_of(vehicle) == ((0, -450, 0), (1800, 450, 3))
    other, _ = made(tmp_path / "long", f"floor\n2900 x 900 x 3\n{WALL}{END}nothing\nnone yet\n")
    # Too long to begin at the axle: it ends at the tail, at 2600.
    assert floor_of(other) == ((-300, -450, 0), (2600, 450, 3))


def test_a_floor_larger_than_the_vehicle_is_told(tmp_path: Path) -> None:
    done = piped(f"{WHOLE}floor\n3100 x 900 x 2\n", "new", tmp_path / "flea")
    assert "a length of 3100 mm is not between 0 and 3000 mm" in done.err


def test_the_space_at_a_wall_is_beside_it_and_not_above(tmp_path: Path) -> None:
    vehicle, out = made(tmp_path, f"floor\n\n{WALL}{END}firewall\n\n\n\n\n\nnothing\nnone yet\n")
    space = vehicle.spaces["firewall-space"]
    # Its rear face is at the wall's front face, x 390: 150 deep, as wide and as high as the wall.
    assert space.box.size_mm == (150.0, 900.0, 500.0)
    assert space.box.pose.at_mm == (315.0, 0.0, 260.0)
    assert space.against is not None
    assert space.against.value == "rearwards"
    assert "firewall space: x 240 to 390, y -450 to 450, z 10 to 510 mm" in out


def test_of_two_sides_of_a_wall_the_emptier_one_is_offered(tmp_path: Path) -> None:
    engine = "engine\n\nfloor\n200 x 300 x 300\nbottom 250 0 20\n"
    vehicle, _ = made(tmp_path, f"floor\n\n{WALL}{engine}{END}firewall\n\n\n\n\n\nnothing\nnone yet\n")
    # Behind it, from the wall's rear face at x 410.
    assert vehicle.spaces["firewall-space"].box.pose.at_mm == (485.0, 0.0, 260.0)


def test_the_space_on_anything_else_is_above_it(tmp_path: Path) -> None:
    box = "battery\n\nfloor\n200 x 300 x 300\nbottom 900 0 2\n"
    vehicle, _ = made(tmp_path, f"floor\n\n{WALL}{box}{END}battery\n\n\n\n\n\nnothing\nnone yet\n")
    space = vehicle.spaces["battery-space"].box
    assert (space.size_mm, space.pose.at_mm) == ((200.0, 300.0, 200.0), (900.0, 0.0, 402.0))


def test_what_is_offered_in_inches_is_whole_inches(tmp_path: Path) -> None:
    answers = (
        "Yank\ninch\n140 x 60 x 50\n18\n8\n1/8\nfloor\n\nfirewall\nfirewall\nfloor\n1 x 36 x 20\nbottom 16 0 1\n\n"
    )
    done = piped(f"{answers}firewall\n\n\n\n\n\nnothing\nfurther\nmove\nfirewall\n\n\n", "new", tmp_path / "yank")
    assert done.err == ""
    # From 18 in ahead of the axle to 122 behind it; 60 wide, 8 free on either side.
    assert "floor: x 0 to 104, y -22 to 22, z 0 to 0.08 in" in done.out
    assert "size [6 x 36 x 20]: " in done.out
    # A hand's breadth, and not a hundred inches.
    assert "how far [0 4 0]: " in done.out
