"""Which of the owner's own tasks bring heat or sparks to the vehicle by their own word."""

from __future__ import annotations

from planner.model.catalog import Catalog, CheckpointRule, TemplateStep, When
from planner.model.job import OwnTask
from planner.model.words import Work


def watch_rules(catalog: Catalog) -> tuple[CheckpointRule, ...]:
    """The checks that any heat or sparks on the vehicle call for."""
    return tuple(r for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers))


def watch_min(catalog: Catalog) -> int:
    """Minutes of watching for fire after the last spark, as the checks made with it ask for."""
    return round(max((r.low or 0.0 for r in watch_rules(catalog) if r.unit == "min"), default=0.0))


def bench_stay_min(step: TemplateStep, catalog: Catalog) -> int:
    """Minutes of a session that are left after welding at the bench; on the vehicle the watch is part of the step."""
    return watch_min(catalog) if step.work is Work.WELDING and not step.hot else 0


def watch_states(catalog: Catalog) -> tuple[str, ...]:
    """The conditions in which somebody watches for fire."""
    named = dict.fromkeys(c for rule in watch_rules(catalog) for c in rule.conditions)
    return tuple(c for c in named if c in catalog.conditions)


def is_watched(task: OwnTask, catalog: Catalog) -> bool:
    """Whether an own task that is no mending asks for somebody who watches for fire: it is hot on the vehicle."""
    return task.mending is None and bool({*task.conditions} & {*watch_states(catalog)})
