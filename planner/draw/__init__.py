"""Elevations to scale: plain layout data first, then SVG text and a text twin from it."""

from planner.draw.compose import Near, UnknownPartError, draw_detail, draw_job, draw_vehicle
from planner.draw.layout import scale_words
from planner.draw.lever_sheet import lever_svg
from planner.draw.listing import list_text
from planner.draw.sheet import Clash, Mark, Sheet, Trace
from planner.draw.svg import svg_text

__all__ = [
    "Clash",
    "Mark",
    "Near",
    "Sheet",
    "Trace",
    "UnknownPartError",
    "draw_detail",
    "draw_job",
    "draw_vehicle",
    "lever_svg",
    "list_text",
    "scale_words",
    "svg_text",
]
