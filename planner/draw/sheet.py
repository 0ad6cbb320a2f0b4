"""A sheet as plain data: everything in millimetres on the paper, x to the right and y down from its top left corner."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from planner.space import Elevation, Polygon

Point = tuple[float, float]
"""A place on the paper [mm]."""

TEXT_MM = 3.2
"""Height of the letters of all small print: 9.07 pt."""


class Mark(StrEnum):
    """What the job does to a part; the value is the letter it has on the paper."""

    NEW = "N"
    MOVES = "M"
    GOES = "X"
    LARGER = "L"
    CUT = "C"
    REMADE = "R"
    BACK = "B"
    SET = "S"

    @property
    def words(self) -> str:
        """What the letter stands for."""
        return _WORDS[self]


_WORDS = {
    Mark.NEW: "new",
    Mark.MOVES: "moves",
    Mark.GOES: "goes for good",
    Mark.LARGER: "made larger",
    Mark.CUT: "cut out",
    Mark.REMADE: "made anew",
    Mark.BACK: "off, then back",
    Mark.SET: "re-clipped, set",
}


class Clash(StrEnum):
    """How two things get into each other's way; the value is the letter it has on the paper."""

    OVERLAP = "K"
    CLOSE = "T"
    ROOM = "W"

    @property
    def words(self) -> str:
        """What the letter stands for."""
        return {Clash.OVERLAP: "clash", Clash.CLOSE: "too close", Clash.ROOM: "working room lost"}[self]


class Trace(StrEnum):
    """What a bare line stands for: where a part is at another time than the one drawn."""

    OLD = "old place"
    NEWCOMER = "what the job puts there"
    SWING = "where a part swings or slides"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One part in one view: the rims of its outline, or the run of a link when ``across_mm`` is given."""

    subject: str
    label: str
    """Name in words."""
    outline: tuple[Polygon, ...]
    near_mm: float
    """How near it is to the eye, in vehicle millimetres: greater is drawn later."""
    mark: Mark | None = None
    across_mm: float | None = None
    """Width of a link on the paper; None for a filled outline."""
    trace: Trace | None = None
    """Drawn as a bare line only."""
    sought: bool = False
    """The part that a closer look was asked for: drawn bolder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A numbered label beside a view, with its leader to the part or spot."""

    subject: str
    number: int
    mark: Mark | Clash | None
    middle: Point
    wide_mm: float
    high_mm: float
    leader: tuple[Point, Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place in a view where things get into each other's way."""

    number: int
    clash: Clash
    at: Point
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight line of the grid; ``text`` names it at its end, ``zero`` marks a zero plane or the ground."""

    start: Point
    finish: Point
    zero: bool = False
    text: str = ""
    text_at: Point = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One elevation of one state of the vehicle. ``corner`` and ``size`` frame the vehicle, without the labels.

    ``cut_at`` is the upper left and the lower right corner of a window at whose edges everything is cut, None when the
    whole vehicle is shown.
    """

    elevation: Elevation
    state: str
    title: str
    title_at: Point
    arrow_text: str
    corner: Point
    size: tuple[float, float]
    grid: tuple[Line, ...]
    shapes: tuple[Shape, ...]
    labels: tuple[Label, ...]
    spots: tuple[Spot, ...] = ()
    cut_at: tuple[Point, Point] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the numbered list. ``number`` is 0 for a changed part that found no room for a label."""

    number: int
    mark: Mark | None
    subject: str
    name: str
    text: str
    """What happens to it, empty when nothing does."""
    places: tuple[tuple[str, str], ...]
    """(state, middle of the part in the owner's units) for every state in which it is there."""
    at: Point | None = None
    """Where it stands on the paper; None when the paper has no room for it, and only the text twin tells it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotEntry:
    """One line of the list of spots: the worst of the clashes that fall together there, and how many more there are.

    ``number`` is 0 for a clash that has no place on the drawing; ``at`` is None when only the text twin tells it.
    """

    number: int
    clash: Clash
    text: str
    told: tuple[tuple[str, str], ...]
    """(what it is, where it is) of every clash here, the worst first."""
    at: Point | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """The scale bar: ``steps`` fields of ``step_mm`` on the paper, with the true lengths at their ends."""

    at: Point
    step_mm: float
    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Free text on the sheet."""

    at: Point
    text: str
    room_mm: float
    """A longer text is cut."""
    bold: bool = False
    size_mm: float = TEXT_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A whole drawing. ``scale`` is vehicle millimetres to one of paper.

    ``name`` is the name of its file and begins every id inside it: no two sheets of a project have the same.
    """

    name: str
    title: str
    about: str
    size: tuple[float, float]
    scale: float
    views: tuple[View, ...]
    bar: Bar
    legend: tuple[tuple[Mark, Point], ...]
    entries: tuple[Entry, ...]
    entry_wide_mm: float
    notes: tuple[Note, ...]
    spots: tuple[SpotEntry, ...] = ()
    spot_wide_mm: float = 0.0
    spot_legend: tuple[tuple[Clash | Trace, Point], ...] = ()
