"""From a vehicle file to the vehicle: defaults filled in, every name resolved, every absurd size refused."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import networkx as nx

from planner.files import Document, Faults, KeyPath, VehicleFile
from planner.files.schema_vehicle import SpaceFile
from planner.finding import Finding
from planner.finding.words import quoted
from planner.model.catalog import Catalog
from planner.model.shapes import Box, Pose
from planner.model.vehicle import Component, Owed, Space, System, Vehicle
from planner.shelf.bench import Bench
from planner.shelf.fill_component import PARTS, fill_component, words_of
from planner.shelf.fill_driver import fill_driver
from planner.shelf.fill_figures import fill_figures
from planner.shelf.fill_link import fill_link
from planner.shelf.fill_relation import Around, fill_relation
from planner.shelf.link_ends import see_ends
from planner.shelf.lone_members import warn_of_lone_members
from planner.units import Size

USUAL_STEP_MM = 20.0
"""Grid of new homes when a space does not say."""
LEAST_SPACE_MM = 1.0


def fill_vehicle(file: VehicleFile, document: Document, catalog: Catalog) -> tuple[Vehicle, tuple[Finding, ...]]:
    """Fill in a vehicle.

    Parameters
    ----------
    file : VehicleFile
        May lack entries that exist but could not be read.
    document : Document
        The file's text and places.
    catalog : Catalog

    Returns
    -------
    vehicle : Vehicle
        Complete only when there is no error among the findings.
    findings : tuple of Finding
        Sorted by place.
    """
    faults = Faults(document)
    bench = _bench(file, faults, catalog)
    _check_head(file, bench)
    systems = {
        name: System(id=name, kind=_system_kind(name, entry.kind, bench), name=entry.name or words_of(name))
        for name, entry in file.systems.items()
    }
    components = {
        name: fill_component(name, entry, ("components", name), bench) for name, entry in file.components.items()
    }
    check_rings(components.values(), {name: ("components", name) for name in components}, faults)
    _check_shared_ids(bench)
    links = {name: fill_link(name, entry, ("links", name), bench, components) for name, entry in file.links.items()}
    written = [(("components", c.id), c) for c in components.values()]
    written_links = [(("links", k.id), k) for k in links.values()]
    system_kinds = {s.id: s.kind for s in systems.values()}
    warn_of_lone_members([*written, *written_links], system_kinds, catalog, faults)
    see_ends(written_links, components, system_kinds, catalog, faults)
    around = Around(
        driver=fill_driver(file.driver, bench, components),
        bump_mm=None if file.bump is None else bench.allowance(("bump",), file.bump, 0.0),
    )
    vehicle = Vehicle(
        name=file.name,
        units=file.units.value,
        ground_z_mm=file.ground.mm,
        systems=systems,
        components=components,
        links=links,
        spaces={name: _space(name, entry, bench) for name, entry in file.spaces.items()},
        relations={
            name: fill_relation(("relations", name), entry, bench, components, around)
            for name, entry in file.relations.items()
        },
        driver=around.driver,
        bump_mm=around.bump_mm,
        figures=fill_figures(file.figures, bench),
        currency=file.currency,
        to_prove=_left_open(file),
    )
    return vehicle, faults.findings()


def _left_open(file: VehicleFile) -> dict[str, Owed]:
    """What earlier jobs left open."""
    return {
        name: Owed(
            id=name,
            what=entry.what,
            limit=entry.limit or "",
            check=entry.check or "",
            job=entry.job or "",
            why=entry.why or "",
            before=entry.before,
        )
        for name, entry in file.to_prove.items()
    }


def _check_head(file: VehicleFile, bench: Bench) -> None:
    """Report what the file as a whole lacks."""
    if file.zero is None:
        hint = "say under `zero` what x, y and z are measured from"
        bench.faults.warn("no-zero", (), "the zero planes are not told", hint)
    if not bench.known["part"]:
        bench.faults.error(
            "no-parts",
            ("components",),
            "the vehicle has no parts",
            "describe the parts near the change",
            key=True,
        )
    bench.check_near(("ground",), file.ground.mm)


def _bench(file: VehicleFile, faults: Faults, catalog: Catalog) -> Bench:
    data = faults.document.data
    known: dict[str, Any] = {
        "part": section_ids(data, "components"),
        "link": section_ids(data, "links"),
        "system": section_ids(data, "systems"),
        **catalog_ids(catalog),
    }
    bench = Bench(
        catalog=catalog,
        faults=faults,
        units=file.units.value,
        known=known,
    )
    doubt = 0.0 if file.doubt is None else bench.allowance(("doubt",), file.doubt, 0.0)
    return Bench(catalog=catalog, faults=faults, units=bench.units, doubt_mm=doubt, known=known)


def section_ids(data: object, section: str) -> dict[str, None]:
    """Ids written in a section of a file, whether or not their entries can be read."""
    entries = data.get(section) if isinstance(data, dict) else None
    return dict.fromkeys(entries if isinstance(entries, dict) else ())


def catalog_ids(catalog: Catalog) -> dict[str, Any]:
    """Ids of the catalog, by sort."""
    return {
        "kind": catalog.kinds,
        "link kind": catalog.link_kinds,
        "system kind": catalog.system_kinds,
        "condition": catalog.conditions,
    }


def _system_kind(name: str, kind: str, bench: Bench) -> str:
    bench.check_id(("systems", name, "kind"), kind, "system kind")
    return kind


def _check_shared_ids(bench: Bench) -> None:
    """No two things that effects, steps and checkpoints are named after may share an id."""
    for section, sort, others in (
        ("systems", "system", ("condition",)),
        ("components", "part", ("condition", "system")),
        ("links", "link", ("condition", "system", "part")),
    ):
        for name in bench.known[sort]:
            other = next((o for o in others if name in bench.known[o]), None)
            if other is not None:
                hint = f"a {sort} and a {other} may not share an id"
                message = f"{quoted(name)} is a {other} already"
                bench.faults.error("double-id", (section, name), message, hint, key=True)


def check_rings(components: Iterable[Component], paths: Mapping[str, KeyPath], faults: Faults) -> None:
    """Report each ring of parts that are mounted on each other.

    Parameters
    ----------
    components : iterable of Component
    paths : mapping of str to KeyPath
        Ways to the blocks of those that are written in this file; a ring without any of them is not told.
    faults : Faults
    """
    graph = nx.DiGraph((c.id, c.mounted_on) for c in components if c.mounted_on is not None)
    for ring in nx.simple_cycles(graph):
        told = [name for name in paths if name in ring]
        if told:
            turned = ring[ring.index(told[0]) :] + ring[: ring.index(told[0])]
            words = " on ".join(quoted(name) for name in (*turned, turned[0]))
            hint = "one of them is fixed to something else"
            faults.error("mounted-ring", (*paths[told[0]], "mounted_on"), f"mounted in a ring: {words}", hint)


def _space(name: str, file: SpaceFile, bench: Bench) -> Space:
    path: KeyPath = ("spaces", name)
    bench.check_id((*path, "on"), file.on, *PARTS)
    x, y, z = (_side((*path, "box", i), size, bench) for i, size in enumerate(file.box))
    step = USUAL_STEP_MM if file.step is None else file.step.mm
    if step <= 0:
        message = f"a step must be more than 0, found {bench.length(step)}"
        bench.faults.error("bad-step", (*path, "step"), message, "20 mm is usual")
    return Space(
        id=name,
        name=file.name or words_of(name),
        on=file.on,
        box=Box(
            size_mm=(x, y, z),
            pose=Pose(at_mm=bench.point((*path, "at"), file.at)),
            doubt_mm=0.0,
        ),
        step_mm=step,
        takes=bench.check_ids((*path, "takes"), file.takes, "part", "kind"),
        against=file.against,
    )


def _side(path: KeyPath, size: Size, bench: Bench) -> float:
    if 0 < size.mm < LEAST_SPACE_MM:
        message = f"a space {bench.length(size.mm)} wide takes nothing"
        bench.faults.error("small-space", path, message, "check the unit")
        return size.mm
    return bench.size(path, size)
