"""Drawings as SVG text, each with a text twin: elevations to scale, what follows from what, and pictures of a plan."""

from planner.draw.bands import bands_picture, draw_bands, draw_bands_words
from planner.draw.compose import Near, UnknownPartError, draw_detail, draw_job, draw_vehicle
from planner.draw.layered_dot import Dot, DotError
from planner.draw.layout import scale_words
from planner.draw.lever_sheet import lever_svg
from planner.draw.listing import list_text
from planner.draw.odds import draw_odds, draw_odds_words, odds_picture
from planner.draw.order import draw_order, draw_order_words
from planner.draw.picture import Picture, picture_svg
from planner.draw.sessions import draw_sessions, draw_sessions_words, sessions_picture
from planner.draw.sheet import Clash, Mark, Sheet, Trace
from planner.draw.svg import svg_text
from planner.draw.tree import draw_tree, draw_tree_words, tree_picture

__all__ = [
    "Clash",
    "Dot",
    "DotError",
    "Mark",
    "Near",
    "Picture",
    "Sheet",
    "Trace",
    "UnknownPartError",
    "bands_picture",
    "draw_bands",
    "draw_bands_words",
    "draw_detail",
    "draw_job",
    "draw_odds",
    "draw_odds_words",
    "draw_order",
    "draw_order_words",
    "draw_sessions",
    "draw_sessions_words",
    "draw_tree",
    "draw_tree_words",
    "draw_vehicle",
    "lever_svg",
    "list_text",
    "odds_picture",
    "picture_svg",
    "scale_words",
    "sessions_picture",
    "svg_text",
    "tree_picture",
]
