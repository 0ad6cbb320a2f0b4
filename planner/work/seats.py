"""What holds a part: whether holes are made for it, or it takes those there are."""

from __future__ import annotations

from planner.knockon import follow
from planner.model.effects import Effect, EffectKind
from planner.model.job import Replace
from planner.model.shapes import Pose
from planner.model.vehicle import Component
from planner.work.bodies import Ground

_SAME = 1e-6
_HELD_ANEW = frozenset({EffectKind.NEW, EffectKind.MOVES, EffectKind.REMADE})


def keeps_its_seat(ground: Ground, subject: str) -> bool:
    """Whether a part only goes where its host goes: off, and back on the same holes."""
    before, after = ground.vehicle.components[subject], ground.knockons.after[subject]
    host = before.mounted_on
    if host is None or host != after.mounted_on or host not in ground.knockons.homes:
        return False
    taken = follow(before.pose, ground.vehicle.components[host].pose, ground.knockons.homes[host])
    return _same(taken, after.pose)


def takes_old_holes(ground: Ground, subject: str) -> bool:
    """Whether a part takes the place of another of its kind: the same pose on the same host, or on what that became."""
    part = ground.knockons.after.get(subject)
    olds = (c.part for c in ground.job.changes if isinstance(c, Replace) and c.component.id == subject)
    old = ground.vehicle.components.get(next(olds, ""))
    if part is None or old is None or part.kind != old.kind or part.mounted_on is None:
        return False
    return part.mounted_on == old.mounted_on and _same(part.pose, old.pose) and _stays(ground, part.mounted_on)


def _stays(ground: Ground, host: str) -> bool:
    before, after = ground.vehicle.components.get(host), ground.knockons.after.get(host)
    return before is not None and after is not None and _same(before.pose, after.pose)


def holes_are_made(ground: Ground, subject: str, effect: Effect) -> bool:
    """Whether holes are made at home in what holds a part."""
    part = ground.knockons.after.get(subject)
    host = None if part is None else ground.knockons.after.get(part.mounted_on or "")
    if not isinstance(part, Component) or host is None or part.rides or effect.kind not in _HELD_ANEW:
        return False
    drilled = {host.kind, host.group} & set(ground.catalog.drilled_hosts)
    return bool(drilled) and not takes_old_holes(ground, subject)


def _same(a: Pose, b: Pose) -> bool:
    ends = zip((*a.at_mm, *a.turn_deg), (*b.at_mm, *b.turn_deg), strict=True)
    return all(abs(p - q) < _SAME for p, q in ends)
