"""`knockon new link`: a hose, pipe, cable, wire or rod between two parts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError, settled
from planner.cli.new_choice import one_of
from planner.cli.new_circuit import SystemSaid, systems_for
from planner.cli.new_kind import KindAsked, ask_kind
from planner.cli.new_part import ask_name
from planner.cli.new_remarks import ALLOW, LEAVE, as_it_is, remarks_answered

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet, Tried
    from planner.files import Plain
    from planner.model.catalog import LinkKind
    from planner.shelf.fresh import Called, Entry

STRAIGHT = "straight"
_END = re.compile(r"(?P<part>[a-z0-9][a-z0-9-]*)(?:\.(?P<port>[a-z0-9][a-z0-9-]*)|\s+(?P<face>[a-z ]+))?")


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


@dataclass(frozen=True, slots=True)
class EndSaid:
    """One end of a link as the file has it, and the port that is new for it."""

    written: str
    new: tuple[Entry, ...] = ()


def add_link(talk: Talk, sheet: Sheet, given: LinkGiven) -> tuple[str, Tried]:
    """Ask for one link and take it into the sheet; its id, and what the file is with it."""
    from planner.files import Put
    from planner.shelf.fresh import Entry

    kind = ask_kind(talk, sheet.catalog.link_kinds, _kind_asked(sheet), given.kind)
    start = settled(talk, _end_question(sheet, "from", 0, ()), given.start, "--from-part")
    end = settled(talk, _end_question(sheet, "to", -1, start.new), given.end, "--to-part")
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
    if tried.faults and not given.any and remarks_answered(talk, sheet, tried, (LEAVE, ALLOW)) == ALLOW:
        again, tried = as_it_is(sheet, new, tried)
        new = again
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
    from planner.shelf.kind_words import LACKED_LINK, kinds_by_words

    kinds = sheet.catalog.kinds

    def elsewhere(text: str) -> str:
        found = kinds_by_words(text, kinds)
        return f"a `{kinds[found[0]].name}` is a part: `knockon new part` adds it" if found else ""

    return KindAsked(
        words="kind of link",
        default="wire",
        help="a hose, pipe, cable, wire, rod, shaft or belt, in plain words; `?` lists all kinds, `? fuel` some",
        lacked=LACKED_LINK,
        elsewhere=elsewhere,
    )


def _end_question(sheet: Sheet, words: str, usual: int, beside: tuple[Entry, ...]) -> Question[EndSaid]:
    parts = sheet.parts()
    return Question(
        words=words,
        read=lambda text: _end(text, sheet, beside),
        default=parts[usual].replace("-", " "),
        help="the part it joins there, then a port of it, or the face where it joins: `radiator top right`",
        examples=(
            "header-tank.out          a port that the file has",
            "radiator top right       a new port in that edge",
        ),
    )


def _end(text: str, sheet: Sheet, beside: tuple[Entry, ...]) -> EndSaid:
    """One end: a part, a port of it, or the middle of a face for which it gets a port."""
    from planner.finding.words import did_you_mean, quoted

    vehicle = sheet.vehicle
    if vehicle is None:
        raise AssertionError("a link is made in a vehicle")
    lowered = text.strip().lower()
    words = [(w.lower(), p) for p, c in vehicle.components.items() for w in (p, c.name)]
    longest = sorted(words, key=lambda both: len(both[0]), reverse=True)
    plain = next((part + lowered[len(word) :] for word, part in longest if _spoken(lowered, word)), lowered)
    found = _END.fullmatch(plain)
    if found is None:
        raise WrongAnswerError(f"{quoted(text)} is no end of a link", "such as `header-tank.out` or `radiator top`")
    part = one_of(vehicle.components, "part")(found["part"])
    ports = vehicle.components[part].ports_mm
    if found["port"]:
        if found["port"] not in ports:
            hint = did_you_mean(found["port"], ports) or f"`{part} top` gives it one"
            raise WrongAnswerError(f"{quoted(part)} has no port {quoted(found['port'])}", hint)
        return EndSaid(f"{part}.{found['port']}")
    face = (found["face"] or "").strip()
    if face.replace(" ", "-") in ports:
        return EndSaid(f"{part}.{face.replace(' ', '-')}")
    return _at_face(sheet, part, face, beside) if face else EndSaid(part)


def _spoken(text: str, part: str) -> bool:
    """Whether the text begins with the part's id or name, dashes said as blanks."""
    return re.match(rf"{re.escape(part).replace(chr(92) + '-', '[ -]')}(?:[ .]|$)", text) is not None


def _at_face(sheet: Sheet, part: str, words: str, beside: tuple[Entry, ...]) -> EndSaid:
    """A port in the middle of a face, edge or corner of the box round the part, made where there is none yet."""
    from planner.cli.new_spot import box_of
    from planner.files import Put
    from planner.shelf.fresh import Entry
    from planner.shelf.tape import in_units, read_anchor

    if sheet.vehicle is None:
        raise AssertionError("a link is made in a vehicle")
    component = sheet.vehicle.components[part]
    anchor = read_anchor(words)
    if not any(anchor):
        return EndSaid(part)
    if any(component.pose.turn_deg):
        raise WrongAnswerError(f"`{part}` is turned: its faces have no such names", "write the port in the file first")
    names = (("rear", "front"), ("right", "left"), ("top", "bottom"))
    port = "-".join(names[axis][anchor[axis] < 0] for axis in (2, 0, 1) if anchor[axis])
    written = f"{part}.{port}"
    if port in component.ports_mm or any(port in _ports_of(e) for e in beside if part in e.put.path):
        return EndSaid(written)
    low, high = box_of(sheet, part)
    at: list[Plain] = []
    for axis, way in enumerate(anchor):
        there = (low[axis] + high[axis]) / 2 + way * (high[axis] - low[axis]) / 2
        at.append(in_units(there - component.pose.at_mm[axis], sheet.bare))
    if component.ports_mm or any(part in e.put.path for e in beside):
        return EndSaid(written, (Entry(put=Put(("components", part, "ports"), port, at)),))
    return EndSaid(written, (Entry(put=Put(("components", part), "ports", {port: at})),))


def _ports_of(entry: Entry) -> tuple[str, ...]:
    value = entry.put.value
    return tuple(value) if isinstance(value, dict) else (entry.put.key,)


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
        read = one_of(sheet.parts(), "part", printed=sheet.printed())
        try:
            block["passes"] = [read(p.strip()) for p in given.passes.split(",") if p.strip()]
        except WrongAnswerError as error:
            raise Stop(Exit.USAGE, f"--passes: {error.message}", error.hint) from None
    return block


def _across_question(sheet: Sheet, kind: LinkKind) -> Question[str]:
    from planner.shelf.tape import read_one
    from planner.units import format_length

    usual = format_length(kind.across_mm, sheet.bare)

    def read(text: str) -> str:
        if text == usual:
            return ""
        if read_one(text, sheet.bare).mm <= 0:
            raise WrongAnswerError("a size must be more than 0", "its outside diameter, such as `1 1/4 in`")
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
