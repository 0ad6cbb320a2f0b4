"""How large a new part is and where: asked with what was not measured guessed, and slips of the tape told at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from planner.cli.new_asking import Question, Talk, settled

if TYPE_CHECKING:
    from planner.cli.new_part import PartGiven
    from planner.cli.new_sheet import Sheet
    from planner.model.shapes import Vec
    from planner.shelf.tape import Shape, Spot

UNMEASURED = "not measured"
_GUESS = 3.0
"""Without a tape a part is taken for a third of the largest of its kind, a fifth of that in doubt."""
_GUESS_DOUBT = 0.2
_PLACE_DOUBT_MM = 50.0
AXES_HELP = (
    "x is rearward, y to the driver's right, z up, from the zero planes; three distances of its middle, or of the "
    "point you name first: front/rear, left/right, bottom/top"
)


def ask_shape_and_spot(
    talk: Talk,
    sheet: Sheet,
    given: PartGiven,
    kind: str,
    host_mm: tuple[Vec, Vec] | None,
    *,
    old_mm: tuple[Vec, Vec] | None = None,
) -> tuple[str, Shape, str, Spot]:
    """Size and place, each with the text that was typed for it (empty: the default was taken).

    ``old_mm`` are the low and high corner of the part that it replaces: what is not measured is guessed as that.
    """
    from planner.shelf.believed_sizes import see_part
    from planner.shelf.tape import read_shape, read_size, read_spot

    known_kind = sheet.catalog.kinds[kind]

    def shaped(text: str) -> tuple[str, Shape]:
        if text == UNMEASURED:
            return "", read_shape(guess, sheet.bare)
        shape = read_size(text, sheet.bare)
        longest = known_kind.largest_mm
        see_part(shape.size_mm, sheet.bare, what=known_kind.name, largest_mm=longest, whole_mm=sheet.whole_mm)
        return text, shape

    guess = _guessed_size(sheet, kind) if old_mm is None else _size_of_old(sheet, old_mm)
    of = "" if old_mm is None else ", as the one it replaces"
    size_text, shape = settled(talk, _size_question(sheet, f"{guess}{of}", shaped), given.size, "--size")

    def spotted(text: str) -> tuple[str, Spot]:
        known = text != UNMEASURED
        spot = read_spot(text if known else usual, sheet.bare)
        sheet.see_within(*span_mm(spot, shape))
        return (text if known else ""), spot

    usual = _usual_place(sheet, host_mm) if old_mm is None else _place_of_old(sheet, old_mm)
    there = "on top of what it is mounted on" if old_mm is None else "where the one stands that it replaces"
    spot_text, spot = settled(talk, _spot_question(f"{there}, {usual}", spotted), given.at, "--at")
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


def _spot_question(guess: str, read: Callable[[str], tuple[str, Spot]]) -> Question[tuple[str, Spot]]:
    return Question(
        words="where",
        read=read,
        default=UNMEASURED,
        help=AXES_HELP,
        examples=(
            f"{UNMEASURED}: {guess}",
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


def span_words(sheet: Sheet, name: str, low_mm: Vec, high_mm: Vec) -> str:
    """From where to where something goes, for its owner to look at: `floor: x 0 to 2500, y -550 to 550, z 0 to 2`."""
    from planner.shelf.tape import in_units

    told = [
        f"{a} {in_units(b, sheet.bare)} to {in_units(c, sheet.bare)}"
        for a, b, c in zip("xyz", low_mm, high_mm, strict=True)
    ]
    return f"{name}: {', '.join(told)} {'in' if sheet.bare == 'inch' else 'mm'}"


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


def _size_of_old(sheet: Sheet, old_mm: tuple[Vec, Vec]) -> str:
    """As large as the part that is replaced, and as much in doubt as any guess."""
    from planner.shelf.tape import in_units

    sides = [high - low for low, high in zip(*old_mm, strict=True)]
    return " x ".join(f"{in_units(s, sheet.bare)} +/- {in_units(s * _GUESS_DOUBT, sheet.bare)}" for s in sides)


def _place_of_old(sheet: Sheet, old_mm: tuple[Vec, Vec]) -> str:
    from planner.shelf.tape import in_units

    (front, left, low), (rear, right, _) = old_mm
    at, doubt = ((front + rear) / 2, (left + right) / 2, low), in_units(_PLACE_DOUBT_MM, sheet.bare)
    return "bottom " + ", ".join(f"{in_units(mm, sheet.bare)} +/- {doubt}" for mm in at)


def _usual_place(sheet: Sheet, host_mm: tuple[Vec, Vec] | None) -> str:
    """On top of what it is mounted on, in the middle."""
    from planner.shelf.tape import in_units

    doubt = in_units(_PLACE_DOUBT_MM, sheet.bare)
    low, high = host_mm or sheet.limits_mm or ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    top = high[2] if host_mm else 0.0
    at = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, top)
    return "bottom " + ", ".join(f"{in_units(mm, sheet.bare)} +/- {doubt}" for mm in at)
