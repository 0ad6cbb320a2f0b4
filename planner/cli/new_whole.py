"""What is asked of a vehicle as a whole: name, units, size over all, where zero is, how sure the sizes are."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from planner.cli.new_asking import Question, Talk, WrongAnswerError
from planner.cli.new_choice import one_of

if TYPE_CHECKING:
    from planner.model.shapes import Vec
    from planner.shelf.fresh import Head
    from planner.shelf.tape import Taped, Three
    from planner.units import Bare


def whole_told(talk: Talk, folder: Path) -> tuple[Head, tuple[Vec, Vec], Three]:
    """What is said of the vehicle as a whole, its box over all, and its size over all."""
    from planner.shelf.fresh import Head

    name = talk.ask(_name_question(folder))
    bare: Bare = "inch" if talk.ask(_units_question()) == "inch" else "mm"
    whole = talk.ask(_overall_question(bare))
    ahead = talk.ask(_length_question("front end ahead of the front axle", "500 mm", bare, (0.0, whole[0].mm)))
    above = talk.ask(_length_question("chassis above the ground", "200 mm", bare, (0.0, whole[2].mm)))
    doubt = talk.ask(_length_question("how sure of a size", "3 mm", bare, (0.0, 100.0)))
    limits = (
        (-ahead.mm, -whole[1].mm / 2, -above.mm),
        (whole[0].mm - ahead.mm, whole[1].mm / 2, whole[2].mm - above.mm),
    )
    told = [str(w.written) for w in whole]
    head = Head(
        folder=str(folder),
        name=name,
        bare=bare,
        doubt=doubt.written,
        ground=_minus(above, bare),
        overall=" x ".join(told) + ("" if any(c.isalpha() for c in told[-1]) else f" {bare}"),
    )
    return head, limits, whole


def _minus(size: Taped, bare: Bare) -> int | float:
    from planner.shelf.tape import in_units

    return in_units(-size.mm, bare)


def _name_question(folder: Path) -> Question[str]:
    from planner.finding.words import quoted
    from planner.shelf.fresh import LONGEST_NAME

    def read(text: str) -> str:
        if len(text) > LONGEST_NAME:
            raise WrongAnswerError(f"the name has {len(text)} characters, {LONGEST_NAME} are allowed", "shorten it")
        if not any(c.isalnum() for c in text):
            raise WrongAnswerError(f"{quoted(text)} is no name", "letters or digits are wanted")
        return text

    name = folder.absolute().name.replace("-", " ").replace("_", " ").strip()
    usual = name if name != name.lower() else name.capitalize()
    fits = any(c.isalnum() for c in usual) and len(usual) <= LONGEST_NAME
    return Question(
        words="name of the vehicle",
        read=read,
        default=usual if fits else "my special",
        help="what you call it; " + ("in brackets the name of its folder" if fits else "printed on all that is drawn"),
        examples=("Clarty trials two-seater",),
    )


def _units_question() -> Question[str]:
    return Question(
        words="units",
        read=one_of(("mm", "inch"), "unit"),
        default="mm",
        help="what a number without a unit means: mm or inch; a unit behind a number always counts",
        examples=("mm", "inch"),
        decides=True,
    )


def _overall_question(bare: Bare) -> Question[Three]:
    from planner.shelf.believed_sizes import see_whole
    from planner.shelf.tape import read_three

    def read(text: str) -> Three:
        whole = read_three(text, bare)
        see_whole((whole[0].mm, whole[1].mm, whole[2].mm), bare)
        return whole

    return Question(
        words="over all",
        read=read,
        default="3500 x 1500 x 1300 mm" if bare == "mm" else "138 x 59 x 51 in",
        help="length x width x height of the whole vehicle; near enough will do, it catches slips later on",
        examples=("3500 x 1500 x 1300", "11 ft 6 in, 4 ft 10 in, 4 ft 3 in", "138 x 59 x 51 in"),
    )


_LENGTH_HELP = {
    "front end ahead of the front axle": "how far the foremost point is ahead of the centre of the front axle",
    "chassis above the ground": "height of the underside of the chassis above the ground: z is measured from there",
    "how sure of a size": "how far off a size may be when you do not say it; a single one may say 620 +/- 5",
}


def _length_question(words: str, usual: str, bare: Bare, between_mm: tuple[float, float]) -> Question[Taped]:
    from planner.shelf.tape import in_units, read_one
    from planner.units import format_length

    low, high = between_mm

    def read(text: str) -> Taped:
        size = read_one(text, bare)
        if not low <= size.mm <= high:
            told = [format_length(mm, bare) for mm in (size.mm, low, high)]
            raise WrongAnswerError(f"{told[0]} is not between {told[1]} and {told[2]}", "check the unit")
        return size

    default = min(read_one(usual, bare).mm, high)
    return Question(
        words=words,
        read=read,
        default=str(in_units(default, bare)) if bare == "mm" else f"{round(default / 25.4, 2):g}",
        help=_LENGTH_HELP[words],
        examples=("200", "20 cm", "7 7/8 in"),
    )
