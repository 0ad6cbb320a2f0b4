"""Pictures cut into pages: nothing lost, nothing shown twice but the head, no words cut, letters that can be read."""

from __future__ import annotations

from functools import lru_cache

import pytest
from book.worked import answer

from planner.book import Paper
from planner.book.facts import BookFacts
from planner.book.pictures import drawings_of
from planner.book.pieces import Piece, Place, cut_up
from planner.draw import Picture, bands_picture, draw_job, sessions_picture, tree_picture
from planner.draw.picture import Words
from planner.model.steps import step_keys
from planner.space import Elevation

JOB = "battery-aft"
WIDTHS_MM = {Paper.A4: (180.0, 273.0), Paper.LETTER: (185.9, 255.4), Paper.ANY: (180.0, 255.4)}
"""ISO 216 and ANSI Y14.1 less 18 and 12 mm upright, twice 12 mm sideways; of any paper the narrower."""
HIGHS_MM = {Paper.A4: (269.0, 186.0), Paper.LETTER: (251.4, 191.9), Paper.ANY: (251.4, 186.0)}
"""The same less 14 mm above and below upright, twice 12 mm sideways."""
LETTERS_MM = 2.6
LEAST_LETTERS_MM = 1.85
"""5.2 pt; the smallest print that is read without trouble at arm's length is a matter of judgement."""


def plain(wide: float, high: float, seams: tuple[float, ...], head: tuple[float, float] | None = None) -> Picture:
    return Picture(
        name="p", title="", about="", size=(wide, high), items=(), looks={}, fills={}, seams=seams, head=head
    )


def test_a_long_picture_is_cut_at_its_seams_with_its_head_again() -> None:
    """Worked by hand: an upright page of A4 holds 1.38 x 180 = 248.4 mm of it, 238.4 mm below a head of 10 mm."""
    seams = tuple(100.0 * n for n in range(1, 7))
    pieces = cut_up(plain(180.0, 700.0, seams, (10.0, 20.0)), Paper.A4)
    assert [p.place for p in pieces] == [Place.UPRIGHT] * 4
    head = (0.0, 10.0, 180.0, 10.0)
    assert [p.windows for p in pieces] == [
        ((0.0, 0.0, 180.0, 200.0),),
        (head, (0.0, 200.0, 180.0, 200.0)),
        (head, (0.0, 400.0, 180.0, 200.0)),
        (head, (0.0, 600.0, 180.0, 100.0)),
    ]
    assert [p.share for p in pieces] == [1.0] * 4


def test_what_is_a_little_too_high_is_shrunk_and_what_is_wide_lies_on_its_side() -> None:
    (piece,) = cut_up(plain(180.0, 270.0, (100.0, 200.0)), Paper.A4)
    assert piece.place is Place.UPRIGHT
    assert piece.share == pytest.approx(248.4 / 270.0)
    (piece,) = cut_up(plain(270.0, 150.0, (75.0,)), Paper.A4)
    assert (piece.place, piece.share) == (Place.SIDEWAYS, 1.0)


def test_a_row_higher_than_a_page_is_kept_whole() -> None:
    pieces = cut_up(plain(180.0, 700.0, (20.0, 600.0)), Paper.LETTER)
    assert [p.windows[-1][1] for p in pieces] == [0.0, 20.0, 600.0]
    assert pieces[1].share == pytest.approx(1.25 * 180.0 / 580.0) or pieces[1].place is Place.SIDEWAYS


@lru_cache(maxsize=1)
def pictures() -> tuple[Picture, ...]:
    found = answer(JOB)
    return (
        tree_picture(found.vehicle, found.knockons, wide_mm=212.0),
        sessions_picture(found.work, found.plan, found.chain, wide_mm=225.0),
        bands_picture(found.work, found.plan, wide_mm=225.0),
    )


@pytest.mark.parametrize("paper", list(Paper))
def test_every_picture_is_printed_whole_once_in_letters_that_can_be_read(paper: Paper) -> None:
    for picture in pictures():
        pieces = cut_up(picture, paper)
        down = 0.0
        for n, piece in enumerate(pieces):
            *heads, (x, y, wide, high) = piece.windows
            assert (x, y, wide) == (0.0, pytest.approx(down), picture.size[0])
            assert bool(heads) == (n > 0 and picture.head is not None)
            down += high
            sideways = piece.place is Place.SIDEWAYS
            across = min(piece.share * WIDTHS_MM[paper][sideways], wide)
            assert LETTERS_MM * across / wide >= LEAST_LETTERS_MM
            assert piece.size[1] * across / wide <= HIGHS_MM[paper][sideways]
        assert down == pytest.approx(picture.size[1])


def test_no_words_stand_over_a_seam() -> None:
    for picture in pictures():
        assert picture.seams
        for words in (i for i in picture.items if isinstance(i, Words)):
            top, foot = words.at[1] - 0.75 * words.size_mm, words.at[1] + 0.22 * words.size_mm
            assert not [s for s in picture.seams if top < s < foot], words.text


def test_the_cover_shows_each_view_with_all_its_labels_and_none_of_the_next() -> None:
    found = answer(JOB)
    facts = BookFacts(answer=found, keys=step_keys(found.plan.slots))
    crops = drawings_of(facts)[0].crops
    sheet = draw_job(found.vehicle, found.job, found.knockons)
    assert len(crops) == 2
    for crop in crops:
        for view in sheet.views:
            own = view.title == crop.title and view.elevation is Elevation.SIDE
            for label in view.labels:
                (x, y), half = label.middle, (label.wide_mm / 2, label.high_mm / 2)
                assert _seen(crop.piece, (x - half[0], y - half[1], x + half[0], y + half[1])) is own


def _seen(piece: Piece, box: tuple[float, float, float, float]) -> bool:
    """Whether a box is shown whole; one that is shown in part is a fault."""
    ((left, top, wide, high),) = piece.windows
    inside = left <= box[0] and top <= box[1] and box[2] <= left + wide and box[3] <= top + high
    apart = box[2] <= left or box[3] <= top or box[0] >= left + wide or box[1] >= top + high
    assert inside or apart
    return inside
