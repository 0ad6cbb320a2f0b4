"""The bodies a job handles: each part or link in one home, as two-state features know them."""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx

from planner.knockon import ANY_CHANGE, NEW, Fact, facts_of, mounting_graph
from planner.model.catalog import Catalog
from planner.model.effects import Access, EffectKind, Knockons
from planner.model.job import Job
from planner.model.vehicle import Component, Link, Vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class Handled:
    """One body that may be taken off or fitted: ``start`` and ``goal`` say whether it is there before and after."""

    id: str
    subject: str
    part: Component | Link
    start: bool
    goal: bool
    access: Access
    hosts: tuple[str | None, str | None] = (None, None)
    """What a component is mounted on before and after the job."""

    def on(self, host: Handled) -> bool:
        """Whether this is mounted on another body in a state of the vehicle in which both are there."""
        before, after = self.hosts
        return (self.start and host.start and before == host.subject) or (
            self.goal and host.goal and after == host.subject
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Everything work/ looks at while it builds the list."""

    vehicle: Vehicle
    job: Job
    catalog: Catalog
    knockons: Knockons
    handled: dict[str, Handled]
    facts: tuple[Fact, ...]
    """What the effects do, as templates and checkpoint rules are called by it."""

    def part(self, subject: str) -> Component | Link:
        """The part or link as it is after the job, or before it when it goes."""
        k, v = self.knockons, self.vehicle
        for parts in (k.after, k.links_after, v.components, v.links):
            if subject in parts:
                return parts[subject]
        raise KeyError(subject)

    def name(self, subject: str) -> str:
        """Name of a part, link or system."""
        return self.vehicle.systems[subject].name if subject in self.vehicle.systems else self.part(subject).name

    def final(self, subject: str) -> str | None:
        """Body id of a part or link in the home it ends in, None when no feature stands for it."""
        for body in (subject + NEW, subject):
            if body in self.handled and self.handled[body].goal:
                return body
        return None

    def standing_on(self, part: str) -> set[str]:
        """Every part that a part carries when the job is done, through any number of others."""
        return nx.descendants(mounting_graph(self.knockons.after), part)

    def reason(self, fact: Fact) -> str:
        """Why a fact asks for a step: its effect in words."""
        effect = next((e for e in self.knockons.effects if e.id == fact.effect), None)
        return effect.text if effect is not None else fact.why or ANY_CHANGE

    def old(self, subject: str) -> str | None:
        """Body id of the home a part or link leaves for good, None when it leaves none."""
        return subject if subject in self.handled and not self.handled[subject].goal else None


def ground_for(vehicle: Vehicle, job: Job, catalog: Catalog, knockons: Knockons) -> Ground:
    """Gather the bodies: every one that access was worked out for, and the new runs of links made anew."""
    remade = [e.subject for e in knockons.effects if e.kind is EffectKind.REMADE]
    handled: dict[str, Handled] = {}
    for body, access in knockons.access.items():
        subject = body.removesuffix(NEW)
        present = body == subject and (subject in vehicle.components or subject in vehicle.links)
        leaves = subject + NEW in knockons.access or subject in remade
        stays = subject in knockons.after or subject in knockons.links_after
        handled[body] = Handled(
            id=body,
            subject=subject,
            part=_part(body, vehicle, knockons, present=present),
            start=present,
            goal=stays and not (present and leaves),
            access=access,
            hosts=(_host(vehicle.components, subject), _host(knockons.after, subject)),
        )
    for link in remade:
        body = link + NEW
        if link not in vehicle.links or body in handled:
            continue
        handled[body] = Handled(
            id=body,
            subject=link,
            part=knockons.links_after[link],
            start=False,
            goal=True,
            access=Access(body=body, ways=()),
        )
    return Ground(
        vehicle=vehicle,
        job=job,
        catalog=catalog,
        knockons=knockons,
        handled=dict(sorted(handled.items())),
        facts=facts_of(knockons.effects, vehicle, job, knockons.after, knockons.links_after, knockons.pierced),
    )


def _host(parts: dict[str, Component], subject: str) -> str | None:
    return parts[subject].mounted_on if subject in parts else None


def _part(body: str, vehicle: Vehicle, knockons: Knockons, *, present: bool) -> Component | Link:
    subject = body.removesuffix(NEW)
    pools = (vehicle.components, vehicle.links) if present else (knockons.after, knockons.links_after)
    return next(pool[subject] for pool in pools if subject in pool)
