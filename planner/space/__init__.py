"""Geometry: bodies in vehicle axes, their gaps, sweeps, straight ways out and working rooms.

The only room that knows the collision and hull libraries. All lengths are millimetres, all angles degrees, x
rearward, y to the right, z up.
"""

from planner.space.body import (
    Body,
    extent_mm,
    link_body,
    merged,
    port_mm,
    room_body,
    shifted,
    solid_body,
)
from planner.space.broad import near_pairs
from planner.space.distance import Gap, closer_than, gap
from planner.space.frames import pose_mm, rotated
from planner.space.silhouette import Elevation, Polygon, near_mm, silhouette
from planner.space.sweep import component_body, swept_body
from planner.space.ways import blocked_by, free_interval
from planner.space.words import place_words

__all__ = [
    "Body",
    "Elevation",
    "Gap",
    "Polygon",
    "blocked_by",
    "closer_than",
    "component_body",
    "extent_mm",
    "free_interval",
    "gap",
    "link_body",
    "merged",
    "near_mm",
    "near_pairs",
    "place_words",
    "port_mm",
    "pose_mm",
    "room_body",
    "rotated",
    "shifted",
    "silhouette",
    "solid_body",
    "swept_body",
]
