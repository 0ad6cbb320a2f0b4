"""What every filling step needs at hand: catalog, known names, and where to report faults."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from planner.files import Faults, KeyPath
from planner.finding.words import MOST_KNOWN, did_you_mean, listed, quoted
from planner.model.catalog import Catalog
from planner.model.shapes import Vec
from planner.shelf.kind_words import Named, kinds_by_words
from planner.units import Size, format_length, format_minutes

FARTHEST_MM = 20_000.0
"""No part of a road vehicle is farther from its own zero planes than this."""
LONGEST_MIN = 30 * 24 * 60
"""No single piece of work takes more than thirty days."""
LONGEST_LEAD_DAYS = 3650
MOST_KINDS = 24
"""All kinds of circuit can be read through in one hint; of parts there are too many."""
MOST_MEANT = 3
_SYSTEM_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("petrol", "gas", "gasoline", "diesel"), "fuel"),
    **dict.fromkeys(("electric", "electrics", "electrical", "electricity", "electrical-system"), "low-voltage-wiring"),
    **dict.fromkeys(("water", "radiator"), "coolant"),
    **dict.fromkeys(("oil", "lubrication"), "engine-oil"),
    **dict.fromkeys(("brake", "brakes", "brake-fluid"), "hydraulic-brake"),
    **dict.fromkeys(("mechanical-brake", "mechanical-brakes", "rod-brake", "rod-brakes", "foot-brake"), "cable-brake"),
    "clutch": "hydraulic-clutch",
}
"""What people call a circuit, and the kind of it that is meant first."""
HEAVIEST_KG = 20_000.0
"""No road vehicle built at home is heavier."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The means of filling one file.

    ``known`` lists the ids of each sort ("part", "link", "system", "condition", "kind", "link kind",
    "system kind"); ``gone`` are parts and links that this job takes away.
    """

    catalog: Catalog
    faults: Faults
    units: str
    doubt_mm: float = 0.0
    known: Mapping[str, Collection[str]] = field(default_factory=dict)
    gone: frozenset[str] = frozenset()

    def length(self, mm: float) -> str:
        """Print a length in backticks, in the owner's units."""
        return f"`{format_length(mm, self.units)}`"

    def check_id(self, path: KeyPath, name: str, *sorts: str, key: bool = False) -> bool:
        """Whether ``name`` is a known id of one of ``sorts``; a finding (at the ``key``) when it is not."""
        if any(name in self.known[sort] for sort in sorts):
            return True
        what = " or ".join(sorts)
        if name in self.gone:
            hint = f"name a {what} that stays"
            self.faults.error("part-gone", path, f"{quoted(name)} goes in this job", hint, key=key)
            return False
        ids = [known for sort in sorts for known in self.known[sort]]
        code = "unknown-kind" if sorts[0].endswith("kind") else "unknown-id"
        most = MOST_KINDS if code == "unknown-kind" else MOST_KNOWN
        hint = self._meant(name, sorts[0]) or did_you_mean(name, ids, most=most)
        self.faults.error(code, path, f"there is no {what} {quoted(name)}", hint, key=key)
        return False

    def _meant(self, name: str, sort: str) -> str:
        """The kinds that people may call so, as a hint; nothing for other sorts of names."""
        kinds: Mapping[str, Mapping[str, Named]] = {
            "kind": self.catalog.kinds,
            "link kind": self.catalog.link_kinds,
            "system kind": self.catalog.system_kinds,
        }
        if sort not in kinds:
            return ""
        asked = _SYSTEM_WORDS.get(name.lower(), name) if sort == "system kind" else name
        found = kinds_by_words(asked, kinds[sort])[:MOST_MEANT]
        return f"did you mean {listed(found, ' or ')}?" if found else ""

    def check_ids(self, path: KeyPath, names: Iterable[str] | None, *sorts: str) -> tuple[str, ...]:
        """Keep the names that are known, each once."""
        kept = dict.fromkeys(n for i, n in enumerate(names or ()) if self.check_id((*path, i), n, *sorts))
        return tuple(kept)

    def point(self, path: KeyPath, sizes: Sequence[Size]) -> Vec:
        """Give a place [mm]; a finding for each coordinate that is too far away."""
        for index, size in enumerate(sizes):
            self.check_near((*path, index), size.mm)
        x, y, z = (size.mm for size in sizes)
        return (x, y, z)

    def check_near(self, path: KeyPath, mm: float) -> None:
        """Report a coordinate that is too far from zero."""
        if abs(mm) > FARTHEST_MM:
            limit = self.length(FARTHEST_MM)
            self.faults.error("absurd-place", path, f"{self.length(mm)} from zero is beyond {limit}", "check the unit")

    def size(self, path: KeyPath, size: Size) -> float:
        """Give a size of something [mm]: more than nothing and larger than its doubt."""
        if size.mm <= 0:
            message = f"a size must be more than 0, found {self.length(size.mm)}"
            self.faults.error("negative-size", path, message, "write it without a sign; leave out what has no size")
        elif size.mm > 2 * FARTHEST_MM:
            limit = self.length(2 * FARTHEST_MM)
            self.faults.error("absurd-size", path, f"{self.length(size.mm)} is beyond {limit}", "check the unit")
        elif size.doubt_mm is not None and size.doubt_mm >= size.mm:
            message = f"the doubt {self.length(size.doubt_mm)} is not smaller than the size {self.length(size.mm)}"
            self.faults.error("absurd-doubt", path, message, "measure again, or check the unit")
        return size.mm

    def allowance(self, path: KeyPath, size: Size | None, default_mm: float) -> float:
        """Give a gap, slack or reach [mm]: not negative; ``default_mm`` when not said."""
        if size is None:
            return default_mm
        if size.mm < 0:
            self.faults.error(
                "negative-size",
                path,
                f"{self.length(size.mm)} is less than nothing",
                "write it without a sign",
            )
        elif size.mm > FARTHEST_MM:
            limit = self.length(FARTHEST_MM)
            self.faults.error("absurd-size", path, f"{self.length(size.mm)} is beyond {limit}", "check the unit")
        return size.mm

    def doubt(self, *sizes: Size) -> float:
        """Give the largest doubt [mm] of several sizes; those that do not say have the file's own."""
        return max(self.doubt_mm if size.doubt_mm is None else size.doubt_mm for size in sizes)

    def mass(self, path: KeyPath, kg: float) -> float:
        """Give a mass [kg] that can be believed."""
        if not 0.0 < kg <= HEAVIEST_KG:
            hint = "check the unit: a bare number is kilograms"
            self.faults.error("absurd-mass", path, f"a mass of `{kg:g} kg` is not believable", hint)
        return kg

    def minutes(self, path: KeyPath, minutes: int | None, default_min: int) -> int:
        """Give a length of work [min]; ``default_min`` when not said."""
        if minutes is None:
            return default_min
        if minutes > LONGEST_MIN:
            message = f"`{format_minutes(minutes)}` is more than 30 days"
            self.faults.error("absurd-time", path, message, "check the unit: a bare number is minutes")
        return minutes

    def days(self, path: KeyPath, days: int | None) -> int:
        """Give a lead time [days]."""
        if (days or 0) > LONGEST_LEAD_DAYS:
            self.faults.error("absurd-time", path, f"`{days} days` is more than ten years", "check the unit")
        return days or 0
