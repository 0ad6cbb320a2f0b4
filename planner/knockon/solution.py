"""The choice of homes by itself: what moves, what becomes of the links, what it costs; no ways out, no tests."""

from __future__ import annotations

from dataclasses import dataclass

from planner.knockon.asked import Asked, asked_by
from planner.knockon.conflicts import PairRules, rules_for
from planner.knockon.graph import EffectBook
from planner.knockon.homes import HomeSearch
from planner.knockon.impossible import impossible
from planner.knockon.options import MILLI
from planner.knockon.outcome import Outcome, outcome_of
from planner.knockon.slide import slid
from planner.knockon.tell_moves import tell_asked, tell_links, tell_moves
from planner.knockon.trouble import trouble_words
from planner.model.catalog import Catalog
from planner.model.effects import EffectKind, Proof
from planner.model.job import Job
from planner.model.vehicle import Vehicle

_WEIGHED = (EffectKind.MOVES, EffectKind.GONE, EffectKind.REMADE, EffectKind.ADJUSTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """What a job does to a vehicle, as far as sizes decide it.

    ``effects`` are the moves, the things that go and the fates of the links, by effect id, each in words; ``cost_min``
    is in hand-minutes, None when there is no answer and ``trouble`` says why.
    """

    asked: Asked
    rules: PairRules
    search: HomeSearch
    out: Outcome
    effects: dict[str, str]
    cost_min: int | None
    trouble: tuple[str, ...] = ()


def solve(vehicle: Vehicle, job: Job, catalog: Catalog, *, limit_s: float = 10.0) -> Solution:
    """Choose homes at least cost and say what that does; ``limit_s`` [s] for each solve of the choice."""
    asked = asked_by(vehicle, job)
    rules = rules_for(vehicle, asked, catalog)
    never = impossible(vehicle, asked, rules)
    search = HomeSearch(asked, rules, catalog, job.hour_worth)
    answer = search.no_answer(()) if never else slid(search, search.run(limit_s))
    out = outcome_of(vehicle, job, catalog, asked, search, answer)
    if answer.proof is Proof.NONE:
        trouble = never or trouble_words(out)
        return Solution(
            asked=asked, rules=rules, search=search, out=out, effects={}, cost_min=None, trouble=tuple(trouble)
        )
    book = EffectBook()
    tell_asked(out, book)
    tell_moves(out, book)
    tell_links(out, book)
    effects = {e.id: e.text for e in book.effects() if e.kind in _WEIGHED}
    cost_min = -(-out.answer.cost // MILLI)
    return Solution(asked=asked, rules=rules, search=search, out=out, effects=effects, cost_min=cost_min)
