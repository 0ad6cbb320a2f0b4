"""Circuits as features: open one to undo its members, close (fill, bleed, set) it when all are back."""

from __future__ import annotations

from planner.knockon import opened_by
from planner.model.catalog import SystemKind, Work
from planner.model.effects import EffectKind
from planner.model.vehicle import Component, Link
from planner.model.work import Demand, Feature, Toggle
from planner.work.bodies import Ground
from planner.work.pace import paced


def circuit_id(system: str) -> str:
    """Feature id of a circuit being closed and full."""
    return f"circuit:{system}"


def state_id(condition: str) -> str:
    """Feature id of a condition."""
    return f"state:{condition}"


def opened_circuits(ground: Ground) -> list[str]:
    """Systems the job opens whose opening or closing takes work."""
    opened = [e.subject for e in ground.knockons.effects if e.kind is EffectKind.OPENED]
    return [s for s in opened if system_kind(ground, s).takes_work]


def circuits_of(ground: Ground, part: Component | Link) -> list[str]:
    """The opened circuits that have to be open while a part or link is undone or joined."""
    undone: list[Component | Link] = [part]
    if isinstance(part, Component):
        links = {**ground.vehicle.links, **ground.knockons.links_after}.values()
        undone += [k for k in links if part.id in {e.component for e in k.ends}]
    found = {s for item in undone for s in opened_by(item, ground.vehicle, ground.catalog)}
    return sorted(found & set(opened_circuits(ground)))


def members_after(ground: Ground, system: str) -> list[str]:
    """Parts and links of a system when the job is done."""
    parts = [i for i, c in ground.knockons.after.items() if system in c.systems]
    return parts + [i for i, k in ground.knockons.links_after.items() if k.system == system]


def filled_together(ground: Ground, system: str) -> list[str]:
    """A system, and those whose fluid it shares a part with, as the circuits of a tandem cylinder or of one reservoir.

    Whoever fills one of them pumps fluid and air through the open ends of the others. With them go those into whose
    cylinders one pedal or balance bar pushes: it gives full travel to neither while the other is empty.
    """
    fluid = system_kind(ground, system).fluid
    wet = {s for s in ground.vehicle.systems if fluid and system_kind(ground, s).fluid == fluid}
    found = [system]
    for one in found:
        beside = {s for c in ground.knockons.after.values() if one in c.systems for s in c.systems}
        beside |= pushed_together(ground, one)
        found += sorted(s for s in beside & wet if s not in found)
    return found


def pushed_together(ground: Ground, system: str) -> set[str]:
    """The other circuits of its kind into whose cylinders the same pedal or balance bar pushes a rod."""
    kinds = ground.catalog.link_kinds
    rods = [k for k in ground.knockons.links_after.values() if kinds[k.kind].pushes and k.system is not None]
    pushers = {e.component for k in rods if k.system == system for e in k.ends}
    beside = {str(k.system) for k in rods if pushers & {e.component for e in k.ends}} - {system}
    return {s for s in beside if system_kind(ground, s).id == system_kind(ground, system).id}


def filled_members(ground: Ground, system: str) -> list[str]:
    """Parts and links that are in place before a system is filled: its own, and those of what is filled with it."""
    return list(dict.fromkeys(m for s in filled_together(ground, system) for m in members_after(ground, s)))


def circuit_features(ground: Ground, filling_gates: dict[str, tuple[str, ...]]) -> dict[str, Feature]:
    """One feature for each opened circuit that takes work to open or close.

    ``filling_gates`` are, by system, the tasks to be done before it is filled.
    """
    return {circuit_id(s): _circuit(ground, s, filling_gates.get(s, ())) for s in opened_circuits(ground)}


def _circuit(ground: Ground, system: str, gates: tuple[str, ...]) -> Feature:
    kind = system_kind(ground, system)
    name = ground.name(system)
    feature = circuit_id(system)
    members = filled_members(ground, system) if closes(ground, system) else []
    needs = tuple(Demand(feature=state_id(c), on=True) for c in kind.needs)
    bodies = [ground.final(m) for m in members]
    return Feature(
        id=feature,
        name=f"{name} closed",
        subject=system,
        start=_was_there(ground, system),
        goal=bool(members),
        turn_off=Toggle(
            feature=feature,
            on=False,
            title=opening_title(ground, system, kind.open),
            work=Work.DRAINING,
            minutes=paced(ground.job, Work.DRAINING, kind.open_min + _open_check_min(ground, kind)),
            hands=kind.open_hands,
            demands=needs,
            tools=kind.tools,
            cautions=kind.cautions,
            late=kind.open_late,
            apart=kind.apart,
            checks=kind.open_checks,
        ),
        turn_on=Toggle(
            feature=feature,
            on=True,
            title=closing_title(ground, system, kind.close),
            work=Work.FILLING,
            minutes=paced(ground.job, Work.FILLING, kind.close_min),
            hands=kind.close_hands,
            demands=needs + tuple(Demand(feature=b, on=True) for b in bodies if b is not None),
            after=gates,
            tools=kind.tools,
            steps=kind.steps,
            cautions=kind.cautions,
            late=bool(kind.fluid and pushed_together(ground, system)),
            apart=kind.apart,
        )
        if members
        else None,
    )


def _open_check_min(ground: Ground, kind: SystemKind) -> int:
    return sum(ground.catalog.rules[r].minutes for r in kind.open_checks)


def open_checks(ground: Ground, part: Component | Link) -> tuple[str, ...]:
    """Checks that are signed anew each time a part or link is undone: as its circuit is opened, each joint opens it.

    They are counted once, with the opening of the circuit: after it each is a breath at the joint and the floor.
    """
    there = (s for s in circuits_of(ground, part) if _was_there(ground, s))
    return tuple(dict.fromkeys(c for s in there for c in system_kind(ground, s).open_checks))


def _was_there(ground: Ground, system: str) -> bool:
    """Whether a circuit is there before the job; a new one is dry."""
    parts, links = ground.vehicle.components.values(), ground.vehicle.links.values()
    return any(system in c.systems for c in parts) or any(k.system == system for k in links)


def closes(ground: Ground, system: str) -> bool:
    """Whether a circuit is there to be closed when the job is done.

    One without fluid that had cables, rods or shafts is when it still has one; one that never had any is not judged
    by them.
    """
    had = any(k.system == system for k in ground.vehicle.links.values())
    left = any(k.system == system for k in ground.knockons.links_after.values())
    return bool(members_after(ground, system)) and (left or not had or bool(system_kind(ground, system).fluid))


def opening_title(ground: Ground, system: str, how: str) -> str:
    """Title of opening a circuit; ``how`` is empty where nothing is done."""
    return f"{ground.name(system)}: {how[:1].lower()}{how[1:]}" if how else f"{ground.name(system)}: open from here on"


def closing_title(ground: Ground, system: str, how: str) -> str:
    """Title of closing a circuit."""
    return f"{ground.name(system)}: {how[:1].lower()}{how[1:]}"


def system_kind(ground: Ground, system: str) -> SystemKind:
    """What the catalog says of a system."""
    return ground.catalog.system_kinds[ground.vehicle.systems[system].kind]
