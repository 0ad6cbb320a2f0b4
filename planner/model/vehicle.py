"""The vehicle as it stands: components, links, systems, spaces and relations, resolved and in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

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
    way_out: tuple[Direction, ...] | None = None
    """The user's own word on how it comes out; None leaves it to geometry."""
    off_min: int = 0
    on_min: int = 0
    hands: int = 1
    make_min: int | None = None
    """Minutes to make a new one; None when it is bought or not made at home."""
    price: float = 0.0
    lead_days: int = 0
    mass_kg: float | None = None
    systems: tuple[str, ...] = ()
    ports_mm: dict[str, Vec] = field(default_factory=dict)
    """Named places in the part's frame where links join it."""
    touches: tuple[str, ...] = ()
    """Parts and links it is meant to touch besides its mounting and its links."""
    tools: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    """Conditions that must hold while it is taken off or put back (catalog condition ids)."""
    position_doubt_mm: float = 0.0


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
    system: str | None = None
    passes: tuple[str, ...] = ()
    """Parts it goes through or is clipped to: touching them is no clash."""
    off_min: int = 0
    on_min: int = 0
    hands: int = 1
    remake_min: int = 0
    adjust_min: int = 0
    price: float = 0.0
    lead_days: int = 0
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    """Something that must stay true wherever the parts go."""

    id: str
    part: str
    keeps: Keeps
    of: str | None
    by_mm: float
    why: str = ""


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
