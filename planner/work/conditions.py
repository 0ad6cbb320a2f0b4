"""Conditions as features: on stands, battery isolated, engine cold..."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import networkx as nx

from planner.model.catalog import Condition, When, Work
from planner.model.work import Demand, Feature, Toggle
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.pace import paced


def conditions_in(ground: Ground, demands: Iterable[Demand]) -> list[str]:
    """Conditions that some demand asks to be in, and those that these need in turn, by id."""
    known = ground.catalog.conditions
    needs: nx.DiGraph[str] = nx.DiGraph()
    needs.add_nodes_from(known)
    needs.add_edges_from((c.id, n) for c in known.values() for n in c.needs)
    named = {i for d in demands for i in known if d.on and d.feature == state_id(i)}
    return sorted(named.union(*(nx.descendants(needs, i) for i in named)))


def entry_checks(ground: Ground, condition: str) -> tuple[str, ...]:
    """Checkpoint rules made each time a condition is entered."""
    return tuple(
        r.id
        for r in ground.catalog.rules.values()
        if any(t.when is When.ENTERED and (not t.of or condition in t.of) for t in r.triggers)
    )


def condition_features(
    ground: Ground,
    conditions: list[str],
    proofs: Mapping[str, tuple[str, ...]],
    labelled: Mapping[str, Sequence[str]],
) -> dict[str, Feature]:
    """One feature for each condition; the vehicle starts and ends outside it.

    ``proofs`` gives for a condition the checks to be passed before it is left, ``labelled`` for a part the steps in
    which its wires are labelled.
    """
    known = ground.catalog.conditions
    found = {state_id(i): _feature(ground, known[i], conditions, proofs.get(i, ())) for i in conditions}
    for i in conditions:
        parts = (c for c in ground.vehicle.components.values() if {c.kind, c.group} & {*known[i].undoes})
        first = tuple(t for c in parts for t in labelled.get(c.id, ()))
        enter = found[state_id(i)].turn_on
        if first and enter is not None:
            found[state_id(i)] = replace(found[state_id(i)], turn_on=replace(enter, after=(*enter.after, *first)))
    return found


def _feature(ground: Ground, condition: Condition, conditions: list[str], proofs: tuple[str, ...]) -> Feature:
    feature = state_id(condition.id)
    needs = tuple(Demand(feature=state_id(n), on=True) for n in condition.needs)
    resting = tuple(
        Demand(feature=state_id(i), on=False) for i in conditions if condition.id in ground.catalog.conditions[i].needs
    )
    rules = entry_checks(ground, condition.id)
    check_min = sum(ground.catalog.rules[r].minutes for r in rules)
    return Feature(
        id=feature,
        name=condition.name,
        subject=condition.id,
        start=False,
        goal=False,
        turn_on=Toggle(
            feature=feature,
            on=True,
            title=condition.enter,
            work=Work.PLANNING,
            minutes=paced(ground.job, Work.PLANNING, condition.enter_min + check_min),
            hands=condition.hands,
            demands=needs,
            apart=condition.apart,
            late=condition.wet or (condition.apart and not condition.protects),
            checks=rules,
            tools=condition.tools,
            cautions=condition.cautions,
        ),
        turn_off=Toggle(
            feature=feature,
            on=False,
            title=condition.leave,
            work=Work.PLANNING,
            minutes=paced(ground.job, Work.PLANNING, condition.leave_min),
            hands=condition.hands,
            demands=needs + resting,
            after=proofs,
            tools=condition.tools,
            cautions=condition.leave_cautions or condition.cautions,
            late=condition.protects,
            apart=condition.apart,
        ),
    )
