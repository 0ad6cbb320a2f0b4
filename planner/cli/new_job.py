"""`knockon new job`: what is to change, and when there is time for it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import BackError, Question, Talk, WrongAnswerError, settled
from planner.cli.new_choice import one_of
from planner.cli.new_circuit import SystemSaid, systems_for
from planner.cli.new_part import PartGiven, ask_host, ask_name, part_kind
from planner.cli.new_spot import ask_shape_and_spot, box_of
from planner.cli.new_which_part import one_part

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.files import Plain
    from planner.shelf.fresh import Called

DOINGS = {
    "move": "it gets a new place",
    "grow": "it becomes larger, from the face it is measured from or stands on, else about its middle",
    "take-off": "it comes off and goes back",
    "replace": "another takes over",
    "remove": "it goes for good",
    "add": "a new part",
}
USUAL_WHEN = "saturday 09:00-13:00; sunday 10:00-12:00 2"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobGiven:
    """What the command line says of a job; None is asked for."""

    do: str | None = None
    part: str | None = None
    by: str | None = None
    to: str | None = None
    when: tuple[str, ...] = ()
    new: PartGiven = field(default_factory=PartGiven)

    @property
    def any(self) -> bool:
        """Whether anything is said: then only what is needed is asked."""
        return any(v is not None for v in (self.do, self.part, self.by, self.to)) or bool(self.when) or self.new.any


def job_named(talk: Talk, project: Path, title: str) -> Called:
    """A job's file name and title: of what it is called on the command line, else it is asked.

    Raises
    ------
    Stop
        No file can be called so, or there is one, and nobody is asked.
    """
    from planner.shelf.fresh import called, free_id

    def read(text: str) -> Called:
        named = called(text, "job")
        path = project / "jobs" / f"{named.id}.yaml"
        if path.exists() or path.is_symlink():
            raise WrongAnswerError(f"{path} is there already", "choose another name, or edit the file")
        return named

    if not title:
        there = {p.stem for p in (project / "jobs").glob("*.yaml")}
        return talk.ask(_title_question(read, free_id("first-job", there).replace("-", " ")))
    try:
        return read(title)
    except ValueError as error:
        if not hasattr(error, "hint"):
            raise
        raise Stop(Exit.USAGE, f"{error}: nothing is changed", str(error.hint)) from None


def _title_question(read: Callable[[str], Called], usual: str) -> Question[Called]:
    return Question(
        words="name of the job",
        read=read,
        default=usual,
        help="what you have in mind to change, in a few words; its file is called so",
        examples=("battery aft", "larger header tank"),
    )


def job_text(talk: Talk, sheet: Sheet, named: Called, given: JobGiven, *, jobs: Path | None = None) -> str:
    """Ask what is to change and when, and give the job's file, read and found sound.

    Raises
    ------
    BackError
        It is not, and is asked for again.
    Stop
        It is not, and nobody is there to be asked.
    """
    from planner.files import parse_text
    from planner.finding import has_errors
    from planner.shelf.fresh import fresh_job
    from planner.shelf.load import job_from

    file = ((jobs or sheet.project / "jobs") / f"{named.id}.yaml").as_posix()
    mark = len(talk.given)
    change = _change(talk, sheet, given)
    sessions = [s for w in given.when or (None,) for s in settled(talk, _when_question(), w, "--when")]
    text = fresh_job(str(sheet.project), named, [change], sessions)
    document, findings = parse_text(text, file)
    # Asking for a new part may have brought a circuit: the vehicle is the one there is by now.
    if document is not None and sheet.vehicle is not None:
        _, findings = job_from(document, sheet.vehicle, sheet.catalog, findings)
    if document is not None and not has_errors(findings):
        for guess in (f for f in findings if f.code == "size-not-measured"):
            talk.say(f"! {guess.message}: {guess.hint}; the plan has a step to measure it")
        return text
    first = next(f for f in findings if has_errors((f,)))
    if given.any:
        raise Stop(Exit.FAULTS, f"{first.message} [{first.code}]", f"{first.hint}; nothing is changed")
    talk.refuse(WrongAnswerError(first.message, first.hint), since=mark)
    # Put anew from the beginning, since a circuit that came with a new part is not wanted with another answer.
    raise BackError(mark)


def _change(talk: Talk, sheet: Sheet, given: JobGiven) -> dict[str, Plain]:
    do = settled(talk, _do_question(), given.do, "--do")
    if do == "add":
        return {"do": do} | _new_part(talk, sheet, given, None)
    part = settled(talk, _part_question(sheet, do), given.part, "--part")
    if do in {"remove", "take-off"}:
        return {"do": do, "part": part}
    if do == "replace":
        made = _new_part(talk, sheet, given, part)
        return {"do": do, "part": part, "with": made["part"], "component": made["component"]}
    if do == "grow":
        larger = settled(talk, _by_question(sheet, "how much larger", _aside(sheet, 50)), given.by, "--by")
        return {"do": do, "part": part, "by": larger["by"]}
    if given.to is not None:
        return {"do": do, "part": part} | settled(talk, _by_question(sheet, "where to", ""), f"to {given.to}", "--to")
    moved = settled(talk, _by_question(sheet, "how far", _aside(sheet, 100), or_to=True), given.by, "--by")
    return {"do": do, "part": part} | moved


def _do_question() -> Question[str]:
    told = "; ".join(f"{word}: {words}" for word, words in DOINGS.items())
    return Question(
        words="what is to be done",
        read=one_of(DOINGS, "change"),
        default="move",
        help=told,
        examples=tuple(f"{word}   {words}" for word, words in DOINGS.items()),
        decides=True,
    )


def _part_question(sheet: Sheet, do: str) -> Question[str]:
    from planner.model.vehicle import Freedom

    components = {} if sheet.vehicle is None else sheet.vehicle.components
    may = [i for i, c in components.items() if c.freedom is not Freedom.STAYS] or list(components)
    return Question(
        words=f"which part ({do})",
        read=one_part(sheet),
        default=may[-1].replace("-", " "),
        help="a part of the vehicle",
        examples=tuple(i.replace("-", " ") for i in may[:20]),
    )


def _aside(sheet: Sheet, mm: int) -> str:
    """So far to the right, in whole units of the file."""
    from planner.units import MM_PER_INCH

    return f"0 {round(mm / MM_PER_INCH) if sheet.bare == 'inch' else mm} 0"


def _by_question(sheet: Sheet, words: str, default: str, *, or_to: bool = False) -> Question[dict[str, Plain]]:
    from planner.shelf.tape import read_three

    def read(text: str) -> dict[str, Plain]:
        key = "to" if re.match(r"to\s", text, re.IGNORECASE) else "by"
        three = read_three(text[2:] if key == "to" else text, sheet.bare)
        if key == "by" and not any(t.mm for t in three):
            raise WrongAnswerError("by nothing along x, y and z is no change", "such as `0 100 0`")
        return {key: [t.written for t in three]}

    help_ = "x rearward, y right, z up; minus is forwards, left, down"
    return Question(
        words=words,
        read=read,
        default=default,
        help=f"{help_}; or `to` and its new place" if or_to else help_,
        examples=(f"{default}        to the right", "-40 0 25", "to 620 -40 80  the new place")
        if or_to
        else (default,),
    )


def _new_part(talk: Talk, sheet: Sheet, given: JobGiven, old: str | None) -> dict[str, Plain]:
    """Id and block of a part that the job brings; one that replaces another stands where that stood."""
    from planner.shelf.fresh import PartSaid

    components = {} if sheet.vehicle is None else sheet.vehicle.components
    was = components[old] if old is not None else None
    usual = sheet.catalog.kinds[was.kind].name if was is not None else "bracket"
    kind = part_kind(talk, sheet, "new part", usual, given.new.kind)
    base = f"new-{old}"[:38].rstrip("-") if old is not None else kind
    named = ask_name(talk, sheet, base, given.new.name, silent=given.any)
    on = (
        (was.mounted_on or "")
        if was is not None and given.new.on is None
        else ask_host(talk, sheet, kind, given.new.on)
    )
    before = box_of(sheet, old) if old else None
    size, shape, place, spot = ask_shape_and_spot(
        talk, sheet, given.new, kind, box_of(sheet, on) if on and not old else None, old_mm=before
    )
    guessed = [what for what, text in (("as large", size), ("where it stands", place)) if not text]
    if was is not None and guessed:
        talk.say(f"guessed from {was.name}, which it replaces: {' and '.join(guessed)}")
    systems = _member_of(talk, sheet, given, was.systems if was is not None else (), kind)
    said = PartSaid(named=named, kind=kind, shape=shape, spot=spot, on=on or None, systems=systems)
    return {"part": named.id, "component": said.block(sheet.bare)}


def _member_of(talk: Talk, sheet: Sheet, given: JobGiven, was: tuple[str, ...], kind: str) -> tuple[str, ...]:
    """Circuits of a new part: the old one's where its kind fits, else those there are, else new ones."""
    opens = sheet.catalog.kinds[kind].opens
    known = {} if sheet.vehicle is None else sheet.vehicle.systems
    kept = {known[s].kind: s for s in was if s in known}
    said = SystemSaid(given=given.new.system, silent=given.any)
    named, new = systems_for(talk, sheet, [k for k in opens if k not in kept], said)
    if new:
        sheet.take(new, sheet.tried(new))
    return (*(kept[k] for k in opens if k in kept), *named)


def _when_question() -> Question[list[dict[str, Plain]]]:
    return Question(
        words="when is there time",
        read=_read_when,
        default=USUAL_WHEN,
        help="a day of every week or a date, from and to, how many people when it is not one; `;` between several. "
        "Some checks take two: bleeding brakes, watching lamps",
        examples=(USUAL_WHEN, "5 dec 10:00-16:30 2", "sat & sun 10-16", "wed 19:30-21:30"),
    )


def _read_when(text: str) -> list[dict[str, Plain]]:
    from planner.cli.options import tell_read, today
    from planner.cli.spoken_sessions import session_words, spoken_time
    from planner.model.job import Session
    from planner.units.day_text import DAYS

    try:
        found = spoken_time(text, today())
    except ValueError as error:
        raise WrongAnswerError(str(error), "such as `saturday 09:00-13:00`") from error
    dated = [session_words(s) for s in found if isinstance(s, Session) and s.day.isoformat() not in text]
    if dated:
        tell_read(text, *dated)
    read: list[dict[str, Plain]] = []
    for time in found:
        day: dict[str, Plain] = (
            {"on": time.day.isoformat()} if isinstance(time, Session) else {"every": DAYS[time.weekday]}
        )
        hands: dict[str, Plain] = {"hands": time.hands} if time.hands > 1 else {}
        read.append({**day, "from": f"{time.start:%H:%M}", "to": f"{time.end:%H:%M}", **hands})
    return read
