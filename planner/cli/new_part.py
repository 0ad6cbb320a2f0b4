"""`knockon new part`: a part of the vehicle, by questions or options."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError, settled
from planner.cli.new_circuit import SystemSaid, systems_for
from planner.cli.new_kind import UNDO, KindAsked, ask_kind
from planner.cli.new_remarks import ALLOW, LEAVE, RETYPE, allow, remarks_answered
from planner.cli.new_spot import ask_shape_and_spot, box_of
from planner.cli.new_which_part import one_part

if TYPE_CHECKING:
    from planner.cli.new_kind import Finder
    from planner.cli.new_sheet import Sheet
    from planner.model.catalog import Kind
    from planner.shelf.fresh import Called, Entry, PartSaid

NOTHING = "nothing"
CARRIERS = frozenset({"chassis", "chassis-rail"})
"""Kinds that carry all else."""
USUAL = (
    "engine, gearbox, bulkhead, radiator, header tank, battery, fuel tank, fuse box, brake master cylinder, "
    "brake reservoir, steering column, pedal box, carburettor, silencer, seat, washer bottle, shelf, bracket"
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


def part_kind(talk: Talk, sheet: Sheet, words: str, default: str, given: str | None) -> str:
    """Ask for a part's kind; with `that is all` as the default nothing when no more is wanted, or `undo`."""
    from planner.shelf.fresh import kind_note
    from planner.shelf.kind_words import LACKED, stand_ins

    links = sheet.catalog.link_kinds

    def elsewhere(text: str, find: Finder) -> str:
        found = find(text, links) or stand_ins(text, links)
        return f"a `{links[found[0]].name}` is a link: `knockon new link` adds it between two parts" if found else ""

    def note(kind: Kind) -> str:
        return kind_note(kind, sheet.bare)

    asked = KindAsked(
        words=words,
        default=default,
        help="what kind of part, in plain words; `?` lists all kinds, `? brake` those of the brakes",
        lacked=LACKED,
        elsewhere=elsewhere,
    )
    return ask_kind(talk, sheet.catalog.kinds, asked, given, note)


def ask_name(talk: Talk, sheet: Sheet, base: str, given: str | None, *, silent: bool) -> Called:
    """What a new thing is called; with ``silent`` the first free name of its kind."""
    from planner.shelf.fresh import Called, called, free_id

    taken = sheet.taken_ids()
    free = free_id(base, taken)
    if given is None and silent:
        return Called(id=free)

    def read(text: str) -> Called:
        _see_no_size(text, sheet)
        return called(text, free, taken)

    question = Question(
        words="called",
        read=read,
        default=free.replace("-", " "),
        help="what you call it; its id in the file is made of that",
        examples=("brass tank", "left rail"),
    )
    return settled(talk, question, given, "--name")


def _see_no_size(text: str, sheet: Sheet) -> None:
    """Refuse a size or a place where a name is wanted: it would stand in the file as the name, and be nobody's size.

    Raises
    ------
    WrongAnswerError
        It reads as a size.
    """
    from planner.finding.words import quoted
    from planner.shelf.tape import looks_measured

    if looks_measured(text, sheet.bare):
        hint = "what you call it comes first, such as `brass tank`; size and place are asked for after that"
        raise WrongAnswerError(f"{quoted(text)} is a size, not a name", hint)


def add_part(talk: Talk, sheet: Sheet, given: PartGiven, words: str = "part", default: str = "bracket") -> str:
    """Ask for one part and take it into the sheet; its id, nothing when no more is wanted, or `undo`."""
    kind = part_kind(talk, sheet, words, default, given.kind)
    if kind in {"", UNDO}:
        return kind
    named = ask_name(talk, sheet, kind, given.name, silent=given.any)
    on = ask_host(talk, sheet, kind, given.on)
    while True:
        mark = len(talk.given)
        said, systems = _placed(talk, sheet, given, (kind, named, on))
        new = [*systems, said.entry(sheet.bare)]
        tried = sheet.tried(new)
        if tried.errors:
            first = tried.errors[0]
            if given.placed:
                raise Stop(Exit.FAULTS, f"{first.message} [{first.code}]", f"{first.hint}; nothing is changed")
            talk.refuse(WrongAnswerError(first.message, first.hint), since=mark)
            continue
        if tried.faults and not given.placed:
            asked = remarks_answered(talk, sheet, new, tried, (LEAVE, RETYPE, ALLOW))
            if asked == RETYPE:
                talk.take_back(len(talk.given) - 1, offer=False)
                talk.take_back(mark)
                continue
            if asked == ALLOW:
                new, tried = allow(talk, sheet, new, tried)
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
        read=_one_host(one_part(sheet, none=NOTHING)),
        default=usual.replace("-", " "),
        help="the part it is fixed to, which must be described first: one is enough, the one that carries most of it; "
        "`nothing` for what carries all else",
        examples=tuple(p.replace("-", " ") for p in (*parts[:20], NOTHING)),
    )
    return settled(talk, question, given, "--on")


def _one_host(read: Callable[[str], str]) -> Callable[[str], str]:
    """Read one part, and say so where several are named."""

    def one(text: str) -> str:
        if len([p for p in text.split(",") if p.strip()]) > 1:
            hint = "the one that carries most of it; what else it touches goes under `touches` in the file"
            raise WrongAnswerError("one part is wanted here", hint)
        return read(text)

    return one


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
