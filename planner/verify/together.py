"""Can the parts stand together as they are set: overlaps, keep-clear gaps, working rooms and relations."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.vehicle import Component, RoomNeed
from planner.space import Body, closer_than, component_body, gap, near_pairs, room_body, solid_body
from planner.verify.kept import kept_mm, most_kept_mm
from planner.verify.rebuild import AS_MUCH_MM, TOUCH_MM, Rebuilt
from planner.verify.relations import relation_faults


def together_faults(built: Rebuilt) -> Iterator[str]:
    """Give a sentence for each pair of parts that cannot be together.

    A pair of which neither part is new, elsewhere or larger is as it was. A changed pair may be as bad as it
    was at the start, never worse.
    """
    ids = sorted(built.parts)
    bodies = {part_id: component_body(built.parts[part_id]) for part_id in ids}
    keep_mm = most_kept_mm(built.catalog, list(built.parts.values()))
    for i, j in near_pairs([bodies[part_id] for part_id in ids], keep_mm):
        first, second = built.parts[ids[i]], built.parts[ids[j]]
        if (built.changed(first.id) or built.changed(second.id)) and not _declared(first, second):
            yield from _too_close(built, first, second, bodies)
    yield from _lost_rooms(built)
    yield from relation_faults(built)


def _declared(a: Component, b: Component) -> bool:
    """Whether two parts are meant to touch. That they ride on the same host is no leave to overlap."""
    return a.mounted_on == b.id or b.mounted_on == a.id or b.id in a.touches or a.id in b.touches


def _too_close(built: Rebuilt, a: Component, b: Component, bodies: dict[str, Body]) -> Iterator[str]:
    wanted_mm = kept_mm(built.catalog, a, b)
    if not closer_than(bodies[a.id], bodies[b.id], wanted_mm - TOUCH_MM):
        return
    now_mm = gap(bodies[a.id], bodies[b.id]).mm
    if now_mm >= wanted_mm - TOUCH_MM:
        return
    old_a, old_b = built.vehicle.components.get(a.id), built.vehicle.components.get(b.id)
    if old_a is not None and old_b is not None:
        then_mm = gap(component_body(old_a), component_body(old_b)).mm
        if now_mm >= then_mm - AS_MUCH_MM and then_mm < wanted_mm - TOUCH_MM:
            return
    if now_mm < -TOUCH_MM:
        yield f"`{a.id}` and `{b.id}` overlap by {-now_mm:.2f} mm"
    else:
        yield f"`{a.id}` and `{b.id}` are {max(0.0, now_mm):.2f} mm apart and must keep {wanted_mm:g} mm clear"


def _lost_rooms(built: Rebuilt) -> Iterator[str]:
    """See that a room that is always needed is free of every other part, its mounting included."""
    still = {part_id: solid_body(part.solids, part.pose) for part_id, part in sorted(built.parts.items())}
    for owner_id, owner in sorted(built.parts.items()):
        for index, room in enumerate(owner.rooms):
            if room.needed is not RoomNeed.ALWAYS:
                continue
            body = room_body(owner, room)
            for other_id, other in still.items():
                if other_id == owner_id or not (built.changed(owner_id) or built.changed(other_id)):
                    continue
                if closer_than(body, other, -TOUCH_MM) and not _was_lost(built, owner_id, index, other_id):
                    yield f"`{other_id}` stands in the room for {room.name} of `{owner_id}`"


def _was_lost(built: Rebuilt, owner_id: str, index: int, other_id: str) -> bool:
    owner, other = built.vehicle.components.get(owner_id), built.vehicle.components.get(other_id)
    if owner is None or other is None:
        return False
    return closer_than(room_body(owner, owner.rooms[index]), solid_body(other.solids, other.pose), -TOUCH_MM)
