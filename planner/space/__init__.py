"""Geometry: bodies in vehicle axes, their gaps, sweeps, straight ways out and working rooms.

The only room that knows the collision and hull libraries. All lengths are millimetres, all angles degrees, x
rearward, y to the right, z up.
"""

from planner.model.runs import NoRun, Snag
from planner.space.bends import Bend, Filleted, ShortLeg, fillet
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
from planner.space.close import are_closer, close_pairs
from planner.space.crowd import Crowd, Passage
from planner.space.distance import Gap, closer_than, gap, gap_if_closer
from planner.space.empty_box import Block, empty_boxes
from planner.space.first_moves import Detour, Wish, detours
from planner.space.frames import pose_mm, rotated
from planner.space.passages import blocked_all
from planner.space.route import FIRM_MM, ClearRun, RunTask, find_run, place_along, route_body
from planner.space.route_bends import along, set_back_mm, turns_deg, unit_to
from planner.space.route_fence import Ease, Guard
from planner.space.silhouette import Elevation, Polygon, near_mm, silhouette
from planner.space.sweep import component_body, swept_body
from planner.space.ways import blocked_by, free_interval
from planner.space.words import place_words

__all__ = [
    "FIRM_MM",
    "Bend",
    "Block",
    "Body",
    "ClearRun",
    "Crowd",
    "Detour",
    "Ease",
    "Elevation",
    "Filleted",
    "Gap",
    "Guard",
    "NoRun",
    "Passage",
    "Polygon",
    "RunTask",
    "ShortLeg",
    "Snag",
    "Wish",
    "along",
    "are_closer",
    "blocked_all",
    "blocked_by",
    "close_pairs",
    "closer_than",
    "component_body",
    "detours",
    "empty_boxes",
    "extent_mm",
    "fillet",
    "find_run",
    "free_interval",
    "gap",
    "gap_if_closer",
    "link_body",
    "merged",
    "near_mm",
    "near_pairs",
    "place_along",
    "place_words",
    "port_mm",
    "pose_mm",
    "room_body",
    "rotated",
    "route_body",
    "set_back_mm",
    "shifted",
    "silhouette",
    "solid_body",
    "swept_body",
    "turns_deg",
    "unit_to",
]
