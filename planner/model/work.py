"""The work a job asks for, before it is put in order: features, toggles, tasks, checkpoints, purchases."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

from planner.model.plan import Step
from planner.model.steps import is_mending, thing_of
from planner.model.words import Work

ENDING = "left:"
"""What the ids of holds begin with that no session ends without."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How long a piece of work takes when all goes well and when it goes badly [min]; its ``minutes`` lie between."""

    low_min: int
    high_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """A trial fit may fail: with ``chance`` (0 to 1, each time anew) the tasks ``redo`` and the trial are done again.

    ``most``: after so many goes it is taken to fit.
    """

    chance: float
    redo: tuple[str, ...]
    most: int = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """Feature ``feature`` must be in state ``on`` while the task or toggle is done.

    ``last``: and must never change state again afterwards (tests and sign-offs).
    """

    feature: str
    on: bool
    last: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Toggle:
    """Changing a feature to ``on`` (fit, enter, close) or to not ``on`` (take off, leave, open).

    ``demands`` must all hold; of ``ways`` (alternatives) at least one must hold as well, unless it is empty.
    ``after`` are tasks that must be finished before *any* such toggle. ``checks`` are made at once, every time.
    """

    feature: str
    on: bool
    title: str
    work: Work
    minutes: int
    hands: int
    demands: tuple[Demand, ...] = ()
    ways: tuple[tuple[Demand, ...], ...] = ()
    after: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    purchases: tuple[str, ...] = ()
    """Purchases that must have arrived."""
    spread: Spread | None = None
    late: bool = False
    """Done as late as can be, just before what needs it: the state it ends keeps those safe who work in it, or the one
    it begins, such as a vehicle lifted, is not to last longer than it must."""
    apart: bool = False
    """Nothing else is done meanwhile, however many hands there are: the vehicle is lifted, or moves."""
    dislike_min: int | None = 0
    """What the owner would rather work longer than do this [hand-min], each time; None: never to be done."""
    stay_min: ClassVar[int] = 0
    """As of a task; a change of state leaves nothing to watch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """A two-state thing: a component (or link) in a home, a condition, a circuit being whole.

    ``goal`` None means either state will do at the end. A missing toggle means it can never be changed that way.
    """

    id: str
    name: str
    start: bool
    goal: bool | None
    turn_on: Toggle | None
    turn_off: Toggle | None
    subject: str = ""
    """The component, link, condition or system it is about."""

    @property
    def toggles(self) -> tuple[Toggle, ...]:
        """The toggles it has, first the one that fits or enters."""
        return tuple(t for t in (self.turn_on, self.turn_off) if t is not None)

    def toggle(self, *, on: bool) -> Toggle | None:
        """The toggle that brings it into a state; None when it can never be changed that way."""
        return self.turn_on if on else self.turn_off


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """Not before ``lag_min`` of wall-clock time have passed since the end of ``task``."""

    task: str
    lag_min: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece of work that is done once."""

    id: str
    title: str
    work: Work
    minutes: int
    hands: int = 1
    demands: tuple[Demand, ...] = ()
    after: tuple[After, ...] = ()
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    why: str = ""
    """The effect it comes from, in words."""
    effect: str = ""
    """Id of that effect, "" for the owner's own tasks."""
    purchases: tuple[str, ...] = ()
    keep_min: int = 0
    """Minutes of wall-clock time after its end during which the features it demands may not be toggled (cure, soak)."""
    checkpoint: str | None = None
    notes: tuple[str, ...] = ()
    """What the work is done to, such as the cut list of a run."""
    spread: Spread | None = None
    splits: bool = False
    """May be laid down and taken up again in a later session; the states it demands hold all the while."""
    apart: bool = False
    """Nothing else is done meanwhile, however many hands there are: the engine runs, or the vehicle moves."""
    stay_min: int = 0
    """Minutes of its session that are left at its end, and at the end of each part of it: somebody stays that long by
    what may still smoulder, and may do other work meanwhile."""
    again: Again | None = None
    away: bool = False
    """By it what it is about is ordered, or handed over, to be made to what was measured: nothing takes that back."""

    @property
    def is_test(self) -> bool:
        """Whether it proves other work, and so has to be made again when what it rests on is done after it."""
        return self.checkpoint is not None or self.work is Work.TESTING or any(d.last for d in self.demands)

    @property
    def orders(self) -> str:
        """Id of the purchase that is ordered, or handed over, by it; empty where none is."""
        return f"buy:{thing_of(self.id)}" if self.away else ""

    def hangs_on(self, other: Task) -> bool:
        """Whether another task is work that this one, a check that was found not to apply, is itself about.

        Another test says nothing of that, nor does what puts one right: they leave built what is built. Work that is
        signed itself, as a weld with its fire watch, is never about anything else.
        """
        own = other.id == self.id or self.work is not Work.TESTING
        is_work = other.work is not Work.TESTING and not is_mending(other.id)
        return own or (is_work and any(a.task == other.id for a in self.after))


@dataclass(frozen=True, slots=True, kw_only=True)
class Checkpoint:
    """A rule called for by this job. ``blocked`` lists task ids that may not be done while it is open."""

    id: str
    rule: str
    subject: str
    title: str
    measure: str
    limit: str
    unit: str
    low: float | None
    high: float | None
    blocks: tuple[str, ...]
    blocked: tuple[str, ...]
    caution: str
    source: str
    why: str
    each_time: bool = False
    """Made with every toggle that lists it in ``checks`` rather than once as a task."""
    filled_again: bool = False
    """When it fails, its circuits are filled and bled, or set, once more after it is put right."""
    asks: bool = False
    """It reads an answer that somebody else gives, as an insurer; False in plans of earlier versions."""
    also: tuple[str, ...] | None = None
    """Of ``limit``, what has to be so besides the number that is read; None in plans of earlier versions, that do not
    say what of it the number says."""

    @property
    def is_counted(self) -> bool:
        """Whether it is a number that is read."""
        return self.low is not None or self.high is not None

    @property
    def beside(self) -> tuple[str, ...]:
        """What yes is said to besides the number; where nobody says what that covers, all of the limit."""
        if not self.is_counted:
            return ()
        return (self.limit,) if self.also is None else self.also


@dataclass(frozen=True, slots=True, kw_only=True)
class Buy:
    """A line of the buying list."""

    id: str
    what: str
    price: float
    lead_days: int
    for_part: str
    lead_told: bool = True
    """Whether anybody said how long it takes to come; else it is planned as if it were at hand."""
    goods: bool = True
    """False: nothing is bought, something only has to be waited for, such as a coat that cures."""
    from_min: int = 0
    """Minutes after midnight of its day from which it is here."""
    used_up: bool = False
    """Fluid, pins, washers, clips: from the shelf or any shop, so nobody is asked for its price or its lead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """States that must hold when a work session ends, until the next one begins.

    Asked of the sessions on ``weekdays`` (0 is Monday) and on ``days``; of every session when both are empty.
    From the first step of the plan to its last: before and after, the vehicle stands as it is.
    """

    id: str
    title: str
    demands: tuple[Demand, ...]
    weekdays: frozenset[int] = frozenset()
    days: frozenset[date] = frozenset()

    def asks(self, day: date) -> bool:
        """Whether it is asked of the sessions of a day."""
        return (not self.weekdays and not self.days) or day.weekday() in self.weekdays or day in self.days


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkList:
    """All that order/ needs: nothing here is in any order."""

    features: dict[str, Feature]
    tasks: dict[str, Task]
    checkpoints: dict[str, Checkpoint]
    buys: dict[str, Buy]
    holds: dict[str, Hold] = field(default_factory=dict)

    @property
    def ending(self) -> frozenset[str]:
        """States that end with the session they were entered in, whatever becomes of the rest: watches for fire."""
        return frozenset(d.feature for h in self.holds.values() if h.id.startswith(ENDING) for d in h.demands)

    def is_on_paper(self, task: str) -> bool:
        """Whether a task is a check of an answer, as an insurer's: it, and the asking, ask nothing of the vehicle.

        What it holds back waits for it; but no test of the vehicle is made again because it was late.
        """
        known = self.tasks.get(task)
        if known is None or known.checkpoint is None or known.demands:
            return False
        asked = [self.tasks[a.task] for a in known.after if a.task in self.tasks]
        return all(t.work is Work.PLANNING and not t.demands for t in asked)

    def find(self, step: Step) -> Task | Toggle | None:
        """The task or toggle that a step is; None where there is none."""
        if step.on is None:
            return self.tasks.get(step.ref)
        feature = self.features.get(step.ref)
        return None if feature is None else feature.toggle(on=step.on)

    def states_after(self, steps: Iterable[Step]) -> dict[str, bool]:
        """State of each feature when some steps are done, in their order."""
        now = {f.id: f.start for f in self.features.values()}
        return now | {s.ref: s.on for s in steps if s.on is not None}

    def piece(self, step: Step) -> Task | Toggle:
        """The task or toggle that a step is.

        Raises
        ------
        KeyError
            It holds no such task or feature.
        ValueError
            The feature has no such toggle.
        """
        if step.on is None:
            return self.tasks[step.ref]
        toggle = self.features[step.ref].toggle(on=step.on)
        if toggle is None:
            raise ValueError(f"`{step.ref}` has no such toggle")
        return toggle

    @property
    def bought(self) -> tuple[Buy, ...]:
        """What money is spent on: purchases that are more than a wait."""
        return tuple(b for b in self.buys.values() if b.goods)
