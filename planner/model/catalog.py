"""What the catalog knows: kinds, systems, conditions, task templates and checkpoint rules.

Every entry carries ``source``: a published source, "common practice, no published source", or
"starting guess". It covers all numbers of the entry.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from planner.model.rules import Blocks as Blocks  # noqa: PLC0414  # known from here, too
from planner.model.rules import CheckpointRule as CheckpointRule  # noqa: PLC0414
from planner.model.runs import RunSort
from planner.model.triggers import Trigger as Trigger  # noqa: PLC0414  # known from here, too
from planner.model.triggers import When as When  # noqa: PLC0414
from planner.model.vehicle import Component, Freedom, Link, Room
from planner.model.words import Work as Work  # noqa: PLC0414  # known from here, too


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """Defaults for a kind of component."""

    id: str
    name: str
    group: str
    """Which part of the vehicle it belongs to: brakes, clutch, throttle, cooling, steering, ..."""
    freedom: Freedom
    largest_mm: float
    """No believable part of the kind is longer than this in any direction."""
    source: str
    rides: bool = False
    keep_clear_mm: float = 0.0
    rooms: tuple[Room, ...] = ()
    off_min: int = 0
    on_min: int = 0
    hands: int = 1
    make_min: int | None = None
    tools: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    opens: tuple[str, ...] = ()
    """System kinds whose circuit is opened when this kind is taken off."""
    serves_as: tuple[str, ...] = ()
    """Kinds whose place in a circuit it takes as well: a tandem cylinder is a brake cylinder with its own bottle."""
    keeps: str = ""
    """What must stay true of it, in words."""
    hot: bool = False
    """Gets hot in use."""
    moving: bool = False
    """Moves or turns in use, whether or not the file says how."""
    unsprung: bool = False
    """Stays with the wheels when the suspension moves."""
    rocks: bool = False
    """Rocks on its mountings in use, with all that is mounted on it."""
    uses: tuple[str, ...] = ()
    """What is used up each time it is fitted."""
    loose: float | None = None
    """Share (0 to 1) of its fitting after which things may be tried against it, finger-tight; None: never so."""
    bears: bool = False
    """Is there to carry other parts: a tray, a bracket. What leaves it needs another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkKind:
    """Defaults for a kind of link."""

    id: str
    name: str
    group: str
    freedom: Freedom
    source: str
    across_mm: float
    bend_radius_mm: float
    slack_mm: float
    adjust_mm: float
    rigid: bool
    off_min: int
    on_min: int
    hands: int
    remake_min: int
    adjust_min: int
    swing_deg: float | None = None
    opens: tuple[str, ...] = ()
    ends_at: tuple[str, ...] = ()
    """Kinds and groups of part it may end at besides members of a circuit it opens; empty: any part."""
    pushes: tuple[str, ...] = ()
    """Kinds of cylinder whose piston it pushes: it lies along their axis."""
    tools: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    hot: bool = False
    """Gets hot in use."""
    moving: bool = False
    """Moves or turns in use."""
    rocked: str = ""
    """The kind that takes its place between what rocks in use and what does not; empty: it may be there itself."""
    run: RunSort | None = None
    """How it is made; None: a pipe or rod when it is rigid, by whether it may be bent, else a hose."""
    clip_pitch_mm: float = 0.0
    """Clips are at most this far apart; 0: it has none."""
    spare_mm: float = 0.0
    """What is added at each end when it is cut."""
    straight_mm: float = 0.0
    """Kept straight at each end for its fitting."""
    fitted: str = ""
    """What is fitted at each end, in words."""
    undo: str = ""
    """How it is undone where a part it joins comes off and it stays; empty: no step of its own."""
    join: str = ""
    """How it is joined again."""
    undo_min: int = 0
    join_min: int = 0
    uses: tuple[str, ...] = ()
    """What is used up each time it is fitted or joined."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A state of the vehicle that takes work to enter or leave; the vehicle starts and ends outside it."""

    id: str
    name: str
    """As a state: "on stands", "battery isolated"."""
    enter: str
    """Verb first: "Raise the car and set it on stands"."""
    leave: str
    enter_min: int
    leave_min: int
    hands: int
    source: str
    tools: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    """Other conditions that must hold before it is entered and until it is left."""
    protects: bool = False
    """It keeps current, heat or fuel away from whoever works: it is left as late as can be."""
    apart: bool = False
    """The vehicle itself moves, or fuel runs, as it is entered or left: nothing else is done meanwhile."""
    cautions: tuple[str, ...] = ()
    leave_cautions: tuple[str, ...] = ()
    """Those of leaving it, where they are others than those of entering it."""
    inside: str = ""
    """A condition that, in a job that brings it about anyway, holds before this one is entered and until it is left."""
    enter_inside: str = ""
    """How it is entered there: what ``enter`` works on may be off the vehicle then."""
    whole: tuple[str, ...] = ()
    """System kinds: it is left only with all their parts and links in place, as before the job or as after it."""
    whole_parts: tuple[str, ...] = ()
    """Kinds or groups of parts and links: the same of those."""
    bears: tuple[str, ...] = ()
    """Kinds of parts it holds up: with all of them away it may be left too."""
    wet: bool = False
    """What has to dry is painted in it and holds it until it is dry, and nothing is welded or ground in it."""
    undoes: tuple[str, ...] = ()
    """Kinds of part whose wires are undone as it is entered: where such a part moves they are labelled before."""
    never_with: tuple[str, ...] = ()
    """Conditions in which it is neither entered nor left."""
    under: tuple[str, ...] = ()
    """Kinds of part: what hangs beneath one of those is worked on in this state."""
    leave_gone: str = ""
    """How it is left where no part that asks for it is there any more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemKind:
    """A kind of circuit: what it takes to open it and to make it whole again."""

    id: str
    name: str
    group: str
    fluid: str
    source: str
    open: str
    """Verb first, or empty when nothing is done to open it (wiring, cables)."""
    open_min: int
    open_hands: int
    close: str
    """Fill, bleed or set: verb first."""
    close_min: int
    close_hands: int
    steps: tuple[str, ...] = ()
    """The close, spelt out."""
    needs: tuple[str, ...] = ()
    """Conditions that must hold to open it."""
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    inside: str = ""
    """A condition that, in a job that brings it about anyway, holds when the circuit is opened; nobody leaves it before
    the circuit is closed."""
    open_inside: str = ""
    """How it is opened there."""
    open_in: str = ""
    """A condition that is brought about to open it, in jobs that have no need of the one it lies inside of."""
    close_inside: str = ""
    """How it is closed there."""
    called: tuple[str, ...] = ()
    """What its fluid is bought as."""
    close_without: tuple[str, ...] = ()
    """Conditions that are left before it is closed."""
    uses: tuple[str, ...] = ()
    """What is used up each time it is closed."""
    open_checks: tuple[str, ...] = ()
    """Checkpoint rules of what it is opened in that are signed anew when it has been opened."""
    holds: tuple[str, ...] = ()
    """Kinds of part in which its fluid stands, drawn down when a circuit they feed is opened."""
    beside: str = ""
    """What is done to it, verb first, when one of those was drawn down for another circuit; empty: nothing."""
    beside_min: int = 0
    open_late: bool = False
    """It is opened as late as can be, just before what needs it open."""
    apart: bool = False
    """Nothing else is done while it is opened or closed: what runs out of it burns."""

    @property
    def takes_work(self) -> bool:
        """Whether opening or closing it is work of its own."""
        return self.open_min + self.close_min > 0


class Demanded(StrEnum):
    """What a template step demands, named from the standpoint of the part, link or hole it is about."""

    OLD_OFF = "old off"
    """the part (or the old run of the link) is out of its present home"""
    FITTED = "fitted"
    """the part is in its new (or only) home; for a link: both its ends are; for a cut: nothing"""
    OFF = "off"
    """the part is out of its new home, to be worked on at the bench"""
    LIMITS_FITTED = "limits fitted"
    """everything near its new home is in place"""
    ROOM_CLEAR = "room clear"
    """everything in the working room of the cut or weld is out of the way"""
    HOST_FITTED = "host fitted"
    """what the part is mounted on is in place"""
    SEATED = "seated"
    """the seats and what steers are in place as they are now, for whoever sits there to try it"""
    ON_WHEELS = "on wheels"
    """the vehicle is not on stands: somebody sits in it"""
    HOST_BARE = "host bare"
    """everything near the hole that is mounted on the host is off"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateStep:
    """One task of a template.

    Titles are filled in: ``{part}``, ``{named}`` (with its kind), ``{host}``, ``{home}``, ``{ends}`` (of a rod).
    """

    title: str
    work: Work
    minutes: int
    hands: int = 1
    demands: tuple[Demanded, ...] = ()
    conditions: tuple[str, ...] = ()
    hot: bool = False
    """Makes sparks or flame: hot-work conditions are demanded, and fuel and brake links near it come off."""
    lag_min: int = 0
    """Wait after it (cure, soak) before what follows may start."""
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    splits: bool = False
    """May be laid down at the end of a session and taken up again in another."""
    again: float = 0.0
    """Chance (0 to 1) that this trial fails and is done again, with the steps ``redo``."""
    redo: tuple[int, ...] = ()
    """Numbers, from 1, of earlier steps of the template."""
    seat: bool = False
    """About holes in what holds the part: left out where nothing is drilled at home, or where it takes old holes."""
    undrilled: str = ""
    """What a step about holes is where none are made: nobody drills a radiator, a tank, a battery, a casting."""
    undrilled_tools: tuple[str, ...] = ()
    """Tools for that."""
    left: bool = False
    """About holes left in what held the part before: left out where that goes, or was never drilled."""
    away: bool = False
    """From its end the part is with somebody else, for as long as its lead."""
    not_of: tuple[str, ...] = ()
    """Kinds that it is left out for: a battery's tray has no wires to be labelled."""
    uses: tuple[str, ...] = ()
    """What is used up by it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkSpread:
    """How sure a time is, by kind of work: minutes times ``low`` when all goes well, times ``high`` when badly."""

    id: str
    """Value of a :class:`Work`."""
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """Tasks, in the trade's order, for one kind of knock-on. The most specific trigger wins."""

    id: str
    trigger: Trigger
    steps: tuple[TemplateStep, ...]
    source: str
    once: bool = False
    """Of parts of these kinds that carry or touch each other it is done once, as the brake of one wheel is set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceRule:
    """How far two sorts of thing are kept apart, whatever keep-clear each has of its own.

    A side names kinds, link kinds or groups, or says ``hot``, ``moving`` or ``any``. It holds neither between what is
    mounted, joined, passed through or declared to touch, nor where the owner says how near the two may be.
    """

    id: str
    one: tuple[str, ...]
    other: tuple[str, ...]
    keep_mm: float
    why: str
    source: str


class Sex(StrEnum):
    """Whose measures a table holds."""

    WOMAN = "woman"
    MAN = "man"


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """A size of person: so many in a hundred of that sex measure less."""

    percentile: float
    sex: Sex


class Measure(StrEnum):
    """What of a body is measured."""

    BALL_OF_FOOT = "ball of foot"
    """heel to ball of the foot, barefoot"""
    FOOT_LENGTH = "foot length"
    FOOT_BREADTH = "foot breadth"
    BUTTOCK_KNEE = "buttock to knee"


@dataclass(frozen=True, slots=True, kw_only=True)
class BodySize:
    """One measured length of people, as its publication prints it; ``None`` where it prints no such percentile."""

    id: str
    of: Sex
    what: Measure
    count: int
    mean_mm: float
    sd_mm: float
    source: str
    p1_mm: float | None = None
    p5_mm: float | None = None
    p50_mm: float | None = None
    p95_mm: float | None = None
    p99_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyFigure:
    """One published figure that is no table: ``value`` in ``unit``."""

    id: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalog:
    """Everything the shelf holds, keyed by id."""

    kinds: dict[str, Kind]
    link_kinds: dict[str, LinkKind]
    system_kinds: dict[str, SystemKind]
    conditions: dict[str, Condition]
    templates: dict[str, Template]
    rules: dict[str, CheckpointRule]
    hot_conditions: tuple[str, ...]
    """Conditions demanded by any hot step (battery isolated, ...)."""
    hot_clear: tuple[str, ...]
    """Link and component groups that must be off within ``hot_reach_mm`` of hot work (fuel, brakes)."""
    hot_reach_mm: float
    limits_near_mm: float
    """Parts nearer than this to a new home limit it: they are in place at its trial fit."""
    cut_reach_mm: float
    """Working room left round a hole while it is cut."""
    bare_reach_mm: float
    """How far round a hole the host is stripped for its finish."""
    tidy_min: int
    """Minutes to set up and tidy away in each work session."""
    cautions: dict[str, str]
    """Standing cautions by kind of work or group."""
    hole_shy: tuple[str, ...] = ()
    """Groups, kinds and link kinds that no drill or saw may come through into."""
    hole_shy_mm: float = 0.0
    """So near a hole they are named in the step that makes it, and made safe for it."""
    never_spared: tuple[str, ...] = ()
    """Kinds and groups that are never said to be done without: what stops, steers, carries and holds people."""
    drilled_hosts: tuple[str, ...] = ()
    """Kinds and groups of what a new part's holes are drilled in at home; anything else has its maker's."""
    fluid_things: tuple[str, ...] = ()
    """What a fluid's name may stand before in the name of something bought that is not the fluid itself."""
    clearances: dict[str, ClearanceRule] = field(default_factory=dict)
    body_sizes: dict[str, BodySize] = field(default_factory=dict)
    body_figures: dict[str, BodyFigure] = field(default_factory=dict)
    spreads: dict[str, WorkSpread] = field(default_factory=dict)
    """By kind of work."""

    def is_hole_shy(self, thing: Component | Link) -> bool:
        """Whether a part or link holds fuel, or gasses: no heat, sparks or drill come to it unprepared."""
        return not {thing.kind, thing.group}.isdisjoint(self.hole_shy)
