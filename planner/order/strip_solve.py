"""The least strip-down of a work list, in a natural order, with its proof or with the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.model.effects import Proof
from planner.model.plan import Step, Strip
from planner.model.work import WorkList
from planner.order.halt import Halt
from planner.order.strip_better import cost_of
from planner.order.strip_hunt import hunted
from planner.order.strip_merge import merged
from planner.order.strip_problem import prepared, unknown_references
from planner.order.strip_trouble import CANNOT, trouble_words
from planner.order.thread import natural_order, step_of, thread_of


def least_strip(work: WorkList, *, limit_s: float = 20.0, halt: Halt | None = None) -> Strip:
    """Put a work list in an order of least strip-down.

    Parameters
    ----------
    work : WorkList
    limit_s : float [s]
        Time for the search, about; it is counted in the solver's own measure of work so that the same input
        gives the same answer.
    halt : Halt, optional
        Who may ask for an end: the best plan so far is given, with what is proved by then.

    Returns
    -------
    Strip
        ``PROVED``: least over any number of repeats. ``FOUND``: a true plan and a proved bound. ``NONE``:
        ``trouble`` says what cannot hold together, or that the time was not enough to find any order.
    """
    unknown = unknown_references(work)
    if unknown:
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=0, trouble=unknown)
    strip = searched(work, limit_s, halt or Halt())
    return replace(strip, trouble=trouble_words(work)) if cannot_be_done(strip) else strip


def searched(work: WorkList, limit_s: float, halt: Halt) -> Strip:
    """Search as :func:`least_strip` does; of what is impossible only that it is so, which costs less to say."""
    ready = prepared(work)
    short = merged(ready)
    hunt = hunted(short.work, limit_s, halt)
    if hunt.impossible:
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=hunt.bound, trouble=(CANNOT,))
    if hunt.cost is None:
        ended = "before the search was stopped" if halt.asked else f"in {limit_s:g} s"
        words = (f"no order was found {ended}, and none was shown to be impossible",)
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=hunt.bound, trouble=words)
    order = natural_order(ready, thread_of(ready, short.spelt_out(hunt.steps)))
    steps = tuple(step_of(n, ready) for n in order)
    return Strip(
        proof=Proof.PROVED if hunt.settled else Proof.FOUND,
        steps=steps,
        cost=cost_of(work, steps),
        bound=min(hunt.bound, hunt.cost),
        dislike=dislike_of(work, steps),
    )


def cannot_be_done(strip: Strip) -> bool:
    """Whether it is shown that there is no order at all, rather than none found."""
    return strip.trouble[:1] == (CANNOT,)


def dislike_of(work: WorkList, steps: Iterable[Step]) -> int:
    """The owner's own price on the toggles of a sequence [hand-min]."""
    toggles = (work.features[s.ref].toggle(on=s.on) for s in steps if s.on is not None)
    return sum(t.dislike_min or 0 for t in toggles if t is not None)
