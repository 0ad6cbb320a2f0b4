"""Bodies: parts, links and rooms as convex pieces in vehicle axes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from planner.model.shapes import Box, Direction, Pose, Solid, Tube, Vec
from planner.model.vehicle import Component, Link, Room
from planner.space.bends import fillet
from planner.space.frames import FloatArray, as_vec, pose_mm
from planner.space.pieces import Piece, Placed
from planner.space.solids import solid_pieces


@dataclass(frozen=True, eq=False, slots=True)
class Body:
    """Convex pieces with their places, in vehicle axes.

    ``places``, ``lows`` and ``highs`` (n, 3) [mm] hold each piece's origin and box; ``lo_mm`` and ``hi_mm``
    are the box of the whole, exact for round pieces too. Make one with the functions of this room, never by
    hand.
    """

    pieces: tuple[Piece, ...]
    places: FloatArray
    lows: FloatArray
    highs: FloatArray
    lo_mm: Vec
    hi_mm: Vec


def body_of(placed: Sequence[Placed]) -> Body:
    """Body of one or more placed pieces."""
    places = np.array([place for _, place in placed])
    lows = places + np.array([piece.box_mm[0] for piece, _ in placed])
    highs = places + np.array([piece.box_mm[1] for piece, _ in placed])
    pieces = tuple(piece for piece, _ in placed)
    return Body(pieces, places, lows, highs, as_vec(lows.min(axis=0)), as_vec(highs.max(axis=0)))


def solid_body(solids: Sequence[Solid], pose: Pose) -> Body:
    """Body of ``solids`` that are given in the frame ``pose``.

    Raises
    ------
    ValueError
        When there is no solid, or an outline encloses nothing.

    """
    return body_of(solid_pieces(solids, pose))


def merged(bodies: Iterable[Body]) -> Body:
    """Return one body that is all of ``bodies`` together.

    Raises
    ------
    ValueError
        When there is none.

    """
    several = tuple(bodies)
    if not several:
        raise ValueError("a body needs at least one solid")
    lows = np.vstack([body.lows for body in several])
    highs = np.vstack([body.highs for body in several])
    return Body(
        tuple(piece for body in several for piece in body.pieces),
        np.vstack([body.places for body in several]),
        lows,
        highs,
        as_vec(lows.min(axis=0)),
        as_vec(highs.max(axis=0)),
    )


def shifted(body: Body, by_mm: Vec) -> Body:
    """Return ``body`` shifted by ``by_mm``; its pieces are shared, not built again."""
    by = np.array(by_mm)
    x, y, z = by_mm
    lo, hi = body.lo_mm, body.hi_mm
    return Body(
        body.pieces,
        body.places + by,
        body.lows + by,
        body.highs + by,
        (lo[0] + x, lo[1] + y, lo[2] + z),
        (hi[0] + x, hi[1] + y, hi[2] + z),
    )


def extent_mm(solids: Sequence[Solid], pose: Pose) -> tuple[Vec, Vec]:
    """Low and high corner [mm], in vehicle axes, of ``solids`` given in the frame ``pose``."""
    body = solid_body(solids, pose)
    return body.lo_mm, body.hi_mm


def link_body(link: Link, start_mm: Vec, finish_mm: Vec) -> Body:
    """Body of a link run from ``start_mm`` through its via points to ``finish_mm``, its corners rounded.

    They are bent to the link's own radius, or to as much of it as the legs allow: a run that was measured is a fact.
    """
    through = (start_mm, *link.via_mm, finish_mm)
    if link.via_mm and link.bend_radius_mm > 0.0:
        through = fillet(through, link.bend_radius_mm).points_mm
    run = Tube(across_mm=link.across_mm, through_mm=through)
    return solid_body((run,), Pose())


def port_mm(component: Component, port: str, pose: Pose | None = None) -> Vec:
    """Vehicle axes place [mm] of a port, in the present pose or another one; "" is the part's own origin.

    Raises
    ------
    KeyError
        When the part has no such port.

    """
    point = component.ports_mm[port] if port else (0.0, 0.0, 0.0)
    return pose_mm(component.pose if pose is None else pose, point)


def room_body(component: Component, room: Room, pose: Pose | None = None) -> Body:
    """Body of a working room: its solid, or the slab beside the part's own box on a side of the vehicle.

    Raises
    ------
    ValueError
        When the room has neither a solid nor a side.

    """
    where = component.pose if pose is None else pose
    if room.solid is not None:
        return solid_body((room.solid,), where)
    if room.side is None:
        raise ValueError(f"room `{room.name}` of `{component.id}` has neither a solid nor a side")
    return _slab(extent_mm(component.solids, where), room.side, room.depth_mm)


def _slab(extent: tuple[Vec, Vec], side: Direction, depth_mm: float) -> Body:
    low, high = (np.array(corner) for corner in extent)
    way = np.array(side.vector)
    ahead, behind = way > 0.0, way < 0.0
    near = np.where(ahead, high, np.where(behind, low - depth_mm, low))
    far = np.where(ahead, high + depth_mm, np.where(behind, low, high))
    box = Box(size_mm=as_vec(far - near), pose=Pose(at_mm=as_vec((near + far) / 2.0)))
    return solid_body((box,), Pose())
