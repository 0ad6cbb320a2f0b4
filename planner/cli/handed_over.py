"""When something comes back that a step of the job hands over: its days run from that step, not from the order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from planner.cli.logbook import LogBook
from planner.log import piece_of_key
from planner.model.log import OrderedLine
from planner.model.steps import step_of_key
from planner.model.work import Task, Toggle


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver:
    """A step that is still to hand something over: its number, its title and the day it is planned for."""

    number: int | str
    title: str
    planned: date

    def day_from(self, ordered_on: date) -> date:
        """The day from which its days are counted as long as it is not done."""
        return max(self.planned, ordered_on)


def to_hand_over(book: LogBook, buy: str) -> HandedOver | None:
    """The step of the agreed plan by which something bought is handed over; None where none is left to do it."""
    agreed, standing = book.plan(), book.standing
    for key, slot in zip(agreed.keys, agreed.plan.slots, strict=False):
        piece = piece_of_key(agreed, key)
        if isinstance(piece, Task) and piece.orders == buy and key not in standing.done:
            if step_of_key(key).ref in standing.finished or step_of_key(key).ref in standing.skipped:
                continue
            return HandedOver(number=agreed.named.get(key, key), title=piece.title, planned=slot.end.date())
    return None


def on_its_way(book: LogBook, piece: Task | Toggle) -> list[OrderedLine]:
    """The line that says when it is back what a step, done now, hands over; a later day that was promised stays."""
    buy = book.plan().work.buys.get(piece.orders) if isinstance(piece, Task) else None
    if buy is None or not buy.lead_days or book.now is None or buy.id in book.standing.arrived:
        return []
    lead, said, step = timedelta(days=buy.lead_days), book.standing.ordered.get(buy.id), to_hand_over(book, buy.id)
    back = book.now.date() + lead
    if said is None:
        return [OrderedLine(buy=buy.id, due=back)]
    counted = said.at.date() if step is None else step.day_from(said.at.date())
    return [
        OrderedLine(
            buy=buy.id, due=back if said.due in {counted + lead, said.at.date() + lead} else max(back, said.due)
        )
    ]
