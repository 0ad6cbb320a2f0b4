"""One link: what the file says, and what its kind says where the file is silent."""

from __future__ import annotations

from collections.abc import Mapping

from planner.files import KeyPath
from planner.files.schema_vehicle import LinkFile
from planner.finding.words import did_you_mean, quoted
from planner.model.catalog import LinkKind
from planner.model.vehicle import Component, End, Freedom, Link
from planner.shelf.believed_sizes import thickness_fault
from planner.shelf.bench import Bench
from planner.shelf.fill_component import PARTS, fill_near, words_of
from planner.units import Size

WIDEST_SWING_DEG = 180.0
"""Half a turn: then it points the other way."""


def fill_link(name: str, file: LinkFile, path: KeyPath, bench: Bench, parts: Mapping[str, Component]) -> Link:
    """Fill in a link.

    Parameters
    ----------
    name : str
        Its id.
    file : LinkFile
    path : KeyPath
        Way to its block in the file.
    bench : Bench
    parts : mapping of str to Component
        Components that were read, for their ports.
    """
    kind = _kind(file, path, bench)
    start = fill_end((*path, "from"), file.from_, bench, parts)
    finish = fill_end((*path, "to"), file.to, bench, parts)
    if start == finish:
        bench.faults.error("equal-ends", (*path, "to"), f"both ends are at {quoted(file.to)}", "name another end")
    return Link(
        id=name,
        kind=file.kind,
        name=file.name or words_of(name),
        group=kind.group,
        ends=(start, finish),
        via_mm=tuple(bench.point((*path, "via", i), point) for i, point in enumerate(file.via)),
        across_mm=_across(file.across, path, bench, kind),
        slack_mm=bench.allowance((*path, "slack"), file.slack, kind.slack_mm),
        adjust_mm=bench.allowance((*path, "adjust"), file.adjust, kind.adjust_mm),
        bend_radius_mm=bench.allowance((*path, "bend"), file.bend, kind.bend_radius_mm),
        rigid=kind.rigid if file.rigid is None else file.rigid,
        swing_deg=_swing(file, path, bench, kind),
        pushes=kind.pushes,
        system=_system(file, path, bench),
        passes=bench.check_ids((*path, "passes"), file.passes, *PARTS),
        near_mm=fill_near(file.near, path, bench),
        off_min=bench.minutes((*path, "off"), file.off, kind.off_min),
        on_min=bench.minutes((*path, "on"), file.on, kind.on_min),
        hands=file.hands or kind.hands,
        remake_min=bench.minutes((*path, "remake"), file.remake, kind.remake_min),
        adjust_min=kind.adjust_min,
        price=file.price or 0.0,
        lead_days=bench.days((*path, "lead"), file.lead),
        lead_told=file.lead is not None,
        tools=kind.tools if file.tools is None else tuple(file.tools),
        needs=kind.needs if file.needs is None else bench.check_ids((*path, "needs"), file.needs, "condition"),
        freedom=file.freedom or kind.freedom,
    )


def _kind(file: LinkFile, path: KeyPath, bench: Bench) -> LinkKind:
    """Its kind, or a silent stand-in when there is no such kind."""
    if bench.check_id((*path, "kind"), file.kind, "link kind"):
        return bench.catalog.link_kinds[file.kind]
    return LinkKind(
        id=file.kind,
        name="",
        group="",
        freedom=Freedom.MOVES,
        source="",
        across_mm=1.0,
        bend_radius_mm=0.0,
        slack_mm=0.0,
        adjust_mm=0.0,
        rigid=False,
        off_min=0,
        on_min=0,
        hands=1,
        remake_min=0,
        adjust_min=0,
    )


def fill_end(path: KeyPath, written: str, bench: Bench, parts: Mapping[str, Component]) -> End:
    """Read a part, or a port of a part after a dot."""
    name, _, port = written.partition(".")
    if bench.check_id(path, name, *PARTS) and port and name in parts:
        ports = parts[name].ports_mm
        if port not in ports:
            given = f"give {quoted(name)} it under `ports`: where it is from the part's own origin"
            known = did_you_mean(port, ports, otherwise="")
            hint = f"{known}{' Or' if known.endswith('?') else '; or'} {given}" if known else given
            bench.faults.error("unknown-port", path, f"{quoted(name)} has no port {quoted(port)}", hint)
    return End(component=name, port=port)


def _across(size: Size | None, path: KeyPath, bench: Bench, kind: LinkKind) -> float:
    if size is None:
        return kind.across_mm
    across_mm = bench.size((*path, "across"), size)
    # A kind that nobody knows has no name, and its thickness is nobody's.
    if kind.name and (fault := thickness_fault(across_mm, kind.across_mm, kind.name, bench.units)):
        bench.faults.warn("absurd-size", (*path, "across"), fault, "its outside diameter: check the unit")
    return across_mm


def _swing(file: LinkFile, path: KeyPath, bench: Bench, kind: LinkKind) -> float | None:
    if file.swing is None:
        return kind.swing_deg
    if not 0 <= file.swing <= WIDEST_SWING_DEG:
        message = f"a swing of `{file.swing:g} deg` is not between 0 and {WIDEST_SWING_DEG:g}"
        bench.faults.error("out-of-range", (*path, "swing"), message, "say how far it may turn to any side")
    return file.swing


def _system(file: LinkFile, path: KeyPath, bench: Bench) -> str | None:
    if file.system is not None:
        bench.check_id((*path, "system"), file.system, "system")
    return file.system
