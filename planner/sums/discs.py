"""Disc brakes, and the heat of one stop."""

from __future__ import annotations

from dataclasses import dataclass

from planner.sums.basis import Basis, positive

HEAT_BASIS = Basis(
    source="energy of the stop shared by the brakes (Jindal, Machine Design)",
    assumed=("all heat goes into drum or disc, none to the air", "even temperature through it"),
    not_covered=("a long descent or repeated stops: heat adds up", "fluid boiling, which begins at the hottest piston"),
)


def disc_torque_nmm(pad_n: float, friction: float, radius_mm: float, faces: int = 2) -> float:
    """Torque of a disc brake [N mm]: faces x mu F r, r to the pad's middle.

    Source: Mechanical Engineer's Data Handbook.
    """
    positive(pad_n=pad_n, friction=friction, radius_mm=radius_mm, faces=faces)
    return faces * friction * pad_n * radius_mm


def wheel_force_n(torque_nmm: float, tyre_radius_mm: float) -> float:
    """Brake force at the road [N]."""
    positive(tyre_radius_mm=tyre_radius_mm)
    return torque_nmm / tyre_radius_mm


def spin_energy_j(inertia_kgm2: float, from_rad_s: float, to_rad_s: float = 0.0) -> float:
    """Energy a turning part gives up [J]: I (w1^2 - w2^2) / 2."""
    positive(inertia_kgm2=inertia_kgm2)
    return inertia_kgm2 * (from_rad_s**2 - to_rad_s**2) / 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StopHeat:
    """One stop: its length [m], energy and torque at each brake [J, N m], rise of temperature [K]."""

    stop_m: float
    brake_j: float
    brake_nm: float
    rise_k: float
    basis: Basis = HEAT_BASIS


def stop_heat(
    mass_kg: float,
    speed_ms: float,
    seconds: float,
    *,
    tyre_radius_m: float,
    brakes: int,
    sink_j_k: float,
    turning: float = 1.0,
) -> StopHeat:
    """Heat of an even stop, shared by ``brakes`` alike.

    Parameters
    ----------
    mass_kg, speed_ms, seconds : float
    tyre_radius_m : float
    brakes : int
    sink_j_k : float
        Mass of one drum or disc times its specific heat, 460 J/(kg K) for iron.
    turning : float
        Factor on the energy for wheels and shafts, such as 1.1.
    """
    positive(mass_kg=mass_kg, speed_ms=speed_ms, seconds=seconds, tyre_radius_m=tyre_radius_m, sink_j_k=sink_j_k)
    positive(brakes=brakes, turning=turning)
    distance = speed_ms * seconds / 2.0
    energy = turning * mass_kg * speed_ms**2 / 2.0 / brakes
    return StopHeat(
        stop_m=distance,
        brake_j=energy,
        brake_nm=energy / (distance / tyre_radius_m),
        rise_k=energy / sink_j_k,
    )
