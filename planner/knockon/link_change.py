"""What becomes of a link when its ends go somewhere else."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum
from itertools import pairwise

import numpy as np

from planner.knockon.options import MILLI
from planner.knockon.rigid import distance_mm
from planner.model.shapes import Vec
from planner.model.vehicle import Freedom, Link

STILL_MM = 0.5
"""An end that moves less than this has not moved."""


class Fate(IntEnum):
    """What is to be done to a link, from least to most."""

    NOTHING = 0
    ADJUST = 1
    REMAKE = 2
    USELESS = 3
    """However it is made, it would stand too far out of its line to do its work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkChange:
    """A link's fate with the numbers that decide it: change of length (longer is positive), end shift, swing."""

    fate: Fate
    longer_mm: float
    shift_mm: float
    swing_deg: float = 0.0


def change_of(link: Link, before: tuple[Vec, Vec], after: tuple[Vec, Vec]) -> LinkChange:
    """Judge a link whose ports go from ``before`` to ``after`` (vehicle axes).

    A flexible link lasts while its run, through the same clips, grows no more than its slack and adjuster allow; it is
    then only re-clipped and set. A rigid one lasts while it is straight and its length changes no more than its
    adjuster allows: a bent pipe cannot follow a moved end. A push-rod or shaft whose direction from end to end would
    change by more than its ``swing_deg`` is of no use at all.
    """
    swing = swing_between(before, after)
    shift = max(distance_mm(a, b) for a, b in zip(before, after, strict=True))
    longer = _run_mm(link, after) - _run_mm(link, before)
    if shift <= STILL_MM:
        fate = Fate.NOTHING
    elif link.swing_deg is not None and swing > link.swing_deg:
        fate = Fate.USELESS
    elif link.rigid:
        fate = Fate.REMAKE if link.via_mm or abs(longer) > link.adjust_mm else Fate.ADJUST
    else:
        fate = Fate.REMAKE if longer > link.slack_mm + link.adjust_mm else Fate.ADJUST
    return LinkChange(fate=fate, longer_mm=longer, shift_mm=shift, swing_deg=swing)


def fates_between(link: Link, before: tuple[Vec, Vec], firsts: np.ndarray, seconds: np.ndarray) -> np.ndarray:
    """The fates of a link for every pair of new places of its two ports: :func:`change_of`, many at a time.

    Parameters
    ----------
    firsts, seconds : array, shapes (n, 3) and (m, 3) [mm]

    Returns
    -------
    array of int, shape (n, m)
        Values of :class:`Fate`.
    """
    first, second = firsts[:, None, :], seconds[None, :, :]
    shift = np.maximum(_far(first - np.asarray(before[0])), _far(second - np.asarray(before[1])))
    if link.via_mm:
        inner = sum(distance_mm(a, b) for a, b in pairwise(link.via_mm))
        run = _far(first - np.asarray(link.via_mm[0])) + inner + _far(second - np.asarray(link.via_mm[-1]))
    else:
        run = _far(second - first)
    longer = run - _run_mm(link, before)
    if link.rigid:
        remade = np.full(longer.shape, bool(link.via_mm)) | (np.abs(longer) > link.adjust_mm)
    else:
        remade = longer > link.slack_mm + link.adjust_mm
    fates = np.where(remade, Fate.REMAKE.value, Fate.ADJUST.value)
    if link.swing_deg is not None:
        fates = np.where(_swings(before, second - first) > link.swing_deg, Fate.USELESS.value, fates)
    return np.where(shift <= STILL_MM, Fate.NOTHING.value, fates)


def _far(vectors: np.ndarray) -> np.ndarray:
    return np.asarray(np.sqrt((vectors**2).sum(axis=-1)))


def _swings(before: tuple[Vec, Vec], across: np.ndarray) -> np.ndarray:
    """Angles between the old direction from end to end and new ones [deg]; 0 where either has no length."""
    old = np.subtract(before[1], before[0])
    lengths = _far(across) * math.hypot(*old)
    known = lengths >= STILL_MM
    cosine = np.where(known, across @ old / np.where(known, lengths, 1.0), 1.0)
    return np.asarray(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


def fate_cost(link: Link, fate: Fate, hour_worth: float) -> int:
    """Price of a fate in thousandths of a hand-minute, money converted at ``hour_worth`` per hour.

    Adjusting is never charged more than making anew: whoever finds that quicker will do it.
    """
    match fate:
        case Fate.NOTHING:
            return 0
        case Fate.ADJUST:
            return min(MILLI * link.adjust_min * link.hands, fate_cost(link, Fate.REMAKE, hour_worth))
        case Fate.REMAKE | Fate.USELESS:
            minutes = MILLI * (link.off_min + link.remake_min + link.on_min) * link.hands
            return minutes + money_cost(link.price, hour_worth)


def money_cost(price: float, hour_worth: float) -> int:
    """Money as thousandths of a hand-minute, rounded up; nothing when an hour is worth nothing."""
    return math.ceil(MILLI * 60.0 * price / hour_worth) if hour_worth > 0 else 0


def allowed(link: Link, fate: Fate) -> bool:
    """Whether a link may meet this fate: one that stays, or goes back as it was, is never made anew."""
    if fate is Fate.USELESS:
        return False
    return fate is not Fate.REMAKE or link.freedom in {Freedom.MOVES, Freedom.MAY_GO}


def swing_between(before: tuple[Vec, Vec], after: tuple[Vec, Vec]) -> float:
    """Angle between the old and the new direction from end to end [deg]; 0 when either has no length."""
    old, new = (tuple(q - p for p, q in zip(*ends, strict=True)) for ends in (before, after))
    lengths = math.hypot(*old) * math.hypot(*new)
    if lengths < STILL_MM:
        return 0.0
    cosine = sum(a * b for a, b in zip(old, new, strict=True)) / lengths
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


def _run_mm(link: Link, ends: tuple[Vec, Vec]) -> float:
    points = (ends[0], *link.via_mm, ends[1])
    return sum(distance_mm(a, b) for a, b in pairwise(points))
