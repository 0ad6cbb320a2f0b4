"""Sizes and places as they are typed with a tape in the other hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from planner.files import Plain
from planner.finding.words import quoted
from planner.model.shapes import Vec
from planner.units import MM_PER_INCH, Bare, UnitError, parse_length
from planner.units.gauge import GAUGE
from planner.units.number import DOUBT

_TIMES = re.compile(r"\s*[x\u00d7*]\s*", re.IGNORECASE)
_NUMBER = re.compile(r"[-+]?[0-9]{1,9}(?:\.[0-9]{1,6})?")
_HAS_UNIT = re.compile(r"[^\W\d_]|[\"'\u2033\u2032]")
_LAST_UNIT = re.compile(r"[^\W\d_]+$|[\"\u2033]$")
_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_THOUSANDS = re.compile(r"[0-9],[0-9]{3}(?![0-9])")
_ZERO = re.compile(r"[-+]?0+(?:\.0*)?")
_AXES = re.compile(r"x\s*[=:]?\s*(.+?)[,;]?\s+y\s*[=:]?\s*(.+?)[,;]?\s+z\s*[=:]?\s*(.+)", re.IGNORECASE)
_ROUND = re.compile(r"(?:round|dia(?:meter)?|\u00d8|\u2300)\s*(.+?)(?:\s+along\s+([xyz])|\s+(upright))?", re.IGNORECASE)
_WORDS = re.compile(r"[A-Za-z,/:\s]*")
_SIDES: dict[str, tuple[int, int]] = {
    "front": (0, -1),
    "rear": (0, 1),
    "back": (0, 1),
    "left": (1, -1),
    "right": (1, 1),
    "bottom": (2, -1),
    "lower": (2, -1),
    "underside": (2, -1),
    "top": (2, 1),
    "upper": (2, 1),
}
"""Words for a face: axis and which way."""
_FILLING = frozenset(
    {"middle", "centre", "center", "corner", "face", "edge", "side", "of", "its", "the", "at", "and", "mid"}
)
_FACES = (("front", "rear"), ("left", "right"), ("bottom", "top"))
THREE = 3


@dataclass(frozen=True, slots=True)
class Taped:
    """One length: as the file is to have it, and what it comes to."""

    written: int | float | str
    mm: float


Three = tuple[Taped, Taped, Taped]
Anchor = tuple[int, int, int]
"""For x, y and z: -1 the front, left or lower face, 1 the opposite one, 0 the middle."""
MIDDLE: Anchor = (0, 0, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One solid as the file has it, and its size over all [mm]."""

    written: dict[str, Plain]
    size_mm: Vec


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place in vehicle axes, and which point of the part is there."""

    at: Three
    anchor: Anchor = MIDDLE

    @property
    def mm(self) -> Vec:
        """The place itself [mm]."""
        return (self.at[0].mm, self.at[1].mm, self.at[2].mm)


def read_one(text: str, bare: Bare) -> Taped:
    """Read one length.

    Raises
    ------
    UnitError
        It is none.
    """
    clean = " ".join(text.split())
    mm = parse_length(clean, bare=bare).mm
    if not _NUMBER.fullmatch(clean):
        return Taped(clean, mm)
    number = float(clean)
    return Taped(int(number) if number.is_integer() else number, mm)


def read_three(text: str, bare: Bare, *, typed: str = "") -> Three:
    """Read three lengths: ``620 x 180 x 240``, ``24 1/2, 7, 9 1/2 in``, ``620 -40 80``, ``x=620 y=-40 z=80``.

    A unit behind the last one only is meant for all three.

    Parameters
    ----------
    text : str
    bare : Bare
        Unit of a number that has none.
    typed : str
        What is told as typed where that is more than the three lengths.

    Raises
    ------
    UnitError
        They are not three, or one is no length.

    Examples
    --------
    >>> [t.mm for t in read_three("62 x 18 x 24 cm", "mm")]
    [620.0, 180.0, 240.0]
    >>> [t.written for t in read_three("620 +/- 5, -40, 80", "mm")]
    ['620 +/- 5', -40, 80]
    """
    told = (typed or text).strip()
    try:
        pieces = _pieces(text, told)
        if len(pieces) != THREE or not all(pieces):
            hint = "write them with `x` or commas between: `620 x 180 x 240`"
            raise UnitError(_not_three(pieces, told), hint)  # noqa: TRY301
        first, second, third = (_one_of_several(p, bare, told) for p in _with_units(pieces, told))
    except UnitError as error:
        pointed = _with_points(text)
        if not pointed:
            raise
        hint = f"write decimals with a point: {quoted(told.replace(text.strip(), pointed))}"
        raise UnitError(error.message, hint) from None
    return (first, second, third)


def _not_three(pieces: list[str], told: str) -> str:
    """What is said of lengths that are not three."""
    found = _count(pieces)
    words = " ".join(p for p in pieces if not any(c.isdigit() for c in p))
    if found == THREE and words:
        return f"three lengths are wanted and nothing else, found {quoted(words)} in {quoted(told)} as well"
    return f"three lengths are wanted, found {found} in {quoted(told)}"


def looks_measured(text: str, bare: Bare) -> bool:
    """Whether a text is lengths and nothing else: a size, a place or a single length.

    Examples
    --------
    >>> [looks_measured(t, "mm") for t in ("500 x 350 x 350", "170", "round 95 x 121", "tank 170", "2 x 4 tray")]
    [True, True, True, False, False]
    """
    return any(_reads(read, text, bare) for read in (read_one, read_shape, read_spot))


def _count(pieces: list[str]) -> int | str:
    """How many of the pieces are numbers, as far as their first letter goes."""
    return len([p for p in pieces if any(c.isdigit() for c in p)]) or "none"


def _with_points(text: str) -> str:
    """The same lengths with points for decimal commas, where that makes them three; empty otherwise.

    Three digits behind a comma may as well be thousands: nothing is said of those.
    """
    if _THOUSANDS.search(text):
        return ""
    pointed = _DECIMAL_COMMA.sub(".", text.strip())
    if pointed == text.strip() or len(_TIMES.split(pointed) if _TIMES.search(pointed) else pointed.split()) < THREE:
        return ""
    return pointed


def pointed(text: str) -> str:
    """One length, as typed, with a point for its decimal comma.

    Raises
    ------
    UnitError
        Three digits stand behind a comma: they may as well be thousands.

    Examples
    --------
    >>> pointed("262,5 mm +/- 0,5 mm"), pointed("262.5")
    ('262.5 mm +/- 0.5 mm', '262.5')
    """
    if _THOUSANDS.search(text):
        raise UnitError(f"{quoted(text)} may have thousands or a decimal comma", "write it without the comma")
    return _DECIMAL_COMMA.sub(".", text)


def _one_of_several(piece: str, bare: Bare, told: str) -> Taped:
    """One length of several; what is wrong with it is told with all that was typed, since pieces are cut at each x."""
    try:
        return read_one(piece, bare)
    except UnitError as error:
        within = "" if quoted(told) in error.message else f", in {quoted(told)}"
        raise UnitError(f"{error.message}{within}", error.hint) from None


def _pieces(text: str, told: str) -> list[str]:
    named = _AXES.fullmatch(text.strip())
    if named is not None:
        return [named[n].strip() for n in (1, 2, 3)]
    if "," in text or ";" in text:
        return [p.strip() for p in re.split(r"[,;]", text)]
    if _TIMES.search(text):
        return [p.strip() for p in _TIMES.split(text.strip())]
    if "/" in DOUBT.sub("", text):
        # "20 3/4 1/16" may be two lengths or three: a wrong guess is a part in the wrong place.
        raise UnitError(f"in {quoted(told)} it is not clear which numbers go together", "put commas between them")
    return text.split()


def _with_units(pieces: list[str], told: str) -> list[str]:
    """Give the unit that stands behind the last length only to all three."""
    with_unit = [bool(_HAS_UNIT.search(p)) and not GAUGE.fullmatch(p) for p in pieces]
    without = [not _HAS_UNIT.search(p) and not _ZERO.fullmatch(p) for p in pieces]
    if not any(with_unit) or not any(without) or not all(any(c.isdigit() for c in p) for p in pieces):
        return pieces
    unit = _LAST_UNIT.search(pieces[-1])
    if unit is None or with_unit != [False, False, True] or any(GAUGE.fullmatch(p) for p in pieces):
        message = f"in {quoted(told)} some lengths have a unit and some have none"
        raise UnitError(message, "write it behind each, or once behind the last for all three")
    return [*(" +/- ".join(f"{half} {unit[0]}" for half in DOUBT.split(p)) for p in pieces[:-1]), pieces[-1]]


def read_shape(text: str, bare: Bare) -> Shape:
    """Read the size of a box, ``620 x 180 x 240`` along x, y, z, or of a round part, ``round 95 x 121 along z``.

    Raises
    ------
    UnitError
        It is neither, or a size is not more than nothing.

    Examples
    --------
    >>> read_shape("round 95 x 121 along x", "mm").written
    {'cylinder': {'across': 95, 'length': 121, 'along': 'x'}}
    """
    found = _ROUND.fullmatch(text.strip())
    if found is not None:
        return _cylinder(found[1], (found[2] or "z").lower(), bare, text.strip())
    three = read_three(text, bare)
    for size in three:
        _see_size(size)
    x, y, z = three
    return Shape(written={"box": [x.written, y.written, z.written]}, size_mm=(x.mm, y.mm, z.mm))


def read_size(text: str, bare: Bare) -> Shape:
    """As `read_shape`; of one length, or a place, it is said what is wanted instead.

    Raises
    ------
    UnitError
        It is no size.
    """
    try:
        return read_shape(text, bare)
    except UnitError as error:
        told, hint = quoted(text), "such as `620 x 180 x 240`, or `round 95 x 121 along z`"
        if _reads(read_one, text, bare):
            message = f"{told} is one length: a size has three, front to rear x side to side x height"
        elif _reads(_named_spot, text, bare):
            message = f"{told} says where it is: its size is wanted first, front to rear x side to side x height"
        else:
            raise
        raise UnitError(message, hint) from error


def _named_spot(text: str, bare: Bare) -> Spot:
    """A place that names the point it is the place of: three lengths alone may be a size with a slip in it."""
    spot = read_spot(text, bare)
    if spot.anchor == MIDDLE:
        raise UnitError(f"{quoted(text)} names no side of a part", "front, rear, left, right, bottom, top")
    return spot


def _reads(read: Callable[[str, Bare], object], text: str, bare: Bare) -> bool:
    try:
        read(text, bare)
    except UnitError:
        return False
    return True


def _cylinder(text: str, along: str, bare: Bare, told: str) -> Shape:
    pieces = [p for p in (_TIMES.split(text) if _TIMES.search(text) else re.split(r"[,;]", text)) if p.strip()]
    if len(pieces) != THREE - 1:
        message = f"a round part has two lengths, across and along, found {_count(pieces)} in {quoted(told)}"
        raise UnitError(message, "write it such as `round 95 x 121 along z`")
    if not _HAS_UNIT.search(pieces[0]) and (unit := _LAST_UNIT.search(pieces[1].strip())) is not None:
        pieces[0] = f"{pieces[0].strip()} {unit[0]}"
    across, length = (_one_of_several(p, bare, told) for p in pieces)
    for size in (across, length):
        _see_size(size)
    sizes = [across.mm, across.mm, across.mm]
    sizes["xyz".index(along)] = length.mm
    written: dict[str, Plain] = {"across": across.written, "length": length.written, "along": along}
    return Shape(written={"cylinder": written}, size_mm=(sizes[0], sizes[1], sizes[2]))


def _see_size(size: Taped) -> None:
    if size.mm <= 0:
        raise UnitError(f"a size must be more than 0, found {quoted(size.written)}", "write it without a sign")


def read_spot(text: str, bare: Bare) -> Spot:
    """Read a place: three distances of the part's middle, or of the point that is named before them.

    Raises
    ------
    UnitError
        A word is none for a face, or the three distances cannot be read.

    Examples
    --------
    >>> spot = read_spot("front left bottom 620 -40 80", "mm")
    >>> spot.anchor, spot.mm
    ((-1, -1, -1), (620.0, -40.0, 80.0))
    >>> read_spot("620, -40, 80", "mm").anchor
    (0, 0, 0)
    """
    if _AXES.fullmatch(text.strip()):
        return Spot(at=read_three(text, bare))
    words = _WORDS.match(text)
    head = words[0] if words else ""
    return Spot(at=read_three(text[len(head) :], bare, typed=text), anchor=read_anchor(head))


def read_anchor(words: str) -> Anchor:
    """Read which point of a part is meant: ``front left bottom``; what is not named is the middle.

    Raises
    ------
    UnitError
        A word is none for a face, or two of them are opposite.
    """
    anchor = [0, 0, 0]
    for word in re.split(r"[\s,/:-]+", words.strip().lower()):
        if not word or word in _FILLING:
            continue
        if word not in _SIDES:
            hint = "words for it: front, rear, left, right, bottom, top; none is the middle"
            raise UnitError(f"{quoted(word)} is no side of a part", hint)
        axis, way = _SIDES[word]
        if anchor[axis] not in {0, way}:
            raise UnitError(f"{quoted(words.strip())} names both {' and '.join(_FACES[axis])}", "name one of them")
        anchor[axis] = way
    return (anchor[0], anchor[1], anchor[2])


def anchor_words(anchor: Anchor) -> str:
    """Name the point of a part: ``front left bottom corner``, ``bottom, in the middle``."""
    named = [_FACES[axis][way > 0] for axis, way in enumerate(anchor) if way]
    if not named:
        return "its middle"
    tail = {1: "face, in the middle", 2: "edge, in the middle", 3: "corner"}[len(named)]
    return f"its {' '.join(named)} {tail}"


def in_units(mm: float, bare: Bare) -> int | float:
    """A computed length as a bare number of the file, to a hundredth of a millimetre or finer."""
    return as_written(mm / MM_PER_INCH, 4) if bare == "inch" else as_written(mm, 2)


def as_written(number: float, decimals: int) -> int | float:
    """A number as a person would write it: so many decimals, and none where it is whole."""
    rounded = round(number, decimals)
    return int(rounded) if rounded == int(rounded) else rounded
