"""Screening of many layouts against the one-at-a-time lever, itself checked against the vector loop."""

import math

import numpy as np
import pytest

from planner.sums.lever import LeverError, state_at, summary
from planner.sums.lever_screen import CHUNK, Layouts, layouts, lever_of, screened


def random_layouts(count: int, seed: int) -> Layouts:
    dice = np.random.default_rng(seed)
    return layouts(
        pivot_x_mm=dice.uniform(-50, 50, count),
        pivot_z_mm=dice.uniform(-50, 50, count),
        clevis_arm_mm=dice.uniform(30, 120, count),
        clevis_deg=dice.uniform(-720, 720, count),
        pad_arm_mm=dice.uniform(120, 450, count),
        pad_deg=dice.uniform(-720, 720, count),
        mouth_x_mm=dice.uniform(-200, 200, count),
        mouth_z_mm=dice.uniform(-200, 200, count),
        push_deg=dice.uniform(-360, 360, count),
        travel_deg=dice.choice([-1, 1], count) * dice.uniform(3, 80, count),
        beside_mm=dice.uniform(-10, 10, count),
    )


def test_screening_equals_the_single_lever() -> None:
    many = random_layouts(400, 3)
    found, reached = screened(many), 0
    for n in range(len(many)):
        lever = lever_of(many, n)
        try:
            whole = summary(lever)
        except LeverError:
            assert not found.reaches[n]
            continue
        if math.dist(state_at(lever, 0).seat_mm, lever.mouth_mm) > 1e-6:
            assert not found.reaches[n], "the piston would be behind the clevis"
            continue
        if not found.reaches[n]:
            # The single lever looks at its ends and stationary angles: it must fail at one of them.
            with pytest.raises(LeverError):
                [state_at(lever, lever.travel_deg * k / 2000) for k in range(2001)]
            continue
        reached += 1
        assert found.stroke_mm[n] == pytest.approx(whole.stroke_mm, abs=1e-9)
        assert found.ratio_rest[n] == pytest.approx(whole.ratio_rest, rel=1e-9)
        assert found.ratio_full[n] == pytest.approx(whole.ratio_full, rel=1e-9)
        assert found.rod_most_deg[n] == pytest.approx(whole.rod_most_deg, abs=1e-7)
        assert found.rod_mm[n] == pytest.approx(lever.rod_mm)
        assert found.pad_arc_mm[n] == pytest.approx(whole.pad_arc_mm)
    assert reached > 80


def test_the_pads_box_against_samples() -> None:
    many = random_layouts(200, 4)
    found = screened(many)
    for n in range(len(many)):
        angles = np.radians(many.pad_deg[n] + many.travel_deg[n] * np.linspace(0, 1, 4001))
        x = many.pivot_x_mm[n] + many.pad_arm_mm[n] * np.cos(angles)
        z = many.pivot_z_mm[n] + many.pad_arm_mm[n] * np.sin(angles)
        told = (found.pad_x_low_mm[n], found.pad_x_high_mm[n], found.pad_z_low_mm[n], found.pad_z_high_mm[n])
        assert told == pytest.approx((x.min(), x.max(), z.min(), z.max()), abs=1e-3)


def test_chunks_and_shared_values_give_the_same() -> None:
    count = CHUNK + 100
    many = random_layouts(count, 5)
    whole = screened(many)
    assert whole.stroke_mm.size == count
    tail = screened(many.part(CHUNK, count))
    np.testing.assert_array_equal(whole.stroke_mm[CHUNK:], tail.stroke_mm)
    some = int(np.flatnonzero(whole.reaches)[0])
    single = screened(layouts(**{k: float(getattr(many, k)[some]) for k in many.__slots__}))
    assert single.ratio_mean[0] == pytest.approx(whole.ratio_mean[some], rel=1e-12)
