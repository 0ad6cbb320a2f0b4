"""The drawings of the book, as SVG text fit to stand in a page, and the pieces in which each goes on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from planner.book.elevations import Listing, key_of, lists_of, round_view, views_apart
from planner.book.facts import BookFacts, Paper
from planner.book.pieces import PAGES, Crop, Page, Place, cut_up, fewest_pages, lying
from planner.draw import (
    Picture,
    Sheet,
    bands_picture,
    draw_bands_words,
    draw_detail,
    draw_job,
    draw_odds_words,
    odds_picture,
    picture_svg,
    sessions_picture,
    svg_text,
    tree_picture,
)
from planner.draw.sheet import View
from planner.space import Elevation

_XMLNS = ' xmlns="http://www.w3.org/2000/svg"'
"""Needless inside a page, and an address that a reader might take for something fetched."""

_ID = re.compile(r'<svg[^>]*? id="([^"]+)"')
_TREES_MM = (195.0, 256.0, 317.0)
"""Widths to try for what follows from what: three boxes side by side, four, five."""
_PLAN_MM = PAGES[Paper.A4][0].wide_mm
"""As wide as a page, so that no letter of it is shrunk."""
_SHRUNK = "Read lengths off the scale bar."
_TIGHT = "Cut at the frames, with what the frames hold larger and a numbering of its own. "


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One drawing, and the same in words where no page of the book says it otherwise.

    ``wide``: it wants its pages on their side; ``slices``: the pieces in which it is printed, one to a page, or
    ``views``, several to a page, with ``key`` and ``lists`` that say what is in them; ``follows``: it is small, and
    goes below what stands before it where there is room.
    """

    title: str
    svg: str
    note: str = ""
    wide: bool = False
    crops: tuple[Crop, ...] = ()
    views: tuple[Crop, ...] = ()
    key: str = ""
    lists: tuple[Listing, ...] = ()
    slices: tuple[Crop, ...] = ()
    words: tuple[str, ...] = ()
    follows: bool = False


def drawings_of(facts: BookFacts) -> tuple[Shown, ...]:
    """The vehicle before and after, and where it is tight; nothing when there is no answer to draw."""
    answer = facts.answer
    if not answer.knockons.after:
        return ()
    sheet = draw_job(answer.vehicle, answer.job, answer.knockons)
    sides = [v for v in sheet.views if v.elevation is Elevation.SIDE]
    found = [_drawn("Before and after", sheet, lying(facts.paper), _SHRUNK, sides)]
    closer = draw_detail(answer.vehicle, answer.job, answer.knockons, sheet)
    if closer is not None:
        found.append(_drawn("Where it is tight", closer, lying(facts.paper), f"{_TIGHT}{_SHRUNK}"))
    return tuple(found)


def _drawn(title: str, sheet: Sheet, page: Page, note: str, views: Sequence[View] = ()) -> Shown:
    svg = svg_text(sheet)
    of = _id(svg)
    return Shown(
        title=title,
        svg=inline(svg),
        note=note,
        wide=True,
        crops=tuple(Crop(title=v.title, of=of, size=sheet.size, piece=round_view(v)) for v in views),
        views=views_apart(sheet, of, page),
        key=key_of(sheet),
        lists=lists_of(sheet),
    )


def _id(svg: str) -> str:
    found = _ID.search(svg)
    if found is None:
        raise ValueError("a drawing tells no id of its own")
    return found[1]


def _shown(title: str, picture: Picture, paper: Paper, words: tuple[str, ...] = ()) -> Shown:
    """A picture with the pieces in which it is printed."""
    svg, pieces = picture_svg(picture), cut_up(picture, paper)
    many = len(pieces) > 1
    return Shown(
        title=title,
        svg=inline(svg),
        wide=pieces[0].place is Place.SIDEWAYS,
        slices=tuple(
            Crop(title=f"part {n} of {len(pieces)}" if many else "", of=_id(svg), size=picture.size, piece=piece)
            for n, piece in enumerate(pieces, start=1)
        ),
        words=words,
    )


def inline(svg: str) -> str:
    """An SVG document as part of a page."""
    return svg.replace(_XMLNS, "", 1)


def pictures_of(facts: BookFacts) -> tuple[Shown, ...]:
    """What follows from what, and the plan as pictures; those of the plan only when there is one."""
    return tuple(_pictures(facts))


def _pictures(facts: BookFacts) -> Iterator[Shown]:
    answer = facts.answer
    work, plan, numbers, by = answer.work, answer.plan, answer.numbers, answer.job.finish_by
    paper = facts.paper
    if answer.knockons.after:
        yield _shown("What follows from what", fewest_pages(_trees(facts), paper), paper)
    if not plan.slots:
        return
    bars = sessions_picture(work, plan, answer.chain, by=by, numbers=numbers, wide_mm=_PLAN_MM)
    yield _shown("The sessions", bars, paper)
    bands = bands_picture(work, plan, numbers=numbers, wide_mm=_PLAN_MM)
    yield _shown("What is off and when", bands, paper, draw_bands_words(work, plan, numbers=numbers))
    if answer.odds is not None:
        words = draw_odds_words(plan, answer.odds, by)
        shown = _shown("How likely the dates are", odds_picture(plan, answer.odds, by), paper, words)
        yield replace(shown, follows=True)


def _trees(facts: BookFacts) -> Iterator[Picture]:
    answer = facts.answer
    for wide_mm in _TREES_MM:
        yield tree_picture(answer.vehicle, answer.knockons, job=answer.job.name, wide_mm=wide_mm)
