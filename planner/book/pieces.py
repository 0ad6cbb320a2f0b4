"""Pictures cut into pieces that fit a printed page, A4 or Letter, with letters that can be read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from planner.book.facts import Paper
from planner.draw import Picture

Window = tuple[float, float, float, float]
"""Left, top, width and height of what is shown of a picture [mm on its own paper]."""


class Place(Enum):
    """How a page lies."""

    UPRIGHT = "upright"
    SIDEWAYS = "sideways"


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """What can be printed on below a heading: its width [mm], and its height over its width."""

    place: Place
    wide_mm: float
    aspect: float


PAGES = {
    Paper.A4: (
        Page(place=Place.UPRIGHT, wide_mm=180.0, aspect=1.38),
        Page(place=Place.SIDEWAYS, wide_mm=273.0, aspect=0.62),
    ),
    Paper.LETTER: (
        Page(place=Place.UPRIGHT, wide_mm=185.9, aspect=1.25),
        Page(place=Place.SIDEWAYS, wide_mm=255.4, aspect=0.68),
    ),
    Paper.ANY: (
        Page(place=Place.UPRIGHT, wide_mm=180.0, aspect=1.25),
        Page(place=Place.SIDEWAYS, wide_mm=255.4, aspect=0.62),
    ),
}
"""ISO 216 and ANSI Y14.1 less the margins of the style sheet and a heading of 14 mm; any paper: what both have."""

_LEAST_SCALE = 0.72
"""Letters of 2.6 mm are 1.9 mm high at the least: 5.3 pt."""
_SQUEEZED = 1.15
"""What is so much too high for a page is shrunk a little more rather than cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What one page shows of a picture: windows under one another, as wide as ``share`` of the page."""

    windows: tuple[Window, ...]
    share: float
    place: Place

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of it all [mm on the picture's own paper]."""
        return max(w[2] for w in self.windows), sum(w[3] for w in self.windows)

    @property
    def placed(self) -> tuple[tuple[float, Window], ...]:
        """Each window with how far down the piece it stands [mm]."""
        return tuple((sum(w[3] for w in self.windows[:n]), window) for n, window in enumerate(self.windows))


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """A piece of a drawing that is shown again; ``of`` is the drawing's id, ``size`` its own width and height [mm]."""

    title: str
    of: str
    size: tuple[float, float]
    piece: Piece


def of_all(window: Window) -> Piece:
    """One window as a piece as wide as whatever it stands in."""
    return Piece(windows=(window,), share=1.0, place=Place.UPRIGHT)


def fitted(windows: tuple[Window, ...], page: Page) -> Piece:
    """Windows as a piece that fits its page whole."""
    wide, high = max(w[2] for w in windows), sum(w[3] for w in windows)
    return Piece(windows=windows, share=min(1.0, page.aspect * wide / high), place=page.place)


def lying(paper: Paper) -> Page:
    """A page on its side."""
    return PAGES[paper][1]


def cut_up(picture: Picture, paper: Paper) -> tuple[Piece, ...]:
    """The pieces of a picture: the fewest pages on which its letters can be read, then the largest letters."""
    return _best(picture, paper)[1]


def fewest_pages(pictures: Iterable[Picture], paper: Paper) -> Picture:
    """The one of several pictures of the same thing that prints best."""
    return min(pictures, key=lambda picture: _best(picture, paper)[0])


def _best(picture: Picture, paper: Paper) -> tuple[tuple[bool, int, float], tuple[Piece, ...]]:
    found = []
    for page in PAGES[paper]:
        pieces = _pieces(picture, page)
        scale = min(1.0, *(p.share * page.wide_mm / picture.size[0] for p in pieces))
        found.append(((scale < _LEAST_SCALE, len(pieces), -scale), pieces))
    return min(found, key=lambda each: each[0])


def _pieces(picture: Picture, page: Page) -> tuple[Piece, ...]:
    wide, high = picture.size
    # A picture is never printed larger than life, so a narrow one finds more room below it.
    room = page.aspect * max(wide, page.wide_mm)
    if high <= room * _SQUEEZED or not picture.seams:
        return (fitted(((0.0, 0.0, wide, high),), page),)
    head = () if picture.head is None else ((0.0, picture.head[0], wide, picture.head[1] - picture.head[0]),)
    above = sum(w[3] for w in head)
    pieces: list[Piece] = []
    start = 0.0
    while start < high:
        lead = head if pieces else ()
        left = room - (above if pieces else 0.0)
        end = high
        if start + left < high:
            # A row higher than a page is left whole, and shrunk to it.
            later = [s for s in picture.seams if s > start]
            end = max((s for s in later if s <= start + left), default=min(later, default=high))
        pieces.append(fitted((*lead, (0.0, start, wide, end - start)), page))
        start = end
    return tuple(pieces)
