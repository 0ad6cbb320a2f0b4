"""Knock-ons: what a change does to the rest of the vehicle, each with every cause it has."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Link


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
    """One straight way by which a body comes out, and the bodies that must be off first.

    A body id is a component or link id for its present home, or the id with "@new" for its new one.
    """

    direction: Direction
    blockers: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """What taking ``body`` out (and putting it back) asks for.

    ``ways`` are alternatives (any one will do; an empty tuple means that no straight way is free of what never comes
    off, so that its owner has to find one: an effect says so, and the plan takes it to be clear); ``rooms``
    are bodies in its taking-off rooms, all of which must be off; ``excludes`` are bodies that cannot be in place
    at the same time as it.
    """

    body: str
    ways: tuple[Way, ...]
    rooms: frozenset[str] = frozenset()
    excludes: frozenset[str] = frozenset()


class Proof(StrEnum):
    """How good an answer is known to be."""

    PROVED = "proved least"
    FOUND = "best found"
    NONE = "no answer"


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
