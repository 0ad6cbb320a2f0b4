"""What a step still waits for, as things stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from planner.log.questions import held_by, open_questions
from planner.log.sizes import look_of, waits_for_look
from planner.log.unended import ending_key, ends_watch
from planner.model.standing import Agreed, Standing
from planner.model.steps import step_of_key
from planner.model.words import DAY_MIN
from planner.model.work import Demand, Task, Toggle
from planner.units.spoken import day_words

MOST_NEEDING = 3
"""Of the steps that need the state that another one ends, so many are named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """One thing a step waits for.

    ``gate``: a checkpoint or a test stands before it, which nobody may pass over. ``parcel``: a purchase that is not
    recorded as arrived, which it must be if the step was done. ``number``: the step that would mend it, where the
    agreed plan has one.
    """

    text: str
    number: int | None = None
    gate: bool = False
    parcel: str = ""

    @property
    def words(self) -> str:
        """The same with the number of the step that mends it before it."""
        return self.text if self.number is None else f"{self.number} {self.text}"


def piece_of_key(agreed: Agreed, key: str) -> Task | Toggle | None:
    """The task or toggle of a step key; None when the work list has none."""
    return agreed.work.find(step_of_key(key))


def open_keys(agreed: Agreed, standing: Standing) -> tuple[str, ...]:
    """Keys of the steps that are not done, in the order of the plan, first those that have to be done again.

    A task that was reopened and is no longer in the plan comes first: the plan has to be made anew for it.
    """
    planned = {step_of_key(k).ref for k in agreed.keys}
    again = [t for t in standing.reopened if t not in planned and t in agreed.work.tasks]
    left = [k for k in agreed.keys if k not in standing.done and step_of_key(k).ref not in standing.skipped]
    return (*again, *left)


def lacks_of(agreed: Agreed, standing: Standing, key: str) -> tuple[Lack, ...]:
    """What a step waits for: other tasks, states of parts and conditions, parcels, something to be put right."""
    piece = piece_of_key(agreed, key)
    if piece is None:
        return (Lack(text="it is not in the work list of the agreed plan"),)
    view = _View(agreed, standing)
    first = tuple(_unended(agreed, standing, key))
    if first:
        return first
    demands = [d for d in piece.demands if not view.holds(d)]
    unsettled = _unsettled(agreed, standing, piece)
    found = [*unsettled, *view.tasks(piece), *(view.state(d) for d in demands), *view.unsigned(piece)]
    if isinstance(piece, Toggle) and piece.ways and not any(all(view.holds(d) for d in way) for way in piece.ways):
        found.append(view.ways(piece))
    if isinstance(piece, Toggle) and piece.feature not in standing.unended:
        found += view.not_so_yet(piece) if key not in standing.done else ()
        told = {one.number for one in found if one.number is not None}
        found += (one for one in view.needing(piece, key) if one.number not in told)
    return (*found, *view.parcels(piece))


def _unended(agreed: Agreed, standing: Standing, key: str) -> Iterator[Lack]:
    """The look at what was heated under a watch that nobody ended: it comes before anything else."""
    if any(ends_watch(key, feature) for feature in standing.unended):
        return
    for feature in standing.unended:
        look = ending_key(agreed, standing, feature)
        title = agreed.work.piece(step_of_key(look)).title if look else "the plan is to be made anew first"
        name = f"{agreed.work.features[feature].name}, not ended on its day"
        yield Lack(text=f"{name}: {title}", number=agreed.named.get(look), gate=True)


def _unsettled(agreed: Agreed, standing: Standing, piece: Task | Toggle) -> Iterator[Lack]:
    """Sizes and questions that metal is not cut, drilled or bent before."""
    look = look_of(agreed, standing)
    if look is not None and waits_for_look(piece, look):
        yield Lack(text=f"STOP: {look.short}")
    for question in held_by(piece, open_questions(agreed, standing)):
        yield Lack(text=f"open question: {question.text} (`knockon record settled {question.id} ANSWER`)")


def unsigned(agreed: Agreed, standing: Standing) -> tuple[str, ...]:
    """Checkpoints made with a step that is done, such as stands rocked, that nobody has signed or that failed."""
    steps = (piece_of_key(agreed, key) for key in standing.done)
    checks = dict.fromkeys(c for p in steps if isinstance(p, Toggle) for c in p.checks)
    return tuple(c for c in checks if not standing.is_passed(c))


def unproved(agreed: Agreed, standing: Standing) -> tuple[str, ...]:
    """Checkpoints that prove a state the vehicle is in now, and that nobody has signed or that failed.

    Until each is passed the state counts for nothing: whatever it was entered for is not safe.
    """
    return tuple(dict.fromkeys(check for _, check in _unproved_states(agreed, standing)))


def _unproved_states(agreed: Agreed, standing: Standing) -> Iterator[tuple[str, str]]:
    """Features entered in the log, each with a check made on entering that is not passed."""
    known = (f for f in agreed.work.features.values() if f.id not in standing.unended)
    entered = (f for f in known if standing.states.get(f.id) is True and f.turn_on is not None)
    pairs = ((f.id, check) for f in entered if f.turn_on is not None for check in f.turn_on.checks)
    yield from (pair for pair in pairs if pair[1] in agreed.work.checkpoints and not standing.is_passed(pair[1]))


def waits_until(agreed: Agreed, standing: Standing, key: str) -> tuple[str, ...]:
    """Waits by the clock that a step may still have to keep, in words: cures, soaks, what is with somebody else."""
    piece = piece_of_key(agreed, key)
    entries = piece.after if isinstance(piece, Task) else ()
    waits = [(agreed.work.tasks[a.task], a.lag_min) for a in entries if a.lag_min and a.task in agreed.work.tasks]
    told = []
    for task, lag_min in waits:
        ends = [line.at for k, line in standing.done.items() if step_of_key(k).ref == task.id]
        if ends and task.orders not in standing.arrived:
            day = f" {day_words(max(ends).date())}" if lag_min >= DAY_MIN else f" {max(ends):%a}"
            told.append(f"{_wait_words(lag_min)} after `{task.title}`, which was done{day} {max(ends):%H:%M}")
    return tuple(told)


def _wait_words(lag_min: int) -> str:
    days, rest = divmod(lag_min, DAY_MIN)
    if days and not rest:
        return "1 day" if days == 1 else f"{days} days"
    return f"{lag_min // 60} h {lag_min % 60} min"


def _ended(piece: Task | Toggle, toggle: Toggle) -> bool:
    """Whether a piece of work is done in the state that a toggle ends."""
    return any(d.feature == toggle.feature and d.on is not toggle.on for d in piece.demands)


@dataclass(frozen=True, slots=True)
class _View:
    agreed: Agreed
    standing: Standing

    def holds(self, demand: Demand) -> bool:
        known = self.agreed.work.features[demand.feature]
        return self.standing.states.get(demand.feature, known.start) is demand.on

    def tasks(self, piece: Task | Toggle) -> Iterator[Lack]:
        waited = [a.task for a in piece.after] if isinstance(piece, Task) else list(piece.after)
        for ref in waited:
            task = self.agreed.work.tasks.get(ref)
            if task is None or self._passed(task):
                continue
            yield Lack(text=task.title, number=self._number(ref), gate=task.checkpoint is not None)

    def _passed(self, task: Task) -> bool:
        made = task.checkpoint is None or self.standing.is_passed(task.checkpoint)
        return task.id in self.standing.finished and made

    def state(self, demand: Demand) -> Lack:
        name = self.agreed.work.features[demand.feature].name
        key = f"{demand.feature}:{'on' if demand.on else 'off'}#"
        number = self._first(k for k in self.agreed.keys if k.startswith(key))
        return Lack(text=f"{name}: {'not yet' if demand.on else 'still so'}", number=number)

    def unsigned(self, piece: Task | Toggle) -> Iterator[Lack]:
        """Checks made on entering a state, such as stands rocked: before anything else, but for ending that state.

        What is done meanwhile need not ask for the state: a vehicle on stands that tilt is not worked on at all. What
        asks nothing of the vehicle, such as a letter to the insurer, goes on.
        """
        if isinstance(piece, Task) and not piece.demands:
            return
        ends = piece.feature if isinstance(piece, Toggle) and not piece.on else ""
        states = _unproved_states(self.agreed, self.standing)
        for check in dict.fromkeys(check for feature, check in states if feature != ends):
            title = self.agreed.work.checkpoints[check].title
            yield Lack(text=f"CHECK {title} (`knockon record check {check}`)", gate=True)

    def ways(self, toggle: Toggle) -> Lack:
        """The way that lacks least."""
        best = min(toggle.ways, key=lambda way: sum(not self.holds(d) for d in way))
        lacking = [self.state(d) for d in best if not self.holds(d)]
        return Lack(text=", ".join(one.text for one in lacking), number=lacking[0].number)

    def not_so_yet(self, toggle: Toggle) -> Iterator[Lack]:
        """What is off already is put back before it can come off once more, and the other way round."""
        if self.holds(Demand(feature=toggle.feature, on=toggle.on)):
            yield self.state(Demand(feature=toggle.feature, on=not toggle.on))

    def needing(self, toggle: Toggle, key: str) -> Iterator[Lack]:
        """Steps that the plan has before this one because they are done in the state that it ends."""
        if key not in self.agreed.keys or self.holds(Demand(feature=toggle.feature, on=toggle.on)):
            return
        before = self.agreed.keys[: self.agreed.keys.index(key)]
        left = (k for k in before if k not in self.standing.done and step_of_key(k).ref not in self.standing.skipped)
        pieces = [(k, p) for k in left if (p := piece_of_key(self.agreed, k)) is not None and _ended(p, toggle)]
        name = self.agreed.work.features[toggle.feature].name
        for k, piece in pieces[:MOST_NEEDING]:
            wanted = f"{name}, not yet" if toggle.on else name
            yield Lack(text=f"{piece.title} (needs: {wanted})", number=self.agreed.named[k])
        if len(pieces) > MOST_NEEDING:
            yield Lack(text=f"and {len(pieces) - MOST_NEEDING} more of the kind")

    def parcels(self, piece: Task | Toggle) -> Iterator[Lack]:
        for buy in piece.purchases:
            known = self.agreed.work.buys.get(buy)
            at_hand = known is None or not known.goods or not known.lead_days
            if known is None or at_hand or buy in self.standing.arrived:
                continue
            due = self.standing.ordered.get(buy)
            told = "" if due is None else f", expected {day_words(due.due)}"
            yield Lack(text=f"{known.what} is not recorded as arrived (`{buy}`){told}", parcel=buy)

    def _number(self, ref: str) -> int | None:
        return self._first(k for k in self.agreed.keys if step_of_key(k).ref == ref)

    def _first(self, keys: Iterable[str]) -> int | None:
        """Number of the first of some steps that is not done."""
        return next((self.agreed.named[k] for k in keys if k not in self.standing.done), None)
