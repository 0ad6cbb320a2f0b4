"""Random jobs through the planner: every plan is sound, trouble comes without slots, and no known plan disproves it."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from random_calendar import FIRST, TIDY_MIN
from random_jobs import Ask, random_ask
from yard import catalog

from planner.model.plan import Plan
from planner.order import scheduled
from planner.verify import check_plan, check_strip

QUICK_S, LONG_S = 0.1, 4.0
"""Time for a plan: little, so that many can be asked for; and enough for most to be proved."""
CATALOG = catalog(TIDY_MIN)


def planned(ask: Ask, limit_s: float) -> Plan:
    return scheduled(ask.work, ask.job, CATALOG, today=FIRST, limit_s=limit_s)


def disproved(ask: Ask, plan: Plan) -> list[str]:
    """What the plan claims and the known sound plan of the same job contradicts."""
    if ask.known is None:
        return []
    known = ask.known.plan
    assert known.finish is not None
    day, cost, said = known.finish.date(), known.strip.cost, []
    if plan.strip.bound > cost:
        said.append(f"no strip-down under {plan.strip.bound} hand-minutes, and one is known of {cost}")
    if plan.earliest is not None and plan.earliest > day:
        said.append(f"no finish before {plan.earliest}, and one is known on {day}")
    if plan.trouble or plan.strip.trouble:
        said.append(f"a plan is known, and it tells trouble: {plan.trouble or plan.strip.trouble}")
    beaten = [p for p in plan.frontier if p.proved and cost < p.cost and day <= p.finish]
    said += [f"{p} is called proved, and a plan of {cost} done on {day} is known" for p in beaten]
    return said


def faults(ask: Ask, plan: Plan) -> list[str]:
    said = [*check_plan(ask.work, plan, ask.job, CATALOG, FIRST), *check_strip(ask.work, plan.strip)]
    if not plan.slots and ask.work.tasks and not plan.trouble and not plan.strip.trouble:
        said.append("there are neither slots nor trouble")
    return said + disproved(ask, plan)


@dataclass
class Tally:
    plans: int = 0
    troubles: int = 0
    at_once: int = 0
    split: int = 0
    held: int = 0
    disliked: int = 0
    said: dict[int, list[str]] = field(default_factory=dict)

    def count(self, seed: int, limit_s: float) -> None:
        ask = random_ask(seed)
        plan = planned(ask, limit_s)
        if ask.known is not None and not plan.slots:
            # Out of time is no fault of a plan asked for in a hurry.
            plan = planned(ask, 10 * limit_s)
        self.plans += bool(plan.slots)
        self.troubles += not plan.slots
        self.at_once += any(b.start < a.end for a, b in zip(plan.slots, plan.slots[1:], strict=False))
        self.split += any(s.parts > 1 for s in plan.slots)
        self.held += bool(plan.slots) and any(h.demands for h in ask.work.holds.values())
        self.disliked += plan.strip.dislike > 0
        said = faults(ask, plan)
        if said:
            self.said[seed] = said


def tally(seeds: range, limit_s: float = QUICK_S) -> Tally:
    found = Tally()
    for seed in seeds:
        found.count(seed, limit_s)
    return found


def test_plans_of_random_jobs_are_sound() -> None:
    found = tally(range(40))
    assert found.said == {}
    # Otherwise it would say little.
    assert found.plans >= 20
    assert min(found.at_once, found.split, found.held, found.disliked) >= 3


@pytest.mark.parametrize("seed", [6484, 1493, 1680, 1896, 1958, 2205, 5086])
def test_jobs_that_once_went_wrong_are_sound(seed: int) -> None:
    """A point of the trade told twice, minutes over a tenth of a second, steps beyond their session's end, a crash."""
    assert tally(range(seed, seed + 1)).said == {}


@pytest.mark.slow
@pytest.mark.parametrize("block", range(100))
def test_ten_thousand_plans_are_sound(block: int) -> None:
    assert tally(range(1000 + block * 100, 1100 + block * 100)).said == {}


@pytest.mark.slow
@pytest.mark.parametrize("block", range(30))
def test_plans_that_are_given_time_are_sound(block: int) -> None:
    assert tally(range(20_000 + block * 10, 20_010 + block * 10), LONG_S).said == {}
