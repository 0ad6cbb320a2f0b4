"""Parts left finger-tight for a trial: whether each is tightened for all else, and in the trade's order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.catalog import Catalog, Work
from planner.model.effects import Knockons
from planner.model.work import Demand, Feature, WorkList
from planner.verify.sequence import Order, tasks_before

_TIGHT = ":tight"
_TRIED = frozenset({Work.TRIAL_FIT, Work.MARKING})


def tightness_faults(knockons: Knockons, work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    """Give a sentence for each part that may be relied on, driven on, filled or left while its bolts are finger-tight.

    Only a trial fit, and the marking of holes on the part itself, make do with that.
    """
    for name, tight in sorted(work.features.items()):
        body = work.features.get(name.removesuffix(_TIGHT)) if name.endswith(_TIGHT) else None
        if body is not None:
            yield from _tied(body, tight)
            yield from _relied_on(work, catalog, body.id)
            yield from _handled_alike(body, tight)
            yield from _set_by(knockons, work, catalog, body, tight)
            yield from _clamped(work, order, body)


def _asks(demands: Sequence[Demand], feature: str, *, on: bool) -> bool:
    return any(d.feature == feature and d.on is on for d in demands)


def _tied(body: Feature, tight: Feature) -> Iterator[str]:
    """Tightened in its place, slackened before it comes off, and tight at the end."""
    if tight.turn_on is None or not _asks(tight.turn_on.demands, body.id, on=True):
        yield f"`{tight.id}` may be done with `{body.id}` away"
    if body.turn_off is None or not _asks(body.turn_off.demands, tight.id, on=False):
        yield f"`{body.id}` may come off while it is tight"
    if tight.goal is not body.goal:
        yield f"`{body.id}` may be left finger-tight"
    if body.turn_on is None or not any("inger-tight" in c for c in body.turn_on.cautions):
        yield f"`{body.id}` is fitted finger-tight and nobody is told not to lean on it"


def _handled_alike(body: Feature, tight: Feature) -> Iterator[str]:
    """Bolts are turned in the states, with the circuits open, in which the part itself comes off and goes on.

    What rides on it may be there: some parts are set by that.
    """
    on, off = body.turn_on, body.turn_off
    both = {(d.feature, d.on) for d in on.demands} & {(d.feature, d.on) for d in off.demands} if on and off else set()
    for toggle in tight.toggles:
        asked = {(d.feature, d.on) for d in toggle.demands}
        for feature, wanted in sorted(both - asked):
            if ":" in feature and not feature.startswith("away:"):
                said = "does not hold" if wanted else "holds"
                yield f"`{tight.id}` may be changed ({toggle.title}) while `{feature}` {said}"


def _uses(work: WorkList, catalog: Catalog) -> Iterator[tuple[str, tuple[Demand, ...]]]:
    """All that relies on what is in place, by name, but for trials: work, holds, fillings, states being left."""
    for task in work.tasks.values():
        yield task.id, tuple(d for d in task.demands if d.last or task.work not in _TRIED)
    for hold in work.holds.values():
        yield hold.id, hold.demands
    for feature in work.features.values():
        if feature.id.startswith("circuit:") and feature.turn_on is not None:
            yield feature.id, feature.turn_on.demands
        kept = feature.subject in catalog.conditions or feature.id.startswith("away:")
        if kept and feature.turn_off is not None:
            yield from ((feature.id, way) for way in feature.turn_off.ways)


def _relied_on(work: WorkList, catalog: Catalog, body: str) -> Iterator[str]:
    for name, demands in _uses(work, catalog):
        if _asks(demands, body, on=True) and not _asks(demands, body + _TIGHT, on=True):
            yield f"`{name}` relies on `{body}`, which may be finger-tight"


def _set_by(knockons: Knockons, work: WorkList, catalog: Catalog, body: Feature, tight: Feature) -> Iterator[str]:
    """A part of the steering is tightened with what it carries in place, by which it is set.

    Unless something wants it tight without that, as the support of a column that is elsewhere just then.
    """
    part = knockons.after.get(body.subject)
    if part is None or part.group != "steering" or tight.turn_on is None:
        return
    carried = {c.id for c in knockons.after.values() if c.mounted_on == part.id}
    set_by = {f.id for f in work.features.values() if f.subject in carried and ":" not in f.id and f.goal}
    wanted = [d for _, d in _uses(work, catalog) if Demand(feature=body.id, on=True) in d]
    if any(not set_by <= {d.feature for d in demands if d.on} for demands in wanted):
        return
    for other in sorted(set_by):
        if not _asks(tight.turn_on.demands, other, on=True):
            yield f"`{body.id}` may be tightened without `{other}`, by which it is set"


def _clamped(work: WorkList, order: Order, body: Feature) -> Iterator[str]:
    """What is tried before its holes are drilled hangs on clamps, and that is said."""
    trials = {t.id for t in work.tasks.values() if t.work is Work.TRIAL_FIT and _asks(t.demands, body.id, on=True)}
    for task in work.tasks.values():
        own = task.id.rpartition(".")[0] == body.subject and task.work is Work.DRILLING
        late = own and _asks(task.demands, body.id, on=False) and trials & tasks_before(order, task.id)
        if late and body.turn_on is not None and not any("lamps" in c for c in body.turn_on.cautions):
            yield f"`{body.id}` hangs on clamps until `{task.id}` is done, and nobody is told"
            return
