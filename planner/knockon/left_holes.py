"""Holes that parts and links leave behind when they go for good, and which of them are taken again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from planner.model.effects import Effect, EffectKind
from planner.model.job import Cut, Job, Replace
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Link, Vehicle

_SAME = 1e-6


def left_holes(
    effects: tuple[Effect, ...],
    vehicle: Vehicle,
    job: Job,
    after: Mapping[str, Component],
    links_after: Mapping[str, Link],
    pierced: Mapping[str, tuple[str, ...]],
) -> dict[str, tuple[str, ...]]:
    """What goes for good, or gets another hole -> what stays with a hole of it that nothing takes.

    Parameters
    ----------
    effects : tuple of Effect
    vehicle : Vehicle
        As it stands.
    job : Job
    after, links_after : mapping of str to Component, and to Link
        Parts and links when the job is done.
    pierced : mapping of link to parts
        Where a hole is made for a link.
    """
    found: dict[str, list[str]] = {}
    gone = [e.subject for e in effects if e.kind is EffectKind.GONE]
    for part in (vehicle.components[i] for i in gone if i in vehicle.components):
        host = part.mounted_on
        if host is not None and host in after and not part.rides and not _taken(vehicle, job, after, part.id):
            found.setdefault(part.id, []).append(host)
    reused = _reused(vehicle, job, links_after, pierced)
    for link in (vehicle.links[i] for i in sorted(gone) if i in vehicle.links):
        for host in dict.fromkeys(link.passes):
            if reused[link.kind, host] > 0:
                reused[link.kind, host] -= 1
            elif host in after:
                found.setdefault(link.id, []).append(host)
    for link_id, hosts in pierced.items():
        old = vehicle.links[link_id].passes if link_id in vehicle.links else ()
        found.setdefault(link_id, []).extend(h for h in hosts if h in old)
    return {subject: tuple(hosts) for subject, hosts in found.items() if hosts}


def takes_old_holes(vehicle: Vehicle, job: Job, after: Mapping[str, Component], subject: str) -> bool:
    """Whether a part takes the place of another of its kind: the same pose on the same host, or on what that became."""
    part = after.get(subject)
    old = vehicle.components.get(next(_replaced_by(job, subject), ""))
    if part is None or old is None or part.kind != old.kind or part.mounted_on is None:
        return False
    return part.mounted_on == old.mounted_on and _same(part.pose, old.pose) and _stays(vehicle, after, part.mounted_on)


def _replaced_by(job: Job, subject: str) -> Iterator[str]:
    return (c.part for c in job.changes if isinstance(c, Replace) and c.component.id == subject)


def _taken(vehicle: Vehicle, job: Job, after: Mapping[str, Component], gone: str) -> bool:
    new = (c.component.id for c in job.changes if isinstance(c, Replace) and c.part == gone)
    return any(takes_old_holes(vehicle, job, after, i) for i in new)


def _stays(vehicle: Vehicle, after: Mapping[str, Component], host: str) -> bool:
    old, new = vehicle.components.get(host), after.get(host)
    return old is not None and new is not None and _same(old.pose, new.pose)


def _reused(
    vehicle: Vehicle, job: Job, links_after: Mapping[str, Link], pierced: Mapping[str, tuple[str, ...]]
) -> Counter[tuple[str, str]]:
    """How many new links of a kind go through a part with no hole made for them, where the job makes it no opening."""
    opened = {c.host for c in job.changes if isinstance(c, Cut)}
    return Counter(
        (link.kind, host)
        for i, link in links_after.items()
        if i not in vehicle.links
        for host in dict.fromkeys(link.passes)
        if host not in opened and host not in pierced.get(i, ())
    )


def _same(a: Pose, b: Pose) -> bool:
    ends = zip((*a.at_mm, *a.turn_deg), (*b.at_mm, *b.turn_deg), strict=True)
    return all(abs(p - q) < _SAME for p, q in ends)
