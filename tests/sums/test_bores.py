"""The table to choose a bore by, against Pascal's law by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sums.bench_car import FIGURES, LINKS, PARTS, PEDAL

from planner.model.shapes import Turn
from planner.model.sums import Verdict
from planner.sums.bore_lines import BORES_MM
from planner.sums.lever_lines import FREE_MM
from planner.sums.sheet import bores_of, sums_of


def test_push_and_way_of_every_bore_by_hand() -> None:
    """The same pressure on another area wants the push in the ratio of the areas; the fluid goes the other way."""
    assert isinstance(PEDAL.motion, Turn)
    parts = {**PARTS, "pedal": replace(PEDAL, motion=replace(PEDAL.motion, to_deg=14.0))}
    sums = {x.id: x for x in sums_of(parts, LINKS, FIGURES)}
    found = {x.id: x for x in bores_of(parts, LINKS, FIGURES)}
    fluid, ratio = sums["rod.fluid"].value, sums["rod.ratio"].value
    assert fluid is not None
    assert ratio is not None
    assert len(found) == 2 * len(BORES_MM)
    for mm in BORES_MM.values():
        push, left = found[f"rod.bore-{mm:g}.push"], found[f"rod.bore-{mm:g}.left"]
        assert push.value == pytest.approx(500 * (mm / 19.05) ** 2)
        assert push.verdict is Verdict.TOLD
        goes = (FREE_MM[1] + fluid * 1000 / (math.pi / 4 * mm**2)) * ratio
        assert left.value == pytest.approx(420 * math.radians(14) - goes)
    own = found["rod.bore-19.05.left"]
    assert own.value == pytest.approx(sums["rod.reserve"].value)


def test_bores_are_the_inch_sizes_they_say() -> None:
    assert {words: mm / 25.4 for words, mm in BORES_MM.items()} == pytest.approx(
        {"5/8 in": 5 / 8, "0.7 in": 0.7, "3/4 in": 3 / 4, "13/16 in": 13 / 16, "7/8 in": 7 / 8, "15/16 in": 15 / 16,
         "1 in": 1}
    )  # fmt: skip


def test_without_figures_it_asks_for_them() -> None:
    assert bores_of(PARTS, LINKS, None) == ()
    bare = {k: replace(v, travel_mm=None) for k, v in FIGURES.axles.items()}
    lines = bores_of(PARTS, LINKS, replace(FIGURES, axles=bare))
    assert all(x.verdict is Verdict.UNKNOWN for x in lines)
    assert "`travel` of `figures.brakes.front`" in lines[0].missing
