"""Every body there is at some time during the job: each part in its present and new home, and the links."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.knockon.arrangement import Arrangement
from planner.knockon.asked import Asked
from planner.knockon.conflicts import run_of
from planner.knockon.options import Sort
from planner.model.vehicle import Component, Freedom, Link, Vehicle
from planner.space import Body, merged, solid_body

NEW = "@new"
NO_STIFF: Mapping[str, tuple[Link, Body]] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One body of the scene: a component or a link in one home.

    ``body`` is what stands there at rest, with the parts that come off together with it. ``present`` and ``final`` say
    whether it is there before and after the job.
    """

    id: str
    subject: str
    part: Component | Link
    body: Body
    present: bool
    final: bool
    hosts: tuple[str | None, str | None] = (None, None)
    """What a component is mounted on before and after the job."""

    def on(self, host: Item) -> bool:
        """Whether this is mounted on another body in a state of the vehicle in which both are there."""
        before, after = self.hosts
        return (self.present and host.present and before == host.subject) or (
            self.final and host.final and after == host.subject
        )

    @property
    def stays(self) -> bool:
        """Never comes off."""
        return self.part.freedom is Freedom.STAYS and self.present and self.final

    @property
    def pliant(self) -> bool:
        """A link that can be eased aside."""
        return isinstance(self.part, Link) and not self.part.rigid


def scene_of(
    vehicle: Vehicle,
    asked: Asked,
    answer: Arrangement,
    remade: frozenset[str],
    stiff: Mapping[str, tuple[Link, Body]] = NO_STIFF,
) -> dict[str, Item]:
    """All bodies by id, in order.

    ``remade`` are the links made anew: their present runs go. ``stiff`` are the new runs known of those that are rigid;
    hoses and wires are led round what is there, and a new run of theirs has no body.
    """
    items: dict[str, Item] = {}
    single = _singled(asked, answer)
    finals = {i: _alone(p.part, single) for i, p in answer.placed.items()}
    before_job = {i: _alone(c, single) for i, c in vehicle.components.items()}
    for i, part in sorted(before_job.items()):
        if part.rides:
            continue
        same = i in finals and _same_home(part, finals[i])
        hosts = (part.mounted_on, finals[i].mounted_on if i in finals else None)
        items[i] = _component_item(i, part, before_job, hosts, (True, same))
    for i, part in sorted(finals.items()):
        before = before_job.get(i)
        if part.rides or (before is not None and _same_home(before, part)):
            continue
        new_id = i if before is None else i + NEW
        items[new_id] = _component_item(new_id, part, finals, (None, part.mounted_on), (False, True))
    for i, link in sorted(vehicle.links.items()):
        kept = i in asked.links and i not in remade
        items[i] = Item(id=i, subject=i, part=link, body=run_of(link, vehicle.components), present=True, final=kept)
    for i in sorted(asked.links_new):
        link = asked.links[i]
        items[i] = Item(id=i, subject=i, part=link, body=run_of(link, finals), present=False, final=True)
    for i, (link, body) in sorted(stiff.items()):
        items[i + NEW] = Item(id=i + NEW, subject=i, part=link, body=body, present=False, final=True)
    return items


def standing_scene(vehicle: Vehicle, without: frozenset[str] = frozenset()) -> dict[str, Item]:
    """All bodies of a vehicle as it stands, by id, in order; ``without`` are links whose run is not known."""
    parts = vehicle.components
    items: dict[str, Item] = {}
    for i, part in sorted(parts.items()):
        if not part.rides:
            items[i] = _component_item(i, part, parts, (part.mounted_on, part.mounted_on), (True, True))
    for i, link in sorted(vehicle.links.items()):
        if i not in without:
            items[i] = Item(id=i, subject=i, part=link, body=run_of(link, parts), present=True, final=True)
    return items


def _singled(asked: Asked, answer: Arrangement) -> frozenset[str]:
    """Parts that are handled for their own sake, by the job or by the choice of homes."""
    chosen = {i for i, option in answer.chosen.items() if option.sort in {Sort.HOME, Sort.REMADE, Sort.GO}}
    return frozenset({*asked.gone, *asked.moved, *asked.grown, *asked.taken_off, *chosen})


def _alone(part: Component, singled: frozenset[str]) -> Component:
    """A riding part that is singled out, while what it rides on is not, comes off by itself after all."""
    if part.rides and part.id in singled and part.mounted_on not in singled:
        return replace(part, rides=False)
    return part


def _same_home(before: Component, after: Component) -> bool:
    return before.pose == after.pose and before.solids == after.solids


def _component_item(
    item_id: str,
    part: Component,
    parts: dict[str, Component],
    hosts: tuple[str | None, str | None],
    there: tuple[bool, bool],
) -> Item:
    group = [part, *(p for p in parts.values() if p.rides and carrier_of(p, parts) == part.id and p.id != part.id)]
    return Item(
        id=item_id,
        subject=part.id,
        part=part,
        body=merged([solid_body(p.solids, p.pose) for p in group]),
        present=there[0],
        final=there[1],
        hosts=hosts,
    )


def carrier_of(part: Component, parts: dict[str, Component]) -> str:
    """The part that a riding part comes off with; any other part is its own."""
    while part.rides and part.mounted_on in parts:
        part = parts[part.mounted_on]
    return part.id
