"""Parts and links as features: their taking off and fitting, with all these demand."""

from __future__ import annotations

from collections.abc import Mapping

from planner.knockon import NEW
from planner.model.catalog import Work
from planner.model.vehicle import Component, Link
from planner.model.work import Demand, Feature, Toggle
from planner.work.bodies import Ground, Handled
from planner.work.circuits import circuit_id, circuits_of, open_checks, state_id, system_kind
from planner.work.pace import paced
from planner.work.ports import old_at_its_ports


def body_features(
    ground: Ground,
    off_after: Mapping[str, tuple[str, ...]],
    fit_after: Mapping[str, tuple[str, ...]],
    arrivals: Mapping[str, tuple[str, ...]],
) -> dict[str, Feature]:
    """One feature for each handled body.

    ``off_after`` and ``fit_after`` give the tasks to be done before a body is first taken off and first fitted,
    ``arrivals`` the purchases it waits for.
    """
    return {
        body: Feature(
            id=body,
            name=_state_name(ground, item),
            subject=item.subject,
            start=item.start,
            goal=item.goal,
            turn_off=_off(ground, item, off_after.get(body, ())),
            turn_on=_on(ground, item, fit_after.get(body, ()), arrivals.get(body, ())) if item.goal else None,
        )
        for body, item in ground.handled.items()
    }


def _state_name(ground: Ground, item: Handled) -> str:
    where = " in its new home" if item.id.endswith(NEW) and isinstance(item.part, Component) else ""
    return f"{ground.name(item.subject)} fitted{where}"


def _off(ground: Ground, item: Handled, off_after: tuple[str, ...]) -> Toggle:
    gone = ground.final(item.subject) is None
    title = f"Take {item.part.name} off for good" if gone else f"Take {item.part.name} off"
    checks = open_checks(ground, item.part)
    return Toggle(
        feature=item.id,
        on=False,
        title=title,
        work=Work.REMOVING,
        minutes=paced(ground.job, Work.REMOVING, item.part.off_min),
        hands=item.part.hands,
        demands=_off_demands(ground, item),
        ways=_ways(ground, item),
        after=off_after,
        checks=checks,
        tools=item.part.tools,
        steps=_LABEL if isinstance(item.part, Link) and item.part.group == "electrics" and not gone else (),
        cautions=cautions_of(ground, item.part, Work.REMOVING),
        apart=_runs_out(ground, item),
    )


_LABEL = ("Label both its ends before it comes off, where they have no label yet",)


def _on(ground: Ground, item: Handled, fit_after: tuple[str, ...], arrivals: tuple[str, ...]) -> Toggle:
    moved = item.id.endswith(NEW) and isinstance(item.part, Component)
    where = " in its new home" if moved else ""
    demands = dict.fromkeys((*_common_demands(ground, item), *_fitting_demands(ground, item)))
    return Toggle(
        feature=item.id,
        on=True,
        title=f"Fit {item.part.name}{where}" if not item.start else f"Put {item.part.name} back",
        work=Work.FITTING,
        minutes=paced(ground.job, Work.FITTING, item.part.on_min),
        hands=item.part.hands,
        demands=tuple(demands),
        ways=_ways(ground, item),
        after=fit_after,
        purchases=arrivals,
        tools=item.part.tools,
        cautions=cautions_of(ground, item.part, Work.FITTING),
        apart=_runs_out(ground, item),
    )


def _runs_out(ground: Ground, item: Handled) -> bool:
    """Whether taking it off or fitting it opens an end out of which comes what burns."""
    return any(system_kind(ground, s).apart for s in circuits_of(ground, item.part))


def _common_demands(ground: Ground, item: Handled) -> tuple[Demand, ...]:
    """What both taking off and fitting demand: conditions, open circuits, riders off, working room free."""
    demands = [Demand(feature=state_id(c), on=True) for c in item.part.needs]
    demands += [Demand(feature=circuit_id(s), on=False) for s in circuits_of(ground, item.part)]
    demands += [Demand(feature=r, on=False) for r in riders(ground, item)]
    demands += [Demand(feature=b, on=False) for b in sorted(item.access.rooms) if b in ground.handled]
    return tuple(dict.fromkeys(demands))


def _off_demands(ground: Ground, item: Handled) -> tuple[Demand, ...]:
    own = (*_links_first(ground, item), *_new_links(ground, item))
    return tuple(dict.fromkeys((*_common_demands(ground, item), *own)))


def _links_first(ground: Ground, item: Handled) -> list[Demand]:
    """Links that go for good come off before the part they join leaves its place for good."""
    if item.goal or not isinstance(item.part, Component):
        return []
    return [
        Demand(feature=i, on=False)
        for i, other in ground.handled.items()
        if isinstance(other.part, Link)
        and other.start
        and not other.goal
        and item.subject in {e.component for e in other.part.ends}
    ]


def _new_links(ground: Ground, item: Handled) -> list[Demand]:
    """Links that the job lays to a part are off whenever it comes off: so each is laid after the last time it does.

    Those that stay are undone at it as part of its coming off, in its own minutes; but for one held by pins that comes
    off itself: that is off first.
    """
    if not isinstance(item.part, Component):
        return []
    links = ((i, o) for i, o in ground.handled.items() if isinstance(o.part, Link) and o.goal)
    held = (i for i, o in links if (is_pinned(ground, o.subject) if o.start else item.goal))
    return [Demand(feature=i, on=False) for i in held if item.subject in _ends(ground, ground.handled[i].subject)]


def is_pinned(ground: Ground, link: str) -> bool:
    """Whether a link is held by pins, so that it is undone by itself before what it is joined to comes off."""
    kind = ground.catalog.link_kinds.get(ground.part(link).kind)
    return kind is not None and bool(kind.undo)


def _ends(ground: Ground, link: str) -> set[str]:
    """What a link joins, before the job or after it."""
    both = (ground.vehicle.links.get(link), ground.knockons.links_after.get(link))
    return {end.component for one in both if one is not None for end in one.ends}


def _fitting_demands(ground: Ground, item: Handled) -> list[Demand]:
    """What only fitting demands: its place free, its host (or both its ends) there."""
    demands = [Demand(feature=b, on=False) for b in sorted(item.access.excludes) if b in ground.handled]
    if item.id.endswith(NEW) and item.subject in ground.handled:
        demands.append(Demand(feature=item.subject, on=False))
    if isinstance(item.part, Component):
        host = item.hosts[1] if item.goal else item.hosts[0]
        hosts = [host] if host is not None else []
    else:
        hosts = [e.component for e in item.part.ends]
    if item.goal:
        demands += [Demand(feature=b, on=False) for b in old_at_its_ports(ground, item.subject) if b != item.id]
    for needed in hosts:
        body = _home_of_host(ground, needed, item)
        if body is not None:
            demands.append(Demand(feature=body, on=True))
    return demands


def _home_of_host(ground: Ground, host: str, item: Handled) -> str | None:
    """The host's body in the same state of the vehicle as the rider: its last home for a rider that is to stay."""
    if item.goal:
        return ground.final(host)
    return host if host in ground.handled else None


def riders(ground: Ground, item: Handled) -> list[str]:
    """Bodies mounted on a body in the same state of the vehicle."""
    return [i for i, other in ground.handled.items() if other.on(item)]


def _ways(ground: Ground, item: Handled) -> tuple[tuple[Demand, ...], ...]:
    ways = [
        tuple(Demand(feature=b, on=False) for b in sorted(way.blockers) if b in ground.handled)
        for way in item.access.ways
    ]
    return () if any(not w for w in ways) else tuple(dict.fromkeys(ways))


def cautions_of(ground: Ground, part: Component | Link, work: Work) -> tuple[str, ...]:
    """The standing cautions of taking a part off, or fitting it.

    A link that is fitted to what a condition keeps undone has that condition's own: its end there stays off.
    """
    standing = ground.catalog.cautions
    keys = [work.value, part.group]
    if isinstance(part, Link) and work is Work.FITTING:
        keys += [c for c in part.needs if _ends_undone(ground, part, c)]
    return tuple(standing[key] for key in keys if key in standing)


def _ends_undone(ground: Ground, link: Link, condition: str) -> bool:
    """Whether a link ends at a part that a condition keeps undone, as the isolated battery is."""
    undone = set(ground.catalog.conditions[condition].undoes)
    parts = {**ground.vehicle.components, **ground.knockons.after}
    return any({parts[e.component].kind, parts[e.component].group} & undone for e in link.ends if e.component in parts)
