"""What binds the finish of a plan: the chain of reasons from the last slot back to the start.

A slot starts as soon as what it must follow is over, its waits and parcels are past, and a session has time and
hands left. The reason told is the one of these that came last; where slots that it need not follow have the hands,
the reason is the hands. The rest of the plan is taken as it stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.plan import Chain, Plan, Tie
from planner.model.work import Toggle, WorkList
from planner.order.binds_floats import floats_of
from planner.order.binds_slots import Row, row_of
from planner.order.binds_words import cause_words, wait_words
from planner.order.calendar import Bay, Calendar, calendar_of
from planner.order.schedule_net import here_min
from planner.units import format_minutes
from planner.units.spoken import hands_words, moment_words, short_day


def binding(work: WorkList, plan: Plan, job: Job, catalog: Catalog, *, today: date) -> Chain:
    """Find what binds the finish, and how much each slot may slip.

    Parameters
    ----------
    work, job, catalog : WorkList, Job, Catalog
        What the plan was made from.
    plan : Plan
        A sound one.
    today : date
        The day the plan was made.

    Returns
    -------
    Chain
        Empty for a plan without slots.

    Raises
    ------
    ValueError
        The slots, by start, are no valid sequence of steps.
    """
    if not plan.slots:
        return Chain(ties=(), float_min=())
    look = Look(work, plan, calendar_of(job, catalog, today))
    ties = [look.tie(max(look.row.order, key=lambda i: plan.slots[i].end))]
    # Each follows one that starts earlier, or that comes before it in the thread: there is no ring.
    while ties[-1].after is not None:
        ties.append(look.tie(ties[-1].after))
    float_min, held = floats_of(look.row, look.calendar)
    return Chain(ties=tuple(reversed(ties)), float_min=float_min, held=held)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What a slot has to wait for: until minute ``at``; ``slot`` with its ``wait`` after its end, or a parcel."""

    at: int
    slot: int | None = None
    wait: int = 0
    parcel: str = ""


class Look:
    """A plan on its calendar, to ask why a slot is where it is."""

    def __init__(self, work: WorkList, plan: Plan, calendar: Calendar) -> None:
        self.work = work
        self.row: Row = row_of(work, plan)
        self.calendar = calendar
        self.starts = [calendar.minute(s.start) for s in plan.slots]
        self.ends = [calendar.minute(s.end) for s in plan.slots]
        self.here = here_min(work, calendar, plan.arrives)

    def tie(self, i: int) -> Tie:
        """The reason why slot ``i`` does not start earlier."""
        start = self.starts[i]
        sources = self._sources(i)
        last = self._last(sources)
        alone = self._fit(i, last.at)
        if alone is None or alone >= start:
            return self._held(i, sources, last)
        beside = self._fit(i, last.at, beside=True)
        if beside is None or beside >= start:
            return self._no_hands(i, alone)
        hold = self._hold(i, beside)
        if hold:
            return Tie(slot=i, sort="hold", text=hold, after=last.slot)
        after = "" if last.slot is None else f"after `{self.row.pieces[last.slot].title}` "
        text = f"{after}nothing holds it back, there are hands and time for it from "
        text += moment_words(self.calendar.at(beside))
        return Tie(slot=i, sort="free", text=text, after=last.slot)

    def _last(self, sources: list[Source]) -> Source:
        """The source that came last; of equals one that could not have been over sooner itself."""
        at = max(s.at for s in sources)
        equals = [s for s in sources if s.at == at]
        bound = (s for s in equals if s.slot is None or not self._is_free(s.slot))
        return next(bound, equals[0]) if len(equals) > 1 else equals[0]

    def _is_free(self, i: int) -> bool:
        """Whether a slot could start earlier, everything else as it is."""
        beside = self._fit(i, max(s.at for s in self._sources(i)), beside=True)
        return beside is not None and beside < self.starts[i] and not self._hold(i, beside)

    def _sources(self, i: int) -> list[Source]:
        """All that a slot waits for, the first day among it; of equals the slot that ends last comes first."""
        waits = sorted(self.row.before[i].items(), key=lambda p: (-(self.ends[p[0]] + p[1]), p[1], -self.starts[p[0]]))
        found = [Source(at=self.ends[other] + wait, slot=other, wait=wait) for other, wait in waits]
        parcels = [b for b in self.row.pieces[i].purchases if b in self.here]
        found += [Source(at=max(0, self.here[b]), parcel=b) for b in parcels]
        return [*found, Source(at=0)]

    def _fit(self, i: int, since: int, *, beside: bool = False) -> int | None:
        """The first start from a minute on in a session with hands and time; ``beside`` the other slots as they are."""
        length, stay_min = self.ends[i] - self.starts[i], self.row.pieces[i].stay_min
        for bay in self.calendar.bays[self.calendar.first_closing_after(since) :]:
            if bay.hands < self.row.pieces[i].hands:
                continue
            begin = max(since, bay.opens)
            moments = [begin]
            if beside:
                moments += sorted({e for e in self.ends if begin < e <= bay.closes})
            for at in moments:
                if at + length + stay_min <= bay.closes and (not beside or self._free(i, at, at + length, bay)):
                    return at
        return None

    def _free(self, i: int, begin: int, end: int, bay: Bay) -> bool:
        """Whether the other slots leave hands enough from one minute to another."""
        others = [k for k in range(len(self.ends)) if k != i and self.starts[k] < end and self.ends[k] > begin]
        moments = {begin, *(self.starts[k] for k in others if self.starts[k] > begin)}
        most = max(
            (sum(self._load(k, bay) for k in others if self.starts[k] <= at < self.ends[k]) for at in moments),
            default=0,
        )
        return begin == end or most + self._load(i, bay) <= bay.hands

    def _load(self, i: int, bay: Bay) -> int:
        """Hands that a slot keeps from others in a session."""
        return bay.hands if self.row.pieces[i].apart else self.row.pieces[i].hands

    def _held(self, i: int, sources: list[Source], last: Source) -> Tie:
        """The tie of a slot that has to wait for its sources, and for a session after the last of them."""
        start = self.starts[i]
        if last.slot is not None and last.at == start:
            if last.wait:
                return self._tie(i, "wait", wait_words(self.row, self.work, i, last.slot, self.calendar), last)
            return self._tie(i, "step", cause_words(self.row, self.work, i, last.slot), last)
        # Would it have started earlier, had the last thing it waits for taken no wait or never been in the post?
        others = [s for s in sources if s is not last]
        if last.parcel and self._sooner(i, max(s.at for s in others)):
            return self._tie(i, "parcel", self._parcel_words(i, last), last)
        if last.parcel:
            last = max(others, key=lambda s: s.at)
        if last.wait and last.slot is not None:
            without = max([self.ends[last.slot], *(s.at for s in sources if s is not last)])
            if self._sooner(i, without):
                words = wait_words(self.row, self.work, i, last.slot, self.calendar)
                return self._tie(i, "wait", f"{words}; {self._next_words(i)}", last)
        return self._no_session(i, last)

    def _sooner(self, i: int, since: int) -> bool:
        fit = self._fit(i, since)
        return fit is not None and fit < self.starts[i]

    def _parcel_words(self, i: int, last: Source) -> str:
        what = self.work.buys[last.parcel].what if last.parcel in self.work.buys else last.parcel
        return f"`{what}` arrives {short_day(self.calendar.at(last.at))}; {self._next_words(i)}"

    def _next_words(self, i: int) -> str:
        return f"the next session with time for it opens {moment_words(self.calendar.at(self.starts[i]))}"

    def _no_session(self, i: int, last: Source) -> Tie:
        """The tie of a slot that waits for a session: none is, or those there are have no time or hands for it."""
        start, piece = self.starts[i], self.row.pieces[i]
        after = f"after `{self.row.pieces[last.slot].title}` " if last.slot is not None else ""
        between = [b for b in self.calendar.bays if b.closes > last.at and b.opens < start]
        if not between:
            if last.slot is None:
                return self._tie(i, "start", "work begins with the first session", last)
            return self._tie(i, "session", f"{after}no session before this one", last)
        able = [b for b in between if b.hands >= piece.hands]
        left = max(0, *(b.closes - max(b.opens, last.at) for b in able or between))
        if not able and left >= self.ends[i] - start + piece.stay_min:
            words = f"takes {hands_words(piece.hands)}: {after}no session before this one has so many"
            return self._tie(i, "hands", words, last)
        many = f" with {hands_words(piece.hands)}" if able and piece.hands > 1 else ""
        length = self._time_taken(i)
        room = format_minutes(left)
        words = f"{after}no session{many} before this one has more than {room} left for it; it takes {length}"
        return self._tie(i, "session", words, last)

    def _no_hands(self, i: int, alone: int) -> Tie:
        """The tie of a slot whose hands are at other things."""
        start, piece = self.starts[i], self.row.pieces[i]
        busy = [
            k
            for k in range(len(self.ends))
            if k != i and alone < self.ends[k] <= start and self.starts[k] < self.ends[k]
        ]
        if not busy:
            words = f"from {moment_words(self.calendar.at(alone))} on hands are at what comes after it"
            return Tie(slot=i, sort="hands", text=words)
        other = max(busy, key=lambda k: (self.ends[k], k))
        words = f"takes {hands_words(piece.hands)}, " if piece.hands > 1 else ""
        until = f"until {moment_words(self.calendar.at(self.ends[other]))}"
        if self.row.pieces[other].apart:
            words += f"nothing is done beside `{self.row.pieces[other].title}`, {until}"
        elif piece.apart:
            words += f"nothing is done beside it, and `{self.row.pieces[other].title}` is {until}"
        else:
            words += f"hands are at `{self.row.pieces[other].title}` {until}"
        if self.ends[other] < start:
            length = self._time_taken(i)
            words += f", which leaves no session with time for it (it takes {length}) before this one"
        return Tie(slot=i, sort="hands", text=words, after=other)

    def _time_taken(self, i: int) -> str:
        """How long a slot is, and what of its session is left after it."""
        stay_min = self.row.pieces[i].stay_min
        more = f" and leaves {format_minutes(stay_min)} of its session" if stay_min else ""
        return format_minutes(self.ends[i] - self.starts[i]) + more

    def _hold(self, i: int, begin: int) -> str:
        """How the vehicle must stand at the end of a session between ``begin`` and slot ``i``, and would not."""
        piece = self.row.pieces[i]
        if not isinstance(piece, Toggle):
            return ""
        for bay in self.calendar.bays:
            if not begin <= bay.closes <= self.starts[i]:
                continue
            for hold in self.work.holds.values():
                wrong = any(d.feature == piece.feature and d.on != piece.on for d in hold.demands)
                if wrong and hold.asks(self.calendar.day_of(bay.opens)):
                    day = short_day(self.calendar.at(bay.opens))
                    return f"`{hold.title}` at the end of the session on {day}: it would not hold with this done"
        return ""

    @staticmethod
    def _tie(i: int, sort: str, text: str, last: Source) -> Tie:
        return Tie(slot=i, sort=sort, text=text, after=last.slot)
