"""Strength of a pedal against statics solved another way, figures worked by hand, and published bolt groups."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from cli.shed import run
from sums.bench_car import CYLINDER, FIGURES, LINKS, PARTS, PEDAL, part

from planner.model.figures import (
    ArmFigures,
    BarSort,
    BoltFigures,
    Figure,
    PedalFigures,
    PinFigures,
    SheetFigures,
    WeldFigures,
)
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component
from planner.shelf import projects_folder
from planner.shelf.fill_pedals import GRADES, THREADS_MM
from planner.sums.lever import Lever, foot_push_n, forces_at, pivot_push_n, state_at
from planner.sums.mountings import worst_bolt
from planner.sums.pins import pin_bearing_mpa, pin_bending_mpa, pin_shear_mpa
from planner.sums.sections import drilled_strip
from planner.sums.sheet import sums_of
from planner.sums.strength_lines import bent_over_mm
from planner.sums.threads import METRIC_COARSE_PITCH_MM, metric_grade

ARM = ArmFigures(sort=BarSort.FLAT, across_mm=(Figure(10.0), Figure(30.0)), yield_mpa=Figure(250.0))
PIN = PinFigures(across_mm=Figure(16.0), long_mm=Figure(40.0), yield_mpa=Figure(350.0), bush_mpa=Figure(40.0))
BOLTS = BoltFigures(
    on="box",
    thread_mm=8.0,
    grade="8.8",
    along="x",
    at_mm=((0.0, -50.0, 100.0), (0.0, 50.0, 100.0), (0.0, -50.0, -50.0), (0.0, 50.0, -50.0)),
    edge_mm=Figure(20.0),
)
SHEET = SheetFigures(
    thick_mm=Figure(1.2),
    doubler_mm=Figure(3.0),
    tensile_mpa=Figure(360.0),
    washer_mm=Figure(17.0),
    edge_mm=Figure(15.0),
)


def lines(pedal: PedalFigures, parts: dict[str, Component] = PARTS) -> dict[str, SumLine]:
    return {x.id: x for x in sums_of(parts, LINKS, replace(FIGURES, pedals={"pedal": pedal}))}


def random_lever(draw: random.Random) -> Lever:
    pivot = (900.0 + draw.uniform(-20, 20), 600.0)
    clevis = (pivot[0] + draw.uniform(-20, 20), pivot[1] - draw.uniform(50, 100))
    return Lever(
        pivot_mm=pivot,
        clevis_mm=clevis,
        pad_mm=(pivot[0] + draw.uniform(-60, 60), pivot[1] - draw.uniform(250, 420)),
        mouth_mm=(750.0, clevis[1] + draw.uniform(-8, 8)),
        push_deg=180.0 + draw.uniform(-4, 4),
        rod_mm=draw.uniform(110, 160),
        travel_deg=-draw.uniform(8, 18),
    )


def test_the_pivots_push_by_sums_of_forces_and_moments() -> None:
    """Unknown rod force and two of the pivot's, three equations solved at once: no virtual work in it."""
    draw = random.Random(3)
    for _ in range(200):
        lever = random_lever(draw)
        angle = draw.uniform(0, 1) * lever.travel_deg
        here = state_at(lever, angle)
        foot = np.array(foot_push_n(lever, angle, 2000.0))
        pad, pin = np.array(here.pad_mm), np.array(lever.pivot_mm)
        assert np.linalg.norm(foot) == pytest.approx(2000.0)
        assert foot @ (pad - pin) == pytest.approx(0.0, abs=1e-6)
        rod = (np.array(here.clevis_mm) - np.array(here.seat_mm)) / math.dist(here.clevis_mm, here.seat_mm)
        arm = np.array(here.clevis_mm) - pin
        rows = np.array([[rod[0], 1, 0], [rod[1], 0, 1], [arm[0] * rod[1] - arm[1] * rod[0], 0, 0]])
        turn = (pad - pin)[0] * foot[1] - (pad - pin)[1] * foot[0]
        along, x, z = np.linalg.solve(rows, -np.array([foot[0], foot[1], turn]))
        assert pivot_push_n(lever, angle, 2000.0) == pytest.approx((-x, -z), rel=1e-8, abs=1e-6)
        assert forces_at(lever, angle, 2000.0).rod_n == pytest.approx(along, rel=1e-8)


@pytest.mark.parametrize(("clevis_z", "worst"), [(-70.0, 350.0), (70.0, 420.0), (-200.0, 220.0)])
def test_where_the_arm_is_bent_most(clevis_z: float, worst: float) -> None:
    """Bending along a straight arm, cut by cut, from pad, rod and pivot forces in balance."""
    lever = Lever(
        pivot_mm=(0, 0), clevis_mm=(0, clevis_z), pad_mm=(0, -420), mouth_mm=(-100, clevis_z), push_deg=180,
        rod_mm=100, travel_deg=-1,
    )  # fmt: skip
    # A unit push at the pad; the rod's from moments about the pivot, the pivot's from the sum.
    rod = -420.0 / clevis_z
    loads = {-420.0: -1.0, clevis_z: rod, 0.0: 1.0 - rod}
    assert sum(loads.values()) == pytest.approx(0.0)
    assert sum(z * f for z, f in loads.items()) == pytest.approx(0.0)
    cuts = np.linspace(-420, max(0.0, clevis_z), 5001)
    bent = max(abs(sum(f * (cut - z) for z, f in loads.items() if z < cut)) for cut in cuts)
    assert bent_over_mm(lever) == pytest.approx(bent, rel=2e-3)
    assert bent_over_mm(lever) == pytest.approx(worst)


def test_an_arm_by_hand() -> None:
    """2000 N x 350 mm = 700 N m; 10 x 30 on edge has W = 1500 mm3, with a hole of 8 mm 1471.6 mm3."""
    assert lines(PedalFigures(arm=ARM))["pedal.arm"].value == pytest.approx(250 / (700_000 / 1500), rel=1e-4)
    drilled = lines(PedalFigures(arm=replace(ARM, hole_mm=Figure(8.0))))["pedal.arm"]
    assert drilled.value == pytest.approx(250 / (700_000 / 1471.56), rel=1e-4)
    assert drilled.verdict is Verdict.FAILS
    assert "fatigue" in " ".join(drilled.not_covered)


def test_a_short_thick_arm_is_sheared_rather_than_bent() -> None:
    """von Mises: 250 / sqrt 3 over 1.5 F / A; with the rod 1 mm from the pad bending is next to nothing."""
    near = replace(PEDAL, ports_mm={"rod": (0, 0, -419), "pad": (0, 0, -420)})
    cylinder = replace(CYLINDER, pose=replace(CYLINDER.pose, at_mm=(800, 300, 181)))
    line = lines(PedalFigures(arm=ARM), {"pedal": near, "cylinder": cylinder})["pedal.arm"]
    assert line.value == pytest.approx(250 / math.sqrt(3) / (1.5 * 2000 / 300), rel=1e-3)


def test_a_drilled_bar_by_adding_strips() -> None:
    section = drilled_strip(10, 30, 8)
    heights = np.arange(-15, 15, 0.001) + 0.0005
    second = float(np.sum(np.where(np.abs(heights) > 4, 10 * heights**2 * 0.001, 0.0)))
    assert section.second_mm4 == pytest.approx(second, rel=1e-6)
    with pytest.raises(ValueError, match="leaves nothing"):
        drilled_strip(10, 30, 30)


def test_a_pivot_by_hand() -> None:
    """Rod 12 000 N back, foot 2000 N forward: 10 000 N on the pivot; 16 mm has 201.06 mm2 and W = 402.12 mm3."""
    found = lines(PedalFigures(pivot=PIN, panic_n=Figure(1000.0)))
    assert found["pedal.pivot-shear"].value == pytest.approx(350 / math.sqrt(3) / (10_000 / 402.12), rel=1e-3)
    assert found["pedal.pivot-bending"].value == pytest.approx(350 / (10_000 * 40 / 4 / 402.12), rel=1e-3)
    assert found["pedal.bush"].value == pytest.approx(40 / (10_000 / 640), rel=1e-3)
    assert found["pedal.bush-panic"].value == pytest.approx(2 * 40 / (10_000 / 640), rel=1e-3)
    assert found["pedal.bush-panic"].low == 1.5
    assert pin_shear_mpa(10_000, 16, 1) == pytest.approx(10_000 / 201.06, rel=1e-4)
    # A cantilever with its load half a bush out, and bearing on the projected area.
    assert pin_bending_mpa(10_000, 16, 40, 1) == pytest.approx(10_000 * 20 / 402.12, rel=1e-4)
    assert pin_bearing_mpa(10_000, 16, 40) == pytest.approx(15.625)


def springs(places: np.ndarray, force: np.ndarray, moment: float) -> np.ndarray:
    """Shear of equal bolts under a stiff plate by its three displacements, as a finite-element program would."""
    stiff = np.zeros((3, 3))
    maps = [np.array([[1, 0, -y], [0, 1, x]]) for x, y in places]
    for each in maps:
        stiff += each.T @ each
    moved = np.linalg.solve(stiff, np.array([*force, moment]))
    return np.array([np.linalg.norm(each @ moved) for each in maps])


def test_shear_of_a_group_anywhere_in_space() -> None:
    draw = np.random.default_rng(5)
    for _ in range(100):
        flat = draw.uniform(-80, 80, (draw.integers(2, 9), 2))
        turn, _ = np.linalg.qr(draw.normal(size=(3, 3)))
        one, two, way = turn.T
        places = [tuple(x * one + y * two + 40 * way) for x, y in flat]
        force, at = draw.normal(size=2) * 1000, draw.normal(size=2) * 200
        push = force[0] * one + force[1] * two
        where = at[0] * one + at[1] * two + 40 * way
        moment = (at[0]) * force[1] - (at[1]) * force[0]
        expected = springs(flat, force, moment).max()
        # The axes may be left-handed; the size of each bolt's load is not changed by that.
        assert worst_bolt(places, tuple(way), tuple(push), tuple(where)).shear_n == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("order", [(0, 1, 2), (1, 2, 0), (2, 0, 1)])
@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_bracket_tipping_about_its_edge(order: tuple[int, int, int], way: float) -> None:
    """Bhandari 7.7: 50 kN at 250 mm, two bolts each 300, 200 and 100 mm above the edge: 13 392.9 N on the worst."""

    def laid(x: float, y: float, z: float) -> tuple[float, float, float]:
        values = (x, y, z)
        a, b, c = (values[n] for n in order)
        return a, b, c

    bolts = [laid(0, y, z) for z in (100, 200, 300) for y in (-60, 60)]
    found = worst_bolt(bolts, laid(way, 0, 0), laid(0, 0, -50_000), laid(250, 0, 150), edge_mm=100)
    assert found.pull_n == pytest.approx(13_392.9, rel=1e-4)
    assert found.shear_n == pytest.approx(50_000 / 6)


def test_bolts_in_one_line_do_not_keep_it_from_tipping() -> None:
    bolts = [(0.0, -50.0, 0.0), (0.0, 50.0, 0.0)]
    with pytest.raises(ValueError, match="one line"):
        worst_bolt(bolts, (1, 0, 0), (0, 0, -1000), (100, 0, 0))


def boxed(*, together: bool) -> dict[str, Component]:
    box = part("box", "pedal-box", pose=replace(PEDAL.pose, at_mm=(860, 300, 600)))
    on = {"mounted_on": "box"}
    other = on if together else {"mounted_on": "bulkhead"}
    return {"box": box, "pedal": replace(PEDAL, **on), "cylinder": replace(CYLINDER, **other)}


def test_bolts_and_sheet_by_hand() -> None:
    """Foot 2000 N forward at 420 mm below the pivot on the bolts' own way: 500 N each, and 2000 x 445 tips it.

    The bolts' middle is 25 mm above the pivot; rows 20 and 170 mm from the edge on the worse side.
    """
    found = lines(PedalFigures(bolts=BOLTS, sheet=SHEET), boxed(together=True))
    pull = 2000 / 4 + 2000 * 445 * 170 / (2 * (20**2 + 170**2))
    strength = 0.9 * 800 * 36.6
    assert found["pedal.bolts"].value == pytest.approx(strength / pull, rel=3e-3)
    punch = 0.6 * math.pi * 17 * 4.2 * 360
    assert found["pedal.pull-through"].value == pytest.approx(punch / pull, rel=3e-3)
    assert found["pedal.bolts"].low == 1.25


def test_a_pedal_alone_on_its_mounting_pulls_with_all_the_pivot_takes() -> None:
    """10 000 N on the pivot, 25 mm below the bolts' middle: 2500 N each, and 250 N m."""
    found = lines(PedalFigures(bolts=BOLTS), boxed(together=False))["pedal.bolts"]
    pull = 10_000 / 4 + 10_000 * 25 * 170 / (2 * (20**2 + 170**2))
    assert found.value == pytest.approx(0.9 * 800 * 36.6 / pull, rel=3e-3)


def test_welds_by_hand() -> None:
    """Once round a 40 mm boss of 5 mm: Khurmi's 2 T / (pi d2 t) for 2000 N x 420 mm; runs of 80 mm: 10 000 N."""
    boss = WeldFigures(leg_mm=Figure(5.0), electrode_mpa=Figure(480.0), round_mm=Figure(40.0))
    stress = 2 * 840_000 / (math.pi * 40**2 * 0.707 * 5)
    assert lines(PedalFigures(weld=boss))["pedal.weld"].value == pytest.approx(0.6 * 480 / stress, rel=1e-6)
    runs = replace(boss, round_mm=None, long_mm=Figure(80.0))
    stress = 10_000 / (0.707 * 5 * 80)
    told = lines(PedalFigures(weld=runs))["pedal.weld"]
    assert told.value == pytest.approx(0.6 * 480 / stress, rel=1e-3)
    assert told.low == 2.0
    assert "no known quality" in " ".join(told.not_covered)


def test_what_is_not_there_is_asked_for() -> None:
    found = {x.id: x for x in sums_of(PARTS, LINKS, replace(FIGURES, pedals={"nope": PedalFigures(arm=ARM)}))}
    assert found["nope.strength"].verdict is Verdict.UNKNOWN
    assert "the vehicle has none of that name" in found["nope.strength"].note
    assert lines(PedalFigures(bolts=BOLTS))["pedal.bolts"].missing == ("`part box`",)


def test_a_pedal_that_only_a_job_adds_says_which_job() -> None:
    """The worked project's own case: its figures are of the pedal that the job `hung-pedals` brings."""
    ended = run("sums", projects_folder() / "trials-car", "--about", "hung-brake-pedal")
    assert "only in job `hung-pedals`: name that job as well" in " ".join(ended.out.split()), ended.err


def test_a_doubtful_yield_widens_the_factor() -> None:
    unsure = replace(ARM, yield_mpa=Figure(500.0, 50.0))
    line = lines(PedalFigures(arm=unsure))["pedal.arm"]
    assert (line.least, line.most) == pytest.approx((450 / 466.67, 550 / 466.67), rel=1e-3)
    assert line.verdict is Verdict.CLOSE


def test_threads_and_grades_the_file_takes_are_the_ones_tabled() -> None:
    assert set(THREADS_MM) == set(METRIC_COARSE_PITCH_MM)
    for grade in GRADES:
        metric_grade(grade, 8)
    with pytest.raises(ValueError, match="not one of"):
        metric_grade("9.9", 8)
