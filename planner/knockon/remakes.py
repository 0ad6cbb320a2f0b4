"""Homes for a part made anew: the largest plain boxes there is room for, cut down to what it has to hold.

Room is looked for twice: among what never gives way, and among everything where the job leaves it, so that making the
part in another shape is weighed against moving its neighbours. What is there counts by its box: behind a round tank
the corners are not used.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice

from planner.knockon.asked import Asked
from planner.knockon.conflicts import PairRules
from planner.knockon.home_list import space_box, spaces_for
from planner.knockon.options import MILLI, Option, Sort, handling, template_cost
from planner.knockon.placed import Placed, place
from planner.knockon.rigid import distance_mm
from planner.model.catalog import Catalog, When
from planner.model.shapes import Box, Pose, Vec
from planner.model.vehicle import Component, Remake, Space
from planner.space import Block, Body, empty_boxes, extent_mm

MM3_A_LITRE = 1e6
_BOXES = 4
"""Of each space, so many of the largest empty boxes are offered."""
_LOOKED_AT = 40
_WHOLE_MM = 5.0
"""Sizes that are cut down are cut to a multiple of this."""
_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Remaking:
    """What is needed to find new shapes for parts."""

    asked: Asked
    rules: PairRules
    catalog: Catalog
    base: Mapping[str, Placed]
    world: Mapping[str, Placed]
    """What can never give way."""

    def options(self, placed: Placed) -> Iterator[Option]:
        """A part made anew in each space that takes it; none for a part that may not be."""
        if placed.part.remake is None:
            return
        seen = set()
        for space in sorted(spaces_for(placed.part, self.asked), key=lambda s: s.id):
            for among in (self.world, self.base):
                for box in self._boxes(placed.part, placed.part.remake, space, among):
                    if (space.id, box) not in seen:
                        seen.add((space.id, box))
                        yield self._option(placed, space, box)

    def _boxes(self, part: Component, remake: Remake, space: Space, among: Mapping[str, Placed]) -> Iterator[Block]:
        blocks = [b for i, other in sorted(among.items()) if i != part.id for b in self._blocks(part, other)]
        against = None
        if space.against is not None:
            against = next((i, round(v)) for i, v in enumerate(space.against.vector) if v)
        held = (
            b
            for b in islice(empty_boxes(space_box(space), blocks, remake.least_mm, against), _LOOKED_AT)
            if holds(sizes_of(b), remake)
        )
        for box in islice(held, _BOXES):
            yield cut_down(box, remake, part.pose.at_mm, against)

    def _blocks(self, part: Component, other: Placed) -> Iterator[Block]:
        """What a new shape may not enter because of another part: its box with the gap kept, and its rooms."""
        touching = self.rules.meant_to_touch(part, other.part)
        keep = 0.0 if touching else self.rules.keeps.keep(part, other.part).mm
        yield _for_rooms(_grown(other.body, keep), other.still, part)
        yield from (_grown(room, 0.0) for _, room in other.rooms)

    def _option(self, placed: Placed, space: Space, box: Block) -> Option:
        part = placed.part
        pose = Pose(at_mm=_middle(box))
        made = remade(replace(part, pose=pose, mounted_on=space.on), sizes_of(box))
        minutes = template_cost(self.catalog, When.MADE, part.kind, part.group)
        make = minutes if part.make_min is None else MILLI * part.make_min
        far = round(distance_mm(pose.at_mm, part.pose.at_mm))
        return Option(
            part=part.id,
            sort=Sort.REMADE,
            pose=pose,
            bundle=(place(made),),
            cost=handling(part) + make + far,
            space=space.id,
        )


def remade(part: Component, size_mm: Vec) -> Component:
    """A part as a plain box of another size: what lay on a face of its box still does, in the same proportion.

    A port that stood off a face stands off the new face as far.
    """
    low, high = extent_mm(part.solids, Pose())
    return replace(
        part,
        solids=(Box(size_mm=size_mm),),
        ports_mm={name: _carried_over(at, low, high, size_mm) for name, at in part.ports_mm.items()},
        motion=None,
    )


def _carried_over(at: Vec, low: Vec, high: Vec, size: Vec) -> Vec:
    moved = []
    for i in range(3):
        inside = min(max(at[i], low[i]), high[i])
        share = (inside - low[i]) / (high[i] - low[i])
        moved.append((share - 0.5) * size[i] + (at[i] - inside))
    return (moved[0], moved[1], moved[2])


def holds(size_mm: Vec, remake: Remake) -> bool:
    """Whether a box of this size holds what the part has to hold."""
    return volume_mm3(size_mm, remake.thick_mm) >= remake.volume_mm3 - _ROUNDING


def volume_mm3(size_mm: Vec, thick_mm: float) -> float:
    """What a box with walls holds [mm3]."""
    return math.prod(max(0.0, s - 2.0 * thick_mm) for s in size_mm)


def cut_down(box: Block, remake: Remake, near_mm: Vec, against: tuple[int, int] | None = None) -> Block:
    """A box cut down, along its longest sides first, to no more than what is needed; kept as near a place as can be."""
    for axis in sorted(range(3), key=lambda i: (-(sizes_of(box)[i]), i)):
        size = sizes_of(box)
        rest = math.prod(max(0.0, s - 2.0 * remake.thick_mm) for i, s in enumerate(size) if i != axis)
        needed = max(remake.volume_mm3 / rest + 2.0 * remake.thick_mm, remake.least_mm[axis])
        wanted = min(math.ceil(needed / _WHOLE_MM - _ROUNDING) * _WHOLE_MM, size[axis])
        low = min(max(near_mm[axis] - wanted / 2.0, box[0][axis]), box[1][axis] - wanted)
        if against is not None and against[0] == axis:
            low = box[0][axis] if against[1] < 0 else box[1][axis] - wanted
        box = _spanned(box, axis, low, low + wanted)
    return box


def _spanned(box: Block, axis: int, low: float, high: float) -> Block:
    corners = [list(box[0]), list(box[1])]
    corners[0][axis], corners[1][axis] = low, high
    (a, b, c), (d, e, f) = corners
    return (a, b, c), (d, e, f)


def sizes_of(box: Block) -> Vec:
    """Size of a box along x, y, z [mm]."""
    x, y, z = (high - low for low, high in zip(*box, strict=True))
    return (x, y, z)


def _middle(box: Block) -> Vec:
    x, y, z = ((low + high) / 2.0 for low, high in zip(*box, strict=True))
    return (x, y, z)


def _grown(body: Body, by_mm: float) -> Block:
    low, high = [v - by_mm for v in body.lo_mm], [v + by_mm for v in body.hi_mm]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _for_rooms(block: Block, still: Body, part: Component) -> Block:
    """A block grown so that the part's own rooms beside its faces stay clear of it as well."""
    low, high = list(block[0]), list(block[1])
    for room in part.rooms:
        if room.side is None:
            continue
        for axis, way in enumerate(room.side.vector):
            if way > 0:
                low[axis] = min(low[axis], still.lo_mm[axis] - room.depth_mm)
            elif way < 0:
                high[axis] = max(high[axis], still.hi_mm[axis] + room.depth_mm)
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
