"""Parts that hold fluid but belong to no circuit: nothing would tell that it must be filled, bled and tested."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from planner.files import Faults, KeyPath
from planner.finding.words import listed, quoted
from planner.model.catalog import Catalog
from planner.model.vehicle import Component, Link


def warn_of_lone_members(
    written: Iterable[tuple[KeyPath, Component | Link]],
    system_kinds: Mapping[str, str],
    catalog: Catalog,
    faults: Faults,
) -> None:
    """Warn of each part or link whose kind opens a circuit with fluid while it is a member of none.

    Parameters
    ----------
    written : iterable of (KeyPath, Component or Link)
        Each with the way to its block.
    system_kinds : mapping of str to str
        Kind of each system.
    catalog : Catalog
    faults : Faults
    """
    for path, item in written:
        kinds: Mapping[str, object] = catalog.kinds if isinstance(item, Component) else catalog.link_kinds
        if item.kind not in kinds:
            continue
        systems = item.systems if isinstance(item, Component) else tuple(s for s in (item.system,) if s is not None)
        wet = wet_kinds(item, catalog)
        if wet and not any(system_kinds.get(s) in wet for s in systems):
            key = "systems" if isinstance(item, Component) else "system"
            message = f"{quoted(item.id)} belongs to no circuit, so nothing tells when it must be filled and tested"
            faults.warn(
                "no-circuit", path, message, f"name a system of kind {listed(wet, ' or ')} under `{key}`", key=True
            )


def wet_kinds(item: Component | Link, catalog: Catalog) -> tuple[str, ...]:
    """Kinds of circuit with fluid that taking the part or link off would open."""
    kind = catalog.kinds[item.kind] if isinstance(item, Component) else catalog.link_kinds[item.kind]
    return tuple(k for k in kind.opens if k in catalog.system_kinds and catalog.system_kinds[k].fluid)
