"""Which parts a link may end at: those of its own circuit, and those that the catalog names for its kind."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.files import Faults, KeyPath
from planner.finding.words import listed, quoted
from planner.model.catalog import Catalog, LinkKind
from planner.model.runs import RunSort
from planner.model.vehicle import Component, Link
from planner.shelf.fresh import system_entry

WRONG, ODD, OTHER = "wrong-circuit", "odd-end", "other-circuit"
_CARRYING = frozenset({RunSort.PIPE, RunSort.HOSE})


@dataclass(frozen=True, slots=True, kw_only=True)
class EndFault:
    """What is wrong with an end of a link: ``wrong`` where two circuits' fluids would meet, else it is only odd."""

    wrong: bool
    message: str
    hint: str


def end_fault(
    link: LinkKind, of: Iterable[str], part: Component, kinds_there: Iterable[str], catalog: Catalog
) -> EndFault | None:
    """What is wrong with a link of a kind that ends at a part; None: nothing.

    Parameters
    ----------
    link : LinkKind
    of : iterable of str
        Kind of the circuit that the link is said to be in, where it is.
    part : Component
        Of a kind of the catalog.
    kinds_there : iterable of str
        Kinds of the circuits that the part is said to be in.
    catalog : Catalog
    """
    if not link.ends_at or part.kind not in catalog.kinds:
        return None
    kind = catalog.kinds[part.kind]
    has = {*kind.opens, *kinds_there}
    carries = _carries(link)
    if has & ({*link.opens} if carries else {*link.opens, *of}) or part.kind in link.ends_at:
        return None
    others = sorted(has & _carried(catalog)) if carries else []
    if kind.group in link.ends_at and not others:
        return None
    told = f"{_article(link.name)} does not end at {quoted(part.id)}"
    what = "" if part.name == kind.name else f", {_article(kind.name)}"
    if others:
        holds = " and ".join(_name(k, catalog) for k in others)
        own = " or ".join(_name(k, catalog) for k in link.opens)
        hint = f"name the part it joins; if {quoted(part.id)} does hold both, add the circuit under its `systems`"
        return EndFault(wrong=True, message=f"{told}{what}: that belongs to the {holds}, this to the {own}", hint=hint)
    wanted = [n for n in link.opens if n in catalog.system_kinds]
    own = f"if it is so, name a circuit of kind {listed(wanted, ' or ')} under the part's `systems`"
    return EndFault(
        wrong=False,
        message=f"{told}{what}, as far as the catalog knows",
        hint=f"name the part it joins; {own}" if wanted else "name the part it joins",
    )


def see_ends(
    links: Iterable[tuple[KeyPath, Link]],
    parts: Mapping[str, Component],
    system_kinds: Mapping[str, str],
    catalog: Catalog,
    faults: Faults,
) -> None:
    """Report each link that is in a circuit, or ends at a part, that its kind has nothing to do with.

    Parameters
    ----------
    links : iterable of (KeyPath, Link)
        Each with the way to its block.
    parts : mapping of str to Component
        Those it may end at.
    system_kinds : mapping of str to str
        Kind of each circuit of the vehicle.
    catalog : Catalog
    faults : Faults
    """
    for path, link in links:
        kind = catalog.link_kinds.get(link.kind)
        if kind is None:
            continue
        of = [] if link.system not in system_kinds or link.system is None else [system_kinds[link.system]]
        _see_circuit(path, kind, of, system_kinds, (catalog, faults))
        for end, key in zip(link.ends, ("from", "to"), strict=True):
            part = parts.get(end.component)
            if part is None:
                continue
            found = end_fault(kind, of, part, [system_kinds[s] for s in part.systems if s in system_kinds], catalog)
            if found is not None:
                report = faults.error if found.wrong else faults.warn
                message = f"{quoted(link.id)}: {found.message}"
                report(WRONG if found.wrong else ODD, (*path, key), message, found.hint)
            elif _carries(kind):
                _see_same(link, part, (*path, key), system_kinds, faults)


def _see_circuit(
    path: KeyPath, kind: LinkKind, of: list[str], system_kinds: Mapping[str, str], told: tuple[Catalog, Faults]
) -> None:
    """A pipe or hose that is said to be in another fluid's circuit."""
    catalog, faults = told
    if _carries(kind) and any(k in _carried(catalog) and k not in kind.opens for k in of):
        message = f"{_article(kind.name)} is no part of the {_name(of[0], catalog)}"
        hint = f"{_instead(kind, system_kinds)}; or name another kind of link"
        faults.error(WRONG, (*path, "system"), message, hint)


def _instead(kind: LinkKind, system_kinds: Mapping[str, str]) -> str:
    """What to write: a circuit of the vehicle that it may be in, else one that is to be added first."""
    there = [s for s, k in system_kinds.items() if k in kind.opens]
    if there:
        return " or ".join(f"write `system: {s}`" for s in there)
    new = system_entry(kind.opens[0], [*system_kinds]).put
    return (
        f"add `{new.key}: {{kind: {kind.opens[0]}}}` under `systems` of vehicle.yaml and write `system: {new.key}` here"
    )


def _see_same(link: Link, part: Component, path: KeyPath, system_kinds: Mapping[str, str], faults: Faults) -> None:
    """A pipe of the front brakes at a part that is only in the rear ones: the wrong one would be bled and tested."""
    if link.system is None or link.system in part.systems:
        return
    alike = [s for s in part.systems if system_kinds.get(s) == system_kinds.get(link.system, "")]
    if alike:
        message = (
            f"{quoted(link.id)} is in {quoted(link.system)}, and {quoted(part.id)} in {listed(alike, ' and ')} only"
        )
        hint = "name the part it joins or the circuit it is in; a part of both names both under its `systems`"
        faults.warn(OTHER, path, message, hint)


def _carries(kind: LinkKind) -> bool:
    """Whether something flows in a link of the kind that has a circuit of its own."""
    return kind.run in _CARRYING and bool(kind.opens)


def _carried(catalog: Catalog) -> frozenset[str]:
    """Kinds of circuit in which something flows."""
    wet = {k.id for k in catalog.system_kinds.values() if k.fluid}
    return frozenset(wet.union(*(k.opens for k in catalog.link_kinds.values() if _carries(k))))


def _name(kind: str, catalog: Catalog) -> str:
    return catalog.system_kinds[kind].name if kind in catalog.system_kinds else kind


def _article(name: str) -> str:
    return f"{'an' if name[:1] in 'aeiou' else 'a'} {name}"
