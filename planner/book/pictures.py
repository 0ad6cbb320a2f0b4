"""The drawings of the book, as SVG text fit to stand in a page."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from planner.book.facts import BookFacts
from planner.draw import (
    draw_bands,
    draw_bands_words,
    draw_job,
    draw_odds,
    draw_odds_words,
    draw_sessions,
    draw_tree,
    svg_text,
)
from planner.space import Elevation

_XMLNS = ' xmlns="http://www.w3.org/2000/svg"'
"""Needless inside a page, and an address that a reader might take for something fetched."""

_ROOT = re.compile(r'<svg[^>]*? id="(?P<id>[^"]+)"[^>]*?viewBox="0 0 (?P<wide>[0-9.]+) (?P<high>[0-9.]+)"')
_TALLEST, _SQUEEZED, _OVERLAP = 1.2, 1.4, 0.04
"""Height of a printed page over its width; what may be squeezed onto one all the same; what slices share."""
_ROUND_MM = 15.0
"""Room above and below a view for its title and its labels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """A view of a drawing that is shown again: the drawing's id and size, and the window on it [mm on its paper]."""

    title: str
    of: str
    size: tuple[float, float]
    box: str
    wide: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One drawing, and the same in words where no page of the book says it otherwise.

    ``wide``: it wants its page on its side; ``slices``: too tall for a page, it is printed in these.
    """

    title: str
    svg: str
    note: str = ""
    wide: bool = False
    crops: tuple[Crop, ...] = ()
    slices: tuple[Crop, ...] = ()
    words: tuple[str, ...] = ()


def drawing_of(facts: BookFacts) -> Picture | None:
    """The vehicle before and after; None when there is no answer to draw."""
    answer = facts.answer
    if not answer.knockons.after:
        return None
    sheet = draw_job(answer.vehicle, answer.job, answer.knockons)
    note = "Shrunk to the page: read lengths off the scale bar, not off the scale that is written on it."
    text = svg_text(sheet)
    sides = [v for v in sheet.views if v.elevation is Elevation.SIDE]
    crops = tuple(
        _crop(text, v.title, v.corner[0], v.corner[1] - _ROUND_MM, v.size[0], v.size[1] + 2 * _ROUND_MM) for v in sides
    )
    return Picture(title="Before and after", svg=inline(text), note=note, wide=True, crops=crops)


def _crop(svg: str, title: str, x: float, y: float, wide: float, high: float) -> Crop:  # a box
    found = _ROOT.search(svg)
    if found is None:
        raise ValueError("a drawing tells no id or no size of its own")
    size = (float(found["wide"]), float(found["high"]))
    box = f"{x:.2f} {y:.2f} {wide:.2f} {high:.2f}"
    return Crop(title=title, of=found["id"], size=size, box=box, wide=round(wide, 2), high=round(high, 2))


def _shown(title: str, svg: str, words: tuple[str, ...] = ()) -> Picture:
    """A drawing on the page that suits its shape; a tall one in slices that overlap a little."""
    wide, high = _crop(svg, title, 0.0, 0.0, 0.0, 0.0).size
    tall = wide * _TALLEST
    slices: list[Crop] = []
    if high > tall * _SQUEEZED:
        count = max(2, math.ceil(high / (tall * (1.0 - _OVERLAP))))
        step = (high - tall) / (count - 1)
        slices = [_crop(svg, f"{title}, part {n + 1} of {count}", 0.0, n * step, wide, tall) for n in range(count)]
    return Picture(title=title, svg=inline(svg), wide=wide > high, slices=tuple(slices), words=words)


def inline(svg: str) -> str:
    """An SVG document as part of a page."""
    return svg.replace(_XMLNS, "", 1)


def pictures_of(facts: BookFacts) -> tuple[Picture, ...]:
    """What follows from what, and the plan as pictures; those of the plan only when there is one."""
    answer = facts.answer
    work, plan, numbers, by = answer.work, answer.plan, answer.numbers, answer.job.finish_by
    found = []
    if answer.knockons.after:
        tree = draw_tree(answer.vehicle, answer.knockons, job=answer.job.name)
        found.append(_shown("What follows from what", tree))
    if plan.slots:
        bars = draw_sessions(work, plan, answer.chain, by=by, numbers=numbers)
        found.append(_shown("The sessions", bars))
        bands = draw_bands(work, plan, numbers=numbers)
        found.append(_shown("What is off and when", bands, draw_bands_words(work, plan, numbers=numbers)))
        if answer.odds is not None:
            found.append(
                _shown(
                    "How likely the dates are", draw_odds(plan, answer.odds, by), draw_odds_words(plan, answer.odds, by)
                )
            )
    return tuple(found)
