"""What each of the owner's wishes costs: the least strip-down with it against the least without it.

A wish is a price on a toggle, or that it is never made (:attr:`~planner.model.work.Toggle.dislike_min`). Let c be
the least effort with all wishes, prices included, and c_w the least when wish w alone is given up. Then c >= c_w,
since a plan that keeps the wish costs no more without it, and c - c_w is what the wish costs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.model.effects import Proof
from planner.model.plan import Strip, WishCost
from planner.model.work import Toggle, WorkList
from planner.order.halt import Halt
from planner.order.strip_problem import movable
from planner.order.strip_solve import cannot_be_done, searched


def wishes_in(work: WorkList) -> Iterator[Toggle]:
    """Toggles with a wish on them, in the order of the work list."""
    for feature in work.features.values():
        yield from (t for t in feature.toggles if t.dislike_min != 0)


def wish_costs(
    work: WorkList, strip: Strip, *, limit_s: float = 20.0, halt: Halt | None = None
) -> tuple[WishCost, ...]:
    """Find what each wish costs, each against all the others kept.

    Parameters
    ----------
    work : WorkList
        With its wishes.
    strip : Strip
        The least strip-down of it.
    limit_s : float [s]
        For all wishes together, in equal parts.
    halt : Halt, optional
        Who may ask for an end: wishes not looked at by then have no cost.

    Returns
    -------
    tuple of WishCost
        In the order of the work list, for every toggle with a wish.
    """
    halt = halt or Halt()
    wishes = list(wishes_in(work))
    return tuple(_cost_of(work, strip, toggle, limit_s / len(wishes), halt) for toggle in wishes)


def _cost_of(work: WorkList, strip: Strip, toggle: Toggle, limit_s: float, halt: Halt) -> WishCost:
    """What one wish costs."""
    times = sum(s.ref == toggle.feature and s.on == toggle.on for s in strip.steps)
    freed = without_wish(work, toggle)
    found = WishCost(
        feature=toggle.feature,
        on=toggle.on,
        title=toggle.title,
        dislike_min=toggle.dislike_min,
        times=times,
        cost=None,
        more_min=None,
        proved=False,
    )
    none_there = strip.proof is Proof.NONE
    if not none_there and toggle.feature not in movable(freed):
        # No least plan ever makes it: the wish changes nothing.
        return replace(found, cost=0, more_min=0, proved=strip.proof is Proof.PROVED)
    if halt.asked:
        return found
    other = searched(freed, limit_s, halt)
    if other.proof is Proof.NONE:
        return found
    if none_there:
        return replace(found, blocks=True, proved=cannot_be_done(strip))
    work_min, other_min = strip.cost - strip.dislike, other.cost - other.dislike
    return replace(
        found,
        cost=max(0, strip.cost - other.cost),
        more_min=work_min - other_min,
        proved=Proof.FOUND not in {strip.proof, other.proof},
    )


def without_wish(work: WorkList, toggle: Toggle) -> WorkList:
    """The work list with one wish given up."""
    feature = work.features[toggle.feature]
    mine = feature.toggle(on=toggle.on)
    free = replace(mine, dislike_min=0) if mine is not None else None
    changed = replace(feature, turn_on=free) if toggle.on else replace(feature, turn_off=free)
    return replace(work, features=work.features | {feature.id: changed})
