"""Loads of single bolts in a group: shear off its middle, and a bracket that tips."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.sums.basis import Basis, positive

GROUP_BASIS = Basis(
    source="Bhandari, Design of Machine Elements (eccentric load in the plane; bracket tipping about its edge)",
    assumed=("a plate much stiffer than the bolts", "all bolts alike and in full contact"),
    not_covered=("thin sheet bends first and loads the nearest bolt most", "fatigue", "hole tear-out"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltShare:
    """What one bolt carries [N]: its even share, what the moment adds, and both together."""

    even_n: float
    moment_n: float
    total_n: float


def sheared(
    bolts_mm: Sequence[tuple[float, float]], force_n: tuple[float, float], at_mm: tuple[float, float]
) -> tuple[BoltShare, ...]:
    r"""Shear of each bolt under a force in the plane of the plate.

    .. math:: \vec F_i = \frac{\vec P}{n} + \frac{M \, \hat z \times \vec r_i}{\sum r_j^2}

    Parameters
    ----------
    bolts_mm : sequence of (x, y)
        At least one.
    force_n : (x, y)
    at_mm : (x, y)
        A point on the force's line.

    Raises
    ------
    ValueError
        There is no bolt, or a moment and no arm to take it.
    """
    if not bolts_mm:
        raise ValueError("a group needs at least one bolt")
    count = len(bolts_mm)
    mid = (sum(x for x, _ in bolts_mm) / count, sum(y for _, y in bolts_mm) / count)
    arms = [(x - mid[0], y - mid[1]) for x, y in bolts_mm]
    polar = sum(x * x + y * y for x, y in arms)
    moment = (at_mm[0] - mid[0]) * force_n[1] - (at_mm[1] - mid[1]) * force_n[0]
    if polar == 0.0 and abs(moment) > 1e-9:  # noqa: PLR2004  # rounding of an exact zero
        raise ValueError("a single bolt cannot take a moment: it would turn")
    shares = []
    for x, y in arms:
        turn = moment / polar if polar else 0.0
        added = (-y * turn, x * turn)
        total = (force_n[0] / count + added[0], force_n[1] / count + added[1])
        shares.append(
            BoltShare(
                even_n=math.hypot(*force_n) / count,
                moment_n=math.hypot(*added),
                total_n=math.hypot(*total),
            )
        )
    return tuple(shares)


def tipping_n(rows_mm: Sequence[tuple[float, int]], force_n: float, arm_mm: float) -> float:
    r"""Greatest bolt tension when a bracket tips about its edge [N].

    .. math:: T_{max} = \frac{P L \, y_{max}}{\sum n_i y_i^2}

    Parameters
    ----------
    rows_mm : sequence of (height above the edge [mm], number of bolts)
    force_n : float
    arm_mm : float
        From the mounting face to the force.
    """
    positive(force_n=force_n, arm_mm=arm_mm)
    spread = sum(count * height**2 for height, count in rows_mm)
    positive(spread=spread)
    return force_n * arm_mm * max(height for height, _ in rows_mm) / spread
