"""The cut list on the terminal: every link made anew with what is cut, bent, fitted and clipped for it."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.terminal import page
from planner.model.effects import EffectKind, Knockons, Proof
from planner.model.job import Job
from planner.model.runs import Laid, Run
from planner.model.vehicle import Vehicle
from planner.units import format_length

_INSTEAD = "The run that the job draws is not clear; this one is, and the link is made by it."
_CAUTION = (
    "Where it does not say that the job draws it, a run was found by a search among the parts in the file, corners "
    "pulled tight: another way round may be shorter, by no more than the list says. Form each run in wire or string on "
    "the vehicle before anything is cut."
)


def show_runs(vehicle: Vehicle, job: Job, knockons: Knockons) -> None:
    """Print a table of all runs, then the lines of each, then the links for which none was found."""
    with page() as console:
        console.print(Text(f"{vehicle.name}: {job.name}: cut list", style="bold"))
        if knockons.proof is Proof.NONE:
            console.print("No answer: `knockon moves` says what cannot hold together.")
            return
        if knockons.runs:
            _show_found(console, vehicle, knockons)
        else:
            console.print("No link is made anew along a run found here.")
        _show_missing(console, knockons)


def _show_found(console: Console, vehicle: Vehicle, knockons: Knockons) -> None:
    names = {i: p.name for i, p in knockons.after.items()} | {i: k.name for i, k in knockons.links_after.items()}
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="dim")
    table.add_column("link", ratio=3)
    for head in ("cut", "bends", "clips"):
        table.add_column(head, justify="right", no_wrap=True)
    table.add_column("nearest hot or moving thing", ratio=2)
    for i, run in knockons.runs.items():
        bends = str(len(run.bends)) if run.bends else "-"
        clips = str(len(run.clips_mm)) if run.clips_mm else "-"
        table.add_row(
            names[i], format_length(round(run.cut_mm), vehicle.units), bends, clips, _near_text(run, vehicle, names)
        )
    console.print(table)
    for i, run in knockons.runs.items():
        console.print()
        console.print(Text(names[i], style="bold").append(f"  {_how_short(run, vehicle)}", style="not bold dim"))
        for line in (*((_INSTEAD,) if run.laid is Laid.INSTEAD else ()), *run.lines):
            console.print(Text(f"  - {line}"))
    console.print()
    console.print(Text(_CAUTION, style="dim"))


def _near_text(run: Run, vehicle: Vehicle, names: dict[str, str]) -> str:
    if run.clear_mm is None:
        return "none within a forearm"
    return f"{format_length(max(0.0, run.clear_mm), vehicle.units)} to {names.get(run.clear_of, run.clear_of)}"


def _how_short(run: Run, vehicle: Vehicle) -> str:
    """How much a better run could save at most; nobody looked for one where the job draws it."""
    if run.laid is Laid.DRAWN:
        return "as the job draws it"
    spare_mm = run.length_mm - run.bound_mm
    if spare_mm < 1.0:
        return "as short as a clear run can be"
    return f"a clear run could be {format_length(round(spare_mm), vehicle.units)} shorter at most"


def _show_missing(console: Console, knockons: Knockons) -> None:
    wanted = {i for e in knockons.effects if e.kind is EffectKind.REMADE for i in (e.subject,)}
    missing = [
        e
        for e in knockons.effects
        if e.kind is EffectKind.MEASURED and e.subject in wanted | set(knockons.links_after) - set(knockons.runs)
    ]
    if missing:
        console.print(Text("\nTo be found on the vehicle:", style="bold"))
    for effect in missing:
        console.print(Text(f"  - {effect.text}: {effect.causes[-1].text}"))
