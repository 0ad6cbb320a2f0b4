"""What the sums make of a checkpoint's limit on this vehicle: the figure to expect, put behind the rule's own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.model.effects import Knockons
from planner.model.job import Cut, Job
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component, Vehicle
from planner.model.work import Checkpoint
from planner.sums.levers_there import LeverThere, levers_there
from planner.sums.sheet import sums_of

_GROUPS = {
    "brake-free-play": "brakes",
    "brake-reserve": "brakes",
    "brake-pedal-holds": "brakes",
    "brake-pedal-strength": "brakes",
    "balance-bar-free": "brakes",
    "brake-proof-road": "brakes",
    "clutch-free-play": "clutch",
    "clutch-clears": "clutch",
    "coolant-level": "cooling",
}
"""Checkpoint rules to which a sum has something to say, and what it is about."""


def with_computed_limits(
    checkpoints: dict[str, Checkpoint], vehicle: Vehicle, job: Job, knockons: Knockons
) -> dict[str, Checkpoint]:
    """The same checkpoints, each with what the sums expect on this vehicle; no limit is moved, no word taken away."""
    if not any(c.rule in _GROUPS for c in checkpoints.values()):
        return checkpoints
    parts, links = knockons.after, knockons.links_after
    cuts = tuple(c for c in job.changes if isinstance(c, Cut))
    sheet = Sheet(sums_of(parts, links, vehicle.figures, cuts), levers_there(parts, links), parts)
    return {i: _told(check, sheet) for i, check in checkpoints.items()}


def _told(check: Checkpoint, sheet: Sheet) -> Checkpoint:
    words = sheet.words(check.rule)
    return replace(check, limit=f"{check.limit}; here: {'; '.join(words)}") if words else check


class Sheet:
    """The sums by name, and what they say to a rule."""

    def __init__(self, lines: Sequence[SumLine], levers: Sequence[LeverThere], parts: dict[str, Component]) -> None:
        self.lines = {x.id: x for x in lines}
        self.levers = levers
        self.parts = parts

    def words(self, rule: str) -> tuple[str, ...]:
        """What the sums say to a checkpoint rule, a sentence a lever or tank; nothing when they know nothing."""
        group = _GROUPS.get(rule)
        if group == "cooling":
            return tuple(w for p in self.parts.values() if p.kind == "header-tank" for w in self._coolant(p.id))
        levers = [x for x in self.levers if self.parts[x.cylinder].group == group]
        return tuple(dict.fromkeys(w for x in levers for w in self._lever(rule, x))) + self._whole(rule)

    def _lever(self, rule: str, there: LeverThere) -> tuple[str, ...]:
        pad = self.parts[there.part].name
        if rule in {"brake-free-play", "clutch-free-play"}:
            span = self._between(there, "free-play-least", "free-play-most")
            return (f"0.5 to 1.5 mm at the rod is {span} at the pad of the {pad}",) if span else ()
        name = self.parts[there.cylinder].name
        told = {
            "brake-reserve": ("reserve", "at the {1} the sums leave about {0} of the pad's way"),
            "brake-pedal-holds": ("travel", "by the {1} the pad goes about {0} at 500 N"),
            "brake-pedal-strength": ("proof-force", "2 kN at the pad is about {0} on the piston of the {1}"),
            "balance-bar-free": ("share", "{0} of the push goes to the {1}"),
            "clutch-clears": ("slave", "by the {1} the slave's rod goes about {0}"),
        }.get(rule)
        figure = self._figure(f"{there.link}.{told[0]}") if told else ""
        return (told[1].format(figure, name),) if told and figure else ()

    def _whole(self, rule: str) -> tuple[str, ...]:
        line = self.lines.get("brakes.balance")
        if rule != "brake-proof-road" or line is None or line.value is None:
            return ()
        first = "front" if line.value > 0.0 else "REAR"
        sure = "" if line.verdict is Verdict.FINE else ", by less than the sizes are sure"
        return (f"by the sums the {first} wheels lock first{sure}",)

    def _coolant(self, tank: str) -> tuple[str, ...]:
        over, holds = self._figure(f"{tank}.over-radiator"), self.lines.get(f"{tank}.holds")
        told = [f"its underside {over} over the radiator's top"] if over else []
        if holds is not None and holds.value is not None and holds.low is not None:
            told.append(f"it holds {holds.value:.1f} l and needs {holds.low:.1f} l")
        return tuple(told)

    def _between(self, there: LeverThere, low: str, high: str) -> str:
        one, other = (self.lines[f"{there.link}.{n}"].value for n in (low, high))
        return "" if one is None or other is None else f"{one:.1f} to {other:.1f} mm"

    def _figure(self, name: str) -> str:
        line = self.lines.get(name)
        if line is None or line.value is None:
            return ""
        # Three figures are as many as any of these sums is good for.
        told = float(f"{line.value:.3g}")
        fails = ", which would fail" if line.verdict is Verdict.FAILS else ""
        return f"{told:.0f} {line.unit}{fails}"
