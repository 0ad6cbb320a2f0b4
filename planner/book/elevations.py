"""A sheet of the vehicle printed view by view, as near to its own size as the page allows, its lists set as text."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from planner.book.pieces import Crop, Page, Piece, of_all
from planner.draw import Mark, Sheet, Trace
from planner.draw.sheet import View

_RIM_MM = 0.3
_APART_MM = 4.0
"""Between views that stand side by side."""
_CAPTION_MM = 18.0
"""Words over a view, in two lines where it is narrow, and the note under the heading."""
_SMALLEST = 0.72
"""A view before the job and the same after it stand side by side as long as their letters are not smaller than so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """A list of a drawing, set as text beside it."""

    title: str
    lines: tuple[str, ...]


def views_apart(sheet: Sheet, of: str, page: Page) -> tuple[Crop, ...]:
    """The views of a sheet, each before the job and after it, then the scale bar, all at one scale.

    Parameters
    ----------
    sheet : Sheet
    of : str
        Id of the drawing in the page.
    page : Page
        That they are to fit.
    """
    views = sorted(sheet.views, key=lambda v: list(dict.fromkeys(w.elevation for w in sheet.views)).index(v.elevation))
    pieces = [round_view(v) for v in views]
    room = page.wide_mm - 2 * _APART_MM
    high = page.wide_mm * page.aspect - _CAPTION_MM
    pairs = [list(pair) for _, pair in groupby(zip(views, pieces, strict=True), key=lambda each: each[0].elevation)]
    widest = max(sum(p.size[0] for _, p in pair) for pair in pairs)
    scale = min(1.0, room / widest, *(high / p.size[1] for p in pieces))
    if scale < _SMALLEST:
        scale = min(1.0, *(room / p.size[0] for p in pieces), *(high / p.size[1] for p in pieces))
    shown = [
        Crop(title=_caption(v), of=of, size=sheet.size, piece=_at(p, scale, page))
        for v, p in zip(views, pieces, strict=True)
    ]
    return (*shown, Crop(title="", of=of, size=sheet.size, piece=_at(_bar(sheet), scale, page)))


def _caption(view: View) -> str:
    """What a view shows, with the way its arrow points; the arrow never stands on a line of its own."""
    return f"{view.title}; {view.arrow_text}\N{NO-BREAK SPACE}\N{RIGHTWARDS ARROW}"


def round_view(view: View) -> Piece:
    """A view with its own labels and nothing of the next one."""
    (x, y), (wide, high) = view.corner, view.size
    tops = [n.middle[1] - n.high_mm / 2 for n in view.labels]
    feet = [n.middle[1] + n.high_mm / 2 for n in view.labels]
    lefts = [n.middle[0] - n.wide_mm / 2 for n in view.labels]
    rights = [n.middle[0] + n.wide_mm / 2 for n in view.labels]
    left, top = min([x, *lefts]) - _RIM_MM, min([y, *tops]) - _RIM_MM
    right, foot = max([x + wide, *rights]) + _RIM_MM, max([y + high, *feet]) + _RIM_MM
    return of_all((left, top, right - left, foot - top))


def _bar(sheet: Sheet) -> Piece:
    (x, y), step = sheet.bar.at, sheet.bar.step_mm
    # Its last length is written round its end, under it.
    return of_all((x - 2.0, y - 0.5, step * (len(sheet.bar.texts) - 1) + 12.0, 7.5))


def _at(piece: Piece, scale: float, page: Page) -> Piece:
    return Piece(windows=piece.windows, share=scale * piece.size[0] / page.wide_mm, place=page.place)


def key_of(sheet: Sheet) -> str:
    """What the letters and lines of a sheet stand for."""
    marks = {e.mark for e in sheet.entries}
    letters = [f"{m.value} {m.words}" for m in Mark if m in marks]
    letters += dict.fromkeys(f"{s.clash.value} {s.clash.words}" for s in sheet.spots)
    dotted = [f"dotted: {sign.value}" for sign, _ in sheet.spot_legend if isinstance(sign, Trace)]
    foot = [sheet.notes[-1].text] if sheet.notes else []
    return "; ".join((*letters, *dotted, *foot))


def lists_of(sheet: Sheet) -> tuple[Listing, ...]:
    """What the numbers of a sheet stand for."""
    things = tuple(_line(e.number, e.mark.value if e.mark else "", e.name) for e in sheet.entries)
    spots = tuple(_line(s.number, s.clash.value, s.text) for s in sheet.spots)
    found = (Listing(title="Numbers", lines=things), Listing(title="Where it is in the way", lines=spots))
    return tuple(each for each in found if each.lines)


def _line(number: int, letter: str, words: str) -> str:
    return " ".join(filter(None, (str(number) if number else "\N{EN DASH}", letter, words)))
