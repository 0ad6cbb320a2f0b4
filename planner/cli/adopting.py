"""The vehicle's file brought up to what a job has built: shown as a difference, written on yes."""

from __future__ import annotations

import difflib
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from planner.cli.ending import Exit, Stop, listed
from planner.cli.logbook import LogBook, log_book, moment_of, vehicle_digest, write_lines
from planner.cli.terminal import say
from planner.cli.told_run import led_as_told
from planner.cli.unadopting import keep_copy
from planner.log import digest_of, road_of
from planner.log.left_open import left_open, made_good
from planner.model.catalog import Catalog
from planner.model.log import AdoptedLine, Line
from planner.model.runs import Laid
from planner.model.vehicle import Vehicle

if TYPE_CHECKING:
    from planner.shelf.built import Built

NOWHERE = (0.0, 0.0, 0.0)
MOST = 5
"""So many open things are named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The vehicle's file before and after, and what there is to say about it."""

    path: Path
    before: str
    after: str
    told: tuple[str, ...]
    owed: int = 0
    """How many things the job leaves open."""

    @property
    def difference(self) -> str:
        """The two texts against each other, in the form that version control shows."""
        lines = difflib.unified_diff(
            self.before.splitlines(keepends=True),
            self.after.splitlines(keepends=True),
            fromfile=f"{self.path.name} as it was",
            tofile=f"{self.path.name} as built",
            n=1,
        )
        return "".join(lines)


def take_over(project: Path, job: str, *, yes: bool, early: str, as_json: bool) -> None:
    """Show the difference and write it on yes; nothing is written while work is open, unless there is a reason."""
    book = log_book(project, job)
    if book.over():
        say(f"`{book.job}` was adopted already: there is nothing to do")
        return
    _see_done(book, early)
    page = _page(book)
    if as_json:
        told = {"file": page.path.as_posix(), "difference": page.difference, "notes": list(page.told)}
        typer.echo(json.dumps(told, indent=1, ensure_ascii=False))
    else:
        typer.echo(page.difference, nl=False)
        for line in page.told:
            say(f"note: {line}")
    if not yes and (as_json or not _asked()):
        if not as_json:
            say("nothing is written yet: --yes writes it")
        return
    _write(book, page, early)
    if not as_json:
        over = "" if not page.owed else f"; {page.owed} left open hold the road: `knockon check` tells them"
        say(f"written to {page.path}; the job is in the log as adopted{over}")


def _see_done(book: LogBook, early: str) -> None:
    lacking = road_of(book.plan(), book.standing).road
    if lacking and not early:
        told = listed((one.words for one in lacking), MOST, rest=True)
        hint = "the file should say what is there: finish first, or say why it is early: --early WHY"
        raise Stop(Exit.FAULTS, f"`{book.job}` is not done:{told}", hint)


def _page(book: LogBook) -> Page:
    """The new text, which reads as the vehicle that was planned, or the end of the command."""
    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.measured import as_measured
    from planner.cli.replanning import outlined_as_agreed
    from planner.files import SpliceError, read_document, spliced
    from planner.shelf import draft_of
    from planner.shelf.adopting import adoption_of
    from planner.shelf.built import Built
    from planner.shelf.load import VEHICLE

    catalog = catalog_read()
    plain = vehicle_read(book.project, catalog)
    option = book.agreed.option or "" if book.agreed is not None else ""
    written = job_read(book.project, book.job, plain, catalog, option)
    vehicle, job = as_measured(book, plain, written, catalog)
    outline, _ = outlined_as_agreed(vehicle, job, catalog, book.agreed)
    knockons = outline.knockons
    draft = draft_of(book.project, book.job, catalog)
    sizes = {n: v for n, v in book.standing.sizes.items() if not draft.size(n).in_job}
    before = {n: v for n, v in sizes.items() if draft.altered(n) is None}
    told_runs = led_as_told(book, knockons.links_after, plain.units)
    runs = {i: r.points_mm for i, r in knockons.runs.items() if r.laid is not Laid.DRAWN}
    # Of a run its file has the corners alone; the ends are those of the link.
    runs |= {i: (NOWHERE, *k.via_mm, NOWHERE) for i, k in told_runs.items()}
    built = Built(
        parts=knockons.after,
        links={**knockons.links_after, **told_runs},
        runs=runs,
        sizes={draft.way(n): v for n, v in before.items()},
        seats=draft.seats(draft.vehicle_file.data, before),
        owed=left_open(book.plan(), book.standing, frozenset(plain.to_prove)),
        made_good=made_good(book.plan(), book.standing) | _signed_since(book, plain),
        altered={draft.way(n): v for n, v in sizes.items() if draft.altered(n) is not None},
    )
    path = book.project / VEHICLE
    document, own = read_document(path)[0], {n: v for n, v in book.standing.sizes.items() if draft.size(n).in_job}
    if document is None:
        raise Stop(Exit.FILE, f"{path} cannot be read")
    adoption = adoption_of(document, draft.worked_in(own)[1], vehicle, job, built)
    try:
        text = spliced(document.text, adoption.edits)
    except SpliceError as error:
        raise Stop(Exit.FAULTS, f"{path} is left as it was: {error}", "make that change in an editor") from error
    told = [*adoption.told, *_owed_words(built)]
    told += _see_same(text, path, built, plain, catalog, adoption.unsized)
    return Page(path=path, before=document.text, after=text, told=tuple(told), owed=len(built.owed))


def _signed_since(book: LogBook, vehicle: Vehicle) -> frozenset[str]:
    """What the file holds as left open and the log of the job that left it has signed since."""
    from planner.cli.loading import catalog_read
    from planner.shelf import load_vehicle

    written, _ = load_vehicle(book.project, catalog_read())
    return frozenset(() if written is None else written.to_prove.keys() - vehicle.to_prove.keys())


def _owed_words(built: Built) -> list[str]:
    """What is carried over, in words; nothing where nothing is open."""
    if not built.owed:
        return []
    things = "1 thing that is open goes" if len(built.owed) == 1 else f"{len(built.owed)} things that are open go"
    head = f"{things} into the file under `to_prove`: every plan of this vehicle holds the road until each is signed"
    told = [f"open: {one.what}{f' ({one.why})' if one.why else ''}" for one in built.owed[:MOST]]
    rest = [f"and {len(built.owed) - MOST} more"] if len(built.owed) > MOST else []
    return [head, *told, *rest]


def _see_same(
    text: str, path: Path, built: Built, plain: Vehicle, catalog: Catalog, unsized: frozenset[str]
) -> list[str]:
    """End the command unless the new text reads as what was planned; gives the faults that it has and had not."""
    from planner.files.read import parse_text
    from planner.finding import has_errors
    from planner.knockon import present_faults
    from planner.shelf.built import differences
    from planner.shelf.load import vehicle_from

    document, findings = parse_text(text, path.as_posix())
    vehicle = None
    if document is not None and not has_errors(findings):
        vehicle, findings = vehicle_from(document, catalog)
    if vehicle is None or has_errors(findings):
        wrong = [f for f in findings if has_errors([f])]
        told = listed((f"{f.place.line}:{f.place.column}: {f.message}" for f in wrong), MOST)
        raise Stop(
            Exit.FAULTS, f"{path} is left as it was: with the changes it would not load:{told}", "edit it by hand"
        )
    said = differences(vehicle, built, unsized)
    if said:
        told = listed(said, MOST)
        raise Stop(Exit.FAULTS, f"{path} is left as it was: the changes do not give what was planned:{told}", "tell us")
    known = {(f.kind, f.part, f.other) for f in present_faults(plain)}
    fresh = [f for f in present_faults(vehicle) if (f.kind, f.part, f.other) not in known]
    notes = [f"`knockon check` will say: {f.text}" for f in fresh]
    led = sorted({f.part for f in fresh} & vehicle.links.keys())
    if led:
        links = ", ".join(f"`{i}`" for i in led)
        notes.append(
            f"how {links} {'was' if len(led) == 1 else 'were'} led on the vehicle nobody told: measure the points it "
            "goes by and give them under `via`, until then `check` has it as it was"
        )
    return notes


def _asked() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty() and typer.confirm("change the file like that?", default=False)


def _write(book: LogBook, page: Page, early: str) -> None:
    """The line first, then the file: the line counts only once the file is no more what it was before.

    A crash in between leaves the file as it was and the job as one to be adopted.
    """
    from planner.files import write_whole

    line = AdoptedLine(before=digest_of(page.before), after=digest_of(page.after), why=early)

    def decide(known: LogBook) -> Sequence[Line]:
        if known.over() or vehicle_digest(book.project) != line.before:
            raise Stop(Exit.FAULTS, f"{page.path} was changed meanwhile", "run it again")
        keep_copy(book, page.before)
        return [line]

    write_lines(book, decide, moment_of(None))
    write_whole(page.path, page.after)
