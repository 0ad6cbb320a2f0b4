"""What holds a part: whether holes are made for it, or it takes those there are."""

from __future__ import annotations

from collections.abc import Sequence

from planner.knockon import follow, takes_old_holes
from planner.model.catalog import Demanded, TemplateStep
from planner.model.effects import Effect, EffectKind
from planner.model.shapes import Pose
from planner.model.vehicle import Component
from planner.model.words import ON_STANDS
from planner.model.work import Demand
from planner.work.bodies import Ground
from planner.work.circuits import state_id

_SAME = 1e-6
_SAT_IN = frozenset({"seat", "steering-column", "steering-wheel"})
_HELD_ANEW = frozenset({EffectKind.NEW, EffectKind.MOVES, EffectKind.REMADE})


def keeps_its_seat(ground: Ground, subject: str) -> bool:
    """Whether a part only goes where its host goes: off, and back on the same holes."""
    before, after = ground.vehicle.components[subject], ground.knockons.after[subject]
    host = before.mounted_on
    if host is None or host != after.mounted_on or host not in ground.knockons.homes:
        return False
    taken = follow(before.pose, ground.vehicle.components[host].pose, ground.knockons.homes[host])
    return _same(taken, after.pose)


def holes_are_made(ground: Ground, subject: str, effect: Effect) -> bool:
    """Whether holes are made at home in what holds a part."""
    part = ground.knockons.after.get(subject)
    if not isinstance(part, Component) or part.rides or effect.kind not in _HELD_ANEW:
        return False
    if part.mounted_on is None:
        # Nobody said what holds it: what is moved is held by something, and most things are drilled for.
        return effect.kind is EffectKind.MOVES
    host = ground.knockons.after.get(part.mounted_on)
    if host is None or not _is_drilled(ground, host):
        return False
    return not takes_old_holes(ground.vehicle, ground.job, ground.knockons.after, subject)


def carriers(ground: Ground, part: Component) -> list[str]:
    """What a part is fixed to: what it is mounted on, and what else of that kind it rests on, as on two rails."""
    host = part.mounted_on
    if host is None:
        return []
    parts = ground.knockons.after
    same = [t for t in part.touches if part.fixings and {t, host} <= parts.keys() and parts[t].kind == parts[host].kind]
    return list(dict.fromkeys((host, *same)))


def covers_its_holes(ground: Ground, subject: str) -> bool:
    """Whether a part that moves stays on what has its old holes, so that it may stand over them."""
    before, after = ground.vehicle.components.get(subject), ground.knockons.after.get(subject)
    return before is not None and after is not None and before.mounted_on == after.mounted_on


def sat_in(ground: Ground, step: TemplateStep) -> list[str]:
    """What somebody sits in and holds who tries a pedal, where a step asks for it: as it is before it is taken out."""
    bodies = ground.handled.items() if Demanded.SEATED in step.demands else ()
    return [i for i, item in bodies if item.start and item.part.kind in _SAT_IN]


def seated(ground: Ground, step: TemplateStep, others: Sequence[Demand]) -> list[Demand]:
    """What a step asks for in which somebody sits in the vehicle, besides its other demands.

    What is in the step's own way, or needs the vehicle lifted, goes before: the step's caution says what is done then.
    """
    away = {d.feature for d in others if not d.on}
    demands = [Demand(feature=b, on=True) for b in sat_in(ground, step) if b not in away]
    conditions = ground.catalog.conditions.values()
    lifted = {state_id(c.id) for c in conditions if c.id == ON_STANDS or ON_STANDS in c.needs}
    if {Demanded.SEATED, Demanded.ON_WHEELS} & set(step.demands) and not lifted & {d.feature for d in others if d.on}:
        demands.append(Demand(feature=state_id(ON_STANDS), on=False))
    return demands


def leaves_holes(ground: Ground, subject: str) -> bool:
    """Whether what held a part stays, with holes in it: nothing is closed in a radiator, or in what is scrapped."""
    part = ground.vehicle.components.get(subject)
    host = None if part is None or part.mounted_on is None else ground.vehicle.components.get(part.mounted_on)
    if host is None:
        return True
    return host.id in ground.knockons.after and _is_drilled(ground, host)


def _is_drilled(ground: Ground, host: Component) -> bool:
    return bool({host.kind, host.group} & set(ground.catalog.drilled_hosts))


def _same(a: Pose, b: Pose) -> bool:
    ends = zip((*a.at_mm, *a.turn_deg), (*b.at_mm, *b.turn_deg), strict=True)
    return all(abs(p - q) < _SAME for p, q in ends)
