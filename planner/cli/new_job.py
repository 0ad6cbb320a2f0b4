"""`knockon new job`: what is to change, and when there is time for it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import BackError, Question, Talk, WrongAnswerError, settled
from planner.cli.new_choice import one_of
from planner.cli.new_circuit import SystemSaid, systems_for
from planner.cli.new_part import PartGiven, ask_host, ask_name, part_kind
from planner.cli.new_spot import ask_shape_and_spot, box_of

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.files import Plain
    from planner.shelf.fresh import Called

DOINGS = {
    "move": "it gets a new place",
    "grow": "it becomes larger about its middle",
    "take-off": "it comes off and goes back",
    "replace": "another takes over",
    "remove": "it goes for good",
    "add": "a new part",
}
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
USUAL_WHEN = "saturday 09:00-13:00; sunday 10:00-12:00 2"
_WHEN = re.compile(
    r"(?P<day>[a-z]{2,9}|[0-9]{4}-[0-9]{2}-[0-9]{2})\s+(?P<start>[0-9]{1,2}:[0-9]{2})\s*(?:-|to)\s*"
    r"(?P<end>[0-9]{1,2}:[0-9]{2})(?:\s+(?:with\s+)?(?P<hands>[1-8])(?:\s+hands)?)?",
    re.IGNORECASE,
)


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


def job_named(text: str, taken: tuple[str, ...]) -> Called:
    """A job's file name and title of what it is called.

    Raises
    ------
    Stop
        No file can be called so, or there is one.
    """
    from planner.shelf.fresh import NameFaultError, called

    try:
        return called(text, "job", taken)
    except NameFaultError as error:
        raise Stop(Exit.USAGE, error.message, f"{error.hint}; nothing is changed") from None


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
        larger = settled(talk, _by_question(sheet, "how much larger", "0 50 0"), given.by, "--by")
        return {"do": do, "part": part, "by": larger["by"]}
    if given.to is not None:
        return {"do": do, "part": part} | settled(talk, _by_question(sheet, "where to", ""), f"to {given.to}", "--to")
    moved = settled(talk, _by_question(sheet, "how far", "0 100 0", or_to=True), given.by, "--by")
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
        read=one_of(components, "part", printed=sheet.printed()),
        default=may[-1].replace("-", " "),
        help="a part of the vehicle",
        examples=tuple(i.replace("-", " ") for i in may[:20]),
    )


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
        examples=("0 100 0        to the right", "-40 0 25", "to 620 -40 80  the new place") if or_to else ("0 50 0",),
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
    host = box_of(sheet, old or on) if old or on else None
    _, shape, _, spot = ask_shape_and_spot(talk, sheet, given.new, kind, host)
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
        read=lambda text: [_read_when(piece) for piece in text.split(";") if piece.strip()],
        default=USUAL_WHEN,
        help="a day of every week or a date, from and to, how many people when it is not one; `;` between several. "
        "Some checks take two: bleeding brakes, watching lamps",
        examples=(USUAL_WHEN, "2027-01-09 10:00-16:30 2", "wed 19:30-21:30"),
    )


def _read_when(text: str) -> dict[str, Plain]:
    from planner.finding.words import quoted

    found = _WHEN.fullmatch(text.strip())
    days = [] if found is None else [d for d in DAYS if d.startswith(found["day"].lower().removesuffix("s"))]
    if found is None or not (len(days) == 1 or found["day"][0].isdigit()):
        raise WrongAnswerError(f"{quoted(text)} is no stretch of work", "such as `saturday 09:00-13:00`")
    day: Mapping[str, Plain] = {"every": days[0]} if days else {"on": found["day"]}
    hands: Mapping[str, Plain] = {"hands": int(found["hands"])} if found["hands"] else {}
    return {**day, "from": found["start"].zfill(5), "to": found["end"].zfill(5), **hands}
