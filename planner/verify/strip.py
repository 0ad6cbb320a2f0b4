"""Is a strip-down order sound? Asked by replaying it, step by step."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.effects import Proof
from planner.model.plan import Strip
from planner.model.work import WorkList
from planner.verify.replay import dislike_min, effort_min, replay


def check_strip(work: WorkList, strip: Strip) -> tuple[str, ...]:
    """Every rule that a strip-down order breaks.

    Parameters
    ----------
    work : WorkList
        What has to be done, and what each step demands.
    strip : Strip
        The answer to be checked.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation; empty when the order is sound. A strip that says in words that there
        is no order (no steps, with its ``trouble``) has nothing to be checked and passes.
    """
    if strip.proof is Proof.NONE and not strip.steps:
        return () if strip.trouble else ("there is no order of work and no reason is told",)
    return (*replay(work, strip.steps), *_figures(work, strip))


def _figures(work: WorkList, strip: Strip) -> Iterator[str]:
    if strip.proof is Proof.NONE:
        yield "the strip has steps and says that there is no answer"
    dislike = dislike_min(work, strip.steps)
    if dislike != strip.dislike:
        yield f"the dislike is told as {strip.dislike} hand-minutes and the steps add up to {dislike}"
    summed = effort_min(work, strip.steps) + dislike
    if summed != strip.cost:
        yield f"the cost is told as {strip.cost} hand-minutes and the steps add up to {summed}"
    if strip.bound > strip.cost:
        yield f"the bound of {strip.bound} hand-minutes is above the cost of {strip.cost}"
    if strip.proof is Proof.PROVED and strip.bound < strip.cost:
        yield f"it is called proved least at {strip.cost} hand-minutes with a bound of {strip.bound}"
