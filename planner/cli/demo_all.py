"""Every shipped vehicle and job worked through, from the check to the job book, as one table."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import typer
from rich.table import Table
from rich.text import Text

from planner.cli.ending import Exit, Stop
from planner.cli.planning import LIMIT_S
from planner.cli.terminal import page
from planner.model.effects import Proof

FIRST_DAY = datetime(2026, 12, 1)  # noqa: DTZ001  # wall-clock time of one workshop
HEADS = ("job", "effects", "hand-min", "steps", "sessions", "finished", "checks", "sums", "book", "s")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What came of one job; ``wrong`` is everything the independent checker has against it."""

    vehicle: str
    cells: tuple[str, ...]
    wrong: tuple[str, ...]


def work_through_all(folder: Path) -> None:
    """Work through every job of every shipped vehicle and say what came of each.

    Raises
    ------
    Stop
        The checker does not accept a plan, or there is none.
    """
    rows = []
    for project, job in _copied(folder):
        typer.echo(f"{project.name} {job} ...", err=True)
        rows.append(_worked(project, job))
    with page() as console:
        for vehicle in dict.fromkeys(row.vehicle for row in rows):
            console.print(Text(vehicle, style="bold"))
            table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
            for head in HEADS:
                first = head == HEADS[0]
                table.add_column(head, justify="left" if first else "right", no_wrap=True, min_width=14 if first else 0)
            for row in rows:
                if row.vehicle == vehicle:
                    table.add_row(*row.cells)
            console.print(table)
        console.print("hand-min: cost of the new homes, * proved the least; s: seconds for all of it, here and now")
    wrong = [line for row in rows for line in row.wrong]
    if wrong:
        raise Stop(Exit.BUG, "the independent checker does not accept it:\n  - " + "\n  - ".join(wrong), "tell us")
    typer.echo("The independent checker has no fault to find in any of them.")


def _copied(folder: Path) -> Iterator[tuple[Path, str]]:
    """Each job of each vehicle, on a copy that is not there yet."""
    from planner.cli.completing import job_names
    from planner.shelf import projects_folder

    for source in sorted(p for p in projects_folder().iterdir() if (p / "vehicle.yaml").is_file()):
        project = folder / source.name
        if not project.exists():
            shutil.copytree(source, project, ignore=shutil.ignore_patterns("out", "*.log.jsonl", "*.plans"))
        for job in job_names(project):
            yield project, job


def _worked(project: Path, job: str) -> Row:
    from planner.cli.book import book_text, sums_in
    from planner.cli.current import Wish, current_plan
    from planner.files import write_whole

    begun = time.perf_counter()
    found = current_plan(Wish(project=project, job=job, now=FIRST_DAY, limit_s=LIMIT_S))
    answer = found.replan.answer
    plan, knockons = answer.plan, answer.knockons
    sums = sums_in(found)
    text = book_text(found)
    write_whole(project / "out" / f"{job}.book.html", text)
    proved = "*" if knockons.proof is Proof.PROVED else ""
    there = answer.vehicle
    cells = (
        job,
        str(len(knockons.effects)),
        f"{knockons.cost}{proved}",
        str(sum(s.part == 1 for s in plan.slots)),
        str(len({s.session for s in plan.slots})),
        plan.finish.date().isoformat() if plan.finish is not None else "never",
        str(len(answer.work.checkpoints)),
        str(len(sums)),
        f"{len(text.encode()) // 1000} kB",
        f"{time.perf_counter() - begun:.0f}",
    )
    wrong = (*answer.violations, *plan.trouble, *plan.strip.trouble)
    told = f"{there.name} ({project.name}): {len(there.components)} parts, {len(there.links)} links"
    return Row(vehicle=told, cells=cells, wrong=tuple(f"{project.name} {job}: {line}" for line in wrong))
