"""What carries all other parts of a new vehicle: two rails, a floor, or what its owner describes first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.cli.new_asking import Question, Talk, WrongAnswerError
from planner.cli.new_choice import one_of

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
    return [_floor(bare, limits, talk.ask(_floor_question(bare, whole)))] if sort == FLOOR else []


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


def _floor_question(bare: Bare, whole: Three) -> Question[Taped]:
    from planner.shelf.tape import in_units, read_one
    from planner.units import format_length

    most = whole[2].mm / 2

    def read(text: str) -> Taped:
        size = read_one(text, bare)
        if not 0 < size.mm <= most:
            told = [format_length(mm, bare) for mm in (size.mm, most)]
            raise WrongAnswerError(f"{told[0]} is not between 0 and {told[1]}", "how thick the floor is")
        return size

    return Question(
        words="floor thick",
        read=read,
        default=str(in_units(min(2.0, most), bare)),
        help="thickness of a flat floor as long and wide as the vehicle, its underside at z = 0",
        examples=("2", "18 swg", "1/8 in"),
    )


def _floor(bare: Bare, limits: tuple[Vec, Vec], thick: Taped) -> Entry:
    from planner.shelf.fresh import Called, PartSaid
    from planner.shelf.tape import Shape, Spot, Taped, in_units

    (low_x, low_y, _), (high_x, high_y, _) = limits
    at = [Taped(in_units(mm, bare), mm) for mm in ((low_x + high_x) / 2, 0.0, 0.0)]
    box = [in_units(high_x - low_x, bare), in_units(high_y - low_y, bare), thick.written]
    shape = Shape(written={"box": list(box)}, size_mm=(high_x - low_x, high_y - low_y, thick.mm))
    spot = Spot(at=_three(at), anchor=(0, 0, -1))
    return PartSaid(named=Called(id="floor"), kind="chassis", shape=shape, spot=spot).entry(bare)
