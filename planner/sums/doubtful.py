"""A sum on sizes that are not sure: what it comes to, and between which values the doubt lets it lie."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from planner.model.figures import Figure
from planner.model.shapes import Vec
from planner.model.vehicle import Component
from planner.sums.lever import LeverError

Values = Mapping[str, float]
Sum = Callable[[Values], float]


@dataclass(slots=True)
class Known:
    """Figures by name, and what to tell the owner about those that are missing."""

    figures: dict[str, Figure] = field(default_factory=dict)
    asks: dict[str, str] = field(default_factory=dict)
    """Name of a missing figure -> what to give, in words."""
    added_by: Mapping[str, str] = field(default_factory=dict)
    """Part or link that is not there -> the job that adds it."""

    def absent(self, what: str, name: str) -> str:
        """What to say of a part or link that the figures name and that is not there."""
        job = self.added_by.get(name)
        why = "the vehicle has none of that name" if job is None else f"only in job `{job}`: name that job as well"
        return f"{what} `{name}` ({why})"

    def note(self, name: str, figure: Figure | float | None, ask: str) -> None:
        """Take a figure in, or what to ask for when there is none."""
        if figure is None:
            self.asks[name] = ask
        else:
            self.figures[name] = figure if isinstance(figure, Figure) else Figure(float(figure))

    def missing(self, needs: tuple[str, ...]) -> tuple[str, ...]:
        """What to give before a sum can be made, each once."""
        return tuple(dict.fromkeys(self.asks.get(n, f"`{n}`") for n in needs if n not in self.figures))

    def values(self) -> dict[str, float]:
        """The figures as they are told."""
        return {name: figure.value for name, figure in self.figures.items()}


def spot_doubts_mm(part: Component, port: str = "") -> Vec:
    """How sure a part's place is along x, y and z [mm]; with a port, that of the port: both doubts together."""
    own = part.position_doubts_mm or (part.position_doubt_mm,) * 3
    more = part.port_doubts_mm.get(port, SURE)
    return own[0] + more[0], own[1] + more[1], own[2] + more[2]


SURE: Vec = (0.0, 0.0, 0.0)


def spread(work: Sum, known: Known, needs: tuple[str, ...]) -> tuple[float, float, float]:
    """What a sum comes to, and the least and the most that the doubt of its sizes makes of it.

    Each doubtful size is put to both its ends with the others as told, and the changes are added up: exact where the
    sum is a sum of terms in one size each, close where the doubts are small. Where a size put to its end leaves the sum
    without an answer (a rod that no longer reaches), the side it fails on is infinite.

    Raises
    ------
    LeverError, ValueError
        The sum has no answer with the sizes as told.
    """
    values = known.values()
    told = work(values)
    down = up = 0.0
    for name in needs:
        doubt = known.figures[name].doubt
        if doubt <= 0.0:
            continue
        low = high = told
        for end in (-doubt, doubt):
            try:
                there = work({**values, name: values[name] + end})
            except (LeverError, ValueError, ZeroDivisionError):
                low, high = -math.inf, math.inf
                break
            low, high = min(low, there), max(high, there)
        down, up = down + told - low, up + high - told
    return told, told - down, told + up
