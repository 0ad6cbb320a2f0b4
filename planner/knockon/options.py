"""Where a displaced part can go: every home the vehicle's mounting spaces offer it, with its price."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from planner.knockon.asked import Asked
from planner.knockon.placed import Placed, placed_at
from planner.knockon.rigid import added, distance_mm, follow
from planner.model.catalog import Catalog, Template, When
from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Freedom, Space
from planner.space import extent_mm

_SAME_MM = 1e-6
"""A home nearer than this to the present one is the present one."""

MILLI = 1000
"""Costs are whole thousandths of a hand-minute, so that the nearer of two equal homes wins."""


class Sort(StrEnum):
    """What an option does with a part."""

    STAY = "stay"
    FOLLOW = "follow"
    HOME = "home"
    GO = "go"
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


def grid_poses(part: Component, space: Space) -> Iterator[Pose]:
    """Poses of a part inside a mounting space.

    For each allowed turn the part's box is stepped through the space from its low faces every ``step_mm``, and once
    flush with each high face; along the axis of ``against`` it sits only on that face.
    """
    middle, size = space.box.pose.at_mm, space.box.size_mm
    space_lo = [m - s / 2 for m, s in zip(middle, size, strict=True)]
    space_hi = [m + s / 2 for m, s in zip(middle, size, strict=True)]
    for turn in dict.fromkeys(((0.0, 0.0, 0.0), *part.turns_deg)):
        turn_deg = added(part.pose.turn_deg, turn)
        low, high = extent_mm(part.solids, Pose(turn_deg=turn_deg))
        ranges = [
            _stops(space_lo[i] - low[i], space_hi[i] - high[i], space.step_mm, _pinned(space.against, i))
            for i in range(3)
        ]
        for x in ranges[0]:
            for y in ranges[1]:
                for z in ranges[2]:
                    yield Pose(at_mm=(x, y, z), turn_deg=turn_deg)


def _pinned(against: Direction | None, axis: int) -> int:
    """-1 to sit on the low face of the axis, 1 on the high face, 0 free."""
    return 0 if against is None else round(against.vector[axis])


def _stops(first: float, last: float, step: float, pinned: int) -> list[float]:
    if last < first - 1e-6:
        return []
    if pinned:
        return [first if pinned < 0 else last]
    count = int((last - first) / step + 1e-9)
    stops = [first + k * step for k in range(count + 1)]
    return stops if last - stops[-1] < 1.0 else [*stops, last]


def takes(space: Space, part: Component) -> bool:
    """Whether a mounting space takes a part."""
    return not space.takes or part.id in space.takes or part.kind in space.takes


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A home before any body is put there: its price decides when it is looked at."""

    cost: int
    pose: Pose
    space: str


def candidates(part: Component, riders: tuple[Component, ...], asked: Asked, catalog: Catalog) -> tuple[Candidate, ...]:
    """New homes of a part, cheapest first; a space on a part whose home the job changes is left out."""
    if part.freedom is not Freedom.MOVES:
        return ()
    found = [
        Candidate(
            cost=moving_cost(part, riders, catalog, distance_mm(pose.at_mm, part.pose.at_mm)), pose=pose, space=space.id
        )
        for space in asked.spaces.values()
        if takes(space, part) and space.on not in asked.carried and space.on not in asked.moved and space.on != part.id
        for pose in grid_poses(part, space)
        if distance_mm(pose.at_mm, part.pose.at_mm) > _SAME_MM or pose.turn_deg != part.pose.turn_deg
    ]
    return tuple(sorted(found, key=lambda c: (c.cost, c.space, c.pose.at_mm, c.pose.turn_deg)))


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


def follow_options(
    placed: Placed, carried: tuple[Placed, ...], host: Component, host_options: tuple[Option, ...]
) -> Iterator[Option]:
    """The part going wherever its host goes."""
    cost = handling(placed.part) + sum(handling(c.part) for c in carried)
    for index, option in enumerate(host_options):
        if option.pose is None:
            continue
        pose = follow(placed.part.pose, host.pose, option.pose)
        yield Option(
            part=placed.part.id,
            sort=Sort.FOLLOW,
            pose=pose,
            bundle=(placed_at(placed, pose), *carried_to(carried, placed.part.pose, pose)),
            cost=0 if option.pose == host.pose else cost,
            needs=Needs(part=host.id, index=index),
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
