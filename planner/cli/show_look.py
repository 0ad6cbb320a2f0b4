"""What sizes measured since the plan was agreed make of it, and what is still open, on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from planner.cli.looking import ways_on
from planner.cli.terminal import indented
from planner.log.questions import held_by, open_questions, questions_in, settlings
from planner.log.ready import open_keys, piece_of_key
from planner.log.sizes import look_of, waits_for_look
from planner.log.unended import ending_key, heated_in, unended_words
from planner.log.words import step_words
from planner.model.steps import step_of_key

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook


def show_stop(console: Console, book: LogBook) -> None:
    """Say what stops the work: a watch that was never ended, sizes of the log with which the plan does not hold."""
    agreed = book.plan()
    _show_unended(console, book)
    look = look_of(agreed, book.standing)
    if look is None or not look.stops:
        return
    console.print(Text(f"STOP: {look.words}.", style="bold"))
    waiting = sum(waits_for_look(piece_of_key(agreed, k), look) for k in open_keys(agreed, book.standing))
    if waiting:
        steps = "1 step that marks, cuts, drills or makes waits"
        steps = steps if waiting == 1 else f"{waiting} steps that mark, cut, drill or make wait"
        console.print(Text(f"{steps} until that is settled. What leads on:"))
    for line in ways_on(book, look):
        console.print(indented(f"- {line}"))


def _show_unended(console: Console, book: LogBook) -> None:
    """Say which watch nobody has signed as over, what was heated under it, and which step sees to it."""
    agreed, standing = book.plan(), book.standing
    for feature, told in zip(standing.unended, unended_words(agreed, standing), strict=True):
        console.print(Text(f"STOP: {told}.", style="bold"))
        day = standing.unended[feature].date()
        for key in heated_in(agreed, standing, feature):
            sign = f"knockon record check {agreed.named[key]} 'MIN yes' --at {day}THH:MM"
            over = "" if key in standing.done else f" (not signed; if it was done, and watched to its end: {sign})"
            console.print(indented(f"- {step_words(key, agreed)}{over}"))
        look = ending_key(agreed, standing, feature)
        if not look:
            console.print(indented(f"`knockon replan {book.project} {book.job}` plans the look"))
            continue
        step, is_leaving = agreed.named[look], step_of_key(look).on is False
        anew = "; new heat wants it set up anew: knockon replan" if is_leaving else ""
        console.print(indented(f"then: knockon done {step}{anew}"))
        if is_leaving:
            console.print(indented(f"if it was kept to its end, say so: knockon done {step} --at {day}THH:MM"))


def question_lines(book: LogBook) -> list[str]:
    """Open questions, each with the name that `record settled` takes and how many steps wait for it."""
    agreed, standing = book.plan(), book.standing
    pieces = [piece_of_key(agreed, k) for k in open_keys(agreed, standing)]
    lines = []
    for question in open_questions(agreed, standing):
        held = sum(bool(held_by(piece, (question,))) for piece in pieces)
        waits = f" ({held} step{' waits' if held == 1 else 's wait'} for it)" if held else ""
        lines.append(f"{question.id}: {question.text}{waits}" if question.id != question.text else question.text)
    return lines


def settled_lines(book: LogBook) -> list[str]:
    """Questions that the log has an answer to."""
    agreed = book.plan()
    known = settlings(questions_in(agreed), book.standing)
    return [f"{q.text}: {known[q.id].answer}" for q in questions_in(agreed) if q.id in known]


def held_count(book: LogBook) -> int:
    """How many steps wait for open questions."""
    agreed, standing = book.plan(), book.standing
    left = open_questions(agreed, standing)
    return sum(bool(held_by(piece_of_key(agreed, k), left)) for k in open_keys(agreed, standing))
