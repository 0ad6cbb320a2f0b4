"""Why steps cannot be placed, in words: one line for each cause, the smallest cause first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.model.work import Task, Toggle, WorkList
from planner.order.calendar import Calendar
from planner.order.pack import Packer
from planner.order.schedule_net import LEAST_PIECE_MIN, Net
from planner.units.spoken import hands_words

Piece = Task | Toggle
_DAYS_NAMED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the words are about: the steps of a net with their titles."""

    work: WorkList
    calendar: Calendar
    pieces: tuple[Piece, ...]
    arrives: dict[str, date]


def too_big(told: Told) -> tuple[str, ...]:
    """Say of the steps that fit no session at all why: a line for each cause."""
    if not told.pieces:
        return ()
    if not told.calendar.sessions:
        return ("there is no work session from the first day on: give the job sessions, dated or every week",)
    most = max(s.hands for s in told.calendar.sessions)
    lacking = [p for p in told.pieces if p.hands > most]
    words = [_too_many_hands(lacking, most)] if lacking else []
    any_hands = _room_min(told.calendar, 1)
    too_long = [p for p in told.pieces if p.hands <= most and _whole_min(p) > any_hands]
    if too_long:
        words.append(_too_long(told.calendar, too_long, "any session leaves", any_hands))
    for hands in sorted({p.hands for p in told.pieces if p.hands <= most}):
        room = _room_min(told.calendar, hands)
        stuck = [p for p in told.pieces if p.hands == hands and room < _whole_min(p) <= any_hands]
        if stuck:
            words.append(_too_long(told.calendar, stuck, f"any session with {hands_words(hands)} leaves", room))
    return tuple(words)


def _whole_min(piece: Piece) -> int:
    """Minutes that must be had in one session: all of them, unless the task may be split."""
    if isinstance(piece, Task) and piece.splits:
        return min(piece.minutes, LEAST_PIECE_MIN) + piece.stay_min
    return piece.minutes + piece.stay_min


def _room_min(calendar: Calendar, hands: int) -> int:
    """Minutes that the longest session with so many hands leaves for work."""
    return max((b.room for b in calendar.bays if b.hands >= hands), default=0)


def _too_many_hands(lacking: Sequence[Piece], most: int) -> str:
    least, greatest = min(p.hands for p in lacking), max(p.hands for p in lacking)
    title = next(p.title for p in lacking if p.hands == greatest)
    hint = f"no session has more than {most}{{}}: give a session `hands: {greatest}`"
    if len(lacking) == 1:
        return f"`{title}` needs {hands_words(greatest)} and " + hint.format("")
    need = hands_words(greatest) if least == greatest else f"{least} to {hands_words(greatest)}"
    return f"{len(lacking)} steps need {need} and " + hint.format(f", `{title}` among them")


def _too_long(calendar: Calendar, steps: Sequence[Piece], than: str, room_min: int) -> str:
    longest = max(steps, key=_whole_min)
    taken = f"{calendar.setup_min} min of setting up"
    if calendar.tidy_min:
        taken += f" and {calendar.tidy_min} min of putting away"
    limit = f"longer than {than} (at most {room_min} min after {taken})"
    if len(steps) == 1:
        return f"`{longest.title}` takes {_long_words(longest)}, {limit}"
    return f"{len(steps)} steps are {limit}; the longest, `{longest.title}`, takes {_long_words(longest)}"


def _long_words(piece: Piece) -> str:
    after = f" and {piece.stay_min} min of staying by it" if piece.stay_min else ""
    return f"{piece.minutes} min{after}"


def left_over(told: Told, net: Net, packer: Packer) -> tuple[str, ...]:
    """Say why steps are left when the sessions ran out: a parcel that comes too late, hands, or time."""
    last = told.calendar.sessions[-1].day
    left = [i for i in range(net.size) if i not in packer.ends]
    late = sorted({b for i in left for b in told.pieces[i].purchases if told.arrives.get(b, last) > last})
    if late:
        return (_too_late(told, late, last),)
    if not left:
        return (f"no plan was found in the sessions up to {last}",)
    first = told.pieces[left[0]].title
    words = f"{len(left)} steps, `{first}` the first of them, do not fit into the sessions up to {last}"
    if len(left) == 1:
        words = f"one step, `{first}`, does not fit into the sessions up to {last}"
    waiting = sorted(packer.due())
    hands = min((net.hands[i] for i in waiting), default=1)
    able = [s.day for s in told.calendar.sessions if s.hands >= hands]
    if len(able) < len(told.calendar.sessions):
        title = next(told.pieces[i].title for i in waiting if net.hands[i] == hands)
        words += (
            f": nothing goes on without {hands_words(hands)}, for `{title}` first, and {len(able)} of"
            f" {len(told.calendar.sessions)} sessions {'has' if len(able) == 1 else 'have'} so many ({_days(able)}):"
            f" give later ones `hands: {hands}`"
        )
    return (words,)


def _days(days: Sequence[date]) -> str:
    """The days of some sessions, the last of many."""
    if len(days) > _DAYS_NAMED:
        return f"the last on {days[-1]}"
    return f"on {', '.join(str(d) for d in days)}"


def _too_late(told: Told, late: Sequence[str], last: date) -> str:
    """Name the purchase that comes last of those that come after the last session."""
    worst = max(late, key=lambda b: told.arrives[b])
    buy, here = told.work.buys[worst], told.arrives[worst]
    ordered = here - timedelta(days=buy.lead_days)
    more = f"; {len(late) - 1} more too late" if len(late) > 1 else ""
    return f"`{buy.what}`, ordered {ordered}, is here {here}, after the last work session looked at ({last}){more}"
