"""The list of names takes what room there is before the views are drawn smaller for it."""

from __future__ import annotations

import pytest

from planner.draw.frames import Extent
from planner.draw.scene import NOW
from planner.draw.setting import MARGIN_MM, SHEET_MM, settings_for

CAR = Extent(low=(-800.0, -800.0, 0.0), high=(3350.0, 800.0, 1400.0), ground_mm=0.0)
"""A car of common size: 4.15 m x 1.6 m x 1.4 m."""
MOST = 60
"""Parts that get a number at most."""


def test_a_car_with_sixty_numbers_stands_at_one_to_twenty() -> None:
    """By hand: 4150 / 20 = 208 mm leave some 170 mm beside it, three columns of 57 mm; 20 lines of 4.1 mm are 82 mm,
    and the view from above is 80 mm high with 23 mm for its labels."""
    settings = settings_for({NOW: CAR}, 20.0, 0)
    held = [s for s in settings if s.holds(MOST)]
    assert [s.columns for s in held] == [3]


@pytest.mark.parametrize("scale", [10.0, 12.5, 15.0, 20.0, 25.0, 30.0])
def test_no_column_is_too_narrow_for_a_name_and_none_leaves_the_paper(scale: float) -> None:
    for setting in settings_for({NOW: CAR}, scale, 0):
        if setting.holds(1):
            assert setting.entry_wide_mm >= 50.0
            assert setting.list_at[0] + setting.columns * setting.entry_wide_mm <= SHEET_MM[0] - MARGIN_MM + 1e-6
