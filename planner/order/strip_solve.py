"""The least strip-down of a work list, in a natural order, with its proof or with the reason why there is none."""

from __future__ import annotations

from planner.model.effects import Proof
from planner.model.plan import Strip
from planner.model.work import WorkList
from planner.order.strip_hunt import cost_of, hunted
from planner.order.strip_merge import merged
from planner.order.strip_problem import prepared, unknown_references
from planner.order.strip_trouble import trouble_words
from planner.order.thread import natural_order, step_of, thread_of


def least_strip(work: WorkList, *, limit_s: float = 20.0) -> Strip:
    """Put a work list in an order of least strip-down.

    Parameters
    ----------
    work : WorkList
    limit_s : float [s]
        Time for the search, about; it is counted in the solver's own measure of work so that the same input
        gives the same answer.

    Returns
    -------
    Strip
        ``PROVED``: least over any number of repeats. ``FOUND``: a true plan and a proved bound. ``NONE``:
        ``trouble`` says what cannot hold together, or that the time was not enough to find any order.
    """
    unknown = unknown_references(work)
    if unknown:
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=0, trouble=unknown)
    ready = prepared(work)
    short = merged(ready)
    hunt = hunted(short.work, limit_s)
    if hunt.impossible:
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=hunt.bound, trouble=trouble_words(work))
    if hunt.cost is None:
        words = (f"no order was found in {limit_s:g} s, and none was shown to be impossible",)
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=hunt.bound, trouble=words)
    order = natural_order(ready, thread_of(ready, short.spelt_out(hunt.steps)))
    steps = tuple(step_of(n, ready) for n in order)
    proof = Proof.PROVED if hunt.settled else Proof.FOUND
    return Strip(proof=proof, steps=steps, cost=cost_of(work, steps), bound=min(hunt.bound, hunt.cost))
