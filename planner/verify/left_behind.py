"""Holes that stay behind when a part or link goes for good, worked out afresh for the checks they call for."""

from __future__ import annotations

import math
from collections.abc import Iterator

from planner.model.effects import EffectKind, Knockons
from planner.model.job import Cut, Job, Replace
from planner.model.vehicle import Component, Link, Vehicle
from planner.verify.through import goes_through


def left_behind(vehicle: Vehicle, knockons: Knockons, job: Job | None) -> Iterator[tuple[str, Component]]:
    """Give what goes for good, with each thing that keeps a hole of its and that nobody fills."""
    changes = () if job is None else job.changes
    swapped = {c.part: c.component.id for c in changes if isinstance(c, Replace)}
    cut = {c.host for c in changes if isinstance(c, Cut)}
    fresh = [link for i, link in sorted(knockons.links_after.items()) if i not in vehicle.links]
    for name in sorted(e.subject for e in knockons.effects if e.kind is EffectKind.GONE):
        part, link = vehicle.components.get(name), vehicle.links.get(name)
        if part is not None:
            host = knockons.after.get(part.mounted_on or "")
            if host is not None and not part.rides and not _fits_there(part, knockons.after.get(swapped.get(name, ""))):
                yield name, host
        for host in () if link is None else (knockons.after[p] for p in link.passes if p in knockons.after):
            heirs = [n for n in fresh if n.kind == link.kind and host.id in n.passes] if link is not None else []
            if host.id in cut or not any(_by_old_hole(n, host, knockons) for n in heirs):
                yield name, host
    for name, hosts in sorted(knockons.pierced.items()):
        # What gets another hole in a panel leaves the one it went through before.
        passed = vehicle.links[name].passes if name in vehicle.links else ()
        yield from ((name, knockons.after[h]) for h in hosts if h in passed and h in knockons.after)


def _fits_there(old: Component, new: Component | None) -> bool:
    """Whether the new part is of the kind of the old one, in its place."""
    if new is None or (new.kind, new.mounted_on) != (old.kind, old.mounted_on):
        return False
    before, after = (*old.pose.at_mm, *old.pose.turn_deg), (*new.pose.at_mm, *new.pose.turn_deg)
    return all(math.isclose(a, b, abs_tol=1e-6) for a, b in zip(before, after, strict=True))


def _by_old_hole(link: Link, host: Component, knockons: Knockons) -> bool:
    return host.id not in knockons.pierced.get(link.id, ()) or not goes_through(link, host, knockons.after)
