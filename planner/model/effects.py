"""Knock-ons: what a change does to the rest of the vehicle, each with every cause it has."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from planner.model.legs import Leg
from planner.model.runs import NoRun, Run
from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Link
from planner.model.words import Proof as Proof  # noqa: PLC0414  # known from here, too


class EffectKind(StrEnum):
    """What happens to the subject."""

    NEW = "new"
    GONE = "goes"
    MOVES = "moves"
    GROWS = "grows"
    CUT = "cut"
    REMADE = "made anew"
    ADJUSTED = "adjusted"
    OFF_AND_BACK = "comes off and goes back"
    OPENED = "opened"
    RETESTED = "tested again"
    MEASURED = "to be measured"


class CauseKind(StrEnum):
    """Why."""

    ASKED = "asked for"
    CLASH = "clash"
    KEEP_CLEAR = "too close"
    ROOM_LOST = "working room lost"
    MOUNTED_ON = "mounted on"
    HOST_CUT = "host cut"
    LINKED_TO = "linked to"
    IN_THE_WAY = "in the way"
    RELATION = "relation broken"
    HOT_WORK = "hot work near"
    PART_OF = "part of the circuit"
    RULE = "checkpoint rule"
    DOUBT = "size in doubt"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One reason for an effect.

    ``source`` is the id of the effect it comes from, or "" for the job itself; ``text`` is the plain sentence with
    its numbers; ``mm`` the number itself (depth, shortfall, change of length), ``at_mm`` where.
    """

    kind: CauseKind
    source: str
    text: str
    mm: float | None = None
    at_mm: Vec | None = None
    keep_mm: float | None = None
    """Of a gap in doubt: how much is to be kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """One knock-on. ``id`` is "<kind>:<subject>"; ``causes`` holds every cause, the nearest to the job first."""

    id: str
    kind: EffectKind
    subject: str
    text: str
    causes: tuple[Cause, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way by which a body comes out, and the bodies that must be off first.

    First moves ``first``, one after the other, then straight out along ``direction`` until it is in the hands.
    ``blockers`` stand in any of the legs. ``stated``: its owner says so. A body id is a component or link id for its
    present home, or the id with "@new" for its new one.
    """

    direction: Direction
    blockers: frozenset[str]
    first: tuple[Leg, ...] = ()
    stated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """What taking ``body`` out (and putting it back) asks for.

    ``ways`` are alternatives (any one will do; an empty tuple means that no way of one or two straight legs is free of
    what never comes off, so that its owner has to find one: an effect says so, and the plan takes it to be clear);
    ``rooms`` are bodies in its taking-off rooms, all of which must be off; ``excludes`` are bodies that cannot be in
    place at the same time as it. ``shut`` are the straight ways that are no ways at all, each with what shuts it.
    """

    body: str
    ways: tuple[Way, ...]
    rooms: frozenset[str] = frozenset()
    excludes: frozenset[str] = frozenset()
    shut: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One of the demands that cannot hold together: take any one of them away and the others can.

    ``subjects`` are the ids it is about; ``gives`` says what would have to give, and by how much, for this demand alone
    to make room for everything; empty when nothing of the kind was found to do.
    """

    sort: str
    subjects: tuple[str, ...]
    text: str
    gives: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another way to make room: at least one part fares otherwise than in the answer and in every cheaper one.

    ``fates`` say in a word what becomes of each part that does not stay, by part id; ``moves`` say it in words, and
    ``links`` are the links made anew, by id. ``cost`` is in hand-minutes, ``more`` how much that is above the answer.
    """

    cost: int
    more: int
    bound: int
    proof: Proof
    fates: dict[str, str]
    moves: tuple[str, ...]
    homes: dict[str, Pose]
    links: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Knockons:
    """Everything that follows from a job.

    ``after`` and ``links_after`` describe the vehicle when the job is done. ``cost`` is in hand-minutes with money
    converted at the job's ``hour_worth``; ``bound`` is the proved least.
    """

    effects: tuple[Effect, ...]
    homes: dict[str, Pose]
    """New pose of each component that moves (asked for or displaced)."""
    after: dict[str, Component]
    links_after: dict[str, Link]
    access: dict[str, Access]
    cut_rooms: dict[str, frozenset[str]]
    """Cut id -> bodies in its working room."""
    hot_near: dict[str, frozenset[str]]
    """Cut id -> bodies of hot-work groups within reach."""
    bare: dict[str, frozenset[str]]
    """Cut id -> bodies mounted on the host near the hole."""
    limits: dict[str, frozenset[str]]
    """New or moved component -> bodies (final homes) near its new home, in place at its trial fit."""
    proof: Proof
    cost: int = 0
    bound: int = 0
    trouble: tuple[str, ...] = ()
    """When there is no answer: the demands that cannot hold together, in words."""
    runs: dict[str, Run] = field(default_factory=dict)
    """The run by which each link is made that is made anew or new, as far as one is known."""
    no_runs: dict[str, NoRun] = field(default_factory=dict)
    """Why there is no run of each of the others that were looked for."""
    pierced: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Link that is new, or stiff and between other places -> parts it goes through in which it has no hole yet."""
    near_holes: dict[str, dict[str, float]] = field(default_factory=dict)
    """What a hole is made for (a cut, a part, "<link>.<host>") -> fuel parts and batteries within reach of it: body ids
    with distances [mm]."""
    laid_near: dict[str, frozenset[str]] = field(default_factory=dict)
    """What a hole is made for, or an own task that is hot -> bodies of links that are newly laid within its reach."""
    others: tuple[Alternative, ...] = ()
    """The next-best answers, when they were asked for."""
    in_contact: bool = False
    """Whether the proof covers homes in contact with what stands near as well as those on the grid."""
    held: tuple[Held, ...] = ()
    """When there is no answer: the smallest set of demands that cannot hold together."""
