"""`knockon new space`: a box in which parts may find a new home."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError, settled
from planner.cli.new_choice import one_of
from planner.cli.new_part import NOTHING, ask_name
from planner.cli.new_space_usual import usual_space
from planner.cli.new_spot import AXES_HELP, box_of, span_mm, span_words
from planner.cli.new_which_part import one_part

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.files import Plain
    from planner.model.shapes import Vec
    from planner.shelf.tape import Shape, Spot

NEAR_MM = 30.0
"""A box this near to a face of its host is taken to be at that face."""
ANY = "any"
FLOAT = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceGiven:
    """What the command line says of a mounting space; None is asked for."""

    name: str | None = None
    on: str | None = None
    size: str | None = None
    at: str | None = None
    against: str | None = None
    takes: str | None = None

    @property
    def any(self) -> bool:
        """Whether anything is said: then only what is needed is asked."""
        return any(v is not None for v in (self.name, self.on, self.size, self.at, self.against, self.takes))


def add_space(talk: Talk, sheet: Sheet, given: SpaceGiven, *, may_end: bool = False) -> str:
    """Ask for one mounting space and take it into the sheet; its id, or nothing when none is wanted."""
    from planner.files import Put
    from planner.shelf.fresh import Entry

    on = settled(talk, _host_question(sheet, may_end=may_end), given.on, "--on")
    if not on:
        return ""
    named = ask_name(talk, sheet, f"{on[:30].rstrip('-')}-space", given.name, silent=given.any)
    while True:
        mark = len(talk.given)
        shape, spot = _box(talk, sheet, given, on)
        low, high = span_mm(spot, shape)
        face = _face(sheet, on, low, high)
        against = settled(talk, _against_question(face), given.against or (face if given.any else None), "--against")
        takes = settled(talk, _takes_question(sheet), given.takes or (ANY if given.any else None), "--takes")
        block: dict[str, Plain] = {} if named.name is None else {"name": named.name}
        block |= {"on": on, "box": shape.written["box"], "at": _middle(sheet, spot, shape)}
        if against:
            block["against"] = against
        if takes:
            block["takes"] = list(takes)
        new = [Entry(put=Put(("spaces",), named.id, block))]
        tried = sheet.tried(new)
        if not tried.errors:
            sheet.take(new, tried)
            talk.say(f"  {span_words(sheet, named.id.replace('-', ' '), low, high)}")
            return named.id
        first = tried.errors[0]
        if given.size is not None and given.at is not None:
            raise Stop(Exit.FAULTS, f"{first.message} [{first.code}]", f"{first.hint}; nothing is changed")
        talk.refuse(WrongAnswerError(first.message, first.hint), since=mark)


def _host_question(sheet: Sheet, *, may_end: bool) -> Question[str]:
    parts = sheet.parts()
    return Question(
        words="a mounting space on" if may_end else "on",
        read=one_part(sheet, none=NOTHING if may_end else ""),
        default=NOTHING if may_end else next(iter(parts), ""),
        help="a mounting space is a box in which parts may find a new home: the part whose face it is",
        examples=tuple(p.replace("-", " ") for p in parts[:20]),
        decides=True,
    )


def _box(talk: Talk, sheet: Sheet, given: SpaceGiven, on: str) -> tuple[Shape, Spot]:
    from planner.shelf.believed_sizes import WHOLE, see_part
    from planner.shelf.tape import read_size, read_spot

    def shaped(text: str) -> Shape:
        shape = read_size(text, sheet.bare)
        if "box" not in shape.written:
            raise WrongAnswerError("a mounting space is a box", "three lengths: `200 x 600 x 150`")
        see_part(shape.size_mm, sheet.bare, what="mounting space", largest_mm=WHOLE[0].high_mm, whole_mm=sheet.whole_mm)
        return shape

    def spotted(text: str) -> Spot:
        spot = read_spot(text, sheet.bare)
        sheet.see_within(*span_mm(spot, shape))
        return spot

    usual = usual_space(sheet, on)
    shape = settled(talk, _size_question(usual.size, shaped), given.size, "--size")
    return shape, settled(talk, _spot_question(usual.at, spotted), given.at, "--at")


def _size_question(default: str, read: Callable[[str], Shape]) -> Question[Shape]:
    return Question(
        words="size",
        read=read,
        default=default,
        help="front to rear x side to side x height of the free box",
        examples=("120 x 1050 x 130", "4 3/4 x 41 x 5 in"),
    )


def _spot_question(default: str, read: Callable[[str], Spot]) -> Question[Spot]:
    return Question(
        words="where",
        read=read,
        default=default,
        help=AXES_HELP,
        examples=("722 0 685                   its middle", "bottom 722 0 620             the middle of its underside"),
    )


def _middle(sheet: Sheet, spot: Spot, shape: Shape) -> list[Plain]:
    """The middle of the box, as typed where it was the middle that was typed."""
    from planner.shelf.tape import in_units

    made: list[Plain] = []
    for at, way, size in zip(spot.at, spot.anchor, shape.size_mm, strict=True):
        made.append(at.written if not way else in_units(at.mm - way * size / 2, sheet.bare))
    return made


def _face(sheet: Sheet, on: str, low: Vec, high: Vec) -> str:
    """The side of the box at which its host is, by where the two stand."""
    host_low, host_high = box_of(sheet, on)
    for axis, (before, behind) in ((2, ("down", "up")), (0, ("forwards", "rearwards")), (1, ("left", "right"))):
        if abs(low[axis] - host_high[axis]) <= NEAR_MM:
            return before
        if abs(high[axis] - host_low[axis]) <= NEAR_MM:
            return behind
    return FLOAT


def _against_question(default: str) -> Question[str]:
    from planner.model.shapes import Direction

    return Question(
        words="against",
        read=one_of((d.value for d in Direction), "side", none=FLOAT),
        default=default,
        help="the side of the box where parts are fastened: down for a shelf, forwards or rearwards for a wall",
        examples=("down", "rearwards    a wall behind the box", "none         they may hang anywhere in it"),
    )


def _takes_question(sheet: Sheet) -> Question[tuple[str, ...]]:
    from planner.model.vehicle import Freedom

    parts = sheet.parts()
    read_part = one_of((*parts, *sheet.catalog.kinds), "part or kind", printed=sheet.printed())

    def read(text: str) -> tuple[str, ...]:
        if text.strip().lower() == ANY:
            return ()
        return tuple(dict.fromkeys(read_part(t.strip()) for t in text.split(",") if t.strip()))

    free = (
        [] if sheet.vehicle is None else [i for i, c in sheet.vehicle.components.items() if c.freedom is Freedom.MOVES]
    )
    return Question(
        words="for",
        read=read,
        default=ANY,
        help="which parts or kinds may go there, with commas between; `any` for whatever may move",
        examples=(ANY, ", ".join(free[:4]) or "battery, fuse box"),
    )
