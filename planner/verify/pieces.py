"""Is every task there in one piece of its own length, or in parts that add up: from the slots of a plan."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from planner.model.plan import Slot
from planner.model.work import Task, WorkList
from planner.verify.replay import Stretch, piece_of
from planner.verify.words import Numbered, clock, named

_TICK = timedelta(microseconds=1)
_EPOCH = datetime(2000, 1, 1)  # noqa: DTZ001 the plan's clock is the wall clock


def stretches_of(work: WorkList, slots: Numbered) -> tuple[Stretch, ...]:
    """Give each step from its first begin to its last end: the parts of a split task are one stretch."""
    grouped: list[list[tuple[int, Slot]]] = []
    split: dict[str, list[tuple[int, Slot]]] = {}
    for number, slot in slots:
        if not _may_split(work, slot):
            grouped.append([(number, slot)])
        elif slot.step.ref in split:
            split[slot.step.ref].append((number, slot))
        else:
            split[slot.step.ref] = [(number, slot)]
            grouped.append(split[slot.step.ref])
    return tuple(
        Stretch(
            number=group[0][0],
            step=group[0][1].step,
            begin=(min(slot.start for _, slot in group) - _EPOCH) // _TICK,
            end=(max(slot.end for _, slot in group) - _EPOCH) // _TICK,
        )
        for group in grouped
    )


def piece_faults(work: WorkList, slots: Numbered) -> Iterator[str]:
    """Give a sentence for each slot of the wrong length and each part that is lost, misnumbered or out of place."""
    split: dict[str, list[tuple[int, Slot]]] = {}
    for number, slot in slots:
        if _may_split(work, slot):
            split.setdefault(slot.step.ref, []).append((number, slot))
            continue
        piece = piece_of(work, slot.step)
        if piece is not None and _took_min(slot) != piece.minutes:
            yield f"{named(number, slot)}: it lasts {_took_min(slot):g} min and should last {piece.minutes} min"
        if (slot.part, slot.parts) != (1, 1):
            yield f"{named(number, slot)}: it is told as part {slot.part} of {slot.parts} and may not be split"
    for task_id, parts in sorted(split.items()):
        yield from _part_faults(work.tasks[task_id], parts)


def _may_split(work: WorkList, slot: Slot) -> bool:
    return slot.step.on is None and slot.step.ref in work.tasks and work.tasks[slot.step.ref].splits


def _took_min(slot: Slot) -> float:
    return (slot.end - slot.start).total_seconds() / 60


def _part_faults(task: Task, parts: Numbered) -> Iterator[str]:
    together = sum(_took_min(slot) for _, slot in parts)
    if len(parts) == 1 and together != task.minutes:
        yield f"{named(*parts[0])}: it lasts {together:g} min and should last {task.minutes} min"
    elif together != task.minutes:
        numbers = ", ".join(str(number) for number, _ in parts)
        yield (
            f"slots {numbers}, task `{task.id}`: its {len(parts)} parts last {together:g} min "
            f"and should last {task.minutes} min"
        )
    seen: dict[int, int] = {}
    until: tuple[datetime, int] | None = None
    for part, (number, slot) in enumerate(parts, start=1):
        name = named(number, slot)
        if (slot.part, slot.parts) != (part, len(parts)):
            yield f"{name}: it is told as part {slot.part} of {slot.parts} and is part {part} of {len(parts)}"
        if len(parts) > 1 and slot.end <= slot.start:
            yield f"{name}: a part of it lasts {_took_min(slot):g} min"
        if slot.session in seen:
            yield f"{name}: session {slot.session} has a part of it already, slot {seen[slot.session]}"
        seen.setdefault(slot.session, number)
        if until is not None and slot.start < until[0]:
            yield f"{name}: it starts at {clock(slot.start)}, before its part in slot {until[1]} ends"
        until = (slot.end, number)
