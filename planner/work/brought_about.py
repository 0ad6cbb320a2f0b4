"""Conditions that a job brings about, as facts: what was undone in one is looked at when it has been left."""

from __future__ import annotations

from dataclasses import replace

from planner.knockon import Fact
from planner.model.catalog import When
from planner.model.work import Demand
from planner.work.bodies import Ground
from planner.work.checkpoints import called_rules
from planner.work.circuits import circuit_features, state_id
from planner.work.conditions import conditions_in
from planner.work.features import body_features
from planner.work.holds import holds_for
from planner.work.inside import opened_safely
from planner.work.tasks import TaskBook


def with_brought_about(ground: Ground, book: TaskBook) -> Ground:
    """The ground with a fact for each condition that its work asks for, checks called by these facts among it."""
    bodies = {**body_features(ground, {}, {}, {}), **circuit_features(ground, {})}
    asked = [d for task in book.tasks.values() for d in task.demands]
    asked += [d for hold in holds_for(ground)[0].values() for d in hold.demands]
    asked += [d for f in bodies.values() for t in f.toggles for d in t.demands]
    told = ground.facts
    while True:
        rules = (ground.catalog.rules[r] for r in called_rules(ground))
        checks = [Demand(feature=state_id(c), on=True) for rule in rules for c in rule.conditions]
        safe = opened_safely(ground, bodies, [*asked, *checks])
        opening = [d for f in safe.values() for t in f.toggles for d in t.demands]
        more = tuple(_fact(ground, c) for c in conditions_in(ground, [*asked, *checks, *opening]))
        if ground.facts == (*told, *more):
            return ground
        ground = replace(ground, facts=(*told, *more))


def _fact(ground: Ground, condition: str) -> Fact:
    name = ground.catalog.conditions[condition].name
    words = frozenset({condition})
    return Fact(when=When.BROUGHT_ABOUT, subject=condition, effect="", words=words, why=name)
