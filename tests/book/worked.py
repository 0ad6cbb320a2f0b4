"""The shipped jobs, planned as quickly as will do for a book: any plan serves, the least one is not needed."""

from __future__ import annotations

from functools import lru_cache

from trials import TODAY, catalog, job, vehicle

from planner.book import Paper, book_page
from planner.cli.planning import planned
from planner.model.answer import Answer
from planner.sums.sheet import sums_of

QUICK_S = 1.0


@lru_cache(maxsize=3)
def answer(name: str) -> Answer:
    found = planned(vehicle(), job(name), catalog(), today=TODAY, limit_s=QUICK_S)
    assert found.plan.slots
    return found


def print_of(name: str, paper: Paper = Paper.ANY) -> str:
    found = answer(name)
    after = found.knockons
    return book_page(
        found,
        sums=sums_of(after.after, after.links_after, found.vehicle.figures),
        fluids={i: catalog().system_kinds[s.kind].fluid for i, s in found.vehicle.systems.items()},
        paper=paper,
    )
