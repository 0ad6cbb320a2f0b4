"""How the vehicle must stand when a session ends, as demands on features.

A part that is moved or replaced is asked for in either home. A demand is a conjunction, so such a part gets a feature
of its own, "away": while it is off, neither home may be given up, and it can only be turned off with the part in one
of the two. The hold then asks for "not away", which is just "in its old home or in its new one".
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.model.catalog import Work
from planner.model.job import EndState, Replace
from planner.model.vehicle import Component
from planner.model.work import Demand, Feature, Hold, Toggle
from planner.work.bodies import Ground
from planner.work.circuits import state_id


def away_id(subject: str) -> str:
    """Feature id of a part or link with two homes being in neither."""
    return f"{_AWAY}{subject}"


def is_away(feature: str) -> bool:
    """Whether a feature is a part with two homes being in neither."""
    return feature.startswith(_AWAY)


_AWAY = "away:"


def holds_for(ground: Ground) -> tuple[dict[str, Hold], dict[str, Feature]]:
    """The job's end states as holds, and the features they need besides those of the work.

    A part that nothing handles is always there: asked for in place it asks for nothing, asked for off it becomes a
    feature that never changes, so that the search for an order says that it cannot be.
    """
    extra: dict[str, Feature] = {}
    holds = {}
    for state in ground.job.at_end.values():
        demands = [*_fitted(ground, state, extra), *_off(ground, state, extra)]
        demands += [Demand(feature=state_id(c), on=True) for c in state.conditions]
        demands += [Demand(feature=state_id(c), on=False) for c in state.without]
        holds[state.id] = Hold(
            id=state.id,
            title=state.name,
            demands=tuple(dict.fromkeys(demands)),
            weekdays=frozenset(state.weekdays),
            days=frozenset(state.days),
        )
    return holds, extra


def watched(features: dict[str, Feature], extra: dict[str, Feature]) -> dict[str, Feature]:
    """Add the features that holds need: a home is given up only while its part may be away."""
    found = {**features, **extra}
    for feature in extra.values():
        ways = feature.turn_off.ways if feature.turn_off is not None else ()
        for (home,) in ways:
            known = found[home.feature]
            if known.turn_off is not None:
                demands = (*known.turn_off.demands, Demand(feature=feature.id, on=True))
                found[known.id] = replace(known, turn_off=replace(known.turn_off, demands=demands))
    return found


def holds_that_bind(holds: dict[str, Hold], features: dict[str, Feature]) -> dict[str, Hold]:
    """Holds without what is so anyway: a condition that this job never enters does not hold."""
    bound = {}
    for hold in holds.values():
        demands = tuple(d for d in hold.demands if d.feature in features)
        if demands:
            bound[hold.id] = replace(hold, demands=demands)
    return bound


def _fitted(ground: Ground, state: EndState, extra: dict[str, Feature]) -> Iterator[Demand]:
    for name in state.fitted:
        subject = _carried(ground, name)
        bodies = _bodies(ground, subject)
        if len(bodies) == 1:
            yield Demand(feature=bodies[0], on=True)
        elif bodies:
            away = _away(ground, subject, bodies)
            extra[away.id] = away
            yield Demand(feature=away.id, on=False)


def _off(ground: Ground, state: EndState, extra: dict[str, Feature]) -> Iterator[Demand]:
    for name in state.off:
        bodies = [i for i, item in ground.handled.items() if item.subject == name]
        yield from (Demand(feature=b, on=False) for b in bodies)
        if not bodies:
            words = f"{ground.name(name)} fitted"
            extra[name] = Feature(id=name, name=words, subject=name, start=True, goal=True, turn_on=None, turn_off=None)
            yield Demand(feature=name, on=False)


def _bodies(ground: Ground, subject: str) -> list[str]:
    """Every home of a part or link and of what it replaces or is replaced by; empty when nothing handles it."""
    pairs = [{c.part, c.component.id} for c in ground.job.changes if isinstance(c, Replace)]
    subjects = {subject}.union(*(pair for pair in pairs if subject in pair))
    return [i for i, item in ground.handled.items() if item.subject in subjects]


def _carried(ground: Ground, name: str) -> str:
    """What a part comes off with: itself, or what it rides on."""
    while not _bodies(ground, name):
        part = ground.part(name)
        if not isinstance(part, Component) or not part.rides or part.mounted_on is None:
            break
        name = part.mounted_on
    return name


def _away(ground: Ground, subject: str, bodies: list[str]) -> Feature:
    feature, name = away_id(subject), ground.name(subject)
    return Feature(
        id=feature,
        name=f"{name} away",
        subject=subject,
        start=False,
        goal=None,
        turn_on=Toggle(
            feature=feature,
            on=True,
            title=f"From here on {name} may be away",
            work=Work.PLANNING,
            minutes=0,
            hands=1,
        ),
        turn_off=Toggle(
            feature=feature,
            on=False,
            title=f"See that {name} is in place, old or new",
            work=Work.PLANNING,
            minutes=0,
            hands=1,
            ways=tuple((Demand(feature=b, on=True),) for b in bodies),
        ),
    )
