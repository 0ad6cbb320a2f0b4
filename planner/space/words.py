"""Where on a body a place lies, in words."""

from __future__ import annotations

from planner.model.shapes import Vec
from planner.space.body import Body

_OUTER = 0.25
"""The outer quarter of the box on either side counts as that side."""
_THIN = 0.1
"""Sides are not told apart on an axis on which the box is thinner than this share of its greatest size."""

_SIDES = (("front", "rear"), ("left", "right"), ("lower", "upper"))
_WORD_ORDER = (2, 1, 0)
_FORMS = {3: ("middle", "face", "edge", "corner"), 2: ("middle", "edge", "corner"), 1: ("middle", "end")}


def place_words(body: Body, at_mm: Vec) -> str:
    """Say in which region of the body's box ``at_mm`` lies: "lower rear edge", "upper left front corner".

    Sides on which the body is very thin are not told apart: a plate has edges and corners, a rod has ends.
    """
    sizes = [high - low for low, high in zip(body.lo_mm, body.hi_mm, strict=True)]
    told = [axis for axis in _WORD_ORDER if sizes[axis] > 0.0 and sizes[axis] >= _THIN * max(sizes)]
    words = []
    for axis in told:
        share = (at_mm[axis] - body.lo_mm[axis]) / sizes[axis]
        if share <= _OUTER or share >= 1.0 - _OUTER:
            words.append(_SIDES[axis][share > 1.0 / 2.0])
    forms = _FORMS.get(len(told), ("middle",))
    return " ".join([*words, forms[len(words)]])
