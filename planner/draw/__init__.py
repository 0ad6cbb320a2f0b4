"""Elevations to scale: plain layout data first, then SVG text and a text twin from it."""

from planner.draw.compose import draw_job, draw_vehicle
from planner.draw.listing import list_text
from planner.draw.sheet import Mark, Sheet
from planner.draw.svg import svg_text

__all__ = ["Mark", "Sheet", "draw_job", "draw_vehicle", "list_text", "svg_text"]
