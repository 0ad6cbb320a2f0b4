"""How much later each slot of a plan could end without a later finish day.

A backward pass over the calendar. With F the last moment of work on the finish day, S_i the slots that must follow
slot i (the thread, and the next slot of each pair of hands that does i) with waits w, and d_i its length:

    LE_i = the latest end, in a session with those hands, not after min(F, min(LE_k - d_k - w_ik for k in S_i))

``float_i = LE_i - end_i``. It is what the slot may slip when everything before it is as planned and everything after
it makes way in the same order, each pair of hands keeping its own row of slots.
"""

from __future__ import annotations

from planner.model.words import DAY_MIN
from planner.order.binds_slots import Row, hands_of
from planner.order.calendar import Calendar


def floats_of(row: Row, calendar: Calendar) -> tuple[tuple[int, ...], tuple[int | None, ...]]:
    """Float of each slot [min of wall clock], and the slot that would be held up first; None: the finish day itself."""
    ends = [calendar.minute(s.end) for s in row.slots]
    lengths = [end - calendar.minute(s.start) for s, end in zip(row.slots, ends, strict=True)]
    hands = hands_of(row, calendar.most_hands)
    after = _after(row, hands)
    finish_day = max(ends) // DAY_MIN
    limit = max(b.closes for b in calendar.bays if b.day <= finish_day)
    latest: dict[int, int] = {}
    held: dict[int, int | None] = {}
    for i in reversed(row.order):
        bound, held[i] = limit, None
        for k, wait in after[i].items():
            if latest[k] - lengths[k] - wait < bound:
                bound, held[i] = latest[k] - lengths[k] - wait, k
        needed = row.pieces[i].hands if row.pieces[i].apart else max(hands[i], default=0) + 1
        latest[i] = _latest_end(calendar, bound, lengths[i], needed, row.pieces[i].stay_min)
    every = range(len(ends))
    return tuple(latest[i] - ends[i] for i in every), tuple(held[i] for i in every)


def _after(row: Row, hands: tuple[tuple[int, ...], ...]) -> list[dict[int, int]]:
    """What must follow each slot, with the wait."""
    after: list[dict[int, int]] = [{} for _ in row.slots]
    last: dict[int, int] = {}
    for i in row.order:
        for other, wait in row.before[i].items():
            after[other][i] = wait
        for hand in hands[i]:
            if hand in last:
                after[last[hand]].setdefault(i, 0)
            last[hand] = i
    return after


def _latest_end(calendar: Calendar, bound: int, length: int, hands: int, stay_min: int) -> int:
    """The latest end not after a bound of work without a break; the bound itself when there is none."""
    n = calendar.index_at(bound)
    while n >= 0:
        bay = calendar.bays[n]
        end = min(bound, bay.closes - stay_min)
        if bay.hands >= hands and end - length >= bay.opens:
            return end
        n -= 1
    return bound
