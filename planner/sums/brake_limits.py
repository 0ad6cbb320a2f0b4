"""Published limits for service, secondary and parking brakes, for comparison: meeting one is no approval."""

from __future__ import annotations

from dataclasses import dataclass

from planner.sums.basis import positive

_KMH2 = 25.92
"""2 x 3.6^2: turns km/h squared over metres into m/s2."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A stop from ``speed_kmh`` within a V + V^2 / b metres, a mean deceleration, a band of pedal force [N]."""

    name: str
    speed_kmh: float
    reaction: float
    per_square: float
    deceleration_ms2: float
    least_pedal_n: float
    most_pedal_n: float
    source: str

    @property
    def stop_m(self) -> float:
        """The longest stop from its own speed [m]."""
        return stop_m(self, self.speed_kmh)


def stop_m(limit: Limit, speed_kmh: float) -> float:
    """The longest stop it allows from a speed [m]."""
    positive(speed_kmh=speed_kmh)
    return limit.reaction * speed_kmh + limit.per_square * speed_kmh**2


LIMITS = (
    Limit(
        name="service brake, cold, engine disconnected",
        speed_kmh=100,
        reaction=0.1,
        per_square=0.0060,
        deceleration_ms2=6.43,
        least_pedal_n=65,
        most_pedal_n=500,
        source="UN R13-H annex 3, 2.1.1 (from memory; FMVSS 135 S7.5 gives the same 70 m and 500 N)",
    ),
    Limit(
        name="service brake with one circuit failed",
        speed_kmh=100,
        reaction=0.1,
        per_square=0.0158,
        deceleration_ms2=2.44,
        least_pedal_n=65,
        most_pedal_n=500,
        source="UN R13-H annex 3, 2.2 (from memory)",
    ),
    Limit(
        name="secondary brake of an older car",
        speed_kmh=80,
        reaction=0.1,
        per_square=2.0 / 150.0,
        deceleration_ms2=2.9,
        least_pedal_n=0,
        most_pedal_n=500,
        source="UN R13 annex 4, 2.2 (category M1)",
    ),
    Limit(
        name="service brake of an older car",
        speed_kmh=80,
        reaction=0.1,
        per_square=1.0 / 150.0,
        deceleration_ms2=5.8,
        least_pedal_n=0,
        most_pedal_n=500,
        source="UN R13 annex 4, 2.1 (category M1; from memory)",
    ),
)
PEDAL_PROOF_N = 2_000.0
"""Load a pedal and its mounting must take without failure. Source: Formula Student rules, brake system (T6.1)."""
RATIO_PRACTICE = {"without servo": (5.0, 7.0), "with servo": (4.0, 5.0)}
"""Pedal ratios in use: common practice, no published source; trade texts disagree within these."""


def mean_deceleration_ms2(begin_kmh: float, end_kmh: float, distance_m: float) -> float:
    """Mean fully developed deceleration [m/s2]: (v_b^2 - v_e^2) / (25.92 (s_e - s_b)).

    Source: UN R13 annex 4, 1.1.2.
    """
    positive(distance_m=distance_m)
    return (begin_kmh**2 - end_kmh**2) / (_KMH2 * distance_m)
