"""One modification: what is to change, the owner's own tasks, and when there is time."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, time

from planner.model.shapes import Direction, Pose, Solid, Vec
from planner.model.vehicle import Component, Link, Relation
from planner.model.words import Deed
from planner.model.words import Session as Session  # noqa: PLC0414  # known from here, too

USUAL_CURRENCY = "EUR"
"""What prices are in where no file says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Add:
    """A new component, complete with its home."""

    component: Component


@dataclass(frozen=True, slots=True, kw_only=True)
class Replace:
    """``part`` goes and ``component`` (another id) takes over."""

    part: str
    component: Component


@dataclass(frozen=True, slots=True, kw_only=True)
class Remove:
    """A component or link that goes for good."""

    part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A component that gets the home ``to`` (vehicle axes), mounted ``onto`` another part unless that is None."""

    part: str
    to: Pose
    onto: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOff:
    """A component that only has to come off and go back."""

    part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Altered:
    """A size measured on a part that is back from being made larger.

    ``solid`` counts its solids from 0; ``size`` is "x", "y" or "z" of a block, "across", "length" or "thick" of others.
    """

    solid: int
    size: str
    mm: float
    doubt_mm: float | None = None
    """None: nobody said how sure it is, and it is as sure as the part's sizes were."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grow:
    """A component that becomes larger by ``by_mm`` along x, y, z, from the sides that stay.

    Where none is named that is the face it is measured from or stands on, else it grows about its middle.
    """

    part: str
    by_mm: Vec
    stays: tuple[Direction, ...] = ()
    """Sides, in its own frame, that stay where they are."""
    altered: tuple[Altered, ...] = ()
    """Sizes that it was found to have when it was back: they go before ``by_mm``."""
    price: float = 0.0
    lead_days: int = 0
    """Days until it is made, or altered and back."""
    lead_told: bool = False
    """Whether its owner said so; else it is planned as if it took none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A hole or slot cut in ``host``: ``hole`` is the metal that goes, in vehicle axes."""

    id: str
    host: str
    hole: Solid
    welded: bool = False
    """A patch or doubler is welded round it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AddLink:
    """A new link."""

    link: Link


Change = Add | Replace | Remove | Move | TakeOff | Grow | Cut | AddLink


@dataclass(frozen=True, slots=True, kw_only=True)
class Mending:
    """What a task that puts something right does, and to what."""

    does: tuple[Deed, ...]
    on: str = ""
    """The part or link it is done to; "" where nobody said."""
    opens: tuple[str, ...] = ()
    """Systems whose circuit is open while it is done."""
    spot_mm: Vec | None = None
    """Where on the vehicle it is hot; None: anywhere on the part."""
    ahead: tuple[str, ...] = ()
    """Parts and links that are not fitted, and check tasks that are not made, before it is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTask:
    """A task of the owner's own."""

    id: str
    title: str
    minutes: int
    hands: int = 1
    after: tuple[str, ...] = ()
    """Own task ids, ids of changes (part ids, cut ids): after the work on them; or gates, such as ``road-test``."""
    before: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    fitted: tuple[str, ...] = ()
    back: tuple[str, ...] = ()
    """Parts that are here from whoever sells, makes or alters them, and are not fitted yet."""
    conditions: tuple[str, ...] = ()
    lag_min: int = 0
    tools: tuple[str, ...] = ()
    low_min: int | None = None
    """Minutes when all goes well; None when the owner gave one figure."""
    high_min: int | None = None
    """Minutes when it goes badly."""
    splits: bool = False
    """May be laid down at the end of a session and taken up in a later one."""
    alone: bool = False
    """Nothing else is done meanwhile."""
    again: float = 0.0
    """Chance (0 to 1) that it fails and has to be done again, with ``redo``."""
    redo: tuple[str, ...] = ()
    """Own tasks, or parts, links or cuts whose making is done again with it."""
    replaces: str = ""
    """The part or link that broke, and that this mends, makes or buys again: it is not fitted before."""
    mending: Mending | None = None
    """None: no more is known of what it does than the rest says."""

    @property
    def at_bench(self) -> bool:
        """Whether it mends a part that is off the vehicle while it is done."""
        return self.mending is not None and self.mending.on in self.off

    @property
    def burns(self) -> bool:
        """Whether it brings a flame, an arc or sparks to the vehicle."""
        return self.mending is not None and not self.at_bench and bool({Deed.WELD, Deed.GRIND} & {*self.mending.does})


@dataclass(frozen=True, slots=True, kw_only=True)
class EndState:
    """How the vehicle must stand when a session ends: asked of some weekdays and days, of every session if of none."""

    id: str
    name: str
    fitted: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    """Conditions that must not hold, such as standing on stands when the car has to be rolled."""
    weekdays: tuple[int, ...] = ()
    days: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeating:
    """Work time every week: ``weekday`` 0 is Monday."""

    weekday: int
    start: time
    end: time
    hands: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Something to buy that is no component: gaskets, fluid, tube. ``for_part`` cannot be fitted before it is here."""

    id: str
    what: str
    price: float = 0.0
    lead_days: int = 0
    lead_told: bool = False
    """Whether its owner said how long it takes to come; else it is planned as if it were at hand."""
    for_part: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One way to do the undecided part of a job: what it adds to what the job says anyway."""

    id: str
    name: str
    changes: tuple[Change, ...] = ()
    tasks: tuple[OwnTask, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    relations: dict[str, Relation] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A whole job."""

    id: str
    name: str
    changes: tuple[Change, ...]
    start: date | None = None
    """First day; None means the day the plan is asked for."""
    from_time: time | None = None
    """On the first day, no work before this: the day has begun already."""
    finish_by: date | None = None
    hour_worth: float = 15.0
    """What an hour of the owner's time is worth, in the currency; weighs money against minutes."""
    currency: str = USUAL_CURRENCY
    sessions: tuple[Session, ...] = ()
    repeating: tuple[Repeating, ...] = ()
    days_off: tuple[date, ...] = ()
    answer_days: int | None = None
    """Days from asking inspection body and insurer to their answer; None: nobody has said."""
    only_dated: tuple[date, ...] = ()
    """Days on which no weekly session is held: work was given up on them, and then taken up for the dated ones."""
    tasks: tuple[OwnTask, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    relations: dict[str, Relation] = field(default_factory=dict)
    """What must hold when the job is done, towards parts there are then; held in full, whatever was so before."""
    pace: dict[str, float] | None = None
    """Factor on the minutes of each kind of work (:class:`~planner.model.catalog.Work` value): 1.3 is slower."""
    day_worth: float = 5.0
    """What a day sooner is worth to the owner, in the currency: work is traded for time at it (starting guess)."""
    setup_min: int | None = None
    """Minutes at each session's start before work begins; None: the catalog's."""
    tidy_min: int = 0
    """Minutes kept free at each session's end to put away."""
    leave_in: dict[str, int | None] = field(default_factory=dict)
    """Part, link, condition or system -> hand-minutes the owner would rather spend than take it off, enter or open
    it once; None: it stays as it is."""
    at_end: dict[str, EndState] = field(default_factory=dict)
    again: dict[str, float] = field(default_factory=dict)
    """Part or link -> chance (0 to 1) that its trial fits fail, instead of the catalog's."""
    options: dict[str, Option] = field(default_factory=dict)
    take: str | None = None
    """The option the owner has chosen; None: undecided."""
    option: str | None = None
    """The option worked into ``changes``, ``tasks``, ``purchases`` and ``relations``; None: none is."""

    def taking(self, option: str) -> Job:
        """Work one of the options into the job.

        Raises
        ------
        KeyError
            There is no such option.
        ValueError
            One is taken already.
        """
        if self.option is not None:
            raise ValueError(f"option `{self.option}` is taken already")
        added = self.options[option]
        return replace(
            self,
            changes=self.changes + added.changes,
            tasks=self.tasks + added.tasks,
            purchases=self.purchases + added.purchases,
            relations={**self.relations, **added.relations},
            option=option,
        )
