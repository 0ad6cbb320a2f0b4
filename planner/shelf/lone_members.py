"""Parts that belong to no circuit: nothing would tell that it must be filled, bled, set and tested."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from planner.files import Faults, KeyPath, Plain
from planner.finding.words import listed, quoted
from planner.model.catalog import Catalog, SystemKind
from planner.model.vehicle import Component, Link

_SET_BY_HAND = frozenset({"brakes", "clutch", "steering", "throttle", "fuel"})
"""Groups in which a circuit without fluid is missed as well, if it is set when it is made whole."""


def warn_of_lone_members(
    written: Iterable[tuple[KeyPath, Component | Link]],
    system_kinds: Mapping[str, str],
    catalog: Catalog,
    faults: Faults,
) -> None:
    """Warn of each part or link whose kind opens a circuit that matters while it is a member of none.

    A member that names a system which is not there, or whose kind is not in the catalog, is told of elsewhere.

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
        key = "systems" if isinstance(item, Component) else "system"
        member_of = [system_kinds.get(s, "") for s in _names_at((*path, key), faults.document.data)]
        missed = _missed_kinds(item, catalog)
        if missed and all(k in catalog.system_kinds for k in member_of) and not _belongs(member_of, missed, catalog):
            what = "filled and tested" if wet_kinds(item, catalog) else "set and tested"
            message = f"{quoted(item.id)} belongs to no circuit, so nothing tells when it must be {what}"
            hint = f"name a system of kind {listed(missed, ' or ')} under `{key}`"
            faults.warn("no-circuit", path, message, hint, key=True)


def wet_kinds(item: Component | Link, catalog: Catalog) -> tuple[str, ...]:
    """Kinds of circuit with fluid that taking the part or link off would open."""
    return tuple(k.id for k in _opened_kinds(item, catalog) if k.fluid)


def _missed_kinds(item: Component | Link, catalog: Catalog) -> tuple[str, ...]:
    """Kinds of circuit that the part or link must not be without: wet ones, and dry ones that are set by hand."""
    opened = _opened_kinds(item, catalog)
    return tuple(k.id for k in opened if k.fluid or (k.group in _SET_BY_HAND and k.close))


def _belongs(member_of: Iterable[str], missed: Iterable[str], catalog: Catalog) -> bool:
    """Whether a member of those circuits is missed by none; the rod of a fluid clutch serves it as well as a cable's.

    A wet circuit asks for itself, a dry one for any of its group.
    """
    kinds = [catalog.system_kinds[k] for k in missed]
    groups = set() if any(k.fluid for k in kinds) else {k.group for k in kinds}
    return any(k in missed or catalog.system_kinds[k].group in groups for k in member_of)


def _opened_kinds(item: Component | Link, catalog: Catalog) -> list[SystemKind]:
    kind = catalog.kinds[item.kind] if isinstance(item, Component) else catalog.link_kinds[item.kind]
    return [catalog.system_kinds[k] for k in kind.opens if k in catalog.system_kinds]


def _names_at(path: KeyPath, data: Plain) -> list[str]:
    """Names that the file writes at ``path``, known or not."""
    here = data
    for step in path:
        if isinstance(here, dict) and isinstance(step, str):
            here = here.get(step)
        elif isinstance(here, list) and isinstance(step, int):
            here = here[step]
        else:
            return []
    names = here if isinstance(here, list) else [here]
    return [name for name in names if isinstance(name, str)]
