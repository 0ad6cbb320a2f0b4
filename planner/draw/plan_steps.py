"""Steps of a plan as the drawings show them: their number, kind, letter and words."""

from __future__ import annotations

from enum import StrEnum

from planner.draw.picture import Form, Words, plain, rect, words_wide
from planner.draw.sheet import Point
from planner.model.plan import Plan, Slot, Step
from planner.model.work import Toggle, WorkList
from planner.units import format_minutes


class StepKind(StrEnum):
    """What a step is; the value is the letter it has on the paper."""

    DO = "D"
    OFF = "O"
    PUT = "P"
    PROOF = "Q"

    @property
    def words(self) -> str:
        """What the letter stands for."""
        return _WORDS[self]


_WORDS = {
    StepKind.DO: "something is done",
    StepKind.OFF: "taken off, opened, or a state left",
    StepKind.PUT: "put on, closed, or a state entered",
    StepKind.PROOF: "checkpoint: measured, written down, signed",
}
PLAN_WIDE_MM = 225.0
"""Width of the pictures of a plan: printed upright on A4 or Letter, letters of 2.6 mm are 2.1 mm high."""
FILLS = {
    "off": ("M.5 .5h.01M1.5 1.5h.01", 'stroke="#0072B2" stroke-width=".7" stroke-linecap="round"'),
    "put": ("M0 .5H2M0 1.5H2", 'stroke="#009E73" stroke-width=".35"'),
    "proof": ("M.5 0V2M1.5 0V2", 'stroke="#000" stroke-width=".3"'),
    "binds": ("M0 2L2 0M-.5 .5L.5 -.5M1.5 2.5L2.5 1.5", 'stroke="#D55E00" stroke-width=".8"'),
}
"""Patterns in a field of 2 x 2 mm; Okabe and Ito's colours (values from memory), each with strokes of its own."""
LOOKS = {
    "do": "fill:#fff;stroke:#000;stroke-width:.3",
    "off": "fill:url(@off);stroke:#000;stroke-width:.3",
    "put": "fill:url(@put);stroke:#000;stroke-width:.3",
    "proof": "fill:url(@proof);stroke:#000;stroke-width:.6",
    "binds": "fill:url(@binds);stroke:#000;stroke-width:.2",
}
LOOK_OF = {StepKind.DO: "do", StepKind.OFF: "off", StepKind.PUT: "put", StepKind.PROOF: "proof"}


def kind_of(work: WorkList, step: Step) -> StepKind:
    """What a step is; a change of state that is checked on the spot stays a change, and has a Q after its letter."""
    if step.on is None:
        return StepKind.PROOF if work.tasks[step.ref].checkpoint is not None else StepKind.DO
    return StepKind.PUT if step.on else StepKind.OFF


def letters_of(work: WorkList, step: Step) -> str:
    """Its letter, and a Q when a checkpoint is made with a change of state."""
    piece = work.piece(step)
    also = StepKind.PROOF.value if isinstance(piece, Toggle) and piece.checks else ""
    return kind_of(work, step).value + also


def title_of(work: WorkList, slot: Slot) -> str:
    """Title of a slot, with its part when its task is split."""
    title = plain(work.piece(slot.step).title)
    return title if slot.parts == 1 else f"{title} (part {slot.part} of {slot.parts})"


def number_of(numbers: tuple[int, ...], slot: int) -> int:
    """What a slot's step is called by: its own number, or its place in the plan from 1."""
    return numbers[slot] if numbers else slot + 1


def in_order(plan: Plan) -> list[int]:
    """Slots by their start."""
    return sorted(range(len(plan.slots)), key=lambda i: (plan.slots[i].start, plan.slots[i].end, i))


def length_words(slot: Slot) -> str:
    """How long a slot takes."""
    return format_minutes(int((slot.end - slot.start).total_seconds()) // 60)


def kind_legend(at: Point, room_mm: float, *, binds: bool) -> tuple[list[Words | Form], float]:
    """The four kinds, and the mark of what binds; wrapped into the room. Returns the lower edge as well."""
    told = [(LOOK_OF[kind], kind.value, kind.words) for kind in StepKind]
    if binds:
        told.append(("binds", "", "binds the finish"))
    items: list[Words | Form] = []
    x, y = at
    for look, letter, words in told:
        wide = 9.0 + (words_wide(letter, bold=True) + 1.5 if letter else 0.0) + words_wide(words) + 5.0
        if x > at[0] and x + wide > at[0] + room_mm:
            x, y = at[0], y + 5.0
        items.append(Form(d=rect(x, y - 3.0, 7.0, 3.8), look=look))
        items.append(Words(at=(x + 8.5, y), text=letter, bold=True))
        items.append(Words(at=(x + wide - 5.0 - words_wide(words), y), text=words))
        x += wide
    return [i for i in items if not isinstance(i, Words) or i.text], y + 3.0
