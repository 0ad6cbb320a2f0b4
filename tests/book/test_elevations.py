"""The sheets of a vehicle in a book: view by view, before beside after, letters to be read, every number told."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

import pytest
from book.reading import Read, having, words
from book.test_pieces import HIGHS_MM, LEAST_LETTERS_MM, LETTERS_MM, WIDTHS_MM
from book.worked import answer, facts_of

from planner.book import Paper
from planner.book.labels import SHEETS
from planner.book.page import page_environment
from planner.book.pictures import Shown, drawings_of
from planner.draw import draw_job

JOB = "battery-aft"
HEADING_MM = 14.0


@lru_cache(maxsize=4)
def drawings(paper: Paper) -> tuple[Shown, ...]:
    return drawings_of(facts_of(JOB, paper))


@pytest.mark.parametrize("paper", list(Paper))
def test_every_view_fits_its_page_with_letters_that_can_be_read_and_is_no_larger_than_drawn(paper: Paper) -> None:
    wide_mm, high_mm = WIDTHS_MM[paper][1], HIGHS_MM[paper][1] - HEADING_MM
    for shown in drawings(paper):
        scales = [c.piece.share * wide_mm / c.piece.size[0] for c in shown.views]
        assert scales == pytest.approx([scales[0]] * len(scales))
        assert LEAST_LETTERS_MM <= scales[0] * LETTERS_MM <= LETTERS_MM + 1e-6
        assert max(c.piece.size[1] for c in shown.views) * scales[0] <= high_mm


def test_each_view_before_the_job_has_the_same_view_after_it_beside_it() -> None:
    for shown in drawings(Paper.A4):
        *views, bar = shown.views
        assert bar.title == ""
        assert len(views) == 6
        for before, after in list(pairwise(views))[::2]:
            assert before.title.split(",")[0] == after.title.split(",")[0]
            assert "as it stands" in before.title
            assert "job done" in after.title
            assert before.piece.share + after.piece.share < 1.0


def test_every_number_beside_a_view_is_told_in_the_lists_in_full() -> None:
    found = answer(JOB)
    sheet = draw_job(found.vehicle, found.job, found.knockons)
    (shown, *_) = drawings(Paper.A4)
    lines = [line for listing in shown.lists for line in listing.lines]
    told = {m[1]: m[2] for line in lines if (m := re.match(r"(\d+) (?:[A-Z] )?(.*)", line))}
    labels = [n for v in sheet.views for n in v.labels]
    assert {str(n.number) for n in labels} <= set(told)
    names = {**found.vehicle.components, **found.vehicle.links, **found.knockons.after, **found.knockons.links_after}
    for label in labels:
        if label.subject in names:
            assert told[str(label.number)] == names[label.subject].name
    for letter in {n.mark for n in labels if n.mark}:
        assert f"{letter.value} {letter.words}" in shown.key


def test_lists_are_on_the_page() -> None:
    (shown, *_) = drawings(Paper.ANY)
    macro = '{% import "pieces.html" as pieces %}<!DOCTYPE html><title>t</title>{{ pieces.picture(shown, "d") }}'
    page = Read(page_environment().from_string(macro).render(shown=shown))
    on_page = {words(li) for ul in having(page.root, "named") for li in ul}
    assert {" ".join(line.split()) for listing in shown.lists for line in listing.lines} <= on_page


def test_letters_grow_with_the_label() -> None:
    """70 x 37 mm is what 8 pt are set for; 4 x 2 in is 1.45 times as wide and 1.37 times as high."""
    assert SHEETS[Paper.A4].letters == 1.0
    assert SHEETS[Paper.LETTER].letters == pytest.approx(50.8 / 37.0, abs=0.01)
    assert all(s.letters >= 1.0 for s in SHEETS.values())


@pytest.mark.parametrize(
    ("missing", "told"),
    [
        ("`width` of `figures.shoe`", "width of shoe (vehicle.yaml: figures.shoe)"),
        ("`flare` of `figures.brake_pipe`", "flare of brake pipe (vehicle.yaml: figures.brake_pipe)"),
        ("its mass", "its mass"),
    ],
)
def test_a_figure_that_a_sum_waits_for_is_told_in_words(missing: str, told: str) -> None:
    assert facts_of(JOB).figure(missing) == told
