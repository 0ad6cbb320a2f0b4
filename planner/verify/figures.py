"""Do the figures a plan tells agree with its slots: work, effort, finish, and the trade between them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from planner.model.effects import Proof
from planner.model.plan import Plan, Step
from planner.model.work import WorkList
from planner.verify.replay import Stretch, dislike_min, effort_min, piece_of, step_words


def against_strip(plan: Plan, stretches: Sequence[Stretch]) -> Iterator[str]:
    """Give a sentence for each step that is not as often in the slots as in the strip-down, and for lists out of step.

    The parts of a split task count once.
    """
    packed: Counter[Step] = Counter(stretch.step for stretch in stretches)
    asked: Counter[Step] = Counter(plan.strip.steps)
    steps = sorted(packed.keys() | asked.keys(), key=lambda step: (step.ref, str(step.on)))
    for step in steps:
        if packed[step] != asked[step]:
            found = f"{packed[step]} times in the slots and {asked[step]} times in the strip"
            yield f"{step_words(step)} stands {found}"
    if plan.slots != tuple(sorted(plan.slots, key=lambda slot: slot.start)):
        yield "the slots are not listed in the order of time"
    if plan.why and len(plan.why) != len(plan.slots):
        yield f"there are {len(plan.slots)} slots and {len(plan.why)} reasons"


def total_faults(work: WorkList, plan: Plan, stretches: Sequence[Stretch]) -> Iterator[str]:
    """Give a sentence for each total that is not the sum over the slots."""
    finish = max((slot.end for slot in plan.slots), default=None)
    if plan.finish != finish:
        yield f"the plan says it finishes at {plan.finish} and its last slot ends at {finish}"
    steps = [stretch.step for stretch in stretches]
    pieces = [piece_of(work, step) for step in steps]
    work_min = sum(piece.minutes * piece.hands for piece in pieces if piece is not None)
    if plan.work_min != work_min:
        yield f"the plan says {plan.work_min} hand-minutes of work and its slots add up to {work_min}"
    dislike = dislike_min(work, steps)
    if plan.strip.dislike != dislike:
        yield f"the plan says {plan.strip.dislike} hand-minutes of dislike and its slots add up to {dislike}"
    cost = effort_min(work, steps) + dislike
    if plan.strip.cost != cost:
        yield f"the plan says {plan.strip.cost} hand-minutes of strip-down and its slots add up to {cost}"
    if plan.proof is Proof.NONE:
        yield "the plan has slots and says that there is no answer"
    if plan.trouble:
        yield f"the plan has slots and tells trouble: {plan.trouble[0]}"


def frontier_faults(plan: Plan) -> Iterator[str]:
    """Give a sentence for each point of the trade between work and finish that contradicts another or the plan."""
    if plan.finish is None:
        return
    day = plan.finish.date()
    if plan.earliest is not None and day < plan.earliest:
        yield f"the plan finishes on {day} and says that none finishes before {plan.earliest}"
    for number, point in enumerate(plan.frontier, start=1):
        name = f"point {number} of the frontier ({point.cost} hand-minutes, done on {point.finish})"
        if plan.earliest is not None and point.finish < plan.earliest:
            yield f"{name}: it finishes before {plan.earliest}, the earliest there is"
        if point.cost < plan.strip.bound:
            yield f"{name}: it takes less than {plan.strip.bound} hand-minutes, the proved least"
        if point.sessions < 1:
            yield f"{name}: it takes {point.sessions} sessions"
        if number > 1:
            before = plan.frontier[number - 2]
            if point.cost <= before.cost:
                yield f"{name}: it takes no more work than point {number - 1} with {before.cost} hand-minutes"
            if point.finish >= before.finish:
                yield f"{name}: it finishes no sooner than point {number - 1} on {before.finish}"
    yield from _own_point(plan)


def _own_point(plan: Plan) -> Iterator[str]:
    if plan.finish is None or not plan.frontier:
        return
    own = [p for p in plan.frontier if (p.cost, p.finish) == (plan.strip.cost, plan.finish.date())]
    if not own:
        itself = f"the plan itself ({plan.strip.cost} hand-minutes, done on {plan.finish.date()})"
        yield f"{itself} is no point of its frontier"
        return
    worked = len({slot.session for slot in plan.slots})
    if own[0].sessions != worked:
        yield f"the plan's own point of the frontier tells {own[0].sessions} sessions and its slots are in {worked}"
