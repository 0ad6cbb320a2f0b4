"""Parts that may be in place with their bolts finger-tight while things are tried against them.

Such a part has two features instead of one: in place, and tightened. Their toggles share out the minutes of fitting
and of taking off. A trial fit, and marking holes on it, asks for it in place; everything else asks for it tightened
as well; it comes off only when it is not. What tightening asks for is no more than what fitting asked for, so any
order of the plain list is an order of this one at the same price, and the least price can only fall.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import networkx as nx

from planner.model.catalog import Work
from planner.model.steps import thing_of
from planner.model.vehicle import Component
from planner.model.work import Demand, Feature, Hold, Task, Toggle, WorkList
from planner.work.bodies import Ground
from planner.work.features import riders
from planner.work.holds import is_away
from planner.work.waits import all_before, graph_of

FINGER_TIGHT = "Finger-tight is for trying only: nobody leans on it, drives on it or lies under it"


CLAMPED = "Clamps alone carry nothing: what is heavy and hangs on it is held up from below until its holes are drilled"

_TRIED = frozenset({Work.TRIAL_FIT, Work.MARKING})
"""Done with what it wants in place held finger-tight: holes are marked on the part itself, wherever that is held."""


def tight_id(body: str) -> str:
    """Feature id of a body being tightened."""
    return f"{body}:tight"


def with_loose_fits(ground: Ground, work: WorkList) -> WorkList:
    """Let the parts that it can pay for be in place without being tightened."""
    waits = graph_of(work.tasks.values())
    chosen = {body: share for body, share in _may_be_loose(ground) if _can_pay(body, work, waits)}
    features: dict[str, Feature] = {}
    for i, feature in work.features.items():
        if i in chosen and feature.turn_on is not None and feature.turn_off is not None:
            set_by = _set_by(ground, work, i)
            loose, tight = _parted(feature, feature.turn_on, feature.turn_off, chosen[i], set_by)
            loose = _clamped(loose) if _drilled_later(work, waits, i) else loose
            features |= {i: loose, tight.id: tight}
        else:
            features[i] = _asking(feature, chosen, ground)
    return replace(
        work,
        features=features,
        tasks={i: _task(task, chosen) for i, task in work.tasks.items()},
        holds={i: _hold(hold, chosen) for i, hold in work.holds.items()},
    )


def _may_be_loose(ground: Ground) -> Iterator[tuple[str, float]]:
    """Bodies that stay and whose kind may be left finger-tight, with the share of the fitting that takes."""
    for body, item in ground.handled.items():
        kind = ground.catalog.kinds.get(item.part.kind) if isinstance(item.part, Component) else None
        if item.goal and kind is not None and kind.loose is not None:
            yield body, kind.loose


def _can_pay(body: str, work: WorkList, waits: nx.DiGraph[str]) -> bool:
    """Whether some trial fit wants it in place and it may have to be off after that.

    What has to be done before it is first fitted does not count, nor what comes before the trial anyway.
    """
    feature = work.features[body]
    first = feature.turn_on.after if feature.turn_on is not None and not feature.start else ()
    trials = [t.id for t in work.tasks.values() if t.work is Work.TRIAL_FIT and _asks(t, body, on=True)]
    off = {t.id for t in work.tasks.values() if _asks(t, body, on=False)} - {*first, *all_before(waits, first)}
    return any(off - all_before(waits, [trial]) for trial in trials)


def _asks(task: Task, body: str, *, on: bool) -> bool:
    return any(d.feature == body and d.on is on for d in task.demands)


def _set_by(ground: Ground, work: WorkList, body: str) -> tuple[str, ...]:
    """What a part of the steering carries and is set by: it is tightened with that in place.

    None where something wants it tightened without: the support of a column that is elsewhere just then.
    """
    if ground.handled[body].part.group != _STEERS:
        return ()
    carried = tuple(i for i in riders(ground, ground.handled[body]) if ground.handled[i].goal)
    asked = [t.demands for t in work.tasks.values() if t.work not in _TRIED] + [h.demands for h in work.holds.values()]
    asked += [f.turn_on.demands for f in work.features.values() if f.turn_on and f.subject in ground.vehicle.systems]
    asked += [way for f in work.features.values() if f.turn_off and _is_kept(ground, f) for way in f.turn_off.ways]
    tight = [{d.feature for d in demands if d.on} for demands in asked if Demand(feature=body, on=True) in demands]
    return carried if all({*carried} <= there for there in tight) else ()


_STEERS = "steering"


def _drilled_later(work: WorkList, waits: nx.DiGraph[str], body: str) -> bool:
    """Whether the holes that hold a part are made only after it was tried in its place."""
    trials = {t.id for t in work.tasks.values() if t.work is Work.TRIAL_FIT and _asks(t, body, on=True)}
    own = [t.id for t in work.tasks.values() if t.work is Work.DRILLING and _asks(t, body, on=False)]
    subject = work.features[body].subject
    return any(trials & all_before(waits, [i]) for i in own if thing_of(i) == subject)


def _clamped(loose: Feature) -> Feature:
    fit = loose.turn_on
    if fit is None:
        return loose
    title = fit.title.replace(_BY_FINGERS, f", clamped until its holes are drilled{_BY_FINGERS} from then on")
    return replace(loose, turn_on=replace(fit, title=title, cautions=(*fit.cautions, CLAMPED)))


_BY_FINGERS = ", bolts finger-tight"


def _parted(
    feature: Feature, on: Toggle, off: Toggle, share: float, set_by: tuple[str, ...] = ()
) -> tuple[Feature, Feature]:
    """The two features of a body: in place, and tightened, which it is with what it is ``set_by`` in place."""
    tight = tight_id(feature.id)
    slack = Demand(feature=tight, on=False)
    fit_min, free_min = math.ceil(on.minutes * share), math.ceil(off.minutes * share)
    common = tuple(d for d in on.demands if d in off.demands)
    there = Demand(feature=feature.id, on=True)
    loose = replace(
        feature,
        turn_on=replace(
            on,
            title=f"{on.title}{_BY_FINGERS}",
            minutes=fit_min,
            cautions=(*on.cautions, FINGER_TIGHT),
        ),
        turn_off=replace(off, minutes=free_min, demands=(*off.demands, slack)),
    )
    name = feature.name.replace(" fitted", "", 1)
    tightened = Feature(
        id=tight,
        name=f"{name} tightened",
        subject=feature.subject,
        start=feature.start,
        goal=feature.goal,
        turn_on=replace(
            on,
            feature=tight,
            title=f"Tighten {name}",
            minutes=on.minutes - fit_min,
            demands=(there, *(_turned(d, set_by) for d in common)),
            ways=(),
            after=(),
            checks=(),
            purchases=(),
        ),
        turn_off=replace(
            off,
            feature=tight,
            on=False,
            title=f"Loosen {name}",
            minutes=off.minutes - free_min,
            demands=tuple(d for d in off.demands if (d in common and d.feature not in set_by) or is_away(d.feature)),
            ways=(),
            after=(),
            dislike_min=0,
        ),
    )
    return loose, tightened


def _turned(demand: Demand, set_by: tuple[str, ...]) -> Demand:
    """What fitting wants off as it rides on the part is on while that is set by it."""
    return replace(demand, on=True) if demand.feature in set_by else demand


def _task(task: Task, chosen: dict[str, float]) -> Task:
    kept = [d for d in task.demands if d.last or task.work not in _TRIED]
    return replace(task, demands=(*task.demands, *_tight(tuple(kept), chosen)))


def _asking(feature: Feature, chosen: dict[str, float], ground: Ground) -> Feature:
    """A circuit is closed, a state left, a part with two homes no longer away: with all that is in place tightened."""
    on, off = feature.turn_on, feature.turn_off
    if feature.subject in ground.vehicle.systems and on is not None:
        return replace(feature, turn_on=replace(on, demands=(*on.demands, *_tight(on.demands, chosen))))
    if off is not None and _is_kept(ground, feature):
        ways = tuple((*way, *_tight(way, chosen)) for way in off.ways)
        return replace(feature, turn_off=replace(off, ways=ways))
    return feature


def _is_kept(ground: Ground, feature: Feature) -> bool:
    """Whether it is a part with two homes being away, or a state, which are left with all in place tightened."""
    return is_away(feature.id) or feature.subject in ground.catalog.conditions


def _hold(hold: Hold, chosen: dict[str, float]) -> Hold:
    return replace(hold, demands=(*hold.demands, *_tight(hold.demands, chosen)))


def _tight(demands: tuple[Demand, ...], chosen: dict[str, float]) -> tuple[Demand, ...]:
    return tuple(replace(d, feature=tight_id(d.feature)) for d in demands if d.on and d.feature in chosen)
