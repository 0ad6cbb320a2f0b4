"""What carries all other parts of a new vehicle: two rails, a floor, or what its owner describes first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.cli.new_asking import Question, Talk, WrongAnswerError
from planner.cli.new_choice import one_of
from planner.cli.new_spot import box_of, span_words

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet
    from planner.model.shapes import Vec
    from planner.shelf.fresh import Entry
    from planner.shelf.tape import Taped, Three
    from planner.units import Bare

RAILS, FLOOR, OTHER = "rails", "floor", "other"


def carried(talk: Talk, sheet: Sheet, whole: Three) -> None:
    """Take in what carries everything else."""
    while True:
        mark = len(talk.given)
        carriers = _carriers(talk, sheet, whole)
        if not carriers:
            return
        tried = sheet.tried(carriers)
        if not tried.errors:
            sheet.take(carriers, tried)
            for entry in carriers:
                talk.say(f"  {span_words(sheet, sheet.printed()[entry.id], *box_of(sheet, entry.id))}")
            return
        error = WrongAnswerError(tried.errors[0].message, f"{tried.errors[0].hint}; or take `{OTHER}`")
        talk.refuse(error, since=mark)


def _carriers(talk: Talk, sheet: Sheet, whole: Three) -> list[Entry]:
    """What carries everything else: two rails, a floor, or nothing yet."""
    bare, limits = sheet.bare, sheet.limits_mm
    if limits is None:
        raise AssertionError("a fresh vehicle has its size over all")
    sort = talk.ask(
        Question(
            words="chassis",
            read=one_of((RAILS, FLOOR, OTHER), "answer"),
            default=RAILS,
            help="what carries all else: two straight rails from end to end, a flat floor, or other parts you describe",
            examples=("rails", "floor", "other    begin with the part that carries the rest: chassis, bulkhead"),
            decides=True,
        )
    )
    if sort == RAILS:
        return _rails(bare, limits, talk.ask(_rails_question(bare, whole)))
    return [_floor(bare, limits, talk.ask(_floor_question(bare, limits)))] if sort == FLOOR else []


def _rails_question(bare: Bare, whole: Three) -> Question[Three]:
    from planner.shelf.tape import in_units, read_three
    from planner.units import format_length

    def read(text: str) -> Three:
        over, wide, high = read_three(text, bare)
        if not 0 < 2 * wide.mm < over.mm <= whole[1].mm or not 0 < high.mm <= whole[2].mm:
            width, height = format_length(whole[1].mm, bare), format_length(whole[2].mm, bare)
            message = f"two rails like that do not fit in {width} of width and {height} of height"
            raise WrongAnswerError(message, "over both outsides first, then how wide and how high one rail is")
        return over, wide, high

    sizes = [min(700.0, 0.5 * whole[1].mm), min(50.0, 0.05 * whole[1].mm), min(80.0, 0.1 * whole[2].mm)]
    return Question(
        words="rails",
        read=read,
        default=" x ".join(str(in_units(mm, bare)) for mm in sizes),
        help="over the outsides of both x width of one x height of one; kinks are for the editor, later",
        examples=("700 x 50 x 80", "27 1/2 x 2 x 3 in"),
    )


def _rails(bare: Bare, limits: tuple[Vec, Vec], sizes: Three) -> list[Entry]:
    from planner.shelf.fresh import Called, PartSaid
    from planner.shelf.tape import Shape, Spot, Taped, in_units

    over, wide, high = sizes
    length = limits[1][0] - limits[0][0]
    entries = []
    for side, way in (("left", -1), ("right", 1)):
        at = ((limits[0][0] + limits[1][0]) / 2, way * (over.mm - wide.mm) / 2, 0.0)
        spot = Spot(at=_three([Taped(in_units(mm, bare), mm) for mm in at]), anchor=(0, 0, -1))
        shape = Shape(
            written={"box": [in_units(length, bare), wide.written, high.written]}, size_mm=(length, wide.mm, high.mm)
        )
        named = Called(id=f"rail-{side}", name=f"{side} chassis rail")
        entries.append(PartSaid(named=named, kind="chassis-rail", shape=shape, spot=spot).entry(bare))
    return entries


def _three(sizes: Sequence[Taped]) -> Three:
    first, second, third = sizes
    return (first, second, third)


def _floor_question(bare: Bare, limits: tuple[Vec, Vec]) -> Question[Three]:
    from planner.shelf.tape import Taped, in_units, read_one, read_three
    from planner.units import MM_PER_INCH, UnitError, format_length

    whole = [high - low for low, high in zip(*limits, strict=True)]
    most = (whole[0], whole[1], whole[2] / 2)
    whole_unit = MM_PER_INCH if bare == "inch" else 1.0
    usual = [round(mm / whole_unit) * whole_unit for mm in _usual_floor_mm(limits)]
    thick_mm = min(0.08 * MM_PER_INCH if bare == "inch" else 2.0, most[2])

    def read(text: str) -> Three:
        try:
            thick = read_one(text, bare)
        except UnitError:
            sizes = read_three(text, bare)
        else:
            length, width = (Taped(in_units(mm, bare), mm) for mm in usual)
            sizes = (length, width, thick)
        for size, limit, name in zip(sizes, most, ("length", "width", "thickness"), strict=True):
            if not 0 < size.mm <= limit:
                told = [format_length(mm, bare) for mm in (size.mm, limit)]
                raise WrongAnswerError(f"a {name} of {told[0]} is not between 0 and {told[1]}", "check the unit")
        return sizes

    return Question(
        words="floor",
        read=read,
        default=" x ".join(str(in_units(mm, bare)) for mm in (*usual, thick_mm)),
        help="length x width x thickness of a flat floor: it begins at the front axle, or ahead of it where it is too "
        "long for that, its underside at z = 0; a thickness alone leaves the rest as guessed",
        examples=("2500 x 1100 x 2", "2", "18 swg", "98 x 43 x 1/8 in"),
    )


WHEELS_MM = 200.0
"""What a floor leaves free on either side for wheels (starting guess)."""


def _usual_floor_mm(limits: tuple[Vec, Vec]) -> tuple[float, float]:
    """Length and width of a floor nobody measured: between the wheels, from the front axle to as far from the rear end.

    A starting guess; at least half as long and as wide as the vehicle.
    """
    length, width = limits[1][0] - limits[0][0], limits[1][1] - limits[0][1]
    return max(length + 2 * limits[0][0], length / 2), max(width - 2 * WHEELS_MM, width / 2)


def _floor(bare: Bare, limits: tuple[Vec, Vec], sizes: Three) -> Entry:
    from planner.shelf.fresh import Called, PartSaid
    from planner.shelf.tape import Shape, Spot, Taped, in_units

    length, width, thick = sizes
    begins_mm = max(limits[0][0], min(0.0, limits[1][0] - length.mm))
    at = [Taped(in_units(mm, bare), mm) for mm in (begins_mm + length.mm / 2, 0.0, 0.0)]
    shape = Shape(written={"box": [s.written for s in sizes]}, size_mm=(length.mm, width.mm, thick.mm))
    spot = Spot(at=_three(at), anchor=(0, 0, -1))
    return PartSaid(named=Called(id="floor"), kind="chassis", shape=shape, spot=spot).entry(bare)
