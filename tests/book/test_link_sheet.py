"""Sheets of links that are made: what is bent on marks and what is not, and numbers beside the drawn run."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from book.worked import answer

from planner.book.facts import BookFacts
from planner.book.link_sheet import link_sheet_of
from planner.book.making_sheet import MakingSheet
from planner.book.run_views import run_views_of, spots_for
from planner.model.runs import Bend, Laid, Run, RunSort

LINES = ("cut 1263 mm", "bend 1: begins 109 mm from the first end, 43 degrees round 75 mm; then down", "clips at 60 mm")
POINTS = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (160.0, 0.0, -200.0), (400.0, 60.0, -200.0))


def sheet(sort: RunSort, laid: Laid = Laid.FOUND) -> MakingSheet:
    found = answer("battery-aft")
    link = next(iter(found.knockons.links_after.values()))
    bends = (
        Bend(at_mm=109.2, angle_deg=43.3, roll_deg=-0.4, towards="down"),
        Bend(at_mm=550.6, angle_deg=22.0, roll_deg=-48.0, towards="rearwards"),
        Bend(at_mm=1110.8, angle_deg=7.1, roll_deg=97.6, towards="rearwards"),
    )
    run = Run(
        link=link.id,
        sort=sort,
        points_mm=POINTS,
        bend_mm=75.0,
        length_mm=1262.6,
        bound_mm=1200.0,
        cut_mm=1263.0,
        bends=bends,
        lines=LINES,
        laid=laid,
    )
    knockons = replace(found.knockons, runs={link.id: run})
    return link_sheet_of(BookFacts(answer=replace(found, knockons=knockons), keys=()), link)


def test_a_tube_has_its_bends_once_as_a_table_in_whole_millimetres() -> None:
    told = sheet(RunSort.PIPE)
    assert told.bends == (
        ("109 mm", "43", "0", "down"),
        ("551 mm", "22", "48 anticlockwise", "rearwards"),
        ("1111 mm", "7", "98 clockwise", "rearwards"),
    )
    assert told.radius == "75 mm"
    assert LINES[0] in told.lines
    assert LINES[2] in told.lines
    assert LINES[1] not in told.lines


@pytest.mark.parametrize("sort", [RunSort.LOOM, RunSort.HOSE, RunSort.CABLE])
def test_what_is_laid_has_no_bends_to_mark(sort: RunSort) -> None:
    told = sheet(sort)
    assert (told.bends, told.radius) == ((), "")
    assert set(LINES) <= set(told.lines)


def test_it_is_told_whose_the_run_is() -> None:
    instead, drawn, found = (sheet(RunSort.PIPE, laid).lines for laid in (Laid.INSTEAD, Laid.DRAWN, Laid.FOUND))
    assert "The run the job draws is not clear; this one is, and it is the one to make." in instead
    assert "Along the run that the job draws." in drawn
    assert not any("the job draws" in line for line in found)


def test_corners_too_close_for_their_bends_are_the_reason_for_no_cut_list() -> None:
    """A square corner 10 mm from the one before has no room for its bend of 14 mm, which takes 14 mm of each leg."""
    found = answer("battery-aft")
    facts = BookFacts(answer=replace(found, knockons=replace(found.knockons, runs={})), keys=())
    link = replace(next(iter(found.knockons.links_after.values())), bend_radius_mm=14.0)
    via = ((0.0, 0.0, 0.0), (0.0, 0.0, 10.0), (0.0, 900.0, 10.0))
    told = link_sheet_of(facts, replace(link, via_mm=via)).lines
    assert "Its corners, as they are drawn, leave no room for bends of 14 mm: draw them farther apart." in told
    assert any(line.startswith("No cut list was worked out for it.") for line in told)
    assert not any("leave no room" in line for line in link_sheet_of(facts, replace(link, via_mm=())).lines)


def test_a_straight_rod_is_not_drawn() -> None:
    assert 'class="vr"' in sheet(RunSort.PIPE).picture
    found = answer("battery-aft")
    link = next(iter(found.knockons.links_after.values()))
    straight = replace(found.knockons, runs={})
    facts = BookFacts(answer=replace(found, knockons=straight), keys=())
    assert link_sheet_of(facts, replace(link, via_mm=(), rigid=True)).picture == ""


RUNS = {
    "a corner close to the end": [(0.0, 0.0), (2.0, 3.0), (4.0, 1.0), (60.0, 0.0)],
    "there and back": [(0.0, 0.0), (40.0, 0.0), (40.0, 1.0), (0.0, 1.0), (0.0, 12.0)],
    "a knot": [(10.0, 10.0), (14.0, 10.0), (12.0, 13.0), (12.0, 7.0), (30.0, 7.0)],
    "straight down": [(5.0, 5.0), (5.0, 25.0), (5.0, 45.0)],
}


@pytest.mark.parametrize("dots", RUNS.values(), ids=RUNS)
def test_numbers_lie_on_no_other_number_and_near_their_own_corner(dots: list[tuple[float, float]]) -> None:
    marks = ["A", *map(str, range(1, len(dots) - 1)), "B"]
    spots = spots_for(marks, dots)
    for (x, y), dot in zip(spots, dots, strict=True):
        assert math.dist((x, y), dot) <= 5.01
    for (ax, ay), (bx, by) in combinations(spots, 2):
        assert abs(ax - bx) >= 2.0 or abs(ay - by) >= 2.0


def test_where_there_is_room_numbers_keep_off_the_line() -> None:
    dots = RUNS["straight down"]
    for x, y in spots_for(["A", "1", "B"], dots):
        near = min(_distance((x, y), a, b) for a, b in pairwise(dots))
        assert near >= 2.0


def _distance(at: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """By walking along the line in small steps."""
    steps = 2000
    return min(
        math.dist(at, (a[0] + (b[0] - a[0]) * k / steps, a[1] + (b[1] - a[1]) * k / steps)) for k in range(steps)
    )


def test_views_of_a_narrow_run_stand_side_by_side_and_of_a_long_one_under_one_another() -> None:
    narrow = run_views_of("x", ((0.0, 0.0, 0.0), (30.0, 10.0, 300.0), (60.0, 40.0, 0.0)), ("a", "b"), "mm")
    long = run_views_of("x", ((0.0, 0.0, 0.0), (900.0, 10.0, 30.0), (1500.0, 40.0, 0.0)), ("a", "b"), "mm")
    assert narrow.count('y="3.00" class="vt"') == 2
    assert long.count('y="3.00" class="vt"') == 1
