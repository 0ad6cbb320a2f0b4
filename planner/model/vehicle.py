"""The vehicle as it stands: components, links, systems, spaces and relations, resolved and in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from planner.model.figures import Figure, Figures
from planner.model.legs import StatedWay
from planner.model.shapes import Box, Direction, Motion, Pose, Solid, Vec


class Freedom(StrEnum):
    """What may become of a part that is in the way."""

    STAYS = "stays"
    """Never taken off and never moved (chassis, bulkhead, engine)."""
    COMES_OFF = "comes off"
    """May be taken off for access, but goes back where it was."""
    MOVES = "moves"
    """May be given a new home in the spaces that take it."""
    MAY_GO = "may go"
    """May be done without."""


class RoomNeed(StrEnum):
    """When a working room has to be free."""

    ALWAYS = "always"
    """To use or service the part (cap off, foot, hand): no other part may settle in it."""
    TAKING_OFF = "taking off"
    """To undo and refit the part (spanner swing): whatever stands in it comes off first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A working room of a part: a solid in the part's frame, or a slab of ``depth_mm`` beside one of its faces."""

    name: str
    needed: RoomNeed
    solid: Solid | None = None
    side: Direction | None = None
    depth_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Remake:
    """A part that may be made anew in another shape: a plain box that holds ``volume_mm3`` inside walls ``thick_mm``.

    ``least_mm`` is the least it may measure outside along x, y, z of its own frame.
    """

    volume_mm3: float
    least_mm: Vec = (0.0, 0.0, 0.0)
    thick_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One part of the vehicle, complete: what the file did not say was filled in from its kind."""

    id: str
    kind: str
    name: str
    group: str
    pose: Pose
    solids: tuple[Solid, ...]
    mounted_on: str | None = None
    fixings: str = ""
    freedom: Freedom = Freedom.COMES_OFF
    rides: bool = False
    """Comes off together with what it is mounted on, never by itself."""
    turns_deg: tuple[Vec, ...] = ((0.0, 0.0, 0.0),)
    """Turns (added to the present one) in which it may be fitted in a new home."""
    keep_clear_mm: float = 0.0
    rooms: tuple[Room, ...] = ()
    motion: Motion | None = None
    way_out: tuple[StatedWay, ...] | None = None
    """The user's own word on how it comes out; None leaves it to geometry."""
    off_min: int = 0
    on_min: int = 0
    hands: int = 1
    make_min: int | None = None
    """Minutes to make a new one; None when it is bought or not made at home."""
    price: float = 0.0
    lead_days: int = 0
    lead_told: bool = False
    """Whether its owner said how long it takes to come; else it is planned as if it were at hand."""
    mass_kg: float | None = None
    systems: tuple[str, ...] = ()
    ports_mm: dict[str, Vec] = field(default_factory=dict)
    """Named places in the part's frame where links join it."""
    touches: tuple[str, ...] = ()
    """Parts and links it is meant to touch besides its mounting and its links."""
    near_mm: dict[str, float] = field(default_factory=dict)
    """Parts and links that may come as near as this, whatever keep-clear and the catalog say."""
    tools: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    """Conditions that must hold while it is taken off or put back (catalog condition ids)."""
    position_doubt_mm: float = 0.0
    unsprung: bool = False
    """Stays with the wheels when the suspension moves."""
    position_doubts_mm: Vec | None = None
    """The same along x, y and z; None: ``position_doubt_mm`` along each."""
    remake: Remake | None = None
    """What it must hold when it is made anew in another shape; None: it is fitted as it is or not at all."""
    bore_mm: Figure | None = None
    stroke_mm: Figure | None = None
    """How far the piston of a cylinder can go."""
    pistons: int | None = None
    """Pistons of a wheel cylinder or caliper."""
    port_doubts_mm: dict[str, Vec] = field(default_factory=dict)
    """How sure each place of ``ports_mm`` is, along x, y and z of the part's frame."""


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """Where a link joins a component; an empty port is the component's own origin."""

    component: str
    port: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A rod, cable, hose, pipe, wire, shaft or belt between two components."""

    id: str
    kind: str
    name: str
    group: str
    ends: tuple[End, End]
    via_mm: tuple[Vec, ...] = ()
    across_mm: float = 5.0
    slack_mm: float = 0.0
    """How far its ends may draw apart, along the run, before it must be made anew."""
    adjust_mm: float = 0.0
    """How much its length can be changed by its own adjuster."""
    bend_radius_mm: float = 0.0
    rigid: bool = False
    swing_deg: float | None = None
    """How far the direction from end to end may change before its joints or its job will not have it; None: at will."""
    pushes: tuple[str, ...] = ()
    """Kinds of cylinder whose piston it pushes: it lies along their axis."""
    system: str | None = None
    passes: tuple[str, ...] = ()
    """Parts it goes through or is clipped to: touching them is no clash."""
    near_mm: dict[str, float] = field(default_factory=dict)
    """Parts and links that may come as near as this, whatever keep-clear and the catalog say."""
    off_min: int = 0
    on_min: int = 0
    hands: int = 1
    remake_min: int = 0
    adjust_min: int = 0
    price: float = 0.0
    lead_days: int = 0
    lead_told: bool = False
    """Whether its owner said how long it takes to come; else it is planned as if it were at hand."""
    tools: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    freedom: Freedom = Freedom.MOVES
    """STAYS: may not be re-made; COMES_OFF: goes back as it was; MOVES: may be run anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """One circuit of the vehicle, such as the front brakes; ``kind`` is a catalog system kind."""

    id: str
    kind: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """A mounting space: a box in vehicle axes, on a component, in which the named parts may find a home."""

    id: str
    name: str
    on: str
    box: Box
    step_mm: float
    takes: tuple[str, ...]
    """Component ids or kinds it takes; empty means any part that may move."""
    against: Direction | None = None
    """The face of the box a part sits against (down for a shelf); None lets it float anywhere inside."""


class Keeps(StrEnum):
    """What a relation demands of ``part`` towards ``of``."""

    ABOVE = "above"
    """underside of the part at least ``by_mm`` above the top of the other"""
    BELOW = "below"
    """top of the part at least ``by_mm`` below the underside of the other"""
    WITHIN = "within"
    """gap between the two at most ``by_mm``"""
    APART = "apart"
    """gap between the two at least ``by_mm``"""
    OFF_GROUND = "off the ground"
    """underside at least ``by_mm`` above the ground; ``of`` is empty"""
    FOOT_REACH = "in foot reach"
    """place no more than ``by_mm`` outside the band the ball of the driver's foot covers; ``of`` is empty"""
    HAND_REACH = "in hand reach"
    """place at most ``by_mm`` from the driver's point ``from_point``; ``of`` is empty"""
    STRAIGHT_RUN = "straight run"
    """every third part at least ``by_mm`` from the straight line between the two places"""
    FALLS = "falls towards"
    """place of the other lower by at least ``by_mm`` for each metre of level distance"""
    LEVEL = "level"
    """heights of the two places differ by at most ``by_mm``"""
    UPRIGHT = "upright"
    """own z axis of the part within ``within_deg`` of straight up; ``of`` is empty"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    """Something that must stay true wherever the parts go."""

    id: str
    part: str
    keeps: Keeps
    of: str | None
    by_mm: float
    why: str = ""
    port: str = ""
    """The place of the part that is meant, where a place counts; empty is its own origin."""
    of_port: str = ""
    within_deg: float | None = None
    """Most lean, or most that a straight run may stand off ``along_dir``."""
    along_dir: Vec | None = None
    """Direction in the part's own frame that a straight run must follow."""
    passes: tuple[str, ...] = ()
    """Parts that a straight run goes through or along."""
    from_point: str = ""
    """Named point of the driver from which a hand reaches."""
    at_bump: bool = False
    """With the suspension at bump, not at the measured ride height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place: in vehicle axes, or a port (empty: the origin) of a component and goes where that goes."""

    at_mm: Vec = (0.0, 0.0, 0.0)
    on: str | None = None
    port: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FootBand:
    """How far from the heel the ball of the foot comes down, from the shortest foot to the longest."""

    low_mm: float
    high_mm: float
    low_words: str
    """Whose foot that is, and what the length is made of."""
    high_words: str
    source: str
    ankle_least_deg: float | None = None
    """The foot is never closed further than this towards the lower leg; None when no number is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """Where the driver sits: what reaches are measured from."""

    heel: Spot | None = None
    """The heel on the floor, foot on the pedals."""
    hip: Spot | None = None
    foot: FootBand | None = None
    points: dict[str, Spot] = field(default_factory=dict)
    """Named points such as a shoulder."""


class Before(StrEnum):
    """The first use of a vehicle that something holds back."""

    START = "start"
    MOVE = "move"
    ROAD = "road"


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """A check, or work, that an earlier job left open: the vehicle stays off the road until it is signed."""

    id: str
    what: str
    limit: str = ""
    check: str = ""
    """The checkpoint rule it was called for by; "" where it is none of the catalog's."""
    job: str = ""
    why: str = ""
    """What was told of it, such as how it failed."""
    before: Before = Before.START


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """A whole vehicle. Mappings are keyed by id and keep the order of the file."""

    name: str
    units: str
    """"mm" or "inch": what the owner measures in and reads back."""
    ground_z_mm: float
    systems: dict[str, System]
    components: dict[str, Component]
    links: dict[str, Link]
    spaces: dict[str, Space]
    relations: dict[str, Relation]
    driver: Driver | None = None
    bump_mm: float | None = None
    """How far the sprung parts come down from the measured ride height when the suspension is at bump."""
    figures: Figures | None = None
    currency: str | None = None
    """What its prices are in; None: its file does not say."""
    to_prove: dict[str, Owed] = field(default_factory=dict)
    """What earlier jobs left open."""
