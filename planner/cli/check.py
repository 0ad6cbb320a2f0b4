"""`knockon check`: whether a project is complete and possible."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.finding import Finding
    from planner.knockon import Fault
    from planner.model.catalog import Catalog
    from planner.model.vehicle import Vehicle


def check(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    as_json: Annotated[bool, typer.Option("--json", help="Findings as JSON.")] = False,
    every: Annotated[bool, typer.Option("--every", help="Every gap that the catalog would have larger.")] = False,
) -> None:
    """Say everything that is missing, wrong or impossible in a project: files, ids, sizes, overlaps."""
    from planner.cli.check_bearing import job_adrift, vehicle_adrift
    from planner.cli.check_beneath import vehicle_beneath
    from planner.cli.check_rocking import job_rocked, vehicle_rocked
    from planner.cli.check_rods import job_rods
    from planner.cli.loading import catalog_read
    from planner.cli.logbook import adopted_jobs
    from planner.cli.show_findings import show_findings
    from planner.cli.terminal import page
    from planner.finding import has_errors, sort_findings
    from planner.shelf import list_jobs, load_job, load_vehicle, unread_files

    catalog = catalog_read()
    vehicle, found = load_vehicle(project, catalog)
    findings = [*found, *unread_files(project)]
    jobs: tuple[str, ...] = ()
    over = adopted_jobs(project)
    tight: list[Finding] = []
    if vehicle is not None and not has_errors(found):
        findings += _impossible(project, vehicle, catalog)
        findings += [*vehicle_adrift(project, vehicle), *vehicle_beneath(project, vehicle, catalog)]
        findings += vehicle_rocked(project, vehicle, catalog)
        findings += _owed(project, vehicle)
        tight = _tight(project, vehicle, catalog)
        # A job that was adopted changes what is no longer so: it is over, and only its log is kept.
        jobs = tuple(j for j in list_jobs(project) if j not in over)
        for job in jobs:
            asked, found = load_job(project, job, vehicle, catalog)
            findings += found
            if asked is not None:
                findings += [*job_rods(project, asked, vehicle), *job_adrift(project, asked, vehicle)]
                findings += job_rocked(project, asked, vehicle, catalog)
    if every:
        findings += tight
    if as_json:
        told = [_plain(f) for f in sort_findings(findings)]
        typer.echo(json.dumps({"schema": 1, "tighter_than_advised": len(tight), "findings": told}, indent=1))
    else:
        show_findings(tuple(findings))
        if vehicle is not None:
            with page() as console:
                if tight and not every:
                    console.print(_tight_line(len(tight)), markup=False)
                console.print(_summary(vehicle, jobs, len(over), catalog), markup=False)
    if has_errors(findings):
        raise Stop(Exit.FAULTS)


def _impossible(project: Path, vehicle: Vehicle, catalog: Catalog) -> list[Finding]:
    """What the geometry says against the vehicle as the file has it, as findings with places."""
    from planner.files import read_document
    from planner.finding import Finding, Severity
    from planner.knockon import present_faults

    document, _ = read_document(project / "vehicle.yaml")
    if document is None:
        return []
    findings = []
    for fault in present_faults(vehicle):
        code, hint = code_of(fault), _hint(fault, vehicle, catalog)
        path = _path_of(fault, vehicle)
        findings.append(
            Finding(
                code=code,
                severity=Severity.ERROR,
                message=_sentence(fault, vehicle),
                place=document.place(path, key=True),
                hint=hint,
            )
        )
    return findings


def _owed(project: Path, vehicle: Vehicle) -> list[Finding]:
    """What an earlier job left open and nobody has signed since, as warnings with places."""
    from planner.cli.left_behind import still_owed
    from planner.files import read_document
    from planner.finding import Finding, Severity

    owed = still_owed(project, vehicle).to_prove
    document = read_document(project / "vehicle.yaml")[0] if owed else None
    if document is None:
        return []
    return [
        Finding(
            code="left-open",
            severity=Severity.WARNING,
            message=f"NOT FOR THE ROAD, {one.what}: {one.why or 'it is still to be proved'}",
            place=document.place(("to_prove", one.id), key=True),
            hint="the plan of the next job has it as a check; "
            + (
                f"or sign it there: knockon record check {one.check} READING --job {one.job}"
                if one.check and one.job
                else "when it is proved, take the entry out"
            ),
        )
        for one in owed.values()
    ]


def _tight(project: Path, vehicle: Vehicle, catalog: Catalog) -> list[Finding]:
    """Gaps of the vehicle as it stands that the catalog would have larger, as warnings with places."""
    from planner.files import read_document
    from planner.finding import Finding, Severity
    from planner.knockon import tight_spots

    document, _ = read_document(project / "vehicle.yaml")
    if document is None:
        return []
    return [
        Finding(
            code="closer-than-advised",
            severity=Severity.WARNING,
            message=spot.text,
            place=document.place(("links" if spot.part in vehicle.links else "components", spot.part), key=True),
            hint=f"look at it there; where it is shielded or proved, write `near: {{{spot.other}: ...}}` in its block",
        )
        for spot in tight_spots(vehicle, catalog)
    ]


def _tight_line(count: int) -> str:
    gaps = "1 gap is" if count == 1 else f"{count} gaps are"
    return f"{gaps} smaller than the catalog advises (heat, sparks, moving parts); --every lists them"


def _sentence(fault: Fault, vehicle: Vehicle) -> str:
    component = vehicle.components.get(fault.part)
    return f"{component.name}: {fault.text}" if component is not None and code_of(fault) != _RELATION else fault.text


_OVERLAP, _CLOSE, _ROOM, _RELATION, ROD = (
    "overlap-at-start",
    "too-close-at-start",
    "room-blocked-at-start",
    "relation-broken-at-start",
    "rod-out-of-line",
)


def code_of(fault: Fault) -> str:
    """Finding code for a fault of the vehicle as it stands."""
    from planner.model.effects import CauseKind

    return {
        CauseKind.CLASH: _OVERLAP,
        CauseKind.KEEP_CLEAR: _CLOSE,
        CauseKind.ROOM_LOST: _ROOM,
        CauseKind.RELATION: _RELATION,
        CauseKind.LINKED_TO: ROD,
    }[fault.kind]


def _hint(fault: Fault, vehicle: Vehicle, catalog: Catalog) -> str:
    from planner.cli.passing import through_hint
    from planner.cli.room_hint import room_hint

    code = code_of(fault)
    if fault.part in vehicle.links and code == _OVERLAP:
        if fault.other in vehicle.links:
            return "measure both runs again, and give the points they go by under `via`"
        return through_hint(vehicle.components[fault.other], vehicle.links[fault.part], catalog)
    if code == _CLOSE:
        return f"measure the gap; if it is so on the vehicle, write {_near_words(fault, vehicle)}"
    if code == _ROOM:
        return room_hint(fault, vehicle)
    return {
        _OVERLAP: f"measure both again; if they are meant to touch, name `{fault.other}` under `touches`",
        _RELATION: "measure again, or take the relation out if it does not hold on the vehicle",
        ROD: rod_hint(fault),
    }[code]


def rod_hint(fault: Fault) -> str:
    """What to do about a rod that leans, or does not meet its lever."""
    from planner.knockon import swing_for

    swing = swing_for(fault.lean_deg)
    hint = "measure where both its ends are (`ports`, or a face: `pedal front`) and the cylinder's line"
    if swing is not None:
        return f"{hint}; if it is so on the vehicle and its joints allow it, write `swing: {swing}` in its block"
    return f"{hint}; a rod like that pushes its piston aside or not at all"


def _near_words(fault: Fault, vehicle: Vehicle) -> str:
    """The key that lets two things stand as near as they do, with their names and the gap filled in."""
    from math import floor

    from planner.knockon import kept_now_mm

    gap_mm = max(0, floor(kept_now_mm(vehicle, fault.part, fault.other) - fault.mm))
    return f"`near: {{{fault.other}: {gap_mm} mm}}` in the block of `{fault.part}`"


def _path_of(fault: Fault, vehicle: Vehicle) -> tuple[str, ...]:
    if code_of(fault) == _RELATION:
        return ("relations", fault.other)
    return ("components" if fault.part in vehicle.components else "links", fault.part)


def _plain(finding: Finding) -> dict[str, object]:
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "message": finding.message,
        "hint": finding.hint,
        "file": finding.place.file,
        "line": finding.place.line,
        "column": finding.place.column,
    }


def _summary(vehicle: Vehicle, jobs: tuple[str, ...], over: int, catalog: Catalog) -> str:
    kinds = len({c.kind for c in vehicle.components.values()})
    counts = (
        (len(vehicle.components), "component", f" of {kinds} kind{'' if kinds == 1 else 's'}"),
        (len(vehicle.links), "link", ""),
        (len(vehicle.spaces), "mounting space", ""),
        (len(vehicle.relations), "relation", ""),
    )
    told = ", ".join(f"{n} {what}{'' if n == 1 else 's'}{more}" for n, what, more in counts)
    adopted = f"{over} adopted" if over else ""
    named = ", ".join((*jobs, adopted) if adopted else jobs)
    return (
        f"{vehicle.name}: {told}; jobs: {named or 'none yet'} "
        f"(catalog: {len(catalog.kinds)} kinds, {len(catalog.rules)} checkpoint rules)"
    )
