"""The vehicle as a job leaves it, and how another vehicle differs from that."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, is_dataclass

from planner.files import KeyPath
from planner.files.place import Plain
from planner.model.shapes import Pose, Solid, Vec
from planner.model.vehicle import Component, Link, Owed, Vehicle

SAME_MM = 0.05
"""Whatever is nearer than this to what was planned is where it was planned."""
SAME_DEG = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """The vehicle as a job leaves it: parts and links there are then, and the points of runs made anew."""

    parts: Mapping[str, Component]
    links: Mapping[str, Link]
    runs: Mapping[str, tuple[Vec, ...]]
    sizes: Mapping[KeyPath, str] = field(default_factory=dict)
    """Measured sizes: way to the value in the vehicle's file, and the text for it."""
    seats: Mapping[KeyPath, Plain] = field(default_factory=dict)
    """Where solids of measured sizes sit in their parts: way to their `at`, and what is to be written there."""
    altered: Mapping[KeyPath, str] = field(default_factory=dict)
    """The same of parts that were made larger, measured once they were back."""
    owed: tuple[Owed, ...] = ()
    """What the job leaves open."""
    made_good: frozenset[str] = frozenset()
    """What earlier jobs had left open and is signed now, by id."""


def differences(vehicle: Vehicle, built: Built, unsized: frozenset[str] = frozenset()) -> list[str]:
    """Where a vehicle is not as it was to be built, in words; of parts in ``unsized`` the size is left out."""
    found = [f"part `{i}` is missing" for i in sorted(built.parts.keys() - vehicle.components.keys())]
    found += [f"part `{i}` is still there" for i in sorted(vehicle.components.keys() - built.parts.keys())]
    found += [f"link `{i}` is missing" for i in sorted(built.links.keys() - vehicle.links.keys())]
    found += [f"link `{i}` is still there" for i in sorted(vehicle.links.keys() - built.links.keys())]
    for i in sorted(built.parts.keys() & vehicle.components.keys()):
        there, wanted = vehicle.components[i], built.parts[i]
        if not same_pose(there.pose, wanted.pose):
            found.append(f"part `{i}` is at {there.pose} and was to be at {wanted.pose}")
        if there.mounted_on != wanted.mounted_on:
            found.append(f"part `{i}` is on `{there.mounted_on}` and was to be on `{wanted.mounted_on}`")
        if i not in unsized and not same_solids(there.solids, wanted.solids):
            found.append(f"part `{i}` has another size than it was to have")
    for i in sorted(built.links.keys() & vehicle.links.keys()):
        if vehicle.links[i].ends != built.links[i].ends:
            found.append(f"link `{i}` has other ends than it was to have")
        if not _led_alike(vehicle.links[i].via_mm, built.links[i].via_mm):
            found.append(f"link `{i}` is led another way than it was to be")
    return found


def _led_alike(one: tuple[Vec, ...], other: tuple[Vec, ...]) -> bool:
    return len(one) == len(other) and all(near(a, b, SAME_MM) for a, b in zip(one, other, strict=True))


def same_pose(one: Pose, other: Pose) -> bool:
    """Whether two places are one, as far as a tape can tell."""
    return near(one.at_mm, other.at_mm, SAME_MM) and near(one.turn_deg, other.turn_deg, SAME_DEG)


def near(one: Vec, other: Vec, tolerance: float) -> bool:
    """Whether no component differs by more than the tolerance, in the unit of all three [mm or deg]."""
    return all(abs(a - b) <= tolerance for a, b in zip(one, other, strict=True))


def same_solids(one: tuple[Solid, ...], other: tuple[Solid, ...]) -> bool:
    """Whether solids are of the same sorts and sizes and sit alike; how sure they are does not count."""
    pairs = zip(one, other, strict=False)
    return len(one) == len(other) and all(type(a) is type(b) and _alike(_sizes(a), _sizes(b)) for a, b in pairs)


def _sizes(value: object) -> list[float | str]:
    """Every number and word of a solid, in order."""
    if is_dataclass(value):
        named = (getattr(value, f.name) for f in fields(value) if not f.name.startswith("doubt"))
        return [size for each in named for size in _sizes(each)]
    if isinstance(value, tuple | list):
        return [size for each in value for size in _sizes(each)]
    return [value] if isinstance(value, int | float | str) else []


def _alike(one: list[float | str], other: list[float | str]) -> bool:
    return len(one) == len(other) and all(
        abs(a - b) <= SAME_MM if isinstance(a, int | float) and isinstance(b, int | float) else a == b
        for a, b in zip(one, other, strict=True)
    )
