"""`knockon new link`: a hose, pipe, cable, wire or rod between two parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError, settled
from planner.cli.new_circuit import SystemSaid, systems_for
from planner.cli.new_ends import ask_ends
from planner.cli.new_kind import KindAsked, ask_kind
from planner.cli.new_part import ask_name
from planner.cli.new_remarks import ALLOW, LEAVE, allow, remarks_answered
from planner.cli.new_which_part import one_part

if TYPE_CHECKING:
    from planner.cli.new_end_spot import EndSaid
    from planner.cli.new_kind import Finder
    from planner.cli.new_sheet import Sheet, Tried
    from planner.files import Plain
    from planner.model.catalog import LinkKind
    from planner.shelf.fresh import Called, Entry

STRAIGHT = "straight"


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkGiven:
    """What the command line says of a link; None is asked for."""

    kind: str | None = None
    name: str | None = None
    start: str | None = None
    end: str | None = None
    via: str | None = None
    across: str | None = None
    passes: str | None = None
    system: str | None = None

    @property
    def any(self) -> bool:
        """Whether anything is said: then only what is needed is asked."""
        return any(v is not None for v in (self.kind, self.name, self.start, self.end, self.via, self.across))


def add_link(talk: Talk, sheet: Sheet, given: LinkGiven) -> tuple[str, Tried]:
    """Ask for one link and take it into the sheet; its id, and what the file is with it."""
    from planner.files import Put
    from planner.shelf.fresh import Entry

    kind = ask_kind(talk, sheet.catalog.link_kinds, _kind_asked(sheet), given.kind)
    start, end = ask_ends(talk, sheet, kind, (given.start, given.end))
    named = ask_name(talk, sheet, kind, given.name, silent=given.any)
    system, new_systems = _system(talk, sheet, given, kind, (start, end))
    while True:
        mark = len(talk.given)
        block = _block(talk, sheet, given, kind, named)
        block |= {"from": start.written, "to": end.written}
        if system:
            block["system"] = system
        new = [*new_systems, *start.new, *end.new, Entry(put=Put(("links",), named.id, _ordered(block)))]
        tried = sheet.tried(new)
        if not tried.errors:
            break
        first = tried.errors[0]
        if given.any:
            raise Stop(Exit.FAULTS, f"{first.message} [{first.code}]", f"{first.hint}; nothing is changed")
        talk.refuse(WrongAnswerError(first.message, first.hint), since=mark)
    if tried.faults and not given.any and remarks_answered(talk, sheet, new, tried, (LEAVE, ALLOW)) == ALLOW:
        new, tried = allow(talk, sheet, new, tried)
    sheet.take(new, tried)
    return named.id, tried


def _system(
    talk: Talk, sheet: Sheet, given: LinkGiven, kind: str, ends: tuple[EndSaid, EndSaid]
) -> tuple[str, list[Entry]]:
    """The circuit a link belongs to: one of those its ends are in, where its kind fits."""
    opens = sheet.catalog.link_kinds[kind].opens
    components = {} if sheet.vehicle is None else sheet.vehicle.components
    known = {} if sheet.vehicle is None else sheet.vehicle.systems
    beside = [s for e in ends for s in components[e.written.partition(".")[0]].systems]
    there = [known[s].kind for s in beside if known[s].kind in opens]
    wanted = there[:1] or [k for k in opens if any(s.kind == k for s in known.values())][:1] or list(opens[:1])
    systems, new = systems_for(
        talk, sheet, wanted, SystemSaid(given=given.system, beside=tuple(beside), silent=given.any)
    )
    return next(iter(systems), ""), new


def _kind_asked(sheet: Sheet) -> KindAsked:
    from planner.shelf.kind_words import LACKED_LINK

    kinds = sheet.catalog.kinds

    def elsewhere(text: str, find: Finder) -> str:
        found = find(text, kinds)
        return f"a `{kinds[found[0]].name}` is a part: `knockon new part` adds it" if found else ""

    return KindAsked(
        words="kind of link",
        default="wire",
        help="a hose, pipe, cable, wire, rod, shaft or belt, in plain words; `?` lists all kinds, `? fuel` some",
        lacked=LACKED_LINK,
        elsewhere=elsewhere,
    )


def _block(talk: Talk, sheet: Sheet, given: LinkGiven, kind: str, named: Called) -> dict[str, Plain]:
    """What is said of the run."""
    from planner.shelf.tape import read_one

    known = sheet.catalog.link_kinds[kind]
    block: dict[str, Plain] = {"kind": kind}
    if named.name is not None:
        block["name"] = named.name
    if given.across is not None or not given.any:
        across = settled(talk, _across_question(sheet, known), given.across, "--across")
        if across:
            block["across"] = read_one(across, sheet.bare).written
    if given.via is not None or not given.any:
        via = settled(talk, _via_question(sheet), given.via, "--via")
        if via:
            block["via"] = via
    if given.passes is not None:
        read = one_part(sheet)
        try:
            block["passes"] = [read(p.strip()) for p in given.passes.split(",") if p.strip()]
        except WrongAnswerError as error:
            raise Stop(Exit.USAGE, f"--passes: {error.message}", error.hint) from None
    return block


def _across_question(sheet: Sheet, kind: LinkKind) -> Question[str]:
    from planner.shelf.believed_sizes import thickness_fault
    from planner.shelf.tape import read_one
    from planner.units import format_length

    usual = format_length(kind.across_mm, sheet.bare)

    def read(text: str) -> str:
        if text == usual:
            return ""
        mm = read_one(text, sheet.bare).mm
        if mm <= 0:
            raise WrongAnswerError("a size must be more than 0", "its outside diameter, such as `1 1/4 in`")
        if fault := thickness_fault(mm, kind.across_mm, kind.name, sheet.bare):
            hint = f"its outside diameter, {usual} is usual; it was read as {format_length(mm, sheet.bare)}"
            raise WrongAnswerError(fault, hint)
        return text

    return Question(
        words="how thick", read=read, default=usual, help="its outside diameter", examples=("32", "1 1/4 in", "3/16 in")
    )


def _via_question(sheet: Sheet) -> Question[list[Plain]]:
    from planner.shelf.tape import read_three

    def read(text: str) -> list[Plain]:
        if text == STRAIGHT:
            return []
        return [[t.written for t in read_three(p, sheet.bare)] for p in text.split(";") if p.strip()]

    return Question(
        words="by way of",
        read=read,
        default=STRAIGHT,
        help="points its run goes through, x y z each, with `;` between; `straight` from end to end",
        examples=("480 306 74; 560 306 74", STRAIGHT),
    )


_ORDER = ("kind", "name", "from", "to", "via", "across", "system", "passes", "near")


def _ordered(block: dict[str, Plain]) -> dict[str, Plain]:
    return {key: block[key] for key in _ORDER if key in block}
