"""Runs with answers worked out by hand. Lengths are of the centre line, which keeps across/2 + keep from each box."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from route_cases import TALL, block, faults, task

from planner.model.shapes import Vec
from planner.space import ClearRun, Ease, Guard, NoRun, RunTask, find_run, place_along, solid_body

from planner.model.shapes import Box, Pose  # isort: skip

SLAB = block((300.0, 0.0, 0.0), (100.0, 200.0, TALL))


def found(asked: RunTask) -> ClearRun:
    run = find_run(asked)
    assert isinstance(run, ClearRun), run
    return run


def round_a_slab(ahead: float, beside: float, thick: float, radius: float) -> float:
    """Shortest way round one side of a slab, its edges rounded to ``radius``: tangent, arc, along, arc, tangent."""
    far = math.hypot(ahead, beside)
    tangent = math.sqrt(far * far - radius * radius)
    slope = math.atan2(beside, ahead) + math.asin(radius / far)
    return 2.0 * (tangent + radius * slope) + thick


def test_free_space_is_a_straight_line_and_its_own_bound() -> None:
    run = found(task([]))
    assert run.points_mm == ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0))
    assert run.length_mm == run.bound_mm == pytest.approx(600.0)


@pytest.mark.parametrize("aside", [0.0, 30.0, 60.0])
def test_one_slab_in_the_way_is_gone_round_by_its_shorter_side(aside: float) -> None:
    slab = block((300.0, aside, 0.0), (100.0, 200.0, TALL))
    asked = task([slab], bend=5.0)
    run = found(asked)
    best = round_a_slab(250.0, 100.0 - aside, 100.0, 15.0)
    assert faults(run, asked, [slab], 10.0) == []
    assert best - 0.05 <= run.length_mm <= 1.03 * best
    assert run.bound_mm <= best + 0.05
    assert run.bound_mm > 605.0


def test_a_low_block_is_gone_over() -> None:
    low = block((300.0, 0.0, -200.0), (60.0, 2000.0, 480.0))
    asked = task([low], bend=5.0)
    run = found(asked)
    best = round_a_slab(270.0, 40.0, 60.0, 15.0)
    assert faults(run, asked, [low], 10.0) == []
    assert best - 0.05 <= run.length_mm <= 1.03 * best
    assert max(p[2] for p in run.points_mm) > 50.0


def wall_with_window(x: float, y: float, half: float) -> list[Box]:
    """A wall 10 mm thick across the line, open only at a square window about (x, y, 0)."""
    side = 1400.0
    return [
        block((x, y - half - side / 2, 0.0), (10.0, side, TALL)),
        block((x, y + half + side / 2, 0.0), (10.0, side, TALL)),
        block((x, y, half + side / 2), (10.0, 2 * half, side)),
        block((x, y, -half - side / 2), (10.0, 2 * half, side)),
    ]


def test_a_wall_is_gone_through_at_its_hole() -> None:
    walls = wall_with_window(300.0, 200.0, 40.0)
    asked = task(walls, bend=10.0, keep=5.0)
    run = found(asked)
    least = 2.0 * math.hypot(300.0, 200.0 - 40.0 + 10.0)
    assert faults(run, asked, walls, 5.0) == []
    assert least <= run.length_mm <= 1.03 * least


def test_a_thin_sheet_does_not_slip_between_the_nodes_of_the_lattice() -> None:
    sheet = block((300.0, 0.0, 0.0), (0.8, 300.0, TALL))
    asked = task([sheet], across=3.0, bend=5.0, keep=0.0)
    run = found(asked)
    assert faults(run, asked, [sheet], 0.0) == []
    assert run.length_mm >= 2.0 * math.hypot(299.0, 150.0)


def test_a_hole_too_small_for_the_hose_is_no_way() -> None:
    walls = wall_with_window(300.0, 0.0, 18.0)
    assert isinstance(find_run(task(walls, across=20.0, keep=5.0)), ClearRun)
    shut = find_run(task(walls, across=30.0, keep=5.0))
    assert isinstance(shut, NoRun)
    assert not shut.bends
    assert {s.guard for s in shut.snags} & {"box-0", "box-1", "box-2", "box-3"}
    assert shut.at_mm is not None
    assert abs(shut.at_mm[0] - 300.0) < 30.0


def staggered() -> list[Box]:
    """Two walls 70 mm apart with windows 160 mm apart: a run has to turn twice between them."""
    return [*wall_with_window(265.0, -80.0, 35.0), *wall_with_window(335.0, 80.0, 35.0)]


def test_bends_that_fit_are_made_and_bends_that_do_not_are_told() -> None:
    walls = staggered()
    asked = task(walls, bend=20.0, keep=5.0)
    assert faults(found(asked), asked, walls, 5.0) == []
    stiff = find_run(task(walls, bend=200.0, keep=5.0))
    assert isinstance(stiff, NoRun)
    assert stiff.bends


def test_no_way_at_all() -> None:
    shell = [
        block((0.0, 0.0, s * 100.0), (220.0, 220.0, 20.0)) for s in (-1, 1)
    ] + [block((s * 100.0, 0.0, 0.0), (20.0, 220.0, 220.0)) for s in (-1, 1)] + [
        block((0.0, s * 100.0, 0.0), (220.0, 20.0, 220.0)) for s in (-1, 1)
    ]  # fmt: skip
    shut = find_run(task(shell))
    assert isinstance(shut, NoRun)
    assert not shut.bends


@pytest.mark.parametrize("x", [120.0, 480.0])
def test_straight_ends_are_kept_straight(x: float) -> None:
    slab = block((x, 0.0, 0.0), (60.0, 200.0, TALL))
    without, asked = found(task([slab])), task([slab], straight=220.0)
    run = found(asked)
    assert faults(run, asked, [slab], 10.0) == []
    assert min(math.dist(*without.points_mm[:2]), math.dist(*without.points_mm[-2:])) < 220.0
    assert run.length_mm > without.length_mm


def test_it_leaves_its_port_the_way_it_is_told() -> None:
    run = found(replace(task([]), leaves=((0.0, 0.0, 1.0), None)))
    assert run.points_mm[1][:2] == (0.0, 0.0)
    assert run.points_mm[1][2] >= 20.0
    assert run.length_mm > 600.0


def test_places_it_must_go_through() -> None:
    through: Vec = (300.0, 150.0, 0.0)
    run = found(replace(task([]), points_mm=((0.0, 0.0, 0.0), through, (600.0, 0.0, 0.0))))
    assert through in run.points_mm
    assert 655.0 < run.length_mm < 2.0 * math.hypot(300.0, 150.0)
    assert run.bound_mm == pytest.approx(600.0)


def test_its_own_part_lets_it_out_near_its_port_and_nowhere_else() -> None:
    own = block((-50.0, 0.0, 0.0), (100.0, 200.0, 200.0))
    ease = Ease(at_mm=(-100.0, 0.0, 0.0), reach_mm=25.0, keep_mm=-math.inf)
    guard = Guard(id="own", body=solid_body((own,), Pose()), keep_mm=0.0, eased=(ease,))
    run = find_run(replace(task([], start=(-100.0, 0.0, 0.0)), guards=(guard,)))
    assert isinstance(run, ClearRun)
    assert run.length_mm > 700.0 + 20.0


def test_it_is_led_along_what_it_can_be_clipped_to() -> None:
    rail = solid_body((block((300.0, 160.0, 0.0), (600.0, 40.0, 40.0)),), Pose())
    hanging = found(task([]))
    led = found(replace(task([]), guards=(Guard(id="rail", body=rail, keep_mm=0.0),), firm=(rail,)))
    assert hanging.length_mm == pytest.approx(600.0)
    assert place_along(led.points_mm, 20.0, led.length_mm / 2.0)[1] >= 75.0
    assert led.length_mm < 750.0


def test_the_same_every_time() -> None:
    walls = staggered()
    assert find_run(task(walls, keep=5.0)) == find_run(task(walls, keep=5.0))


KNOWN: tuple[Vec, ...] = ((300.0, 200.0, 0.0),)
"""Round the slab by y = 200: at the slab's corner (250, 100) the leg is 66.7 mm off, and 15 mm are to be kept."""


def test_a_run_known_before_stays_where_it_still_goes_though_a_shorter_one_is_there() -> None:
    asked = task([SLAB], bend=5.0)
    kept = found(replace(asked, known_mm=KNOWN))
    assert kept.points_mm == ((0.0, 0.0, 0.0), *KNOWN, (600.0, 0.0, 0.0))
    assert kept.length_mm > found(asked).length_mm + 50.0


def test_a_run_known_before_that_is_shut_by_now_is_looked_for_anew() -> None:
    wider = block((300.0, 0.0, 0.0), (100.0, 400.0, TALL))
    asked = task([wider], bend=5.0)
    anew = found(replace(asked, known_mm=KNOWN))
    assert faults(anew, asked, [wider], 10.0) == []
    assert anew == found(asked)
