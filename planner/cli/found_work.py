"""Work that was found on the way, for the log: what its mending does is told by option, else asked at a terminal."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import typer

from planner.cli.called import id_called
from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook, log_book
from planner.cli.options import Names, Where
from planner.cli.recording import files_of, known_thing, names_in, planned_next
from planner.cli.terminal import say
from planner.finding.words import quoted
from planner.model.log import FoundLine, Line
from planner.model.words import GATES, KINDLING, Deed

if TYPE_CHECKING:
    from planner.model.catalog import Catalog
    from planner.model.shapes import Vec
    from planner.model.vehicle import Component, Link, Vehicle

_BURNING = frozenset({Deed.WELD, Deed.GRIND})
_WORDS = {
    Deed.WELD: ("weld", "braz", "solder", "heat", "flame", "torch"),
    Deed.GRIND: ("grind", "spark", "flap disc"),
    Deed.CUT: ("cut", "drill", "saw", "ream", "tap out"),
    Deed.OPEN: ("open", "drain", "bleed"),
    Deed.UNDER: ("under",),
    Deed.PLAIN: ("plain", "none", "nothing", "no"),
    Deed.UNSAID: ("?", "not said", "not sure"),
}
"""Beginnings of what people say for each."""
_IN_TITLE = (Deed.WELD, Deed.GRIND, Deed.CUT)
_ASKED = (
    "what does the mending do: weld (or braze, or heat), grind, cut (or drill), open a circuit, under the vehicle, "
    "plain (none of these), ? (not sure); several with commas"
)
_MEANS = {
    Deed.WELD: "it welds or heats: battery and alternator are off, fuel is made safe, somebody watches for fire",
    Deed.GRIND: "sparks fly: the battery is off, fuel is made safe, somebody watches for fire",
    Deed.CUT: "it cuts or drills: the battery is off, and what is behind is looked at",
    Deed.UNDER: "it is done under the vehicle: on stands that were rocked",
    Deed.OPEN: "the circuit is opened for it, and filled and proved again",
}
_LARGE_MM = 600.0
"""On a part larger than this it matters where it is hot: twice what heat reaches."""
_NEAR_MM = 100.0
"""A spot that is told farther off the part than this is a slip in a number (starting guess)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the options say; empty where they say nothing."""

    title: str
    minutes: int
    hands: int | None
    on: str
    does: Sequence[str]
    opens: Sequence[str]
    spot: str
    names: Names


def found_work(where: Where, told: Told) -> None:
    """Write more work down than the plan knew, and say what it comes to."""
    book = log_book(where.project, where.job)
    book.plan()
    vehicle = files_of(book)[0]
    line = _line(book, vehicle, told)

    twice = _found_before(book, line)

    def decide(known: LogBook) -> Sequence[Line]:
        return [replace(line, id=f"found-{len(known.entries) + 1}")]

    planned_next(where, decide)
    if twice:
        say(twice)
    for sentence in _comes_to(line, vehicle):
        say(sentence)


def _line(book: LogBook, vehicle: Vehicle | None, told: Told) -> FoundLine:
    asking = not told.does and not told.opens and sys.stdin.isatty()
    does = _deeds(told, asking=asking)
    on = _on(book, told.on or (_asked("at which part or link was it found") if asking else ""))
    opens = tuple(_system(vehicle, word) for word in _opens(told, does, vehicle, asking=asking))
    before = told.names.before
    if asking and not before:
        before = _split([_asked("before which part, cut or task has it to be done" + (f" (else {on})" if on else ""))])
    names = replace(told.names, before=before)
    first, after, off, fitted = (
        tuple(known_thing(book, n) for n in each) for each in (names.before, names.after, names.off, names.fitted)
    )
    _see_early(does, after)
    _see_fuel(vehicle, on, does, off, fitted)
    for part in off:
        _see_loose(book, vehicle, part)
    alight = Deed.WELD in does and on not in off and _kindled(vehicle, on, does) is None
    return FoundLine(
        id="found",
        title=told.title,
        minutes=told.minutes,
        hands=told.hands if told.hands is not None else 1 + alight,
        before=first,
        after=after,
        off=off,
        fitted=fitted,
        does=tuple(deed for deed in Deed if deed in does or (deed is Deed.OPEN and opens)),
        on=on,
        opens=opens,
        spot_mm=_spot(vehicle, on, told.spot or (_spot_asked(vehicle, on, does) if asking else "")),
    )


def _found_before(book: LogBook, line: FoundLine) -> str:
    """A word on the same found before, in the same words: a second line is a second mending."""
    said = " ".join(line.title.lower().split())
    same = [e for e in book.standing.found if " ".join(e.title.lower().split()) == said and e.on == line.on]
    if not same:
        return ""
    back = "is it the same, take the new line back: knockon undo"
    return f"! line {same[-1].n} says the same: both are planned, as two mendings; {back}"


def _asked(question: str) -> str:
    return str(typer.prompt(f"{question} (Enter: none)", default="", show_default=False)).strip()


def _split(words: Sequence[str]) -> list[str]:
    return [part.strip() for word in words for part in word.split(",") if part.strip()]


def _deeds(told: Told, *, asking: bool) -> frozenset[Deed]:
    """What the mending does, as said; where nobody says, what its title says and that nobody did."""
    while asking:
        try:
            return _deeds_of([str(typer.prompt(_ASKED))])
        except Stop as stop:
            say(f"{stop.message}: {stop.hint}")
    if told.does or told.opens:
        return _deeds_of(told.does) | ({Deed.OPEN} if told.opens else set())
    return frozenset({Deed.UNSAID, *_in_title(told.title)})


def _in_title(title: str) -> set[Deed]:
    words = re.findall(r"[a-z]+", title.lower())
    return {deed for deed in _IN_TITLE if any(w.startswith(b) for w in words for b in _WORDS[deed])}


def _deeds_of(words: Sequence[str]) -> frozenset[Deed]:
    deeds: set[Deed] = set()
    for word in _split(words):
        said = next((d for d, known in _WORDS.items() if any(_says(word.lower(), k) for k in known)), None)
        if said is None:
            hint = "say weld, grind, cut, under or plain; a circuit it opens with --opens"
            raise Stop(Exit.USAGE, f"{quoted(word)} is nothing that a mending does", hint)
        deeds.add(said)
    if Deed.PLAIN in deeds and len(deeds) > 1:
        raise Stop(Exit.USAGE, "plain work does none of the others", "leave `plain` out, or say nothing else")
    return frozenset(deeds)


def _says(word: str, known: str) -> bool:
    return word == known if len(known) < len("cut") or known == "none" else word.startswith(known)


def _opens(told: Told, does: frozenset[Deed], vehicle: Vehicle | None, *, asking: bool) -> list[str]:
    if told.opens or Deed.OPEN not in does:
        return _split(told.opens)
    known = ", ".join(vehicle.systems) if vehicle is not None else ""
    words = _split([_asked(f"which circuit is open meanwhile: {known}")]) if asking else []
    if not words:
        raise Stop(Exit.USAGE, "a circuit is opened, and nobody said which", f"--opens CIRCUIT, one of: {known}")
    return words


def _system(vehicle: Vehicle | None, word: str) -> str:
    if vehicle is None:
        raise Stop(Exit.FAULTS, "the vehicle's file has errors", "`knockon check` tells them")
    names = {i: s.name for i, s in vehicle.systems.items()}
    return id_called(word, names, "no circuit is called", f"circuits: {', '.join(names)}")


def _on(book: LogBook, word: str) -> str:
    """The part or link it was found at; of a cut the part that is cut."""
    from planner.model.job import Cut

    if not word:
        return ""
    job = files_of(book)[1]
    hosts = {} if job is None else {c.id: c.host for c in job.changes if isinstance(c, Cut)}
    thing = known_thing(book, word)
    thing = hosts.get(thing, thing)
    if thing not in names_in(book):
        raise Stop(Exit.USAGE, f"{quoted(word)} is no part or link", "name the part or link it was found at")
    return thing


def _see_loose(book: LogBook, vehicle: Vehicle | None, name: str) -> None:
    """A part that never comes off by itself is mended in its place."""
    from planner.model.vehicle import Freedom
    from planner.shelf.change_checks import carrier_of

    part = None if vehicle is None else vehicle.components.get(name)
    handled = any(f.subject == name for f in book.plan().work.features.values())
    if vehicle is None or part is None or handled:
        return
    carrier = carrier_of(part, vehicle)
    if carrier.freedom is Freedom.STAYS:
        raise Stop(Exit.USAGE, f"`{name}` never comes off", "leave --off out: it is mended in its place")
    if carrier.id != name:
        raise Stop(Exit.USAGE, f"`{name}` comes off with `{carrier.id}`", f"--off {carrier.id}")


def _see_fuel(
    vehicle: Vehicle | None, on: str, does: frozenset[Deed], off: Sequence[str], fitted: Sequence[str]
) -> None:
    """What held fuel is not heated or drilled where it sits: what cannot be off alone is refused."""
    from planner.model.vehicle import Component, Freedom
    from planner.shelf.change_checks import carrier_of

    thing = _kindled(vehicle, on, does)
    if vehicle is None or thing is None or on in off:
        return
    never = "what held fuel explodes when it is heated, ground or drilled, also when it was emptied"
    if on in fitted:
        raise Stop(Exit.USAGE, f"{never}: `{on}` comes off for it", "leave --fitted out")
    if isinstance(thing, Component) and carrier_of(thing, vehicle).freedom is Freedom.STAYS:
        hint = "this is not planned: ask a licensed specialist, or fit another"
        raise Stop(Exit.USAGE, f"{never}, and `{on}` never comes off", hint)
    if isinstance(thing, Component) and carrier_of(thing, vehicle).id != on:
        carrier = carrier_of(thing, vehicle).id
        raise Stop(Exit.USAGE, f"{never}: `{on}` comes off with `{carrier}`", f"--on {carrier}")


def _kindled(vehicle: Vehicle | None, on: str, does: frozenset[Deed]) -> Component | Link | None:
    """The part or link that heat, sparks or a drill come to, where it held fuel or gasses."""
    from planner.cli.loading import catalog_read

    thing = None if vehicle is None else vehicle.components.get(on) or vehicle.links.get(on)
    if thing is None or not KINDLING & does:
        return None
    return thing if catalog_read().is_hole_shy(thing) else None


def _see_early(does: frozenset[Deed], after: Sequence[str]) -> None:
    """What is mended is looked at before the vehicle moves: it cannot come after that."""
    late = [name for name in after if name in GATES]
    if late and does != {Deed.PLAIN}:
        hint = "take --after out; of work that changes nothing say --does plain"
        raise Stop(Exit.USAGE, f"a mending does not come after {late[0]}: it is looked at before", hint)


def _large(vehicle: Vehicle | None, on: str) -> Component | None:
    """The part it was found at, where that is so large that it matters where on it."""
    from planner.shelf.extents import extent_mm

    part = None if vehicle is None else vehicle.components.get(on)
    return part if part is not None and extent_mm(part.solids) > _LARGE_MM else None


def _spot_asked(vehicle: Vehicle | None, on: str, does: frozenset[Deed]) -> str:
    part = _large(vehicle, on) if _BURNING & does else None
    return "" if part is None else _asked(f"where on {part.name} is it hot: x y z, as the file measures")


def _spot(vehicle: Vehicle | None, on: str, text: str) -> Vec | None:
    """Where it is hot; refused where that is not on the part, which is a slip in a number."""
    if not text:
        return None
    if vehicle is None:
        raise Stop(Exit.FAULTS, "the vehicle's file has errors", "`knockon check` tells them")
    from planner.cli.asked_change import three_of
    from planner.model.shapes import Box, Pose
    from planner.space import gap, solid_body

    at_mm = three_of(text, vehicle, "--spot")
    part = vehicle.components.get(on)
    if part is not None:
        spot = solid_body((Box(size_mm=(1.0, 1.0, 1.0), pose=Pose(at_mm=at_mm)),), Pose())
        off_mm = gap(spot, solid_body(part.solids, part.pose)).mm
        if off_mm > _NEAR_MM:
            hint = "x is rearward, y to the right, z up, from the zero of the vehicle's file"
            raise Stop(Exit.USAGE, f"--spot is {off_mm:.0f} mm from {part.name}", hint)
    return at_mm


def _comes_to(line: FoundLine, vehicle: Vehicle | None) -> list[str]:
    """What a person should know at once of what was written down."""
    kindled = _kindled(vehicle, line.on, frozenset(line.does)) is not None
    bench = bool(line.on) and (line.on in line.off or kindled)
    told = []
    if kindled:
        told.append(
            f"! {line.on} comes off for it: what held fuel explodes when it is heated, ground or drilled, also when it "
            "was emptied. Not at home: hand it to somebody who cleans it and proves it free of vapour, or fit another"
        )
    if Deed.UNSAID in line.does:
        told.append(
            "nobody said what the mending does: before it welds, grinds or drills the battery is off, fuel and brake "
            "lines are away and somebody watches for fire; --does weld (grind, cut, under, plain) plans it so"
        )
    if not bench:
        told += [words for deed, words in _MEANS.items() if deed in line.does]
    told += [f"! {caution}" for caution in _group_cautions(line, vehicle)]
    told += _kept_closed(line, vehicle)
    if _BURNING & {*line.does} and not bench:
        told += _where_hot(line, vehicle)
    told.append("it is looked at before the vehicle moves (`mended-look`), and what rests on it is tested again")
    if Deed.WELD in line.does:
        told.append("its weld is looked at bare (`weld-look`), then painted, before a part is fitted over or on it")
    if not line.before and not line.on:
        told.append("it may come after what is fitted over it: --before PART puts it first")
    return told


def _where_hot(line: FoundLine, vehicle: Vehicle | None) -> list[str]:
    if line.spot_mm is not None:
        return []
    if not line.on:
        return ["! nobody said where it is hot: --on PART takes away what burns near it"]
    part = _large(vehicle, line.on)
    if part is None:
        return []
    return [f"! all near {part.name} that minds heat comes off: --spot 'X Y Z' says where on it"]


def _kept_closed(line: FoundLine, vehicle: Vehicle | None) -> list[str]:
    """The circuits that plain work leaves closed: where it undoes a joint of one, nothing would fill and check it."""
    from planner.cli.loading import catalog_read

    if vehicle is None or Deed.PLAIN not in line.does:
        return []
    part, link = vehicle.components.get(line.on), vehicle.links.get(line.on)
    known = (*(part.systems if part is not None else ()), *([link.system] if link is not None and link.system else ()))
    kinds = catalog_read().system_kinds
    wet = [s for s in known if s in vehicle.systems and (k := kinds.get(vehicle.systems[s].kind)) and k.fluid]
    return [
        f"! plain work opens nothing: if a joint of {s} is undone, it is neither filled nor checked for it; "
        f"`knockon undo`, then say --opens {s}"
        for s in wet
    ]


def _group_cautions(line: FoundLine, vehicle: Vehicle | None) -> list[str]:
    """What is always said of the group of the part that is mended."""
    from planner.cli.loading import catalog_read

    if vehicle is None or Deed.PLAIN in line.does:
        return []
    thing = vehicle.components.get(line.on) or vehicle.links.get(line.on)
    catalog: Catalog = catalog_read()
    return [] if thing is None or thing.group not in catalog.cautions else [catalog.cautions[thing.group]]
