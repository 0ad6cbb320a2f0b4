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
    return [s for s in opened if _kind(ground, s).takes_work]


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


def circuit_features(ground: Ground, filling_gates: dict[str, tuple[str, ...]]) -> dict[str, Feature]:
    """One feature for each opened circuit that takes work to open or close.

    ``filling_gates`` are, by system, the tasks to be done before it is filled.
    """
    return {circuit_id(s): _circuit(ground, s, filling_gates.get(s, ())) for s in opened_circuits(ground)}


def _circuit(ground: Ground, system: str, gates: tuple[str, ...]) -> Feature:
    kind = _kind(ground, system)
    name = ground.name(system)
    feature = circuit_id(system)
    present = any(system in c.systems for c in ground.vehicle.components.values()) or any(
        k.system == system for k in ground.vehicle.links.values()
    )
    members = members_after(ground, system) if closes(ground, system) else []
    needs = tuple(Demand(feature=state_id(c), on=True) for c in kind.needs)
    bodies = [ground.final(m) for m in members]
    return Feature(
        id=feature,
        name=f"{name} closed",
        subject=system,
        start=present,
        goal=bool(members),
        turn_off=Toggle(
            feature=feature,
            on=False,
            title=f"{name}: {kind.open[:1].lower()}{kind.open[1:]}" if kind.open else f"{name}: open from here on",
            work=Work.DRAINING,
            minutes=paced(ground.job, Work.DRAINING, kind.open_min),
            hands=kind.open_hands,
            demands=needs,
            tools=kind.tools,
            cautions=kind.cautions,
        ),
        turn_on=Toggle(
            feature=feature,
            on=True,
            title=f"{name}: {kind.close[:1].lower()}{kind.close[1:]}",
            work=Work.FILLING,
            minutes=paced(ground.job, Work.FILLING, kind.close_min),
            hands=kind.close_hands,
            demands=needs + tuple(Demand(feature=b, on=True) for b in bodies if b is not None),
            after=gates,
            tools=kind.tools,
            steps=kind.steps,
            cautions=kind.cautions,
        )
        if members
        else None,
    )


def closes(ground: Ground, system: str) -> bool:
    """Whether a circuit is there to be closed when the job is done.

    One without fluid that had cables, rods or shafts is when it still has one; one that never had any is not judged
    by them.
    """
    had = any(k.system == system for k in ground.vehicle.links.values())
    left = any(k.system == system for k in ground.knockons.links_after.values())
    return bool(members_after(ground, system)) and (left or not had or bool(_kind(ground, system).fluid))


def _kind(ground: Ground, system: str) -> SystemKind:
    return ground.catalog.system_kinds[ground.vehicle.systems[system].kind]
