"""`knockon new FOLDER`: a first vehicle by questions, from nothing to a file that a person goes on with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError, one_of
from planner.cli.new_job import JobGiven, job_text
from planner.cli.new_part import THAT_IS_ALL, UNDO, USUAL, PartGiven, add_part, kind_question
from planner.cli.new_sheet import VEHICLE, Sheet, write_or_tell
from planner.cli.new_space import SpaceGiven, add_space

if TYPE_CHECKING:
    from planner.model.catalog import Catalog
    from planner.model.shapes import Vec
    from planner.shelf.fresh import Entry, Head
    from planner.shelf.tape import Taped, Three
    from planner.units import Bare

MOST_PARTS = 60
"""Beyond that an editor is quicker than questions."""
MOST_SPACES = 6
LONGEST_VEHICLE_MM = 20_000.0
NO_JOB = "none yet"
INTRO = """\
A vehicle in questions. Enter takes the answer in brackets, ? shows examples, Ctrl-C stops and writes nothing.
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


def vehicle_told(talk: Talk, folder: Path, catalog: Catalog) -> Told:
    """Ask for a whole vehicle."""
    talk.say(INTRO)
    talk.say()
    head, limits, whole = _head(talk, folder)
    sheet = _sheet(folder, catalog, head, limits)
    _carried(talk, sheet, whole)
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


def _carried(talk: Talk, sheet: Sheet, whole: Three) -> None:
    """Take in what carries everything else."""
    while carriers := _carriers(talk, sheet, whole):
        tried = sheet.tried(carriers)
        if not tried.errors:
            sheet.take(carriers, tried)
            return
        talk.refuse(WrongAnswerError(tried.errors[0].message, f"{tried.errors[0].hint}; or take `{OTHER}`"))


def _head(talk: Talk, folder: Path) -> tuple[Head, tuple[Vec, Vec], Three]:
    """What is said of the vehicle as a whole, its box over all, and its size over all."""
    from planner.shelf.fresh import Head

    name = talk.ask(_name_question(folder))
    bare: Bare = "inch" if talk.ask(_units_question()) == "inch" else "mm"
    whole = talk.ask(_overall_question(bare))
    ahead = talk.ask(_length_question("front end ahead of the front axle", "500 mm", bare, (0.0, whole[0].mm)))
    above = talk.ask(_length_question("chassis above the ground", "200 mm", bare, (0.0, whole[2].mm)))
    doubt = talk.ask(_length_question("how sure of a size", "3 mm", bare, (0.0, 100.0)))
    limits = (
        (-ahead.mm, -whole[1].mm / 2, -above.mm),
        (whole[0].mm - ahead.mm, whole[1].mm / 2, whole[2].mm - above.mm),
    )
    told = [str(w.written) for w in whole]
    head = Head(
        folder=str(folder),
        name=name,
        bare=bare,
        doubt=doubt.written,
        ground=_minus(above, bare),
        overall=" x ".join(told) + ("" if any(c.isalpha() for c in told[-1]) else f" {bare}"),
    )
    return head, limits, whole


def _minus(size: Taped, bare: Bare) -> int | float:
    from planner.shelf.tape import in_units

    return in_units(-size.mm, bare)


def _name_question(folder: Path) -> Question[str]:
    from planner.finding.words import quoted
    from planner.shelf.fresh import LONGEST_NAME

    def read(text: str) -> str:
        if len(text) > LONGEST_NAME:
            raise WrongAnswerError(f"the name has {len(text)} characters, {LONGEST_NAME} are allowed", "shorten it")
        if not any(c.isalnum() for c in text):
            raise WrongAnswerError(f"{quoted(text)} is no name", "letters or digits are wanted")
        return text

    name = folder.absolute().name.replace("-", " ").replace("_", " ").strip() or "my special"
    usual = name if name != name.lower() else name.capitalize()
    return Question(
        words="name of the vehicle",
        read=read,
        default=usual if any(c.isalnum() for c in usual) and len(usual) <= LONGEST_NAME else "my special",
        help="what you call it",
        examples=("Clarty trials two-seater",),
    )


def _units_question() -> Question[str]:
    return Question(
        words="units",
        read=one_of(("mm", "inch"), "unit"),
        default="mm",
        help="what a number without a unit means: mm or inch; a unit behind a number always counts",
        examples=("mm", "inch"),
    )


def _overall_question(bare: Bare) -> Question[Three]:
    from planner.shelf.tape import read_three
    from planner.units import format_length

    def read(text: str) -> Three:
        whole = read_three(text, bare)
        for size in whole:
            if not 0 < size.mm <= LONGEST_VEHICLE_MM:
                most = format_length(LONGEST_VEHICLE_MM, bare)
                told = format_length(size.mm, bare)
                raise WrongAnswerError(f"{told} over all is not between 0 and {most}", "check the unit")
        return whole

    return Question(
        words="over all",
        read=read,
        default="3500 x 1500 x 1300 mm" if bare == "mm" else "138 x 59 x 51 in",
        help="length x width x height of the whole vehicle; near enough will do, it catches slips later on",
        examples=("3500 x 1500 x 1300", "11 ft 6 in, 4 ft 10 in, 4 ft 3 in", "138 x 59 x 51 in"),
    )


_LENGTH_HELP = {
    "front end ahead of the front axle": "how far the foremost point is ahead of the centre of the front axle",
    "chassis above the ground": "height of the underside of the chassis above the ground: z is measured from there",
    "how sure of a size": "how far off a size may be when you do not say it; a single one may say 620 +/- 5",
}


def _length_question(words: str, usual: str, bare: Bare, between_mm: tuple[float, float]) -> Question[Taped]:
    from planner.shelf.tape import in_units, read_one
    from planner.units import format_length

    low, high = between_mm

    def read(text: str) -> Taped:
        size = read_one(text, bare)
        if not low <= size.mm <= high:
            told = [format_length(mm, bare) for mm in (size.mm, low, high)]
            raise WrongAnswerError(f"{told[0]} is not between {told[1]} and {told[2]}", "check the unit")
        return size

    default = min(read_one(usual, bare).mm, high)
    return Question(
        words=words,
        read=read,
        default=str(in_units(default, bare)) if bare == "mm" else f"{round(default / 25.4, 2):g}",
        help=_LENGTH_HELP[words],
        examples=("200", "20 cm", "7 7/8 in"),
    )


RAILS, FLOOR, OTHER = "rails", "floor", "other"


def _carriers(talk: Talk, sheet: Sheet, whole: Three) -> list[Entry]:
    """What carries everything else: two rails, a floor, or nothing yet."""
    bare, limits = sheet.bare, sheet.limits_mm
    if limits is None:
        raise AssertionError("a fresh vehicle has its size over all")
    sort = talk.ask(
        Question(
            words="chassis",
            read=one_of((RAILS, FLOOR, OTHER), "answer"),
            default=RAILS,
            help="what carries all else: two straight rails from end to end, a flat floor, or other parts you describe",
            examples=("rails", "floor", "other    begin with the part that carries the rest: chassis, bulkhead"),
        )
    )
    if sort == RAILS:
        return _rails(bare, limits, talk.ask(_rails_question(bare, whole)))
    return [_floor(bare, limits, talk.ask(_floor_question(bare, whole)))] if sort == FLOOR else []


def _rails_question(bare: Bare, whole: Three) -> Question[Three]:
    from planner.shelf.tape import in_units, read_three
    from planner.units import format_length

    def read(text: str) -> Three:
        over, wide, high = read_three(text, bare)
        if not 0 < 2 * wide.mm < over.mm <= whole[1].mm or not 0 < high.mm <= whole[2].mm:
            width, height = format_length(whole[1].mm, bare), format_length(whole[2].mm, bare)
            message = f"two rails like that do not fit in {width} of width and {height} of height"
            raise WrongAnswerError(message, "over both outsides first, then how wide and how high one rail is")
        return over, wide, high

    sizes = [min(700.0, 0.5 * whole[1].mm), min(50.0, 0.05 * whole[1].mm), min(80.0, 0.1 * whole[2].mm)]
    return Question(
        words="rails",
        read=read,
        default=" x ".join(str(in_units(mm, bare)) for mm in sizes),
        help="over the outsides of both x width of one x height of one; kinks are for the editor, later",
        examples=("700 x 50 x 80", "27 1/2 x 2 x 3 in"),
    )


def _rails(bare: Bare, limits: tuple[Vec, Vec], sizes: Three) -> list[Entry]:
    from planner.shelf.fresh import Called, PartSaid
    from planner.shelf.tape import Shape, Spot, Taped, in_units

    over, wide, high = sizes
    length = limits[1][0] - limits[0][0]
    entries = []
    for side, way in (("left", -1), ("right", 1)):
        at = ((limits[0][0] + limits[1][0]) / 2, way * (over.mm - wide.mm) / 2, 0.0)
        spot = Spot(at=_three([Taped(in_units(mm, bare), mm) for mm in at]), anchor=(0, 0, -1))
        shape = Shape(
            written={"box": [in_units(length, bare), wide.written, high.written]}, size_mm=(length, wide.mm, high.mm)
        )
        named = Called(id=f"rail-{side}", name=f"{side} chassis rail")
        entries.append(PartSaid(named=named, kind="chassis-rail", shape=shape, spot=spot).entry(bare))
    return entries


def _three(sizes: Sequence[Taped]) -> Three:
    first, second, third = sizes
    return (first, second, third)


def _floor_question(bare: Bare, whole: Three) -> Question[Taped]:
    from planner.shelf.tape import in_units, read_one
    from planner.units import format_length

    most = whole[2].mm / 2

    def read(text: str) -> Taped:
        size = read_one(text, bare)
        if not 0 < size.mm <= most:
            told = [format_length(mm, bare) for mm in (size.mm, most)]
            raise WrongAnswerError(f"{told[0]} is not between 0 and {told[1]}", "how thick the floor is")
        return size

    return Question(
        words="floor thick",
        read=read,
        default=str(in_units(min(2.0, most), bare)),
        help="thickness of a flat floor as long and wide as the vehicle, its underside at z = 0",
        examples=("2", "18 swg", "1/8 in"),
    )


def _floor(bare: Bare, limits: tuple[Vec, Vec], thick: Taped) -> Entry:
    from planner.shelf.fresh import Called, PartSaid
    from planner.shelf.tape import Shape, Spot, Taped, in_units

    (low_x, low_y, _), (high_x, high_y, _) = limits
    at = [Taped(in_units(mm, bare), mm) for mm in ((low_x + high_x) / 2, 0.0, 0.0)]
    box = [in_units(high_x - low_x, bare), in_units(high_y - low_y, bare), thick.written]
    shape = Shape(written={"box": list(box)}, size_mm=(high_x - low_x, high_y - low_y, thick.mm))
    spot = Spot(at=_three(at), anchor=(0, 0, -1))
    return PartSaid(named=Called(id="floor"), kind="chassis", shape=shape, spot=spot).entry(bare)


def _parts(talk: Talk, sheet: Sheet) -> None:
    talk.say()
    talk.say("The parts, one after the other; what carries another part comes before it. The usual ones:")
    talk.say(f"  {USUAL}")
    while len(sheet.parts()) < MOST_PARTS:
        talk.say()
        added = add_part(talk, sheet, PartGiven(), kind_question(f"part {len(sheet.parts()) + 1}", THAT_IS_ALL))
        if added == UNDO:
            gone = sheet.drop_last()
            talk.say(f"  {gone} is taken out again" if gone else "  there is nothing to take out")
        elif not added and sheet.parts():
            return
        elif not added:
            talk.refuse(WrongAnswerError("a vehicle has one part at least", "such as `chassis` or `bulkhead`"))
    talk.say(f"{MOST_PARTS} parts are enough for questions: go on in an editor, or with `knockon new part`")


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
