"""How sure a gap is: an interval from the doubts of both parts along the direction of the gap."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from planner.knockon.conflicts import TOUCH_MM
from planner.knockon.placed import Placed
from planner.model.shapes import Box, Cylinder, Solid, Vec
from planner.model.vehicle import Component
from planner.shelf.kept_faces import axes_of, zero_ends
from planner.space import gap, rotated


class Verdict(StrEnum):
    """What the sizes, as sure as they are, say of a gap."""

    CLEAR = "clear"
    CLASH = "clash"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """A gap [mm] by nominal sizes, its least and its most, and the least that is to be kept.

    ``normal`` is the unit direction from the first part to the second along which it is measured.
    """

    mm: float
    low_mm: float
    high_mm: float
    needed_mm: float
    verdict: Verdict
    normal: Vec

    @property
    def doubt_mm(self) -> float:
        """How far the gap may be from its nominal size, either way."""
        return (self.high_mm - self.low_mm) / 2


def clearance_of(a: Placed, b: Placed, needed_mm: float, set_anew: frozenset[str] = frozenset()) -> Clearance:
    """The gap between two placed parts as an interval, every doubt at its worst at the same time.

    Only doubt along the direction of the gap counts: a part whose height is in doubt is as near to a wall as ever.

    Parameters
    ----------
    a, b
        As placed; moving parts with all they sweep.
    needed_mm : float [mm]
        The least gap to be kept.
    set_anew
        Ids of parts that get a place in this job: it is set with the tape in hand, so that only their sizes are in
        doubt and not where they were.
    """
    found = gap(a.body, b.body)
    doubt_mm = sum(
        size_doubt_mm(p.part, way) + (0.0 if p.part.id in set_anew else place_doubt_mm(p.part, way))
        for p, way in ((a, found.normal), (b, turned_back(found.normal)))
    )
    low_mm, high_mm = found.mm - doubt_mm, found.mm + doubt_mm
    least_mm = needed_mm - TOUCH_MM
    verdict = Verdict.CLEAR if low_mm >= least_mm else Verdict.CLASH if high_mm < least_mm else Verdict.UNDECIDED
    return Clearance(
        mm=found.mm, low_mm=low_mm, high_mm=high_mm, needed_mm=needed_mm, verdict=verdict, normal=found.normal
    )


def most_doubt_mm(part: Component) -> float:
    """No face of the part is farther [mm] than this from where the file has it, in any direction."""
    place = part.position_doubts_mm or (part.position_doubt_mm,) * 3
    return math.hypot(*place) + max((math.sqrt(3.0) * _most_of(s) for s in part.solids), default=0.0)


def place_doubt_mm(part: Component, along: Vec) -> float:
    """How far its place may be out [mm] along a unit direction."""
    doubts = part.position_doubts_mm or (part.position_doubt_mm,) * 3
    return sum(abs(n) * doubt for n, doubt in zip(along, doubts, strict=True))


def size_doubt_mm(part: Component, along: Vec) -> float:
    """How far the face that looks ``along`` may be out [mm] for the sizes of the part alone."""
    return max((_face_doubt_mm(s, part, along) for s in part.solids if s.doubt_mm > 0.0), default=0.0)


def _face_doubt_mm(solid: Solid, part: Component, along: Vec) -> float:
    """How far the face of a solid that looks ``along`` may be out.

    That is half of what its size may be, at either end; of a solid that is measured from one face, the part's own zero,
    that face is where it is and the one across from it out by the whole. Points of a tube or an outline are places,
    not sizes, and count whole.
    """
    turned = [rotated(part.pose.turn_deg, axis) for axis in axes_of(solid)]
    shares = [sum(n * t for n, t in zip(along, axis, strict=True)) for axis in turned]
    plain = [abs(share) for share in shares]
    if not isinstance(solid, (Box, Cylinder)):
        return solid.doubt_mm * sum(plain)
    half_mm = solid.doubt_mm / 2
    # Which face stays is the same for all sizes of a solid that are in doubt: it takes its middle with it.
    back = sum(end * share for end, share in zip(zero_ends(solid), shares, strict=True))
    if isinstance(solid, Cylinder):
        share = plain["xyz".index(solid.along)]
        return half_mm * max(0.0, share + math.sqrt(max(0.0, 1.0 - share * share)) - back)
    return half_mm * max(0.0, sum(plain) - back)


def _most_of(solid: Solid) -> float:
    kept = any(zero_ends(solid)) if isinstance(solid, (Box, Cylinder)) else True
    return solid.doubt_mm if kept else solid.doubt_mm / 2


def turned_back(way: Vec) -> Vec:
    """The other way along the same line."""
    return -way[0], -way[1], -way[2]
