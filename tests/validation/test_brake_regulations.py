"""Published limits: UN R13 annex 4 (1.1.2, 2.2), UN R13-H annex 3 (from memory), FMVSS 135 S7.5, FMVSS 116 S5.1.

Some pages give 270/190 degC for DOT 5.1: no such row is in the standard, and it must not come out.
"""

import pytest

from planner.sums.brake_fluid import FLUIDS, mixes
from planner.sums.brake_limits import LIMITS, PEDAL_PROOF_N, mean_deceleration_ms2, stop_m


def test_mean_deceleration_formula() -> None:
    assert mean_deceleration_ms2(0.8 * 100, 0.1 * 100, 37.80) == pytest.approx(6.43, rel=0.0005)


@pytest.mark.parametrize(
    ("name", "stop", "deceleration"),
    [
        ("service brake, cold, engine disconnected", 70.0, 6.43),
        ("service brake with one circuit failed", 168.0, 2.44),
        ("secondary brake of an older car", 93.33, 2.9),
        ("service brake of an older car", 50.67, 5.8),
    ],
)
def test_stopping_distances(name: str, stop: float, deceleration: float) -> None:
    limit = next(x for x in LIMITS if x.name == name)
    assert limit.stop_m == pytest.approx(stop, rel=0.0005)
    assert limit.deceleration_ms2 == deceleration
    assert limit.most_pedal_n == 500


def test_the_square_term_is_the_deceleration_in_disguise() -> None:
    """0.0060 = 1 / (25.92 x 6.43) and 0.0158 = 1 / (25.92 x 2.44), to the figures printed."""
    service, failed = LIMITS[0], LIMITS[1]
    assert service.per_square == pytest.approx(1 / (25.92 * 6.43), abs=5e-5)
    assert failed.per_square == pytest.approx(1 / (25.92 * 2.44), abs=5e-5)
    assert stop_m(service, 50) == pytest.approx(5 + 15)


@pytest.mark.parametrize(
    ("grade", "dry", "wet"), [("DOT 3", 205, 140), ("DOT 4", 230, 155), ("DOT 5", 260, 180), ("DOT 5.1", 260, 180)]
)
def test_boiling_points(grade: str, dry: float, wet: float) -> None:
    assert (FLUIDS[grade].dry_c, FLUIDS[grade].wet_c) == (dry, wet)
    assert (FLUIDS[grade].dry_c, FLUIDS[grade].wet_c) != (270, 190)


def test_silicone_does_not_mix() -> None:
    assert not mixes("DOT 5", "DOT 5.1")
    assert mixes("DOT 4", "DOT 5.1")


def test_pedal_proof_load_and_what_follows_from_it() -> None:
    """2 kN: Formula Student rules; 500 N m at a 250 mm arm and 12 kN in the rod at 6:1 follow."""
    assert PEDAL_PROOF_N * 0.25 == 500
    assert PEDAL_PROOF_N * 6 == 12_000
