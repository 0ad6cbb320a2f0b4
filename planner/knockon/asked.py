"""The vehicle as the job itself leaves it, before anything has made room."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import networkx as nx

from planner.knockon.rigid import added, follow
from planner.model.job import Add, AddLink, Altered, Change, Cut, Grow, Job, Move, Remove, Replace, TakeOff
from planner.model.shapes import Box, Cylinder, Mesh, Outline, Pose, Solid, Surface, Tube, Vec
from planner.model.vehicle import Component, Driver, End, Link, Relation, Space, Spot, Vehicle
from planner.shelf.kept_faces import kept_ends
from planner.space import extent_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the job says, worked into the vehicle.

    ``base`` holds every component there is afterwards, in the pose the job gives it or its present one;
    ``fixed`` are the ids whose pose the job decides; ``carried`` maps a rider to the mover that takes it along;
    ``homeless`` are parts whose mounting goes. ``links`` are the links there are afterwards, ends re-attached.
    """

    base: dict[str, Component]
    fixed: frozenset[str]
    new: frozenset[str]
    gone: dict[str, str]
    """Component id -> "" when asked for, or the id of the component that replaces it."""
    moved: frozenset[str]
    grown: frozenset[str]
    taken_off: frozenset[str]
    carried: dict[str, str]
    homeless: frozenset[str]
    links: dict[str, Link]
    links_new: frozenset[str]
    links_gone: dict[str, str]
    """Link id -> "" when asked for, or the id of the component whose going leaves it without an end."""
    cuts: tuple[Cut, ...]
    spaces: dict[str, Space]
    relations: dict[str, Relation]
    driver: Driver | None = None
    strict: frozenset[str] = frozenset()
    """Relations of the job itself: they hold in full, whatever was so before."""


@dataclass(slots=True)
class _Sheet:
    """The changes, taken one after the other."""

    base: dict[str, Component]
    links: dict[str, Link]
    heirs: dict[str, str] = field(default_factory=dict)
    gone: dict[str, str] = field(default_factory=dict)
    links_gone: dict[str, str] = field(default_factory=dict)
    new: set[str] = field(default_factory=set)
    moved: set[str] = field(default_factory=set)
    grown: set[str] = field(default_factory=set)

    def take(self, change: Change) -> None:
        match change:
            case Add(component=part):
                self.base[part.id] = part
                self.new.add(part.id)
            case Replace(part=old, component=part):
                self.heirs[old] = part.id
                self.gone[old] = part.id
                self.base[part.id] = part
                self.new.add(part.id)
            case Remove(part=old):
                (self.links_gone if old in self.links else self.gone)[old] = ""
            case Move(part=part_id, to=pose, onto=onto):
                host = self.base[part_id].mounted_on if onto is None else onto
                self.base[part_id] = replace(self.base[part_id], pose=pose, mounted_on=host)
                self.moved.add(part_id)
            case Grow(part=part_id):
                part = self.base[part_id]
                # What a new one cost, or how long it took to come, says nothing of the alteration.
                self.base[part_id] = replace(
                    part,
                    solids=_grown_solids(part, change, self.base.get(part.mounted_on or "")),
                    price=change.price,
                    lead_days=change.lead_days,
                    lead_told=change.lead_told,
                )
                self.grown.add(part_id)
            case AddLink(link=link):
                self.links[link.id] = link
            case TakeOff() | Cut():
                pass


def asked_by(vehicle: Vehicle, job: Job) -> Asked:
    """Work the job's changes into the vehicle."""
    sheet = _Sheet(base=dict(vehicle.components), links=dict(vehicle.links))
    for change in job.changes:
        sheet.take(change)
    heirs = sheet.heirs
    base = {i: _on_heir(c, heirs) for i, c in sheet.base.items() if i not in sheet.gone}
    carried = _carried(base, vehicle, sheet.moved)
    for rider, host in carried.items():
        pose = follow(base[rider].pose, vehicle.components[host].pose, base[host].pose)
        base[rider] = replace(base[rider], pose=pose)
    kept: dict[str, Link] = {}
    for link in sheet.links.values():
        if link.id not in sheet.links_gone:
            _keep(link, base, heirs, kept, sheet.links_gone)
    return Asked(
        base=base,
        fixed=frozenset(sheet.new | sheet.moved | sheet.grown | set(carried)),
        new=frozenset(sheet.new),
        gone=sheet.gone,
        moved=frozenset(sheet.moved),
        grown=frozenset(sheet.grown - sheet.moved),
        taken_off=frozenset(c.part for c in job.changes if isinstance(c, TakeOff)),
        carried=carried,
        homeless=frozenset(i for i, c in base.items() if c.mounted_on is not None and c.mounted_on not in base),
        links=kept,
        links_new=frozenset(c.link.id for c in job.changes if isinstance(c, AddLink)),
        links_gone=sheet.links_gone,
        cuts=tuple(c for c in job.changes if isinstance(c, Cut)),
        spaces={
            i: replace(s, on=heirs.get(s.on, s.on)) for i, s in vehicle.spaces.items() if heirs.get(s.on, s.on) in base
        },
        relations=_relations_left({**vehicle.relations, **job.relations}, heirs, base),
        driver=_driver(vehicle.driver, heirs),
        strict=frozenset(job.relations),
    )


def _grown_solids(part: Component, change: Grow, host: Component | None) -> tuple[Solid, ...]:
    """The solids of a part made larger, brought back to the sides of it that stay where they are.

    Where the job names none, that is the face that it is measured from or stands on.
    """
    grown = as_it_came_back(tuple(grown_by(s, change.by_mm) for s in part.solids), change.altered)
    told = {axis: side for side in change.stays for axis, way in enumerate(side.vector) if way}
    ends = kept_ends(part.solids, part.pose, host)
    stays = {a: int(told[a].vector[a]) if a in told else end for a, end in enumerate(ends)}
    before, after = extent_mm(part.solids, Pose()), extent_mm(grown, Pose())
    x, y, z = (before[end > 0][a] - after[end > 0][a] if end else 0.0 for a, end in stays.items())
    if (x, y, z) == (0.0, 0.0, 0.0):
        return grown
    return tuple(replace(s, pose=Pose(at_mm=added(s.pose.at_mm, (x, y, z)), turn_deg=s.pose.turn_deg)) for s in grown)


def as_it_came_back(solids: tuple[Solid, ...], altered: tuple[Altered, ...]) -> tuple[Solid, ...]:
    """The solids of a part with what was measured on it once it was altered; a solid is as sure as its least sure size.

    Raises
    ------
    ValueError
        A solid has no size of that name.
    """
    found = list(solids)
    for number in dict.fromkeys(a.solid for a in altered):
        sizes = {a.size: a for a in altered if a.solid == number}
        solid = found[number]
        for name, size in sizes.items():
            solid = _measured(solid, name, size.mm)
        unsaid = any(a.doubt_mm is None for a in sizes.values()) or not _SIZES[type(solid)] <= sizes.keys()
        doubts = [a.doubt_mm for a in sizes.values() if a.doubt_mm is not None]
        found[number] = replace(solid, doubt_mm=max([*doubts, solid.doubt_mm] if unsaid else doubts))
    return tuple(found)


_SIZES: dict[type[Solid], frozenset[str]] = {
    Box: frozenset("xyz"),
    Cylinder: frozenset({"across", "length"}),
    Tube: frozenset({"across", "through"}),
    Outline: frozenset({"thick", "points"}),
}
"""All that decides how large a solid of a sort is; a tape on an altered part reads no corners."""


def size_of(solid: Solid, name: str) -> float:
    """A size of a solid [mm] by its name.

    Raises
    ------
    ValueError
        It has none of that name.
    """
    match solid, name:
        case Box(size_mm=sizes), "x" | "y" | "z":
            return sizes["xyz".index(name)]
        case ((Cylinder(across_mm=mm) | Tube(across_mm=mm)), "across"):
            return mm
        case Cylinder(length_mm=mm), "length":
            return mm
        case Outline(thick_mm=mm), "thick":
            return mm
    raise ValueError(f"a {type(solid).__name__} has no size {name!r}")


def _measured(solid: Solid, name: str, mm: float) -> Solid:
    match solid, name:
        case Box(), "x" | "y" | "z":
            x, y, z = (mm if axis == name else old for axis, old in zip("xyz", solid.size_mm, strict=True))
            return replace(solid, size_mm=(x, y, z))
        case Cylinder() | Tube(), "across":
            return replace(solid, across_mm=mm)
        case Cylinder(), "length":
            return replace(solid, length_mm=mm)
        case Outline(), "thick":
            return replace(solid, thick_mm=mm)
    raise ValueError(f"a {type(solid).__name__} has no size {name!r}")


def grown_by(solid: Solid, by_mm: Vec) -> Solid:
    """The solid, larger by ``by_mm`` along x, y, z of its own frame, about its middle.

    A round bar grows across by the larger of the two crosswise growths; a tube grows across by the largest.
    """
    match solid:
        case Box():
            x, y, z = (s + b for s, b in zip(solid.size_mm, by_mm, strict=True))
            return replace(solid, size_mm=(x, y, z))
        case Cylinder():
            axis = "xyz".index(solid.along)
            across = max(b for i, b in enumerate(by_mm) if i != axis)
            return replace(solid, across_mm=solid.across_mm + across, length_mm=solid.length_mm + by_mm[axis])
        case Tube():
            return replace(solid, across_mm=solid.across_mm + max(by_mm))
        case Mesh():
            return replace(solid, surface=_stretched(solid.surface, by_mm))
        case Outline():
            axis = "xyz".index(solid.along)
            first, second = (b for i, b in enumerate(by_mm) if i != axis)
            return replace(
                solid,
                thick_mm=solid.thick_mm + by_mm[axis],
                points_mm=_spread(solid.points_mm, first, second),
            )


def _stretched(surface: Surface, by_mm: Vec) -> Surface:
    """Surface scaled about the middle of its box so that the box grows by ``by_mm``."""
    spans = [(min(v), max(v)) for v in zip(*surface.corners_mm, strict=True)]
    corners = []
    for corner in surface.corners_mm:
        x, y, z = (
            v + by * ((v - low) / (high - low) - 0.5) if high > low else v
            for v, (low, high), by in zip(corner, spans, by_mm, strict=True)
        )
        corners.append((x, y, z))
    return replace(surface, corners_mm=tuple(corners))


def _spread(points: tuple[tuple[float, float], ...], first: float, second: float) -> tuple[tuple[float, float], ...]:
    """Outline scaled about the middle of its box so that the box grows by ``first`` and ``second`` [mm]."""
    spans = [(min(v), max(v)) for v in zip(*points, strict=True)]
    scales = [
        1.0 + by / (high - low) if high > low else 1.0 for (low, high), by in zip(spans, (first, second), strict=True)
    ]
    middles = [(low + high) / 2 for low, high in spans]
    return tuple(
        (middles[0] + (u - middles[0]) * scales[0], middles[1] + (v - middles[1]) * scales[1]) for u, v in points
    )


def _on_heir(part: Component, heirs: dict[str, str]) -> Component:
    """The part with its mounting and its declared contacts passed on to whatever replaces them."""
    host = part.mounted_on
    if heirs.keys().isdisjoint((host, *part.touches, *part.near_mm)):
        return part
    if host in heirs and heirs[host] != part.id:
        host = heirs[host]
    return replace(
        part, mounted_on=host, touches=tuple(heirs.get(t, t) for t in part.touches), near_mm=_near(part, heirs)
    )


def _near(thing: Component | Link, heirs: dict[str, str]) -> dict[str, float]:
    return {heirs.get(i, i): mm for i, mm in thing.near_mm.items()}


def _carried(base: dict[str, Component], vehicle: Vehicle, moved: set[str]) -> dict[str, str]:
    """Riders of asked-for movers, each with the nearest mover below it, unless the job moves it itself."""
    mounts = mounting_graph(base)
    carried: dict[str, str] = {}
    for mover in sorted(moved):
        for rider in nx.descendants(mounts, mover) - moved:
            if rider in vehicle.components and nearest_of(base, rider, moved) == mover:
                carried[rider] = mover
    return carried


def mounting_graph(parts: dict[str, Component]) -> nx.DiGraph[str]:
    """Host -> rider for every mounting between parts that are there."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(parts)
    graph.add_edges_from((c.mounted_on, i) for i, c in parts.items() if c.mounted_on in parts)
    return graph


def nearest_of(parts: dict[str, Component], rider: str, hosts: set[str]) -> str | None:
    """The first of ``hosts`` met when going from a rider down through its mountings."""
    host = parts[rider].mounted_on
    while host is not None and host in parts:
        if host in hosts:
            return host
        host = parts[host].mounted_on
    return None


def _keep(
    link: Link,
    base: dict[str, Component],
    heirs: dict[str, str],
    kept: dict[str, Link],
    links_gone: dict[str, str],
) -> None:
    """Keep a link whose ends are there, or find their heirs a port of the same name; else it goes."""
    ends: list[End] = []
    for end in link.ends:
        heir = heirs.get(end.component, end.component)
        if heir not in base or (heir != end.component and end.port not in {"", *base[heir].ports_mm}):
            links_gone[link.id] = end.component
            return
        ends.append(End(component=heir, port=end.port))
    # of most links nothing is replaced, and some pass a great many things
    if heirs.keys().isdisjoint((*(end.component for end in link.ends), *link.passes, *link.near_mm)):
        kept[link.id] = link
        return
    passes = tuple(heirs.get(p, p) for p in link.passes)
    kept[link.id] = replace(link, ends=(ends[0], ends[1]), passes=passes, near_mm=_near(link, heirs))


def _relations_left(
    relations: dict[str, Relation], heirs: dict[str, str], base: dict[str, Component]
) -> dict[str, Relation]:
    """Relations whose parts are there or have heirs with a port of the same name."""
    left: dict[str, Relation] = {}
    for i, relation in relations.items():
        part = heirs.get(relation.part, relation.part)
        of = heirs.get(relation.of, relation.of) if relation.of is not None else None
        if _has(base, part, relation.port) and (of is None or _has(base, of, relation.of_port)):
            passes = tuple(heirs.get(p, p) for p in relation.passes)
            left[i] = replace(relation, part=part, of=of, passes=passes)
    return left


def _has(base: dict[str, Component], part: str, port: str) -> bool:
    return part in base and port in {"", *base[part].ports_mm}


def _driver(driver: Driver | None, heirs: dict[str, str]) -> Driver | None:
    """The driver, sitting on what replaces the old seat."""
    if driver is None:
        return None

    def seated(spot: Spot) -> Spot:
        return spot if spot.on is None else replace(spot, on=heirs.get(spot.on, spot.on))

    return replace(
        driver,
        heel=None if driver.heel is None else seated(driver.heel),
        hip=None if driver.hip is None else seated(driver.hip),
        points={name: seated(spot) for name, spot in driver.points.items()},
    )
