"""One cylinder with other bores: the push that gives the same line pressure, and the way of the pad that is left."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from planner.sums.brake_figures import Axle, demand_of
from planner.sums.brake_lines import RESERVE_MM
from planner.sums.doubtful import Values
from planner.sums.hydraulics import CHAIN_BASIS, BoreRow, bore_table
from planner.sums.lever_lines import FREE_MM, PUSH_N, lever_from, line_mpa, mean_ratio, needs_of, stroke_of
from planner.sums.levers_there import LeverThere
from planner.sums.lines import Asked

BORES_MM = {
    "5/8 in": 15.875,
    "0.7 in": 17.78,
    "3/4 in": 19.05,
    "13/16 in": 20.6375,
    "7/8 in": 22.225,
    "15/16 in": 23.8125,
    "1 in": 25.4,
}
"""Bores of master cylinders that are commonly sold: common practice, no published source."""


def bore_lines(there: LeverThere, axles: tuple[Axle, ...]) -> Iterator[Asked]:
    """Two lines a bore: a smaller one is lighter on the foot and goes further."""
    served = tuple(a for a in axles if a.lever is not None and a.lever.link == there.link)
    bore, stroke, share = f"{there.cylinder}.bore", f"{there.cylinder}.stroke", f"{there.link}.share"
    fluid = tuple(dict.fromkeys(n for a in served for n in a.fluid_needs)) or (f"brakes-of.{there.cylinder}",)
    needs = (*needs_of(there), share, bore, stroke, *fluid)

    def row(bore_mm: float, v: Values) -> BoreRow:
        mpa, lever = line_mpa(there, PUSH_N)(v), lever_from(there, v)
        (found,) = bore_table(
            (bore_mm,),
            wanted_mpa=mpa,
            demand_mm3=demand_of(served, mpa, v).total_mm3,
            stroke_mm=v[stroke],
            free_mm=FREE_MM[1],
            ratio=mean_ratio(lever),
            share=v[share],
        )
        return found

    def push(bore_mm: float, v: Values) -> float:
        return row(bore_mm, v).pedal_n

    def left(bore_mm: float, v: Values) -> float:
        lever = lever_from(there, v)
        return min(stroke_of(lever), v[stroke]) * mean_ratio(lever) - row(bore_mm, v).pad_mm

    ask = partial(Asked, about=f"{there.link}, other bores", needs=needs, basis=CHAIN_BASIS, practice=True)
    for words, mm in BORES_MM.items():
        key = f"{there.link}.bore-{mm:g}"
        yield ask(
            id=f"{key}.push",
            title=f"{words}: push",
            unit="N",
            work=partial(push, mm),
            note=f"push: for the line pressure that {PUSH_N:.0f} N make with the cylinder that is there",
        )
        yield ask(
            id=f"{key}.left",
            title=f"{words}: pad way left",
            unit="mm",
            work=partial(left, mm),
            low=RESERVE_MM,
            limit="common practice without a servo; stroke and lever as they are",
        )
