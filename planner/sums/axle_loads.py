"""Weight transfer under braking, what each axle can hold, and the balance of the brakes.

l_f, l_r: centre of gravity behind the front and ahead of the rear axle; h: its height; z: deceleration over gravity.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.sums.basis import Basis, G, positive

BALANCE_BASIS = Basis(
    source="moments about the tyre contacts (Bevan, The Theory of Machines; UN R13 annex 10 symbols)",
    assumed=("level, straight, even road", "stiff suspension", "both wheels of an axle alike"),
    not_covered=(
        "cornering",
        "one wheel on ice or mud",
        "load shifting in the vehicle",
        "rear wheels locking first spins",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """A vehicle on its wheels: mass [kg], wheelbase, centre of gravity ahead of the rear axle and its height [mm]."""

    mass_kg: float
    wheelbase_mm: float
    ahead_of_rear_mm: float
    height_mm: float

    @property
    def behind_front_mm(self) -> float:
        """Centre of gravity behind the front axle [mm]."""
        return self.wheelbase_mm - self.ahead_of_rear_mm


def axle_loads_n(stance: Stance, z: float) -> tuple[float, float]:
    r"""Loads on the front and the rear axle at a deceleration z g [N].

    .. math:: N_f = P \frac{l_r + z h}{E}, \quad N_r = P \frac{l_f - z h}{E}

    A negative rear load: the rear wheels lift before that.
    """
    positive(mass_kg=stance.mass_kg, wheelbase_mm=stance.wheelbase_mm)
    weight = stance.mass_kg * G
    moved = z * stance.height_mm
    front = weight * (stance.ahead_of_rear_mm + moved) / stance.wheelbase_mm
    return front, weight - front


def greatest_z(stance: Stance, grip: float, front_share: float) -> tuple[float, str]:
    r"""Greatest deceleration before a wheel locks, over gravity, and which axle locks first.

    .. math:: z_f = \frac{\mu l_r}{\beta E - \mu h}, \quad z_r = \frac{\mu l_f}{(1 - \beta) E + \mu h}

    Parameters
    ----------
    stance : Stance
    grip : float
        Friction of tyre on road.
    front_share : float
        Share beta of the whole brake force that the front axle gives, 0 to 1.

    Returns
    -------
    z : float
    axle : str
        "front", "rear" or "both".

    Raises
    ------
    ValueError
        The share is not from 0 to 1.
    """
    positive(grip=grip, wheelbase_mm=stance.wheelbase_mm)
    if not 0.0 <= front_share <= 1.0:
        raise ValueError(f"a share is from 0 to 1, not {front_share:g}")
    front_span = front_share * stance.wheelbase_mm - grip * stance.height_mm
    rear_span = (1.0 - front_share) * stance.wheelbase_mm + grip * stance.height_mm
    front = grip * stance.ahead_of_rear_mm / front_span if front_span > 0.0 else float("inf")
    rear = grip * stance.behind_front_mm / rear_span if rear_span > 0.0 else float("inf")
    if abs(front - rear) <= 1e-12 * min(front, rear):
        return min(front, rear), "both"
    return (front, "front") if front < rear else (rear, "rear")
