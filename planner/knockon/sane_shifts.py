"""Which shifts of what a job puts somewhere are worth saying: those that leave it in the vehicle, on its mounting."""

from __future__ import annotations

from collections.abc import Sequence

from planner.space import Body, gap

OFF_MOUNT_MM = 20.0
"""So much farther off what it is mounted on a part may be put: a spacer or a packing does it (starting guess)."""
_HAIR_MM = 0.01


def stays_in(others: Sequence[Body], before: Body, after: Body) -> bool:
    """Whether a body that is shifted stays in the box round others, or as far out of it as it was.

    Parameters
    ----------
    others : sequence of Body
    before, after : Body
        Where it was, and where it would be.
    """
    return all(
        after.lo_mm[i] >= min([before.lo_mm[i], *(b.lo_mm[i] for b in others)]) - _HAIR_MM
        and after.hi_mm[i] <= max([before.hi_mm[i], *(b.hi_mm[i] for b in others)]) + _HAIR_MM
        for i in range(3)
    )


def stays_at(host: Body, before: Body, after: Body) -> bool:
    """Whether a body that is shifted stays at what it is mounted on: at most ``OFF_MOUNT_MM`` farther off it [mm]."""
    return gap(after, host).mm <= max(0.0, gap(before, host).mm) + OFF_MOUNT_MM
