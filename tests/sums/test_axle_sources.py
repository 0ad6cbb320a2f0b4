"""Whose bore an axle takes when both axles hang on one system: its own figure first, and never another axle's part."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sums.bench_car import FIGURES, FRONT, LINKS, PARTS, part

from planner.model.figures import AxleBrakes, BrakeSort, Figure
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component
from planner.sums.sheet import sums_of

DRUM_N = 2 * 528 / 0.3
"""Shigley, Mechanical Engineering Design, ex. 16-2: 366 + 162 N m on a bore of 16.60 mm at 10.525 MPa, two wheels."""
CALIPERS = {
    name: part(name, "brake-caliper", systems=("brakes",), bore_mm=Figure(48.0), pistons=2)
    for name in ("left", "right")
}
CYLINDERS = {
    name: part(name, "wheel-cylinder", systems=("brakes",), bore_mm=Figure(16.60), pistons=2)
    for name in ("left-cylinder", "right-cylinder")
}
DISC = replace(FRONT, sort=BrakeSort.DISC, bore_mm=None, pistons=None, radius_mm=Figure(100.0), friction=Figure(0.4))
DISC_N = 2 * (2 * 0.4 * 10.525 * 3.14159265 / 4 * 48**2 * 100) / 300
"""T = 2 mu F r (Mechanical Engineer's Data Handbook), one piston on each pad, two wheels of 300 mm."""


def lines(parts: dict[str, Component], **axles: AxleBrakes) -> dict[str, SumLine]:
    return {x.id: x for x in sums_of({**PARTS, **parts}, LINKS, replace(FIGURES, axles=axles))}


def test_calipers_in_front_say_nothing_of_the_drums_behind() -> None:
    found = lines(CALIPERS, front=DISC, rear=FRONT)
    assert found["front.force"].value == pytest.approx(DISC_N, rel=2e-3)
    assert found["rear.force"].value == pytest.approx(DRUM_N, rel=0.01)
    assert found["rear.force"].note == ""


def test_drums_whose_bore_nobody_tells_are_not_worked_out_with_the_calipers() -> None:
    found = lines(CALIPERS, front=DISC, rear=replace(FRONT, bore_mm=None))["rear.force"]
    assert found.verdict is Verdict.UNKNOWN
    assert "`bore` of `figures.brakes.rear`" in found.note


def test_discs_at_both_ends_ask_whose_the_calipers_are() -> None:
    rear = replace(DISC, bore_mm=Figure(48.0 / 2**0.5), pistons=2)
    found = lines(CALIPERS, front=DISC, rear=rear)
    assert "which part is whose is not told" in found["front.force"].note
    assert found["rear.force"].value == pytest.approx(DISC_N / 2, rel=2e-3)
    both = lines(CALIPERS, front=replace(DISC, bore_mm=Figure(48.0), pistons=2), rear=rear)
    assert both["front.force"].value == pytest.approx(DISC_N, rel=2e-3)


def test_the_axles_own_figure_goes_before_its_parts_and_they_are_told() -> None:
    found = lines(CYLINDERS, rear=replace(FRONT, bore_mm=Figure(2 * 16.60)))["rear.force"]
    assert found.value == pytest.approx(4 * DRUM_N, rel=0.01)
    assert found.note == "`bore` of `figures.brakes.rear` is taken, not that of `left-cylinder`, `right-cylinder`"
    same = lines(CYLINDERS, rear=FRONT)["rear.force"]
    assert same.value == pytest.approx(DRUM_N, rel=0.01)


def test_parts_alone_are_taken_and_a_count_of_the_axle_goes_before_theirs() -> None:
    bare = replace(FRONT, bore_mm=None, pistons=None)
    assert lines(CYLINDERS, rear=bare)["rear.force"].value == pytest.approx(DRUM_N, rel=0.01)
    other = {n: replace(c, pistons=1) for n, c in CYLINDERS.items()}
    found = lines(other, rear=replace(bare, pistons=2))["rear.force"]
    assert found.value == pytest.approx(DRUM_N, rel=0.01)
    assert "`pistons` of `figures.brakes.rear` is taken" in found.note


def test_the_parts_count_serves_where_only_the_bore_is_the_axles_own() -> None:
    assert lines(CYLINDERS, rear=replace(FRONT, pistons=None))["rear.force"].value == pytest.approx(DRUM_N, rel=0.01)
