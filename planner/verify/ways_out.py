"""Do parts come out by the ways that are told? Asked by walking each leg, as far at a time as the gaps leave free."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.model.catalog import Catalog
from planner.model.effects import Access, Knockons, Proof, Way
from planner.model.job import Job
from planner.model.shapes import Direction, Pose, Tube, Vec
from planner.model.vehicle import Component, Freedom, Link, Vehicle
from planner.model.work import Toggle, WorkList
from planner.space import Body, gap, link_body, merged, port_mm, shifted, solid_body
from planner.verify.poses import same_pose
from planner.verify.rebuild import rebuild

_NEW = "@new"
_HAND_MM = 120.0
"""A part is in the hands once it has gone its own length and this along its last leg."""
_DEEPER_MM = 0.2
"""Deeper than at the start by more than this is a clash and no graze."""
_STRIDE_MM = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Thing:
    """A part or link in one home. ``before`` and ``after``: what it is mounted on then, None when it is not there."""

    id: str
    subject: str
    part: Component | Link
    body: Body
    before: tuple[str | None] | None
    after: tuple[str | None] | None

    def mounted_on(self, other: _Thing) -> bool:
        """Whether it is mounted on another thing in a state of the vehicle in which both are there."""
        return any(
            mine is not None and theirs is not None and mine[0] == other.subject
            for mine, theirs in ((self.before, other.before), (self.after, other.after))
        )

    @property
    def stays(self) -> bool:
        """Whether it is there all the time."""
        return self.part.freedom is Freedom.STAYS and self.before is not None and self.after is not None


def check_ways(
    vehicle: Vehicle, job: Job, knockons: Knockons, work: WorkList, catalog: Catalog | None = None
) -> tuple[str, ...]:
    """Every way out that meets something it does not name, and every step that takes no notice of its ways.

    Returns
    -------
    tuple[str, ...]
        One sentence a violation; empty when sound. Grazes of less than 0.2 mm, or over less than 3 mm, are let pass.
    """
    if knockons.proof is Proof.NONE:
        return ()
    things = _things(vehicle, job, knockons, catalog)
    said: list[str] = []
    for body, access in sorted(knockons.access.items()):
        if body not in things and body.removesuffix(_NEW) in knockons.links_after:
            continue  # a new run: links ask for no way of their own
        if body not in things:
            said.append(f"`{body}` has ways out and is nowhere")
            continue
        for way in access.ways:
            said += _walk(things[body], way, things)
        said += _unsaid(things[body], access)
        said += _unheeded(body, access, work)
    return tuple(said)


def _things(vehicle: Vehicle, job: Job, knockons: Knockons, catalog: Catalog | None) -> dict[str, _Thing]:
    """Everything that is in the way at one time or another, under the id the ways know it by."""
    built = rebuild(vehicle, job, knockons, catalog)
    alone = frozenset(body.removesuffix(_NEW) for body in knockons.access)
    kept = {i for i, part in built.parts.items() if i in vehicle.components and _same(vehicle.components[i], part)}
    found: dict[str, _Thing] = {}
    for i, part in vehicle.components.items():
        if _carrier(i, vehicle.components, alone) == i:
            after = (built.parts[i].mounted_on,) if i in kept else None
            body = _group(i, vehicle.components, alone)
            found[i] = _Thing(id=i, subject=i, part=part, body=body, before=(part.mounted_on,), after=after)
    for i, part in built.parts.items():
        if i not in kept and _carrier(i, built.parts, alone) == i:
            key = i + _NEW if i in vehicle.components else i
            body = _group(i, built.parts, alone)
            found[key] = _Thing(id=key, subject=i, part=part, body=body, before=None, after=(part.mounted_on,))
    for i, link in vehicle.links.items():
        body = _run(link, vehicle.components)
        found[i] = _Thing(id=i, subject=i, part=link, body=body, before=(None,), after=(None,))
    for i in built.asked.links_new:
        new = knockons.links_after.get(i)
        if new is not None and all(e.component in built.parts for e in new.ends):
            found[i] = _Thing(id=i, subject=i, part=new, body=_run(new, built.parts), before=None, after=(None,))
    for i, run in knockons.runs.items():
        if i in knockons.links_after and i in vehicle.links:
            link = knockons.links_after[i]
            pipe = Tube(across_mm=link.across_mm, through_mm=run.points_mm, bend_mm=run.bend_mm)
            key, body = i + _NEW, solid_body((pipe,), Pose())
            found[key] = _Thing(id=key, subject=i, part=link, body=body, before=None, after=(None,))
    return found


def _same(before: Component, after: Component) -> bool:
    return same_pose(before.pose, after.pose) and before.solids == after.solids


def _carrier(part: str, parts: dict[str, Component], alone: frozenset[str]) -> str:
    """The part with which a riding one comes off."""
    while parts[part].rides and part not in alone and parts[part].mounted_on in parts:
        part = str(parts[part].mounted_on)
    return part


def _group(part: str, parts: dict[str, Component], alone: frozenset[str]) -> Body:
    together = [p for i, p in parts.items() if _carrier(i, parts, alone) == part]
    return merged(solid_body(p.solids, p.pose) for p in together)


def _run(link: Link, parts: dict[str, Component]) -> Body:
    start, finish = (port_mm(parts[e.component], e.port) for e in link.ends)
    return link_body(link, start, finish)


def _walk(thing: _Thing, way: Way, things: dict[str, _Thing]) -> Iterator[str]:
    """Walk a way leg by leg past everything it does not name."""
    if isinstance(thing.part, Link):
        return
    legs = [(leg.direction, leg.mm) for leg in way.first]
    legs.append((way.direction, _along(thing.body, way.direction) + _HAND_MM))
    told = ", then ".join(direction.value for direction, _ in legs)
    for other in things.values():
        if other.id in way.blockers or not _counts(thing, other):
            continue
        if way.stated and (other.stays or thing.mounted_on(other)):
            continue
        if _meets(thing.body, legs, other.body):
            yield f"`{thing.id}` is to come out {told} and runs into `{other.id}`, which the way does not name"


def _counts(thing: _Thing, other: _Thing) -> bool:
    """Whether a thing is an obstacle: own links are undone, what it carries is off, what is pliant is eased aside."""
    if other.subject == thing.subject or other.mounted_on(thing):
        return False
    if isinstance(other.part, Link):
        return other.part.rigid and thing.subject not in {e.component for e in other.part.ends}
    return True


def _along(body: Body, direction: Direction) -> float:
    axis = next(k for k, v in enumerate(direction.vector) if v)
    return body.hi_mm[axis] - body.lo_mm[axis]


def _meets(body: Body, legs: list[tuple[Direction, float]], other: Body) -> bool:
    """Whether a body gets deeper into another on its way than it is at the start."""
    allowed_mm: float | None = None
    at: Vec = (0.0, 0.0, 0.0)
    for direction, travel_mm in legs:
        gone = 0.0 if _may_meet(shifted(body, at), direction, travel_mm, other) else travel_mm
        if gone == 0.0 and allowed_mm is None:
            allowed_mm = min(0.0, gap(body, other).mm) - _DEEPER_MM
        while gone < travel_mm and allowed_mm is not None:
            gone = min(travel_mm, gone + _STRIDE_MM)
            apart_mm = gap(shifted(body, _moved(at, direction, gone)), other).mm
            if apart_mm < allowed_mm:
                return True
            gone += max(0.0, apart_mm - _STRIDE_MM)
        at = _moved(at, direction, travel_mm)
    return False


def _may_meet(body: Body, direction: Direction, travel_mm: float, other: Body) -> bool:
    """Whether the boxes come over each other on a leg."""
    end = shifted(body, _moved((0.0, 0.0, 0.0), direction, travel_mm))
    return all(
        min(body.lo_mm[k], end.lo_mm[k]) < other.hi_mm[k] and other.lo_mm[k] < max(body.hi_mm[k], end.hi_mm[k])
        for k in range(3)
    )


def _moved(at: Vec, direction: Direction, mm: float) -> Vec:
    x, y, z = (a + mm * v for a, v in zip(at, direction.vector, strict=True))
    return (x, y, z)


def _unsaid(thing: _Thing, access: Access) -> Iterator[str]:
    """See that the owner's own word on the ways is what is told."""
    said = thing.part.way_out if isinstance(thing.part, Component) else None
    for way in access.ways:
        if said and not any((way.direction, way.first) == (s.direction, s.first) for s in said):
            yield f"`{thing.id}` is to come out {way.direction}, and its owner says another way"
        if way.stated and not said:
            yield f"`{thing.id}` is to come out {way.direction} as its owner says, who says nothing"


def _unheeded(body: str, access: Access, work: WorkList) -> Iterator[str]:
    """See that each step that takes a body out or in has the blockers of one way off."""
    feature = work.features.get(body)
    if feature is None or not access.ways:
        return
    sets = [frozenset(b for b in way.blockers if b in work.features) for way in access.ways]
    for toggle in (feature.turn_off, feature.turn_on):
        if toggle is not None and not all(any(s <= off for s in sets) for off in _off_sets(toggle)):
            yield f"`{body}` may be taken out or put in while something stands in every one of its ways"


def _off_sets(toggle: Toggle) -> list[frozenset[str]]:
    """What must be off for a step, by each of its alternatives."""
    always = frozenset(d.feature for d in toggle.demands if not d.on)
    return [always | {d.feature for d in way if not d.on} for way in toggle.ways or ((),)]
