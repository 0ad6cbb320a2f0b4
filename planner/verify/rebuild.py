"""The vehicle after the job, rebuilt from the job and the list of new homes alone."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from planner.model.catalog import Catalog
from planner.model.effects import EffectKind, Knockons
from planner.model.job import Add, AddLink, Grow, Job, Move, Remove, Replace
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Link, Vehicle
from planner.verify.poses import same_pose

TOUCH_MM = 0.05
"""Parts that overlap by no more than this touch."""
AS_MUCH_MM = 0.1
"""A gap is worse than at the start when it is smaller by more than this."""


@dataclass(slots=True, kw_only=True)
class Asked:
    """What the job says, by component or link id. ``heirs``: a replaced part -> the one in its place."""

    new: dict[str, Component] = field(default_factory=dict)
    heirs: dict[str, str] = field(default_factory=dict)
    removed: set[str] = field(default_factory=set)
    poses: dict[str, Pose] = field(default_factory=dict)
    onto: dict[str, str] = field(default_factory=dict)
    """Moved part -> what the job mounts it on there."""
    grown: dict[str, Grow] = field(default_factory=dict)
    links_new: dict[str, Link] = field(default_factory=dict)

    def stands_for(self, part: str) -> str:
        """Give the part that is there in place of ``part``, itself when it is not replaced."""
        return self.heirs.get(part, part)


def asked_by(job: Job) -> Asked:
    """Sort the changes of a job by what they do."""
    asked = Asked()
    for change in job.changes:
        match change:
            case Add(component=component):
                asked.new[component.id] = component
            case Replace(part=part, component=component):
                asked.new[component.id] = component
                asked.heirs[part] = component.id
                asked.removed.add(part)
            case Remove(part=part):
                asked.removed.add(part)
            case Move(part=part, to=to, onto=onto):
                asked.poses[part] = to
                if onto is not None:
                    asked.onto[part] = onto
            case Grow(part=part):
                asked.grown[part] = change
            case AddLink(link=link):
                asked.links_new[link.id] = link
            case _:
                pass
    return asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebuilt:
    """The vehicle before and after. ``parts`` holds every component that is there when the job is done."""

    vehicle: Vehicle
    job: Job
    knockons: Knockons
    asked: Asked
    parts: dict[str, Component]
    catalog: Catalog | None
    """For the gaps it wants kept; None leaves those out."""
    gone: frozenset[str]
    """Components that are no longer there."""
    listed: dict[EffectKind, frozenset[str]]
    """The subjects of the effects, by kind."""

    def moved(self, part: str) -> bool:
        """Tell whether a component that was there at the start stands elsewhere now."""
        before = self.vehicle.components.get(part)
        return before is not None and part in self.parts and not same_pose(before.pose, self.parts[part].pose)

    def changed(self, part: str) -> bool:
        """Tell whether a component is new, elsewhere, larger or made anew."""
        fresh = part not in self.vehicle.components or part in self.listed[EffectKind.REMADE]
        return fresh or self.moved(part) or part in self.asked.grown


def rebuild(vehicle: Vehicle, job: Job, knockons: Knockons, catalog: Catalog | None = None) -> Rebuilt:
    """Put the vehicle after the job together.

    Poses come from the job (new parts) and from ``knockons.homes`` (parts that move); a part in neither is
    where it was. From ``knockons.after`` come only the solids of parts that grow, to be checked against the
    growth asked for, the shapes of parts made anew, to be checked against what they must hold, and
    the mountings, to be checked against the homes.
    """
    asked = asked_by(job)
    listed = {
        kind: frozenset(effect.subject for effect in knockons.effects if effect.kind is kind) for kind in EffectKind
    }
    gone = (asked.removed | listed[EffectKind.GONE]) & vehicle.components.keys()
    parts: dict[str, Component] = {}
    for part_id, part in {**vehicle.components, **asked.new}.items():
        if part_id in gone:
            continue
        parts[part_id] = _after(part, asked, knockons, anew=part_id in listed[EffectKind.REMADE])
    return Rebuilt(
        vehicle=vehicle,
        job=job,
        knockons=knockons,
        asked=asked,
        parts=parts,
        catalog=catalog,
        gone=frozenset(gone),
        listed=listed,
    )


def _after(part: Component, asked: Asked, knockons: Knockons, *, anew: bool) -> Component:
    claimed = knockons.after.get(part.id)
    pose = part.pose if part.id in asked.new else knockons.homes.get(part.id, part.pose)
    host = part.mounted_on if claimed is None else claimed.mounted_on
    if claimed is not None and anew:
        part = replace(part, ports_mm=claimed.ports_mm)
    solids = claimed.solids if claimed is not None and (anew or part.id in asked.grown) else part.solids
    return replace(part, pose=pose, mounted_on=host, solids=solids)


def may_go(part: Component) -> bool:
    """Tell whether a part may be done without though nobody asked for it."""
    return part.freedom is Freedom.MAY_GO
