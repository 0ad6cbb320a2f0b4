"""Are the new homes sound? Asked of a vehicle rebuilt from the job and the list of new homes alone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from planner.model.catalog import Catalog
from planner.model.effects import EffectKind, Knockons, Proof
from planner.model.job import Cut, Job, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Space, Vehicle
from planner.space import Body, closer_than, solid_body
from planner.verify.altered import altered_faults, taped_axes
from planner.verify.carried import carried_faults
from planner.verify.kept_side import kept_sides
from planner.verify.links_after import link_faults
from planner.verify.poses import carried_along, same_pose, same_turn, seen_from
from planner.verify.rebuild import TOUCH_MM, Rebuilt, may_go, rebuild
from planner.verify.remade import is_made_anew, remade_faults
from planner.verify.runs_after import run_faults
from planner.verify.together import together_faults

_INSIDE_MM = 0.1


def check_homes(vehicle: Vehicle, job: Job, knockons: Knockons, catalog: Catalog | None = None) -> tuple[str, ...]:
    """Every rule that the vehicle after the job breaks.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    job : Job
        What is asked for.
    knockons : Knockons
        The answer to be checked.
    catalog : Catalog, optional
        For the gaps it wants kept; without it parts keep what they ask for themselves.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation; empty when sound. An answer that tells in words why there is none
        has nothing to be checked and passes.
    """
    if knockons.proof is Proof.NONE:
        return () if knockons.trouble else ("there is no answer and no reason is told",)
    built = rebuild(vehicle, job, knockons, catalog)
    return tuple(
        chain(
            _told_as_asked(built),
            _parts_there(built),
            _poses_told(built),
            _growth(built),
            _mountings(built),
            carried_faults(built),
            _new_homes(built),
            remade_faults(built),
            _over_holes(built),
            together_faults(built),
            link_faults(built),
            run_faults(built),
        )
    )


def _told_as_asked(built: Rebuilt) -> Iterator[str]:
    """See that every change of the job has its effect: work and checkpoints are called by the effects."""
    asked = built.asked
    wanted = [
        (EffectKind.NEW, sorted([*asked.new, *asked.links_new])),
        (EffectKind.GONE, sorted(asked.removed)),
        (EffectKind.MOVES, sorted(asked.poses)),
        (EffectKind.GROWS, sorted(asked.grown)),
        (
            EffectKind.OFF_AND_BACK,
            sorted(change.part for change in built.job.changes if isinstance(change, TakeOff)),
        ),
        (EffectKind.CUT, sorted(change.id for change in built.job.changes if isinstance(change, Cut))),
    ]
    for kind, subjects in wanted:
        for subject in subjects:
            if subject not in built.listed[kind]:
                yield f"the job asks for it and no effect says that `{subject}` is {kind.value!r}"


def _parts_there(built: Rebuilt) -> Iterator[str]:
    """See that removed parts are gone, and nothing else is."""
    for part_id in sorted(built.gone - built.asked.removed):
        if not may_go(built.vehicle.components[part_id]):
            yield f"`{part_id}` goes, which nobody asked for, and it may not be done without"
    claimed = built.knockons.after
    for part_id in sorted(claimed.keys() - built.parts.keys()):
        why = "is removed" if part_id in built.gone else "is no part of the vehicle or the job"
        yield f"`{part_id}` {why} and is still there afterwards"
    for part_id in sorted(built.parts.keys() - claimed.keys()):
        yield f"`{part_id}` is not asked to go and is missing afterwards"


def _poses_told(built: Rebuilt) -> Iterator[str]:
    """Hold the homes against what the job asks and against the vehicle told."""
    homes = built.knockons.homes
    for part_id in sorted(homes.keys() - built.parts.keys()):
        yield f"`{part_id}` gets a home and is not there afterwards"
    for part_id, asked in sorted(built.asked.poses.items()):
        if part_id in built.parts and not same_pose(built.parts[part_id].pose, asked):
            yield f"`{part_id}` is to move to {asked.at_mm} and its home is {built.parts[part_id].pose.at_mm}"
    for part_id, part in sorted(built.parts.items()):
        told = built.knockons.after.get(part_id)
        if told is not None and not same_pose(told.pose, part.pose):
            yield f"`{part_id}` is told to stand at {told.pose.at_mm} and its home is {part.pose.at_mm}"
        if part_id in built.asked.new and part_id in homes and not same_pose(homes[part_id], part.pose):
            yield f"`{part_id}` is new at {part.pose.at_mm} and is given a home at {homes[part_id].at_mm}"


def _growth(built: Rebuilt) -> Iterator[str]:
    """See that a part grows in its own frame by what is asked, and away from the side of it that stays."""
    for part_id, grow in sorted(built.asked.grown.items()):
        if part_id not in built.parts or part_id not in built.vehicle.components:
            continue
        before = built.vehicle.components[part_id]
        host = built.vehicle.components.get(before.mounted_on or "") or built.asked.new.get(before.mounted_on or "")
        old = solid_body(before.solids, Pose())
        new = solid_body(built.parts[part_id].solids, Pose())
        yield from altered_faults(part_id, grow, built.parts[part_id].solids)
        taped = taped_axes(grow, built.parts[part_id].solids)
        kept = kept_sides(before, host)
        for axis, name in enumerate("xyz"):
            grew = (old.lo_mm[axis] - new.lo_mm[axis], new.hi_mm[axis] - old.hi_mm[axis])
            told = [int(side.vector[axis]) for side in grow.stays if side.vector[axis]]
            stays = told or ([] if kept is None or axis not in kept else [kept[axis]])
            moved = any(abs(grew[way > 0]) > _INSIDE_MM for way in stays)
            below, above = (0.0 if way in stays else grow.by_mm[axis] * (1.0 if stays else 0.5) for way in (-1, 1))
            if kept is None and not told:
                below = above = min(0.0, grow.by_mm[axis])
            if moved or (axis not in taped and (grew[0] < below - _INSIDE_MM or grew[1] < above - _INSIDE_MM)):
                wanted = f"is to grow by {grow.by_mm[axis]:g} mm along {name}"
                yield f"`{part_id}` {wanted} and grows by {grew[0]:g} and {grew[1]:g} mm"


def _mountings(built: Rebuilt) -> Iterator[str]:
    """See that nothing hangs on a part that is gone, on another part without reason, or in the air."""
    for part_id, part in sorted(built.parts.items()):
        given = built.asked.new.get(part_id) or built.vehicle.components[part_id]
        host = part.mounted_on
        own = {given.mounted_on, built.asked.stands_for(given.mounted_on or "") or None}
        if part_id in built.asked.onto:
            own = {built.asked.onto[part_id]}
        if host is not None and host not in built.parts:
            yield f"`{part_id}` is mounted on `{host}`, which is not there afterwards"
        elif host not in own and host not in {s.on for s in _homes_of(built, part_id)} | {
            built.asked.stands_for(s.on) for s in _homes_of(built, part_id)
        }:
            yield f"`{part_id}` was mounted on `{given.mounted_on}` and is now said to be on `{host}`"
        elif host is not None and host == given.mounted_on and _left_behind(built, part_id, host):
            yield f"`{part_id}` is mounted on `{host}`, which moves, and is left behind"


def _left_behind(built: Rebuilt, part_id: str, host: str) -> bool:
    return built.moved(host) and part_id in built.vehicle.components and not built.moved(part_id)


def _follows(built: Rebuilt, part_id: str) -> bool:
    """Tell whether a part keeps its place on the moved part it is mounted on."""
    before = built.vehicle.components[part_id]
    host = before.mounted_on
    if host is None or built.parts[part_id].mounted_on != host or not built.moved(host):
        return False
    host_before, host_after = built.vehicle.components[host], built.parts[host]
    return carried_along(before.pose, built.parts[part_id].pose, host_before.pose, host_after.pose)


def _new_homes(built: Rebuilt) -> Iterator[str]:
    """See that parts nobody asked to move follow their host or live in a space that takes them."""
    for part_id, part in sorted(built.parts.items()):
        if not built.moved(part_id):
            continue
        anew = is_made_anew(built, part_id)
        if part_id not in built.listed[EffectKind.MOVES] and not anew:
            yield f"`{part_id}` gets another home and no effect says that it moves"
        if part_id in built.asked.poses or _follows(built, part_id):
            continue
        if part.freedom is not Freedom.MOVES and not anew:
            yield f"`{part_id}` {part.freedom.value} and gets another home, which nobody asked for"
            continue
        faults = {space.id: _space_fault(built, space, part) for space in built.vehicle.spaces.values()}
        tried = {space: fault for space, fault in faults.items() if fault is None or fault != _NOT_TAKEN}
        if not tried:
            yield f"`{part_id}` gets another home and no space takes it"
        elif all(tried.values()):
            reasons = "; ".join(f"`{space}`: {fault}" for space, fault in sorted(tried.items()))
            yield f"`{part_id}` gets a home that is in none of its spaces ({reasons})"


_NOT_TAKEN = "does not take it"


def _homes_of(built: Rebuilt, part_id: str) -> list[Space]:
    """Give the spaces that a moved part lives in."""
    if not built.moved(part_id):
        return []
    part = built.parts[part_id]
    return [space for space in built.vehicle.spaces.values() if _space_fault(built, space, part) is None]


def _space_fault(built: Rebuilt, space: Space, part: Component) -> str | None:
    """Say why a part does not live in a space, None when it does."""
    if space.takes and not {part.id, part.kind} & set(space.takes):
        return _NOT_TAKEN
    host = built.asked.stands_for(space.on)
    if host not in built.parts:
        return f"`{space.on}` is gone"
    if built.moved(host):
        return f"`{host}` moves itself"
    present = built.vehicle.components[part.id].pose.turn_deg
    allowed = [
        (present[0] + turn[0], present[1] + turn[1], present[2] + turn[2])
        for turn in ((0.0, 0.0, 0.0), *part.turns_deg)
    ]
    if not is_made_anew(built, part.id) and not any(same_turn(part.pose.turn_deg, turn) for turn in allowed):
        return f"a turn of {part.pose.turn_deg} is not allowed"
    return _outside(space, part)


def _outside(space: Space, part: Component) -> str | None:
    body = solid_body(part.solids, seen_from(part.pose, space.box.pose))
    ends = [(-size / 2 - body.lo_mm[axis], body.hi_mm[axis] - size / 2) for axis, size in enumerate(space.box.size_mm)]
    worst = max(max(pair) for pair in ends)
    if worst > _INSIDE_MM:
        return f"sticks out by {worst:.1f} mm"
    if space.against is not None:
        axis, side = next((i, v) for i, v in enumerate(space.against.vector) if v)
        short = -ends[axis][0 if side < 0 else 1]
        if short > _INSIDE_MM:
            return f"sits {short:.1f} mm off its face"
    return None


def _over_holes(built: Rebuilt) -> Iterator[str]:
    """See that nothing that was there before is mounted where its host is cut."""
    for change in built.job.changes:
        if not isinstance(change, Cut):
            continue
        hole = solid_body((change.hole,), Pose())
        for part_id, part in sorted(built.parts.items()):
            if part_id in built.asked.new or part.mounted_on != change.host:
                continue
            if closer_than(hole, _still(part), -TOUCH_MM):
                yield f"`{part_id}` is mounted where `{change.host}` is cut (`{change.id}`)"


def _still(part: Component) -> Body:
    return solid_body(part.solids, part.pose)
