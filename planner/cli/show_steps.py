"""The steps of a session on the terminal, with their tools, cautions and checks."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.export.plan_words import BLOCKS, open_of, piece_of
from planner.log.questions import held_by
from planner.model.answer import Answer
from planner.model.plan import Slot
from planner.model.standing import Question
from planner.model.work import Checkpoint, Task, Toggle


def show_care(console: Console, items: list[Task | Toggle], told: set[str]) -> None:
    """Tools of the session, and a line for each caution that comes up in it for the first time."""
    tools = list(dict.fromkeys(t for item in items for t in item.tools))
    if tools:
        console.print(Text(f"tools: {', '.join(tools)}", style="dim"))
    cautions = dict.fromkeys(c for item in items for c in item.cautions)
    for caution in cautions:
        if caution not in told:
            console.print(Text(f"! {caution.rstrip('.')}", style="dim"))
    told.update(cautions)


def show_steps(console: Console, answer: Answer, slots: list[tuple[int, Slot]], *, short: bool) -> None:
    """The steps of one session, each with the number it is called by."""
    work, questions = answer.work, open_of(answer)
    table = Table.grid(padding=(0, 2, 0, 0))
    for justify in ("right", "left", "right"):
        table.add_column(justify=justify, no_wrap=True)
    table.add_column(ratio=1)
    for n, slot in slots:
        item = piece_of(work, slot.step)
        length = int((slot.end - slot.start).total_seconds()) // 60
        minutes = f"{length} min" + (f" x{item.hands}" if item.hands > 1 else "")
        text = _step_text(answer, n, item, questions, short=short)
        if slot.parts > 1:
            text = Text.assemble(f"(part {slot.part} of {slot.parts}) ", text)
        table.add_row(str(answer.number(n)), f"{slot.start:%H:%M}", minutes, text)
    console.print(table)


def _step_text(answer: Answer, n: int, item: Task | Toggle, questions: Sequence[Question], *, short: bool) -> Text:
    work, why = answer.work, answer.plan.why[n]
    checks: tuple[str, ...] = item.checks if isinstance(item, Toggle) else ()
    if isinstance(item, Task) and item.checkpoint is not None:
        checks = (item.checkpoint,)
    text = Text(item.title, style="bold" if checks else "")
    for question in held_by(item, questions):
        text.append(f"\n! first settle {question.id}" + ("" if short else f": {question.text}"))
    if short:
        return text
    if isinstance(item, Toggle):
        text.append(f"\n{why}", style="dim")
        for step in item.steps:
            text.append(f"\n- {step}")
    else:
        for note in item.notes:
            text.append(f"\n- {note}")
    for check in checks:
        text.append("\n").append_text(_check_text(work.checkpoints[check], each=isinstance(item, Toggle)))
    return text


def _check_text(checkpoint: Checkpoint, *, each: bool) -> Text:
    name = f"{checkpoint.title}: " if each else ""
    text = Text(f"[ ] CHECK {name}", style="bold")
    text.append(f"{checkpoint.measure}. Limit: {checkpoint.limit}. ", style="")
    holds = [BLOCKS.get(b, b) for b in checkpoint.blocks]
    if holds:
        text.append(f"Until it is passed: {'; '.join(holds)}. ", style="")
    text.append(checkpoint.caution, style="italic")
    return text
