"""How sure the times are: the owner's three times, else what the catalog says of the kind of work."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.model.catalog import Catalog, Work
from planner.model.work import Feature, Spread, Toggle, WorkList


def with_spreads(work: WorkList, catalog: Catalog) -> WorkList:
    """Give every task and toggle that takes time, and says nothing of its own, the spread of its kind of work."""

    def toggle(known: Toggle | None) -> Toggle | None:
        if known is None or known.spread is not None:
            return known
        return replace(known, spread=_spread(catalog, known.work, known.minutes))

    def feature(known: Feature) -> Feature:
        return replace(known, turn_on=toggle(known.turn_on), turn_off=toggle(known.turn_off))

    tasks = {
        i: task if task.spread is not None else replace(task, spread=_spread(catalog, task.work, task.minutes))
        for i, task in work.tasks.items()
    }
    return replace(work, tasks=tasks, features={i: feature(f) for i, f in work.features.items()})


def _spread(catalog: Catalog, work: Work, minutes: int) -> Spread | None:
    """Whole minutes round ``minutes``, which are the owner's own pace already."""
    known = catalog.spreads.get(work.value)
    if known is None or minutes == 0:
        return None
    return Spread(low_min=math.floor(minutes * known.low + _HAIR), high_min=math.ceil(minutes * known.high - _HAIR))


_HAIR = 1e-9
