"""What holds a slot back, in words."""

from __future__ import annotations

from planner.model.work import Task, WorkList
from planner.order.binds_slots import Row
from planner.order.calendar import Calendar
from planner.units import format_minutes
from planner.units.spoken import moment_words


def cause_words(row: Row, work: WorkList, slot: int, other: int) -> str:
    """Why a slot must follow another."""
    mine, its = row.pieces[slot], row.pieces[other]
    node, before = row.nodes[slot], row.nodes[other]
    if node == before:
        return f"goes on where part {row.slots[other].part} left off"
    if node.number and node.ref == before.ref:
        return f"`{its.title}` comes before it"
    if isinstance(its, Task):
        afters = [a.task for a in mine.after] if isinstance(mine, Task) else list(mine.after)
        if before.ref in afters:
            return f"comes after `{its.title}`"
        point = work.checkpoints.get(its.checkpoint or "")
        if point is not None and node.ref in point.blocked:
            return f"`{its.title}` must be passed before it"
    if node.number:
        return f"`{its.title}` comes before it and needs things as they are ({work.features[node.ref].name})"
    return f"needs `{its.title}` done first"


def wait_words(row: Row, work: WorkList, slot: int, other: int, calendar: Calendar) -> str:
    """What a slot waits for after another has ended."""
    its, wait = row.pieces[other], row.before[slot][other]
    until = moment_words(calendar.at(calendar.minute(row.slots[other].end) + wait))
    node, length = row.nodes[slot], format_minutes(wait)
    if node.number:
        return f"{work.features[node.ref].name} is left alone for {length} after `{its.title}`, until {until}"
    return f"waits {length} after `{its.title}`, until {until}"
