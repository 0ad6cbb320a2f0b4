"""Open questions: what has to be settled on the vehicle, what waits for it, and what the log says has settled it."""

from __future__ import annotations

from collections.abc import Iterable

from planner.log.sizes import answered_by_tape
from planner.model.log import SettledLine
from planner.model.standing import Agreed, Question, Standing
from planner.model.steps import thing_of
from planner.model.words import Work
from planner.model.work import Task, Toggle

SHAPING = frozenset({Work.DRILLING, Work.CUTTING, Work.BENDING, Work.WELDING, Work.ROUTING})
"""Work that cannot be taken back: metal is cut, drilled, bent or welded, a cable or hose is cut to length."""


def questions_in(agreed: Agreed) -> tuple[Question, ...]:
    """What was open when a plan was agreed; of plans of earlier versions only the words are known."""
    return agreed.asked or tuple(Question(id=text, text=text) for text in agreed.questions)


def settlings(questions: Iterable[Question], standing: Standing) -> dict[str, SettledLine]:
    """Lines of the log that settle questions as they are asked now, by their ids, the last word on each."""
    asked = {q.id: q for q in questions}
    lines = (e for e in standing.entries if isinstance(e, SettledLine))
    return {e.question: e for e in lines if e.question in asked and e.why == asked[e.question].why}


def open_questions(agreed: Agreed, standing: Standing) -> tuple[Question, ...]:
    """Questions that neither a line of the log nor a size measured since has settled."""
    known = settlings(questions_in(agreed), standing).keys() | answered_by_tape(agreed, standing)
    return tuple(q for q in questions_in(agreed) if q.id not in known)


def held_by(piece: Task | Toggle | None, questions: Iterable[Question]) -> tuple[Question, ...]:
    """Questions that hold a step back: it shapes what they are about, or orders it, and nothing takes that back."""
    if not isinstance(piece, Task) or piece.checkpoint is not None or not (piece.work in SHAPING or piece.away):
        return ()
    return tuple(q for q in questions if thing_of(piece.id) in q.about)
