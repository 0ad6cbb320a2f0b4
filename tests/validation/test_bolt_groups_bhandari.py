"""Bolt groups: Bhandari, Design of Machine Elements, 7.4 (eccentric shear) and 7.7 (bracket that tips)."""

import math

import pytest

from planner.sums.bolt_groups import sheared, tipping_n


def test_7_4_three_bolts_in_line() -> None:
    shares = sheared([(0, 75), (0, 0), (0, -75)], (0, -5000), (305, 0))
    worst = max(shares, key=lambda s: s.total_n)
    assert worst.even_n == pytest.approx(1666.7, rel=1e-4)
    assert worst.moment_n == pytest.approx(10_166.7, rel=1e-4)
    # The book adds the two as if they were in one line; square to each other they give less.
    assert worst.even_n + worst.moment_n == pytest.approx(11_833, rel=1e-4)
    assert worst.total_n == pytest.approx(math.hypot(1666.667, 10_166.667), rel=1e-6)


def test_7_4_as_drawn_with_the_bolts_along_the_arm() -> None:
    """The figure has the bolts in line with the arm: then the shares do add, and the core is 15.42 mm."""
    shares = sheared([(75, 0), (0, 0), (-75, 0)], (0, -5000), (305, 0))
    worst = max(s.total_n for s in shares)
    assert worst == pytest.approx(11_833, rel=1e-4)
    allowed = 0.5 * 380 / 3
    core = math.sqrt(4 * worst / (math.pi * allowed))
    assert core == pytest.approx(15.42, rel=0.001)


def test_7_7_bracket_tipping_about_its_edge() -> None:
    tension = tipping_n([(300, 2), (200, 2), (100, 2)], 50_000, 250)
    # Value in the book: 13 392.9 N at the top row.
    assert tension == pytest.approx(13_392.9, rel=1e-5)
    assert tension / 100 == pytest.approx(133.93, rel=1e-4)


def test_one_bolt_cannot_take_a_moment() -> None:
    with pytest.raises(ValueError, match="would turn"):
        sheared([(0, 0)], (0, 100), (10, 0))
