"""Ways of straight legs by which a part comes out."""

from __future__ import annotations

from dataclasses import dataclass

from planner.model.shapes import Direction


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """So far in one direction."""

    direction: Direction
    mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedWay:
    """First moves, one after the other, then straight out along ``direction``."""

    direction: Direction
    first: tuple[Leg, ...] = ()
