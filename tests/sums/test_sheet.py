"""The sheet of sums against figures worked out by hand from published examples; what is missing is asked for once."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sums.bench_car import CYLINDER, FIGURES, FRONT, LINKS, PARTS, PEDAL, ROD, WEIGHT, part

from planner.model.figures import BrakeSort, CoolantFigures, Figure, Figures, PipeFigures
from planner.model.shapes import Box, Pose, Turn
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component, End, Link
from planner.shelf.fill_figures import MIXES
from planner.sums import coolant
from planner.sums.lever_lines import FREE_MM
from planner.sums.sheet import sums_of


def sheet(
    parts: dict[str, Component] = PARTS, links: dict[str, Link] = LINKS, figures: Figures | None = FIGURES
) -> dict[str, SumLine]:
    lines = sums_of(parts, links, figures)
    found = {x.id: x for x in lines}
    assert len(found) == len(lines), "two sums share an id"
    return found


def test_the_chain_from_foot_to_line() -> None:
    """500 N x 6 = 3000 N on a 19.05 mm bore is 10.525 MPa: lever and Pascal as in Esposito, ex. 3-4 and 3-5."""
    lines = sheet()
    assert lines["rod.ratio"].value == pytest.approx(6.0, rel=1e-4)
    assert lines["rod.pressure"].value == pytest.approx(10.525, rel=1e-3)
    assert lines["rod.proof-force"].value == pytest.approx(12_000, rel=1e-3)
    assert "rod.share" not in lines


def test_force_at_the_road_of_a_published_drum() -> None:
    """Shigley, Mechanical Engineering Design, ex. 16-2: 2.28 kN on each shoe give 366 + 162 N m.

    A bore of 16.60 mm at 10.525 MPa is 2278 N; two wheels of 0.3 m radius.
    """
    assert sheet()["front.force"].value == pytest.approx(2 * 528 / 0.3, rel=0.01)


def test_a_disc_by_hand() -> None:
    """T = 2 mu F r (Mechanical Engineer's Data Handbook); two pistons face each other, so one pushes each pad."""
    disc = replace(FRONT, sort=BrakeSort.DISC, bore_mm=Figure(40.0), radius_mm=Figure(100.0), friction=Figure(0.4))
    pad_n = 10.525 * math.pi / 4 * 40**2
    found = sheet(figures=replace(FIGURES, axles={"front": disc}))["front.force"].value
    assert found == pytest.approx(2 * (2 * 0.4 * pad_n * 100) / 300, rel=2e-3)


def test_fluid_travel_and_reserve_by_hand() -> None:
    """Both axles: 2 x 2 pistons each, 0.5 mm; hoses 40 mm3/MPa each; 40 ml squeezed at 1700 MPa."""
    parts = {**PARTS, "pedal": replace(PEDAL, motion=replace_travel(18.0))}
    lines = sheet(parts)
    mpa = lines["rod.pressure"].value
    assert mpa is not None
    take_up = 8 * math.pi / 4 * 16.60**2 * 0.5
    wanted = take_up + 80 * mpa + (40_000 + take_up) * mpa / 1700
    assert lines["rod.fluid"].value == pytest.approx(wanted / 1000, rel=1e-6)
    piston = FREE_MM[1] + wanted / (math.pi / 4 * 19.05**2)
    ratio = lines["rod.ratio"].value
    assert lines["rod.travel"].value == pytest.approx(piston * ratio, rel=1e-6)
    arc = 420 * math.radians(18)
    assert lines["rod.reserve"].value == pytest.approx(arc - piston * ratio, rel=1e-6)


def replace_travel(to_deg: float) -> Turn:
    assert isinstance(PEDAL.motion, Turn)
    return replace(PEDAL.motion, to_deg=to_deg)


def test_one_circuit_for_all_leaves_nothing_and_two_leave_one() -> None:
    assert sheet()["brakes.without-rod"].value == 0
    assert sheet()["brakes.without-rod"].verdict is Verdict.FAILS
    parts, links = two_cylinders(-30, 30)
    axles = {"front": FRONT, "rear": replace(FRONT, system="rear")}
    lines = sheet(parts, links, replace(FIGURES, axles=axles))
    left = lines["rear.force"].value
    assert left is not None
    assert lines["brakes.without-rod"].value == pytest.approx(left / 700, rel=1e-6)


def two_cylinders(front_y: float, rear_y: float) -> tuple[dict[str, Component], dict[str, Link]]:
    ports = {**PEDAL.ports_mm, "rod": (0.0, front_y, -70.0), "rod-2": (0.0, rear_y, -70.0)}
    other = replace(CYLINDER, id="other", pose=Pose(at_mm=(800, 300 + rear_y, 530)), systems=("rear",))
    first = replace(CYLINDER, pose=Pose(at_mm=(800, 300 + front_y, 530)))
    ends = (End(component="pedal", port="rod-2"), End(component="other", port="rod"))
    parts = {"pedal": replace(PEDAL, ports_mm=ports), "cylinder": first, "other": other}
    return parts, {"rod": ROD, "rod-2": replace(ROD, id="rod-2", ends=ends)}


def test_a_balance_bar_shares_by_its_arms() -> None:
    """Moments about the bearing: 20 and 40 mm away, the nearer rod takes two thirds."""
    lines = sheet(*two_cylinders(-20, 40))
    assert lines["rod.share"].value == pytest.approx(200 / 3)
    assert lines["rod-2.share"].value == pytest.approx(100 / 3)
    assert lines["rod.pressure"].value == pytest.approx(10.525 * 2 / 3, rel=1e-3)


def test_two_rods_on_one_side_are_no_balance_bar() -> None:
    lines = sheet(*two_cylinders(20, 40))
    assert lines["rod.pressure"].verdict is Verdict.UNKNOWN
    assert "either side" in lines["rod.pressure"].note


def test_which_axle_locks_first_by_moments() -> None:
    """The front's load at 0.8 g over the weight is (l_r + z h) / E; its share must not be less (Bevan)."""
    ideal = (1100 + 0.8 * 500) / 2300
    assert sheet()["brakes.balance"].value == pytest.approx(100 * (0.5 - ideal), rel=1e-9)
    assert sheet()["brakes.balance"].verdict is Verdict.FAILS


def test_the_header_tank_takes_the_swelling() -> None:
    """8 l of half-and-half from 20 to 90 degC swell 4.11 % by mass fits of ASHRAE data; as much again kept."""
    tank = part("tank", "header-tank", pose=Pose(at_mm=(0, 0, 700)), solids=(Box(size_mm=(100, 100, 100)),))
    figures = replace(
        FIGURES,
        coolant=CoolantFigures(
            fill_mm3=Figure(8e6), tank_mm3=Figure(0.5e6), mix=MIXES[1], cold_c=20.0, hot_c=90.0, level_mm=Figure(40.0)
        ),
    )
    line = sheet({"tank": tank}, {}, figures)["tank.holds"]
    assert line.low == pytest.approx(2 * 8 * 0.0411, rel=2e-3)
    assert line.verdict is Verdict.FAILS


def test_the_level_over_the_radiator() -> None:
    tank = part(
        "tank", "header-tank", pose=Pose(at_mm=(0, 0, 700)), solids=(Box(size_mm=(9, 9, 100)),), systems=("cooling",)
    )
    radiator = part(
        "radiator",
        "radiator",
        pose=Pose(at_mm=(0, 0, 400)),
        solids=(Box(size_mm=(50, 400, 300)),),
        systems=("cooling",),
        ports_mm={"neck": (0.0, 0.0, 170.0)},
    )
    figures = replace(FIGURES, coolant=CoolantFigures(level_mm=Figure(30.0, 5.0)))
    lines = sheet({"tank": tank, "radiator": radiator}, {}, figures)
    assert lines["tank.over-radiator"].value == 650 - 550
    assert (lines["tank.level"].least, lines["tank.level"].value, lines["tank.level"].most) == (105, 110, 115)


def test_the_pipe_against_barlow() -> None:
    """2 x 300 x 0.7 / 4.75 = 88.4 MPa (Barlow), a quarter of it allowed."""
    figures = replace(FIGURES, pipe=PipeFigures(wall_mm=Figure(0.7), strength_mpa=Figure(300.0), factor=4.0))
    ends = (End(component="cylinder"), End(component="cylinder"))
    pipe = replace(ROD, id="pipe", kind="brake-pipe", rigid=False, across_mm=4.75, system="brakes", ends=ends)
    line = sheet(PARTS, {**LINKS, "pipe": pipe}, figures)["rod.pipe"]
    assert line.high == pytest.approx(2 * 300 * 0.7 / 4.75 / 4)
    assert line.value == pytest.approx(4 * 10.525, rel=1e-3)
    assert line.verdict is Verdict.FAILS


def test_what_is_missing_is_asked_for_by_name() -> None:
    bare = {"pedal": PEDAL, "cylinder": replace(CYLINDER, bore_mm=None)}
    lines = sheet(bare)
    assert lines["rod.pressure"].missing == ("`bore` of `cylinder`",)
    assert lines["rod.pressure"].note == "give `bore` of `cylinder`"
    assert lines["rod.stroke"].value is not None, "a missing bore must not hide the stroke"
    none = sheet(figures=None)
    assert none["rod.fluid"].missing == ("`figures.brakes` of `brakes`",)
    unweighed = sheet(figures=replace(FIGURES, weight=replace(WEIGHT, height_mm=None)))
    assert unweighed["brakes.balance"].missing == ("`height` of `figures.weight`",)


def test_wheel_parts_say_bore_and_pistons_themselves() -> None:
    wheels = {
        i: part(i, "brake-drum", systems=("brakes",), bore_mm=Figure(16.60), pistons=2) for i in ("left", "right")
    }
    axle = replace(FRONT, bore_mm=None, pistons=None)
    told = sheet({**PARTS, **wheels}, LINKS, replace(FIGURES, axles={"front": axle}))
    assert told["front.force"].value == pytest.approx(2 * 528 / 0.3, rel=0.01)
    wheels["left"] = replace(wheels["left"], pistons=None)
    half = sheet({**PARTS, **wheels}, LINKS, replace(FIGURES, axles={"front": axle}))
    assert half["front.force"].missing == ("`pistons` of `left`",)


def test_a_doubtful_arm_widens_what_hangs_on_it_and_turns_fine_into_close() -> None:
    sure = sheet()["rod.ratio"]
    assert sure.least == sure.value == sure.most
    assert sure.verdict is Verdict.FINE
    unsure = replace(PEDAL, port_doubts_mm={"rod": (0.0, 0.0, 14.0)})
    line = sheet({**PARTS, "pedal": unsure})["rod.ratio"]
    # By hand: the arm is 56 to 84 mm, the ratio 420 over it.
    assert (line.least, line.most) == pytest.approx((420 / 84, 420 / 56), rel=2e-3)
    assert line.verdict is Verdict.CLOSE


def test_a_shoe_that_locks_by_itself_is_said() -> None:
    grabby = replace(FIGURES, axles={"front": replace(FRONT, friction=Figure(1.5))})
    line = sheet(figures=grabby)["front.force"]
    assert line.verdict is Verdict.UNKNOWN
    assert "locks by itself" in line.note


def test_every_sum_says_what_it_rests_on() -> None:
    for line in sheet().values():
        assert line.source
        assert line.assumed
        assert line.not_covered


def test_mixes_that_the_file_takes_are_the_ones_tabled() -> None:
    assert set(MIXES) == set(coolant.FLUIDS)


def test_a_lever_that_draws_the_piston_back_fails_and_gives_no_force() -> None:
    lines = sheet({**PARTS, "pedal": replace(PEDAL, motion=replace_travel(-16.0))})
    assert lines["rod.stroke"].verdict is Verdict.FAILS
    assert lines["rod.pressure"].verdict is Verdict.UNKNOWN
    assert "draws the piston back" in lines["rod.pressure"].note


def test_a_dead_centre_in_the_travel_gives_no_force() -> None:
    """The clevis hangs straight below the pivot and pushes forward: it comes back once it is 90 deg on."""
    lines = sheet({**PARTS, "pedal": replace(PEDAL, motion=replace_travel(105.0))})
    assert "dead centre" in lines["rod.free-play-least"].note


def test_a_stroke_is_not_called_enough_while_nobody_knows_how_much_fluid_is_wanted() -> None:
    """A piston that does not meet its end may still move far too little: without the brakes that is not known."""
    pedal = replace(PEDAL, motion=replace_travel(16.0), port_doubts_mm={})
    parts = {**PARTS, "pedal": pedal, "cylinder": replace(CYLINDER, stroke_mm=Figure(90.0))}
    known = {x.id: x for x in sums_of(parts, LINKS, FIGURES)}
    bare = {x.id: x for x in sums_of(parts, LINKS, Figures(axles={}))}
    assert known["rod.stroke"].verdict is Verdict.FINE
    assert bare["rod.fluid"].verdict is Verdict.UNKNOWN
    assert (bare["rod.stroke"].value, bare["rod.stroke"].verdict) == (known["rod.stroke"].value, Verdict.UNKNOWN)
    assert "whether this stroke moves enough fluid is not known" in bare["rod.stroke"].note
