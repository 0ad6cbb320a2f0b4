"""Stiff pipes between what rocks on its mountings and what does not: they crack where they are held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.knockon.asked import asked_by
from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.vehicle import Component, Link, Vehicle

GIVES_MM = 10.0
"""A pipe that gives so much, by coils wound in it, follows an engine on rubber (starting guess)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rocked:
    """A link, by id and name, the names of its ends that rocks and that does not, and of the kind for between them."""

    link: str
    name: str
    rocking: str
    firm: str
    instead: str


def rocked_now(vehicle: Vehicle, catalog: Catalog) -> tuple[Rocked, ...]:
    """Links of the vehicle as it stands that do not give, one end of which rocks in use.

    Parameters
    ----------
    vehicle : Vehicle
    catalog : Catalog
        Its kinds say what rocks (``rocks``) and which link takes another's place there (``rocked``).
    """
    return _rocked(vehicle.components, vehicle.links, catalog)


def rocked_asked(vehicle: Vehicle, job: Job, catalog: Catalog) -> tuple[Rocked, ...]:
    """The same of the links a job lays."""
    asked = asked_by(vehicle, job)
    return _rocked(asked.base, {i: asked.links[i] for i in asked.links_new}, catalog)


def _rocked(parts: Mapping[str, Component], links: Mapping[str, Link], catalog: Catalog) -> tuple[Rocked, ...]:
    found = []
    for i, link in sorted(links.items()):
        kind = catalog.link_kinds.get(link.kind)
        ends = [e.component for e in link.ends]
        if kind is None or not kind.rocked or link.slack_mm >= GIVES_MM or any(e not in parts for e in ends):
            continue
        rocking = [e for e in ends if _rocks(e, parts, catalog)]
        firm = [e for e in ends if e not in rocking]
        if rocking and firm:
            names = (parts[rocking[0]].name, parts[firm[0]].name, catalog.link_kinds[kind.rocked].name)
            found.append(Rocked(link=i, name=link.name, rocking=names[0], firm=names[1], instead=names[2]))
    return tuple(found)


def _rocks(part: str, parts: Mapping[str, Component], catalog: Catalog) -> bool:
    """Whether a part rocks itself, or what it is mounted on does, through any number of others."""
    seen: set[str] = set()
    host: str | None = part
    while host is not None and host in parts and host not in seen:
        seen.add(host)
        kind = catalog.kinds.get(parts[host].kind)
        if kind is not None and kind.rocks:
            return True
        host = parts[host].mounted_on
    return False
