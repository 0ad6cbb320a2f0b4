"""The points a link goes by, told when the question of its run is settled."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from planner.log.questions import questions_in, settlings

if TYPE_CHECKING:
    from collections.abc import Mapping

    from planner.cli.logbook import LogBook
    from planner.model.shapes import Vec
    from planner.model.standing import Question
    from planner.model.vehicle import Link

_RUN = ("the run of ", "the run drawn for ")
_LEADS = ("by way of", "via", "by")


def is_of_run(question: Question) -> bool:
    """Whether it is asked how a link goes from end to end."""
    return question.text.startswith(_RUN)


def points_told(answer: str, units: str) -> tuple[Vec, ...]:
    """The points [mm, vehicle axes] that an answer names, `480 306 74; 560 306 74`; none where it says anything else.

    Parameters
    ----------
    units : str
        Of a number that has none, "mm" or "inch".
    """
    from planner.shelf.tape import read_three
    from planner.units import UnitError

    text = answer.strip()
    lead = next((w for w in _LEADS if text.lower().startswith(f"{w} ")), "")
    points = []
    for one in text[len(lead) :].split(";"):
        try:
            x, y, z = read_three(one, "inch" if units == "inch" else "mm")
        except UnitError:
            return ()
        points.append((x.mm, y.mm, z.mm))
    return tuple(points)


def run_words(question: Question, answer: str, units: str) -> str:
    """What becomes of an answer to how a link goes."""
    if points_told(answer, units):
        return "those are the points it goes by: `knockon adopt` writes them under its `via`"
    return (
        "the file will have it straight from end to end, and `check` may call that an error: settle it with the points "
        f"it goes by, measured on the vehicle, such as: knockon record settled {question.id} '480 306 74; 560 306 74'"
    )


def led_as_told(book: LogBook, links: Mapping[str, Link], units: str) -> dict[str, Link]:
    """Links whose run was told in points when the question of it was settled, each by way of those."""
    asked = [q for q in questions_in(book.plan()) if is_of_run(q) and q.id in links]
    found = {i: points_told(line.answer, units) for i, line in settlings(asked, book.standing).items()}
    return {i: replace(links[i], via_mm=points) for i, points in found.items() if points}
