"""Where a displaced part can go: every home the vehicle's mounting spaces offer it, with its price."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from planner.knockon.placed import Placed, placed_at
from planner.knockon.rigid import added, follow
from planner.model.catalog import Catalog, Template, When
from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Space

MILLI = 1000
"""Costs are whole thousandths of a hand-minute, so that the nearer of two equal homes wins."""


class Sort(StrEnum):
    """What an option does with a part."""

    STAY = "stay"
    FOLLOW = "follow"
    HOME = "home"
    GO = "go"
    REMADE = "made anew"
    ELSEWHERE = "elsewhere"
    """stands for every home not yet listed: it hits nothing and costs no more than the cheapest of them"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """The option of another part that this one rests on: ``index`` into that part's options."""

    part: str
    index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One thing that can become of a part: ``bundle`` is the part with what it carries, empty when it goes."""

    part: str
    sort: Sort
    pose: Pose | None
    bundle: tuple[Placed, ...]
    cost: int
    needs: Needs | None = None
    space: str = ""


def handling(part: Component) -> int:
    """Hand-minutes (in thousandths) to take a part off and put it back; none for one that rides along."""
    return 0 if part.rides else MILLI * (part.off_min + part.on_min) * part.hands


def template_for(catalog: Catalog, when: When, kind: str, group: str) -> Template | None:
    """The template most at home with a kind: named by kind before named by group before for any."""
    of_when = [t for t in catalog.templates.values() if t.trigger.when is when]
    for fits in (
        [t for t in of_when if kind in t.trigger.of],
        [t for t in of_when if group in t.trigger.of],
        [t for t in of_when if not t.trigger.of],
    ):
        if fits:
            return min(fits, key=lambda t: t.id)
    return None


def template_cost(catalog: Catalog, when: When, kind: str, group: str) -> int:
    """Hand-minutes (in thousandths) of the template's own steps."""
    template = template_for(catalog, when, kind, group)
    return 0 if template is None else MILLI * sum(s.minutes * s.hands for s in template.steps)


def moving_cost(part: Component, carried: tuple[Component, ...], catalog: Catalog, far_mm: float) -> int:
    """Price of a new home for a part: off, on, new fixings, its riders' off and on, and a trifle for the distance."""
    riders = sum(handling(rider) for rider in carried)
    return handling(part) + riders + template_cost(catalog, When.MOVED, part.kind, part.group) + round(far_mm)


def pinned(against: Direction | None, axis: int) -> int:
    """-1 to sit on the low face of the axis, 1 on the high face, 0 free."""
    return 0 if against is None else round(against.vector[axis])


def takes(space: Space, part: Component) -> bool:
    """Whether a mounting space takes a part."""
    return not space.takes or part.id in space.takes or part.kind in space.takes


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A home before any body is put there: its price decides when it is looked at."""

    cost: int
    pose: Pose
    space: str


def home_option(candidate: Candidate, placed: Placed, carried: tuple[Placed, ...], host: str) -> Option:
    """A candidate with the part and its riders put there, mounted on ``host``."""
    remounted = replace(placed, part=replace(placed.part, mounted_on=host))
    return Option(
        part=placed.part.id,
        sort=Sort.HOME,
        pose=candidate.pose,
        bundle=(placed_at(remounted, candidate.pose), *carried_to(carried, placed.part.pose, candidate.pose)),
        cost=candidate.cost,
        space=candidate.space,
    )


def stay_option(placed: Placed, carried: tuple[Placed, ...]) -> Option:
    """The part where it is."""
    return Option(part=placed.part.id, sort=Sort.STAY, pose=placed.part.pose, bundle=(placed, *carried), cost=0)


def follow_option(placed: Placed, carried: tuple[Placed, ...], host: Component, host_pose: Pose) -> Option:
    """The part going where its host goes."""
    pose = follow(placed.part.pose, host.pose, host_pose)
    cost = handling(placed.part) + sum(handling(c.part) for c in carried)
    return Option(
        part=placed.part.id,
        sort=Sort.FOLLOW,
        pose=pose,
        bundle=(placed_at(placed, pose), *carried_to(carried, placed.part.pose, pose)),
        cost=0 if host_pose == host.pose else cost,
    )


def elsewhere_option(part: Component, cost: int) -> Option:
    """Every home not yet listed, at the price of the cheapest of them."""
    return Option(part=part.id, sort=Sort.ELSEWHERE, pose=None, bundle=(), cost=cost)


def go_option(placed: Placed) -> Option:
    """The part done without."""
    return Option(
        part=placed.part.id,
        sort=Sort.GO,
        pose=None,
        bundle=(),
        cost=MILLI * placed.part.off_min * placed.part.hands,
    )


def carried_to(carried: tuple[Placed, ...], before: Pose, after: Pose) -> tuple[Placed, ...]:
    """Riders taken along from one pose of their host to another."""
    return tuple(placed_at(c, follow(c.part.pose, before, after)) for c in carried)


def shift_between(before: Pose, after: Pose) -> Vec:
    """How far the origin of a part goes [mm]."""
    return added(after.at_mm, before.at_mm, sign=-1.0)
