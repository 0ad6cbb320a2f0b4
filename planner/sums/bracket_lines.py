"""Folded brackets as lines of the sheet, and their flat blanks as data for a drawing."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from planner.model.figures import BracketFigures, Metal
from planner.sums.bending import FOLD_BASIS, Blank, Flat, blank, flat_pattern
from planner.sums.doubtful import Known, Values
from planner.sums.lines import Asked

DENSITY_KG_M3 = {Metal.STEEL: 7850.0, Metal.STAINLESS: 7900.0, Metal.ALUMINIUM: 2700.0}
"""Common textbook figures."""
LEAST_RADIUS = 1.0
"""Inside radius over thickness: trade figure for mild steel, no published source reached."""


def blank_of(bracket: BracketFigures) -> Blank:
    """The flat blank of a bracket with its fold lines, sizes as told.

    Raises
    ------
    ValueError
        A leg is too short for its bends.
    """
    flat = flat_pattern(
        [leg.value for leg in bracket.legs_mm],
        bracket.angles_deg,
        radius_mm=bracket.radius_mm.value,
        thickness_mm=bracket.thick_mm.value,
        neutral=bracket.neutral.value,
    )
    return blank(
        flat,
        [width.value for width in bracket.widths_mm],
        bracket.angles_deg,
        thickness_mm=bracket.thick_mm.value,
        density_kg_m3=DENSITY_KG_M3[bracket.metal],
    )


def bracket_lines(brackets: dict[str, BracketFigures], known: Known) -> Iterator[Asked]:
    """Flat length with the folds to scribe, weight, and the radius against the sheet."""
    for name, bracket in brackets.items():
        sizes = {f"{name}.leg-{n}": leg for n, leg in enumerate(bracket.legs_mm)}
        sizes |= {f"{name}.width-{n}": width for n, width in enumerate(bracket.widths_mm)}
        sizes |= {f"{name}.radius": bracket.radius_mm, f"{name}.thick": bracket.thick_mm}
        sizes |= {f"{name}.neutral": bracket.neutral}
        for key, figure in sizes.items():
            known.note(key, figure, "")
        ask = partial(Asked, about=name, needs=tuple(sizes), basis=FOLD_BASIS)
        yield ask(
            id=f"{name}.flat",
            title="flat length",
            unit="mm",
            work=partial(_length_mm, name, bracket),
            note=_folds(bracket),
        )
        yield ask(id=f"{name}.mass", title="mass", unit="kg", work=partial(_mass_kg, name, bracket))
        yield ask(
            id=f"{name}.radius",
            title="radius over thickness",
            unit="x",
            needs=(f"{name}.radius", f"{name}.thick"),
            work=partial(_radius, name),
            low=LEAST_RADIUS,
            limit="trade figure for mild steel bent across the grain; harder sheet wants more",
            practice=True,
        )


def _radius(name: str, values: Values) -> float:
    return values[f"{name}.radius"] / values[f"{name}.thick"]


def _folds(bracket: BracketFigures) -> str:
    """Where the middles of the bends are scribed, in words; empty where it cannot be folded."""
    try:
        cut = blank_of(bracket)
    except ValueError:
        return ""
    at = ", ".join(
        f"{line[0][0]:.1f} mm ({angle:g} deg)" for line, angle in zip(cut.folds_mm, cut.angles_deg, strict=True)
    )
    return f"scribe the middle of each bend, from one end of the flat: {at}"


def _flat(name: str, bracket: BracketFigures, values: Values) -> Flat:
    return flat_pattern(
        [values[f"{name}.leg-{n}"] for n in range(len(bracket.legs_mm))],
        bracket.angles_deg,
        radius_mm=values[f"{name}.radius"],
        thickness_mm=values[f"{name}.thick"],
        neutral=values[f"{name}.neutral"],
    )


def _length_mm(name: str, bracket: BracketFigures, values: Values) -> float:
    return _flat(name, bracket, values).length_mm


def _mass_kg(name: str, bracket: BracketFigures, values: Values) -> float:
    return blank(
        _flat(name, bracket, values),
        [values[f"{name}.width-{n}"] for n in range(len(bracket.widths_mm))],
        bracket.angles_deg,
        thickness_mm=values[f"{name}.thick"],
        density_kg_m3=DENSITY_KG_M3[bracket.metal],
    ).mass_kg
