"""Single figures of the sums from the file to the model: every absurd one refused."""

from __future__ import annotations

from collections.abc import Collection

from planner.files import KeyPath
from planner.finding.words import did_you_mean, quoted
from planner.model.figures import Figure
from planner.shelf.bench import Bench
from planner.units import Amount, Size

LARGEST_L = 1_000.0
HARDEST_N = 50_000.0


def told(size: Size, path: KeyPath, bench: Bench) -> Figure:
    """A size that must be there."""
    return Figure(bench.size(path, size), size.doubt_mm or 0.0)


def size_figure(size: Size | None, path: KeyPath, bench: Bench) -> Figure | None:
    """A size of something, with its own doubt: the file's usual doubt is a tape's, and no caliper's."""
    return None if size is None else told(size, path, bench)


def mass_figure(mass: Amount | None, path: KeyPath, bench: Bench) -> Figure | None:
    """A mass that can be believed."""
    return None if mass is None else Figure(bench.mass(path, mass.value), mass.doubt)


def volume_figure(volume: Amount | None, path: KeyPath, bench: Bench) -> Figure | None:
    """A volume that can be believed."""
    if volume is not None and not 0.0 < volume.value <= LARGEST_L * 1e6:
        message = f"a volume of `{volume.value / 1e6:g} l` is not believable"
        bench.faults.error("absurd-volume", path, message, "check the unit: a bare number is litres")
    return plain_figure(volume)


def pressure_figure(pressure: Amount, path: KeyPath, bench: Bench) -> Figure:
    """A pressure or a stress above nothing."""
    if pressure.value <= 0.0:
        bench.faults.error("absurd-figure", path, "a pressure of nothing", "check the unit: a bare number is MPa")
    return Figure(pressure.value, pressure.doubt)


def force_figure(force: Amount | None, path: KeyPath, bench: Bench) -> Figure | None:
    """A push that can be believed."""
    if force is not None and not 0.0 < force.value <= HARDEST_N:
        message = f"a force of `{force.value:g} N` is not believable"
        bench.faults.error("absurd-figure", path, message, "check the unit: a bare number is newtons")
    return plain_figure(force)


def check_tabled(word: str, path: KeyPath, bench: Bench, known: Collection[str]) -> None:
    """Report a word under a key that no table of the sums holds."""
    if word not in known:
        between = "; " if any("," in each for each in known) else ", "
        hint = did_you_mean(word, known, otherwise=f"known: {between.join(known)}")
        bench.faults.error("unknown-choice", path, f"{path[-1]}: {quoted(word)} is not tabled here", hint)


def plain_figure(amount: Amount | None) -> Figure | None:
    """An amount as it is."""
    return None if amount is None else Figure(amount.value, amount.doubt)
