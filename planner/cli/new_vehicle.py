"""`knockon new FOLDER`: a first vehicle by questions, from nothing to a file that a person goes on with."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import BackError, Question, Talk, WrongAnswerError
from planner.cli.new_carriers import carried
from planner.cli.new_choice import one_of
from planner.cli.new_job import JobGiven, job_text
from planner.cli.new_kind import THAT_IS_ALL, UNDO
from planner.cli.new_part import USUAL, PartGiven, add_part
from planner.cli.new_sheet import VEHICLE, Reading, Sheet, write_or_tell
from planner.cli.new_space import SpaceGiven, add_space
from planner.cli.new_whole import whole_told

if TYPE_CHECKING:
    from planner.model.catalog import Catalog
    from planner.model.shapes import Vec
    from planner.shelf.fresh import Head

MOST_PARTS = 60
"""Beyond that an editor is quicker than questions."""
MOST_SPACES = 6
NO_JOB = "none yet"
INTRO = """\
A vehicle in questions. Enter takes the answer in brackets, ? shows examples, back goes to the question before, Ctrl-C \
stops and writes nothing: the answers are handed back.
Where things are is told by three distances from zero, measured with a tape, the vehicle level:
  x  rearward: behind the centre of the front axle (ahead of it: minus)
  y  to the right as the driver sees it, from the centre line (left: minus)
  z  up: from the underside of the chassis (below it: minus)
Describe what is near the change you have in mind; the rest can stay away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A vehicle and, where one was wanted, its first job, ready to be written."""

    sheet: Sheet
    job: str = ""
    job_text: str = ""


def see_folder(folder: Path) -> None:
    """Refuse a folder that cannot become a project, before anything is asked.

    Raises
    ------
    Stop
        Its name will not do, a vehicle is in it, or nothing can be written there.
    """
    import os

    from planner.finding.words import quoted
    from planner.shelf.fresh import fault_of_folder

    for name in folder.parts[1:] if folder.is_absolute() else folder.parts:
        fault = fault_of_folder(name)
        if fault:
            raise Stop(Exit.USAGE, f"no folder {quoted(str(folder))} is made: {fault}", "choose another name")
    try:
        path = folder / VEHICLE
        if path.exists() or path.is_symlink():
            hint = f"`knockon new part {folder}` adds to it; or name another folder"
            raise Stop(Exit.USAGE, f"{path} is there already: nothing is changed", hint)
        there = next(p for p in (folder, *folder.absolute().parents) if p.exists())
        if not there.is_dir():
            raise Stop(Exit.FILE, f"{there} is a file, not a folder", "name another folder")
        if not os.access(there, os.W_OK | os.X_OK):
            raise Stop(Exit.FILE, f"nothing can be written in {there}", "name another folder, or ask whose it is")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise Stop(Exit.FILE, f"{quoted(str(folder))}: {reason.lower()}", "name another folder") from None


def vehicle_told(
    talk: Talk, folder: Path, catalog: Catalog, readings: dict[tuple[str, frozenset[str]], Reading]
) -> Told:
    """Ask for a whole vehicle; ``readings`` are kept from one asking to the next."""
    talk.say(INTRO)
    talk.say()
    head, limits, whole = whole_told(talk, folder)
    sheet = _sheet(folder, catalog, head, limits)
    sheet.readings = readings
    carried(talk, sheet, whole)
    _parts(talk, sheet)
    _spaces(talk, sheet)
    return _first_job(talk, sheet)


def _sheet(folder: Path, catalog: Catalog, head: Head, limits: tuple[Vec, Vec]) -> Sheet:
    from planner.shelf.fresh import fresh_vehicle

    return Sheet(
        project=folder,
        catalog=catalog,
        bare=head.bare,
        render=lambda entries: fresh_vehicle(head, entries, catalog),
        limits_mm=limits,
    )


def _parts(talk: Talk, sheet: Sheet) -> None:
    talk.say()
    talk.say("The parts, one after the other; what carries another part comes before it. The usual ones:")
    talk.say(f"  {USUAL}")
    starts: list[int] = []
    while len(sheet.parts()) < MOST_PARTS:
        talk.say()
        mark = len(talk.given)
        added = add_part(talk, sheet, PartGiven(), f"part {len(sheet.parts()) + 1}", THAT_IS_ALL)
        if added == UNDO:
            _undo(talk, sheet, starts, mark)
        elif added:
            starts.append(mark)
        elif not sheet.parts():
            error = WrongAnswerError("a vehicle has one part at least", "such as `chassis` or `bulkhead`")
            talk.refuse(error, since=mark)
        elif starts or talk.ask(_end_question()) == "yes":
            return
        else:
            talk.take_back(mark, offer=False)
    talk.say(f"{MOST_PARTS} parts are enough for questions: go on in an editor, or with `knockon new part`")


def _undo(talk: Talk, sheet: Sheet, starts: list[int], mark: int) -> None:
    """Take out the last part, with all that was answered about it."""
    if starts:
        raise BackError(starts[-1], f"  {sheet.parts()[-1].replace('-', ' ')} is taken out again")
    talk.take_back(mark, offer=False)
    talk.say("  there is nothing to take out")


def _end_question() -> Question[str]:
    return Question(
        words="no part yet: end all the same",
        read=one_of(("yes", "no"), "answer"),
        default="no",
        help="nothing can be moved or grown yet; yes ends the parts here, no asks for one",
        examples=("no", "yes    more is added later with `knockon new part`"),
        aside=("yes", "no"),
    )


def _spaces(talk: Talk, sheet: Sheet) -> None:
    talk.say()
    talk.say("Where may parts go that are in the way? Without a mounting space nothing finds a new home.")
    for _ in range(MOST_SPACES):
        if not add_space(talk, sheet, SpaceGiven(), may_end=True):
            return


def _first_job(talk: Talk, sheet: Sheet) -> Told:
    from planner.shelf.fresh import called

    talk.say()
    named = talk.ask(
        Question(
            words="a first job",
            read=lambda text: None if text == NO_JOB else called(text, "job"),
            default=NO_JOB,
            help="what you have in mind to change, in a few words; its file is called so",
            examples=("battery aft", "larger header tank"),
        )
    )
    if named is None:
        return Told(sheet=sheet)
    return Told(sheet=sheet, job=named.id, job_text=job_text(talk, sheet, named, JobGiven()))


def write_told(told: Told) -> None:
    """Write the vehicle, then its job, each whole.

    Raises
    ------
    Stop
        A vehicle has come to be there meanwhile, or a file cannot be written; the texts are told.
    """
    sheet = told.sheet
    if sheet.path.exists() or sheet.path.is_symlink():
        print_instead = sheet.render(sheet.entries)
        raise Stop(Exit.FILE, f"{sheet.path} is there by now: it is left alone\n{print_instead}", "save the text above")
    sheet.write()
    if told.job:
        write_or_tell(sheet.project / "jobs" / f"{told.job}.yaml", told.job_text, told.job_text)
