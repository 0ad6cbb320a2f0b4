"""The new run of a link: where it goes and what is cut and bent for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from planner.model.shapes import Vec


class RunSort(StrEnum):
    """How a link is made, which decides what its cut list says."""

    PIPE = "pipe"
    """bent to its run and keeps it"""
    HOSE = "hose"
    CABLE = "cable"
    """an inner that slides in an outer"""
    LOOM = "loom"
    """wires, single or taped together"""
    ROD = "rod"
    """straight from joint to joint, pushes and pulls"""
    SHAFT = "shaft"
    """straight from joint to joint, turns"""
    BELT = "belt"


class Laid(StrEnum):
    """Whose a run is."""

    FOUND = "found"
    """of a link made anew, found by a search"""
    INSTEAD = "instead"
    """found by a search for a new link, instead of the run the job draws, which is not clear"""
    DRAWN = "drawn"
    """of a new link, as the job draws it"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """One bend, as it is marked on the straight tube.

    ``at_mm`` is where it begins, measured along the tube from its first end; ``roll_deg`` how far the tube is turned
    about its own line since the bend before, right-handed about the way it runs; ``towards`` which way it goes then.
    """

    at_mm: float
    angle_deg: float
    roll_deg: float
    towards: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """The run by which a link is made, in the vehicle after the job.

    ``points_mm`` go from port to port, with a corner for each bend of radius ``bend_mm``; ``length_mm`` is the bent
    centre line, ``bound_mm`` a length no clear run goes below, ``cut_mm`` what is cut off the coil or roll.
    """

    link: str
    sort: RunSort
    points_mm: tuple[Vec, ...]
    bend_mm: float
    length_mm: float
    bound_mm: float
    cut_mm: float
    bends: tuple[Bend, ...] = ()
    clips_mm: tuple[float, ...] = ()
    """Where it is clipped, along its length from its first end."""
    loose_mm: tuple[float, ...] = ()
    """Those of ``clips_mm`` with nothing firm close by to clip it to."""
    lines: tuple[str, ...] = ()
    """The cut list in words, in the owner's units."""
    clear_mm: float | None = None
    """Gap to the nearest hot or moving thing; None when there is none near."""
    clear_of: str = ""
    """Id of that thing."""
    laid: Laid = Laid.FOUND


@dataclass(frozen=True, slots=True, kw_only=True)
class Snag:
    """A guard that stops a run, and by how much the way past it is short [mm]."""

    guard: str
    short_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NoRun:
    """No clear run was found. ``snags`` are the guards that stop it, the worst first; ``at_mm`` is about where.

    ``bends`` says that there is a way through, but none with room for the bends.
    """

    snags: tuple[Snag, ...]
    at_mm: Vec | None
    bends: bool = False
    bend_mm: float = 0.0
    """Then a smaller radius with which it would go [mm]; 0 when none was found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunsBefore:
    """The runs of a plan that was agreed: the corners of each that was found, by link, and why the others were not."""

    corners_mm: dict[str, tuple[Vec, ...]] = field(default_factory=dict)
    none: dict[str, NoRun] = field(default_factory=dict)
