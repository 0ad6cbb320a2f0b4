"""`knockon new part`: a part of the vehicle, by questions or options."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError, one_of

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet, Tried
    from planner.knockon import Fault
    from planner.model.shapes import Vec
    from planner.shelf.fresh import Called, Entry, PartSaid
    from planner.shelf.kind_words import Named
    from planner.shelf.tape import Shape, Spot

T = TypeVar("T")
NOTHING = "nothing"
CARRIERS = frozenset({"chassis", "chassis-rail"})
"""Kinds that carry all else."""
UNDO = "undo"
THAT_IS_ALL = "that is all"
UNMEASURED = "not measured"
_GUESS = 3.0
"""Without a tape a part is taken for a third of the largest of its kind, a fifth of that in doubt."""
_GUESS_DOUBT = 0.2
_PLACE_DOUBT_MM = 50.0
USUAL = (
    "engine, gearbox, bulkhead, radiator, header tank, battery, fuel tank, fuse box, brake master cylinder, "
    "brake reservoir, steering column, pedal box, carburettor, silencer, seat, washer bottle, shelf, bracket"
)
AXES_HELP = (
    "x is rearward, y to the driver's right, z up, from the zero planes; three distances of its middle, or of the "
    "point you name first: front/rear, left/right, bottom/top"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartGiven:
    """What the command line says of a part; None is asked for."""

    kind: str | None = None
    name: str | None = None
    size: str | None = None
    at: str | None = None
    on: str | None = None
    system: str | None = None

    @property
    def any(self) -> bool:
        """Whether anything is said: then only what is needed is asked."""
        return any(v is not None for v in (self.kind, self.name, self.size, self.at, self.on, self.system))

    @property
    def placed(self) -> bool:
        """Whether size and place are said, so that nobody can be asked for them again."""
        return self.size is not None and self.at is not None


def settled(talk: Talk, question: Question[T], given: str | None, option: str) -> T:
    """The answer of an option, else of the person.

    Raises
    ------
    Stop
        The option's value cannot be taken.
    """
    if given is None:
        return talk.ask(question)
    try:
        return question.read(given)
    except ValueError as error:
        if not hasattr(error, "hint"):
            raise
        raise Stop(Exit.USAGE, f"{option}: {error}", str(error.hint)) from None


def ask_kind(talk: Talk, kinds: Mapping[str, Named], question: Question[str], given: str | None) -> str:
    """A kind by plain words; where several fit, a second question tells which. Empty when no more is wanted."""
    from planner.finding.words import listed, quoted
    from planner.shelf.kind_words import kinds_by_words

    words = settled(talk, question, given, "--kind")
    if words in {"", UNDO}:
        return words
    found = kinds_by_words(words, kinds)
    if not found:
        wrong = WrongAnswerError(f"no kind is called {quoted(words)}", "other words, or `?` for the usual ones")
        if given is not None:
            raise Stop(Exit.USAGE, f"--kind: {wrong.message}", "the catalog's kinds are under `catalog/`")
        talk.refuse(wrong)
        return ask_kind(talk, kinds, question, None)
    if len(found) == 1:
        return found[0]
    if given is not None:
        raise Stop(Exit.USAGE, f"--kind: {quoted(words)} may be several kinds", f"name one: {listed(found)}")
    for number, kind in enumerate(found, start=1):
        talk.say(f"    {number}  {kinds[kind].name}")
    talk.say(f"    {len(found) + 1}  none of these")
    number = talk.ask(_which(len(found)))
    return found[number - 1] if number <= len(found) else ask_kind(talk, kinds, question, None)


def _which(count: int) -> Question[int]:
    def read(answer: str) -> int:
        if not re.fullmatch(r"[0-9]{1,3}", answer) or not 1 <= int(answer) <= count + 1:
            raise WrongAnswerError(f"`{answer[:20]}` is not one of 1 to {count + 1}", "type a number of the list")
        return int(answer)

    return Question(words="which", read=read, default="1", help="several kinds go by that: the number of one")


def kind_question(words: str, default: str) -> Question[str]:
    """Ask for a kind of part; with `that is all` as the default the last one can be undone, or none be wanted."""
    more = default == THAT_IS_ALL

    def read(answer: str) -> str:
        return "" if more and answer == THAT_IS_ALL else answer.lower() if answer.lower() == UNDO else answer

    return Question(
        words=words,
        read=read,
        default=default,
        help="what kind of part, in plain words; near ones are shown" + ("; `undo` drops the last one" if more else ""),
        examples=(USUAL,),
    )


def ask_name(talk: Talk, sheet: Sheet, base: str, given: str | None, *, silent: bool) -> Called:
    """What a new thing is called; with ``silent`` the first free name of its kind."""
    from planner.shelf.fresh import Called, called, free_id

    taken = sheet.taken_ids()
    free = free_id(base, taken)
    if given is None and silent:
        return Called(id=free)
    question = Question(
        words="called",
        read=lambda text: called(text, free, taken),
        default=free.replace("-", " "),
        help="what you call it; its id in the file is made of that",
        examples=("brass tank", "left rail"),
    )
    return settled(talk, question, given, "--name")


def add_part(talk: Talk, sheet: Sheet, given: PartGiven, question: Question[str]) -> str:
    """Ask for one part and take it into the sheet; its id, nothing when no more is wanted, or `undo`."""
    kind = ask_kind(talk, sheet.catalog.kinds, question, given.kind)
    if kind in {"", UNDO}:
        return kind
    named = ask_name(talk, sheet, kind, given.name, silent=given.any)
    on = ask_host(talk, sheet, kind, given.on)
    while True:
        said, systems = _placed(talk, sheet, given, (kind, named, on))
        new = [*systems, said.entry(sheet.bare)]
        tried = sheet.tried(new)
        if tried.errors:
            first = tried.errors[0]
            if given.placed:
                raise Stop(Exit.FAULTS, f"{first.message} [{first.code}]", f"{first.hint}; nothing is changed")
            talk.refuse(WrongAnswerError(first.message, first.hint))
            continue
        if tried.faults and not given.placed:
            asked = _what_now(talk, tried)
            if asked == "again":
                continue
            if asked == "so":
                new, tried = as_it_is(sheet, new, tried)
                for fault in tried.faults:
                    talk.say(f"  still so: {told_fault(fault, tried)}")
        sheet.take(new, tried)
        return named.id


def ask_host(talk: Talk, sheet: Sheet, kind: str, given: str | None) -> str:
    """The part a new one is fixed to; empty for none."""
    parts = sheet.parts()
    if not parts:
        return ""
    usual = NOTHING if kind in CARRIERS else _carrier(sheet)
    question = Question(
        words="mounted on",
        read=one_of(parts, "part", none=NOTHING, printed=sheet.printed()),
        default=usual.replace("-", " "),
        help="the part it is fixed to, which must be described first; `nothing` for what carries all else",
        examples=tuple(p.replace("-", " ") for p in (*parts[:20], NOTHING)),
    )
    return settled(talk, question, given, "--on")


def _carrier(sheet: Sheet) -> str:
    """What most things are fixed to: the chassis, else what is fixed to nothing itself, else the first part."""
    components = {} if sheet.vehicle is None else sheet.vehicle.components
    frames = [c.id for c in components.values() if c.kind in CARRIERS]
    bare = [c.id for c in components.values() if c.mounted_on is None]
    return (frames or bare or list(sheet.parts()))[0]


def _placed(
    talk: Talk, sheet: Sheet, given: PartGiven, known: tuple[str, Called, str]
) -> tuple[PartSaid, Sequence[Entry]]:
    from planner.shelf.fresh import PartSaid

    kind, named, on = known
    size_text, shape, spot_text, spot = ask_shape_and_spot(talk, sheet, given, kind, box_of(sheet, on) if on else None)
    belongs = SystemSaid(given=given.system, silent=given.any)
    systems, new = systems_for(talk, sheet, sheet.catalog.kinds[kind].opens, belongs)
    notes = {}
    if not size_text:
        notes["solids"] = "not measured yet"
    if not spot_text:
        notes["at"] = "not measured yet"
    said = PartSaid(named=named, kind=kind, shape=shape, spot=spot, on=on or None, systems=systems, notes=notes)
    return said, new


def ask_shape_and_spot(
    talk: Talk, sheet: Sheet, given: PartGiven, kind: str, host_mm: tuple[Vec, Vec] | None
) -> tuple[str, Shape, str, Spot]:
    """Size and place, each with the text that was typed for it (empty: the default was taken)."""
    from planner.shelf.tape import read_shape, read_spot

    def shaped(text: str) -> tuple[str, Shape]:
        known = text != UNMEASURED
        return (text if known else ""), read_shape(text if known else _guessed_size(sheet, kind), sheet.bare)

    size_text, shape = settled(talk, _size_question(sheet, _guessed_size(sheet, kind), shaped), given.size, "--size")

    def spotted(text: str) -> tuple[str, Spot]:
        known = text != UNMEASURED
        spot = read_spot(text if known else usual, sheet.bare)
        sheet.see_within(*span_mm(spot, shape))
        return (text if known else ""), spot

    usual = _usual_place(sheet, host_mm)
    spot_text, spot = settled(talk, _spot_question(usual, spotted), given.at, "--at")
    return size_text, shape, spot_text, spot


def _size_question(sheet: Sheet, guess: str, read: Callable[[str], tuple[str, Shape]]) -> Question[tuple[str, Shape]]:
    unit = "inches" if sheet.bare == "inch" else "mm"
    return Question(
        words="size",
        read=read,
        default=UNMEASURED,
        help=f"front to rear x side to side x height, in {unit}; a round one: round ACROSS x LENGTH along x, y or z",
        examples=(
            f"{UNMEASURED}: guessed, {guess}",
            "620 x 180 x 240",
            "24 1/2 x 7 x 9 1/2 in",
            "620 +/- 5 x 180 x 240",
            "round 95 x 121 along z",
        ),
    )


def _spot_question(usual: str, read: Callable[[str], tuple[str, Spot]]) -> Question[tuple[str, Spot]]:
    return Question(
        words="where",
        read=read,
        default=UNMEASURED,
        help=AXES_HELP,
        examples=(
            f"{UNMEASURED}: on top of what it is mounted on, {usual}",
            "80 0 250                     its middle is 80 behind zero, on the centre line, 250 up",
            "bottom 620 -40 80            the middle of its underside",
            "front left bottom 500 -300 0     that corner of it",
            "rear 760 +/- 5, 0, 400       the middle of its rear face, x not quite sure",
        ),
    )


def span_mm(spot: Spot, shape: Shape) -> tuple[Vec, Vec]:
    """Low and high corner [mm] of a part."""
    low, high = [], []
    for at, way, size in zip(spot.mm, spot.anchor, shape.size_mm, strict=True):
        middle = at - way * size / 2
        low.append(middle - size / 2)
        high.append(middle + size / 2)
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def box_of(sheet: Sheet, part: str) -> tuple[Vec, Vec]:
    """Low and high corner [mm] of a part that is there."""
    from planner.space import extent_mm

    if sheet.vehicle is None:
        raise AssertionError("a part that is there has a vehicle round it")
    component = sheet.vehicle.components[part]
    return extent_mm(component.solids, component.pose)


def _guessed_size(sheet: Sheet, kind: str) -> str:
    from planner.shelf.tape import in_units

    side = round(sheet.catalog.kinds[kind].largest_mm / _GUESS, -1) or sheet.catalog.kinds[kind].largest_mm / _GUESS
    told = f"{in_units(side, sheet.bare)} +/- {in_units(side * _GUESS_DOUBT, sheet.bare)}"
    return " x ".join([told] * 3)


def _usual_place(sheet: Sheet, host_mm: tuple[Vec, Vec] | None) -> str:
    """On top of what it is mounted on, in the middle."""
    from planner.shelf.tape import in_units

    doubt = in_units(_PLACE_DOUBT_MM, sheet.bare)
    low, high = host_mm or sheet.limits_mm or ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    top = high[2] if host_mm else 0.0
    at = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, top)
    return "bottom " + ", ".join(f"{in_units(mm, sheet.bare)} +/- {doubt}" for mm in at)


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemSaid:
    """What is known of the circuit of a new thing.

    ``given`` names it (commas between several), ``beside`` are circuits of the parts it joins; with ``silent`` nobody
    is there to be asked.
    """

    given: str | None = None
    beside: tuple[str, ...] = ()
    silent: bool = False


def systems_for(
    talk: Talk, sheet: Sheet, opens: Sequence[str], said: SystemSaid
) -> tuple[tuple[str, ...], list[Entry]]:
    """Circuits that a part of a kind belongs to; those that the vehicle has none of yet are new.

    Raises
    ------
    Stop
        There are several to choose from and nobody to ask: in the wrong circuit it would be tested with the wrong one.
    """
    from planner.shelf.fresh import system_entry

    named: list[str] = []
    new: list[Entry] = []
    known = {} if sheet.vehicle is None else sheet.vehicle.systems
    if said.given is not None:
        return _systems_named(said.given, tuple(known)), []
    for kind in opens:
        there = [s.id for s in known.values() if s.kind == kind]
        beside = [s for s in there if s in said.beside]
        if not there:
            new.append(system_entry(kind, {*sheet.taken_ids(), *(e.id for e in new)}))
            named.append(new[-1].id)
        elif len(there) == 1 or len(beside) == 1:
            named.append((beside or there)[0])
        elif said.silent:
            raise Stop(Exit.USAGE, f"there are several circuits it may belong to: {', '.join(there)}", "--system NAME")
        else:
            named.append(talk.ask(_system_question(there)))
    return tuple(named), new


def _systems_named(text: str, known: tuple[str, ...]) -> tuple[str, ...]:
    read = one_of(known, "circuit")
    try:
        return tuple(dict.fromkeys(read(t.strip()) for t in text.split(",") if t.strip()))
    except WrongAnswerError as error:
        raise Stop(Exit.USAGE, f"--system: {error.message}", error.hint) from None


def _system_question(there: Sequence[str]) -> Question[str]:
    return Question(
        words=f"circuit ({', '.join(there)})",
        read=one_of(there, "circuit"),
        default=there[0],
        help="the circuit it belongs to: what is opened, filled and tested with it",
        examples=tuple(there),
    )


def _what_now(talk: Talk, tried: Tried) -> str:
    for fault in tried.faults:
        talk.say(f"  ! {told_fault(fault, tried)}")
    return talk.ask(
        Question(
            words="keep, again or so",
            read=one_of(("keep", "again", "so"), "answer"),
            default="keep",
            help="keep: as typed, look at it later; again: size and place anew; so: it is like that on the vehicle",
            examples=(
                "so writes `touches` for what overlaps or touches, `near` for what is near and has proved itself",
            ),
        )
    )


def told_fault(fault: Fault, tried: Tried) -> str:
    """One overlap or the like in a sentence."""
    component = None if tried.vehicle is None else tried.vehicle.components.get(fault.part)
    return f"{component.name}: {fault.text}" if component is not None else fault.text


def as_it_is(sheet: Sheet, new: Sequence[Entry], tried: Tried) -> tuple[list[Entry], Tried]:
    """Write down what touches and what is near, as the owner says it is."""
    from dataclasses import replace

    from planner.files import Put
    from planner.model.effects import CauseKind

    entry = new[-1]
    block = dict(entry.put.value) if isinstance(entry.put.value, dict) else {}
    touches: list[str] = []
    near: dict[str, int | float] = {}
    for fault in tried.faults:
        other = fault.other if fault.part == entry.id else fault.part
        if fault.kind is CauseKind.CLASH:
            touches.append(other)
        elif fault.kind is CauseKind.KEEP_CLEAR:
            near[other] = _gap_now(sheet, tried, entry.id, other)
    key = "passes" if entry.put.path == ("links",) else "touches"
    if touches:
        block[key] = [*dict.fromkeys(touches)]
    if near:
        block["near"] = dict(near)
    again = [*new[:-1], replace(entry, put=Put(entry.put.path, entry.put.key, block))]
    retried = sheet.tried(again)
    return (again, retried) if not retried.errors else (list(new), tried)


def _gap_now(sheet: Sheet, tried: Tried, one: str, other: str) -> int | float:
    """How near two things are [whole mm, rounded down], in the file's unit."""
    from math import floor

    from planner.knockon.conflicts import run_of
    from planner.knockon.placed import place
    from planner.shelf.tape import in_units
    from planner.space import gap

    vehicle = tried.vehicle
    if vehicle is None:
        raise AssertionError("a fault has a vehicle round it")
    bodies = [
        place(vehicle.components[i]).body if i in vehicle.components else run_of(vehicle.links[i], vehicle.components)
        for i in (one, other)
    ]
    return in_units(max(0, floor(gap(*bodies).mm)), sheet.bare)
