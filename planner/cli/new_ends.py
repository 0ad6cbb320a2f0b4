"""The ends of a link: each a part, a port of it or a face, and whether a link of its kind joins there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from planner.cli.new_asking import Question, Talk, WrongAnswerError, settled
from planner.cli.new_choice import one_of
from planner.cli.new_end_spot import EndSaid, on_the_skin, port_at
from planner.cli.new_remarks import LEAVE, RETYPE
from planner.cli.new_which_part import one_part

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.model.vehicle import Component
    from planner.shelf.fresh import Entry
    from planner.shelf.link_ends import EndFault

_PORT = re.compile(r"(?P<part>[^.]+)\.(?P<port>[a-z0-9][a-z0-9-]*)")


def ask_ends(talk: Talk, sheet: Sheet, kind: str, given: tuple[str | None, str | None]) -> tuple[EndSaid, EndSaid]:
    """Both ends of a link of a kind; ``given`` is what the command line says of them.

    An end at which two circuits would meet is not taken; one that is only odd is told, and may be typed again.
    """
    usual = _usual_ends(sheet, kind)
    start = _ask_end(talk, _end_question(sheet, kind, ("from", usual[0]), ()), given[0], "--from-part")
    finish = _ask_end(talk, _end_question(sheet, kind, ("to", usual[1]), start.new), given[1], "--to-part")
    if sheet.catalog.link_kinds[kind].pushes:
        # A rod goes from pin to piston, and no outside of a lever is its pin.
        return start, finish
    near_start = on_the_skin(sheet, start, finish, finish.new)
    near_finish = on_the_skin(sheet, finish, near_start, near_start.new)
    for before, after in ((start, near_start), (finish, near_finish)):
        if after.written != before.written:
            where = before.written.replace("-", " ")
            talk.say(f"  no place was named on {where}: it is joined where that is nearest to the other end")
    return near_start, near_finish


def _ask_end(talk: Talk, question: Question[EndSaid], given: str | None, option: str) -> EndSaid:
    while True:
        mark = len(talk.given)
        end = settled(talk, question, given, option)
        if end.told:
            talk.say(f"  taken as: {end.told}")
        if end.odd is None or given is not None:
            return end
        talk.say(f"  ! {end.odd.message}; {end.odd.hint}")
        if talk.ask(_odd_question(question.words)) == LEAVE:
            return end
        talk.take_back(mark, offer=False)


def _odd_question(end: str) -> Question[str]:
    answers = (LEAVE, RETYPE)
    return Question(
        words=f"{end}: {LEAVE} or {RETYPE}",
        read=one_of(answers, "answer"),
        default=LEAVE,
        help=f"{LEAVE}: it is like that on the vehicle, `check` goes on telling of it; {RETYPE}: asked again",
        examples=answers,
        aside=answers,
    )


def _usual_ends(sheet: Sheet, kind: str) -> tuple[str, str]:
    """The first and the last part that a link of the kind may well end at: members of its circuits before any other."""
    parts = sheet.parts()
    link, kinds = sheet.catalog.link_kinds[kind], sheet.catalog.kinds
    components = {} if sheet.vehicle is None else sheet.vehicle.components
    members = [i for i in parts if {*kinds[components[i].kind].opens} & {*link.opens}]
    fitting = [i for i in parts if _fault(sheet, kind, components[i]) is None]
    first = (members or fitting or parts)[0]
    others = [i for i in (*parts, *fitting, *members) if i != first]
    return first, (others or [first])[-1]


def _end_question(sheet: Sheet, kind: str, said: tuple[str, str], beside: tuple[Entry, ...]) -> Question[EndSaid]:
    words, usual = said
    return Question(
        words=words,
        read=lambda text: _end(text, sheet, kind, beside),
        default=usual.replace("-", " "),
        help="the part it joins there, then a port of it, or the face where it joins: `radiator top right`",
        examples=(
            "header-tank.out          a port that the file has",
            "radiator top right       a new port in that edge",
        ),
    )


def _end(text: str, sheet: Sheet, kind: str, beside: tuple[Entry, ...]) -> EndSaid:
    """One end: a part, a port of it, or the middle of a face for which it gets a port."""
    if sheet.vehicle is None:
        raise AssertionError("a link is made in a vehicle")
    part, port, face = _parted(text.strip().lower(), sheet)
    component = sheet.vehicle.components[part]
    fault = _fault(sheet, kind, component)
    if fault is not None and fault.wrong:
        raise WrongAnswerError(fault.message, fault.hint)
    said = _at_port(component, port) if port else _at_place(sheet, component, face, beside)
    told = "" if _spoken(text.strip().lower(), part, component.name) else component.name
    return replace(said, told=told, odd=fault)


def _fault(sheet: Sheet, kind: str, part: Component) -> EndFault | None:
    from planner.shelf.link_ends import end_fault

    known = {} if sheet.vehicle is None else sheet.vehicle.systems
    there = [known[s].kind for s in part.systems if s in known]
    return end_fault(sheet.catalog.link_kinds[kind], (), part, there, sheet.catalog)


def _parted(text: str, sheet: Sheet) -> tuple[str, str, str]:
    """The part, the port and the words for a face or port that an end names."""
    read = one_part(sheet)
    dotted = _PORT.fullmatch(text)
    if dotted is not None:
        return read(dotted["part"].strip()), dotted["port"], ""
    known = {} if sheet.vehicle is None else sheet.vehicle.components
    longest = sorted(((w.lower(), p) for p, c in known.items() for w in (p, c.name)), key=lambda b: len(b[0]))
    for word, part in reversed(longest):
        if _begins_with(text, word):
            return part, "", text[len(word) :].strip()
    for head, tail in _splits(text):
        try:
            return read(head), "", tail
        except WrongAnswerError:
            continue
    heads = [head for head, _ in _splits(text)]
    if not heads:
        raise WrongAnswerError("nothing is no end of a link", "such as `header-tank.out` or `radiator top`")
    # What is no part in any split is told of without the words for a face.
    return read(min(heads, key=len)), "", ""


def _splits(text: str) -> Iterator[tuple[str, str]]:
    """Ways to part an end into words for a part and words for a face, the longest part first."""
    from planner.shelf.tape import read_anchor

    words = text.split()
    for cut in range(len(words), 0, -1):
        try:
            read_anchor(" ".join(words[cut:]))
        except ValueError:
            return
        yield " ".join(words[:cut]), " ".join(words[cut:])


def _begins_with(text: str, word: str) -> bool:
    """Whether the text begins with a part's id or name, dashes said as blanks."""
    return re.match(rf"{re.escape(word).replace(chr(92) + '-', '[ -]')}(?: |$)", text) is not None


def _spoken(text: str, *words: str) -> bool:
    """Whether the text begins with one of the words for a part, or with the whole beginning of one."""
    return any(_begins_with(text.replace(".", " "), w.lower()) for w in words)


def _at_port(part: Component, port: str) -> EndSaid:
    from planner.finding.words import did_you_mean, quoted

    if port not in part.ports_mm:
        hint = did_you_mean(port, part.ports_mm) or f"`{part.id} top` gives it one"
        raise WrongAnswerError(f"{quoted(part.id)} has no port {quoted(port)}", hint)
    return EndSaid(written=f"{part.id}.{port}")


def _at_place(sheet: Sheet, part: Component, words: str, beside: tuple[Entry, ...]) -> EndSaid:
    """A port of that name, else the middle of a face."""
    if words.replace(" ", "-") in part.ports_mm:
        return EndSaid(written=f"{part.id}.{words.replace(' ', '-')}")
    return _at_face(sheet, part.id, words, beside) if words else EndSaid(written=part.id)


def _at_face(sheet: Sheet, part: str, words: str, beside: tuple[Entry, ...]) -> EndSaid:
    """A port in the middle of a face, edge or corner of the box round the part, made where there is none yet."""
    from planner.cli.new_spot import box_of
    from planner.shelf.tape import read_anchor

    if sheet.vehicle is None:
        raise AssertionError("a link is made in a vehicle")
    component = sheet.vehicle.components[part]
    anchor = read_anchor(words)
    if not any(anchor):
        return EndSaid(written=part)
    if any(component.pose.turn_deg):
        raise WrongAnswerError(f"`{part}` is turned: its faces have no such names", "write the port in the file first")
    names = (("rear", "front"), ("right", "left"), ("top", "bottom"))
    port = "-".join(names[axis][anchor[axis] < 0] for axis in (2, 0, 1) if anchor[axis])
    written = f"{part}.{port}"
    if port in component.ports_mm or any(port in _ports_of(e) for e in beside if part in e.put.path):
        return EndSaid(written=written)
    low, high = box_of(sheet, part)
    x, y, z = ((a + b) / 2 + way * (b - a) / 2 for a, b, way in zip(low, high, anchor, strict=True))
    return EndSaid(written=written, new=(port_at(sheet, part, port, (x, y, z), beside),))


def _ports_of(entry: Entry) -> tuple[str, ...]:
    value = entry.put.value
    return tuple(value) if isinstance(value, dict) else (entry.put.key,)
