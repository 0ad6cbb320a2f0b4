r"""Duo-servo drums: two floating shoes, the first of which pushes the second through a link.

Nothing but level pushes act on the shoes besides the drum: the cylinder's F above the middle, the link's L below it,
the anchor's A. Lining pressure goes with the cosine of the angle from where the shoe beds (wear at an even rate, as for
the pivoted shoe in Shigley, Mechanical Engineering Design) and is never less than nothing; the shoe beds where the
drum's push and pull together have no upright share left. That push then passes the middle at a distance h; with beta
the lining's angle, pressed all over,

.. math:: h = \frac{\mu}{1 + \mu^2} \rho, \quad \rho = \frac{4 r \sin(\beta / 2)}{\beta + \sin\beta}

and moments about the middle give L and A. Source: statics on the pressure law named; the tests integrate the pressure
numerically.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.sums.basis import Basis, positive

DUO_BASIS = Basis(
    source="statics of two floating shoes with the cosine pressure law (Shigley, Mechanical Engineering Design)",
    assumed=("shoes stiff and free to slide", "linings bedded in", "link and pushes level", "turning forwards"),
    not_covered=(
        "a duo-servo drum multiplies every change of friction: damp, heat or a new lining can double or halve it",
        "turning backwards the shoes change their parts",
        "return springs and friction at the anchor",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DuoDrum:
    """Drum radius, the lining's angle, and heights of cylinder, link (below) and anchor from the drum's middle [mm]."""

    radius_mm: float
    lining_deg: float
    cylinder_mm: float
    link_mm: float
    anchor_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DuoAnswer:
    """Torque of the first and the second shoe [N mm], the link's and the anchor's push [N]."""

    first_nmm: float
    second_nmm: float
    link_n: float
    anchor_n: float
    basis: Basis = DUO_BASIS

    @property
    def torque_nmm(self) -> float:
        """Of both shoes."""
        return self.first_nmm + self.second_nmm


def offset_mm(drum: DuoDrum, friction: float) -> float:
    """How far from the middle the drum's push on a shoe passes [mm].

    Raises
    ------
    ValueError
        The lining goes round more than half the drum.
    """
    positive(radius_mm=drum.radius_mm, lining_deg=drum.lining_deg, friction=friction)
    half = math.radians(drum.lining_deg) / 2.0
    if half > math.pi / 2.0:
        raise ValueError(f"a lining of {drum.lining_deg:g} deg goes round more than half the drum")
    low, high = 0.0, half + math.pi / 2.0
    for _ in range(_HALVINGS):
        bed = (low + high) / 2.0
        level, upright, _ = _pressed(half, bed)
        low, high = (bed, high) if upright < friction * level else (low, bed)
    level, upright, whole = _pressed(half, (low + high) / 2.0)
    return friction * drum.radius_mm * whole / (level + friction * upright)


_HALVINGS = 80


def _pressed(half: float, bed: float) -> tuple[float, float, float]:
    """Level share, upright share and sum of a pressure cos(t - bed) over a lining from -half to half [rad]."""
    one, two = max(-half, bed - math.pi / 2.0), half

    def level(t: float) -> float:
        return (math.sin(2.0 * t - bed) / 2.0 + t * math.cos(bed)) / 2.0

    def upright(t: float) -> float:
        return (-math.cos(2.0 * t - bed) / 2.0 + t * math.sin(bed)) / 2.0

    return level(two) - level(one), upright(two) - upright(one), math.sin(two - bed) - math.sin(one - bed)


def duo_torque(drum: DuoDrum, friction: float, force_n: float) -> DuoAnswer:
    """Torque for a cylinder that pushes both shoes with ``force_n``.

    Raises
    ------
    ValueError
        A shoe locks by itself.
    """
    positive(force_n=force_n, cylinder_mm=drum.cylinder_mm, link_mm=drum.link_mm, anchor_mm=drum.anchor_mm)
    h = offset_mm(drum, friction)
    if h >= min(drum.link_mm, drum.anchor_mm):
        raise ValueError("a shoe locks by itself: link or anchor is too near the middle or the lining too grippy")
    link = force_n * (drum.cylinder_mm + h) / (drum.link_mm - h)
    anchor = (link * (drum.link_mm + h) - force_n * (drum.cylinder_mm - h)) / (drum.anchor_mm - h)
    return DuoAnswer(
        first_nmm=h * (force_n + link),
        second_nmm=h * (link + force_n + anchor),
        link_n=link,
        anchor_n=anchor,
    )
