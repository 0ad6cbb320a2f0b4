"""What the sums make of a checkpoint's limit on this vehicle: the figure to expect, put behind the rule's own words."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

from planner.knockon import closing_words, is_left_open
from planner.model.effects import Knockons
from planner.model.job import Cut, Job
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Vehicle
from planner.model.work import Checkpoint
from planner.sums.brake_limits import PEDAL_PROOF_N
from planner.sums.coolant_lines import TANK_KIND
from planner.sums.lever_lines import FREE_MM, FREE_PLAY, PUSH_N
from planner.sums.levers_there import LeverThere, levers_there
from planner.sums.sheet import NO_FIGURES, sums_of

_GROUPS = {
    "brake-free-play": "brakes",
    "brake-reserve": "brakes",
    "brake-pedal-holds": "brakes",
    "brake-pedal-strength": "brakes",
    "balance-bar-free": "brakes",
    "brake-proof-road": "brakes",
    "clutch-free-play": "clutch",
    "clutch-rod-play": "clutch",
    "clutch-clears": "clutch",
    "coolant-level": "cooling",
    "throttle-opens": "throttle",
    "handbrake-holds": "handbrake",
    "pedals-apart": "feet",
    "steering-free": "feet",
    "brake-fluid": "bleeding",
}
"""Checkpoint rules to which a sum has something to say, and what it is about."""


def with_computed_limits(checkpoints: dict[str, Checkpoint], sheet: Sheet) -> dict[str, Checkpoint]:
    """The same checkpoints, each with what the sums expect on this vehicle; no limit is moved, no word taken away."""
    return {i: _told(check, sheet) for i, check in checkpoints.items()}


def _told(check: Checkpoint, sheet: Sheet) -> Checkpoint:
    words = sheet.words(check.rule)
    return replace(check, limit=f"{check.limit}; here: {'; '.join(words)}") if words else check


_LOOKS = frozenset({"open-ends", "nothing-loose"})
"""Checks before filling and of the whole vehicle: what the job leaves without its pipe, rod or part is looked at."""


class Sheet:
    """The sums of a vehicle as it is when a job is done, and what they say to a rule."""

    def __init__(self, vehicle: Vehicle, job: Job, knockons: Knockons) -> None:
        self.figures = vehicle.figures or NO_FIGURES
        self.parts, self.links = knockons.after, knockons.links_after
        self._cuts = tuple(c for c in job.changes if isinstance(c, Cut))
        self._vehicle = vehicle
        self._open = tuple(f"{e.text}: {closing_words(e)}" for e in knockons.effects if is_left_open(e, vehicle))

    # Worked out when first asked for: most jobs make nothing that a sum is about.
    @cached_property
    def lines(self) -> dict[str, SumLine]:
        """All sums as they are when the job is done, by id."""
        made = sums_of(self.parts, self.links, self._vehicle.figures, self._cuts, self._vehicle.driver)
        return {x.id: x for x in made}

    @cached_property
    def levers(self) -> tuple[LeverThere, ...]:
        """The levers that push a cylinder then."""
        return levers_there(self.parts, self.links)

    def words(self, rule: str) -> tuple[str, ...]:
        """What the sums say to a checkpoint rule, a sentence a lever or tank; nothing when they know nothing."""
        if rule in _LOOKS:
            return self._open
        group = _GROUPS.get(rule)
        if group == "cooling":
            return tuple(w for p in self.parts.values() if p.kind == TANK_KIND for w in self._coolant(p.id))
        if group in {"throttle", "handbrake"}:
            return tuple(w for name, x in self.figures.linkages.items() for w in self._linkage(group, name, x.part))
        if group == "feet":
            return self._feet("beside-" if rule == "pedals-apart" else "steering")
        if group == "bleeding":
            return tuple(w for axle in self.figures.axles for w in self._bled(axle))
        levers = [x for x in self.levers if self.parts[x.cylinder].group == group]
        weak = self._weakest({x.part for x in levers}) if rule == "brake-pedal-strength" else ()
        return tuple(dict.fromkeys(w for x in levers for w in self._lever(rule, x))) + self._whole(rule) + weak

    def _lever(self, rule: str, there: LeverThere) -> tuple[str, ...]:
        pad = self.parts[there.part].name
        if rule in {"brake-free-play", "clutch-free-play", "clutch-rod-play"}:
            span = self._between(there, *FREE_PLAY)
            gap = f"{FREE_MM[0]:g} to {FREE_MM[1]:g} mm"
            rod = self.links[there.link].name
            # A pedal may push two cylinders; and the rule's limit is one of the rod, not of the pad.
            where = f"{rod}, read at the rod and not at the pad"
            return (f"{where}: {gap} at the rod is {span} at the pad of the {pad}",) if span else ()
        name = self.parts[there.cylinder].name
        push, proof = f"{PUSH_N:g} N", f"{PEDAL_PROOF_N / 1000.0:g} kN"
        told = {
            "brake-reserve": ("reserve", "at the {1} the sums leave about {0} of the pad's way"),
            "brake-pedal-holds": ("travel", f"by the {{1}} the pad goes about {{0}} at {push}"),
            "brake-pedal-strength": ("proof-force", f"{proof} at the pad is about {{0}} on the piston of the {{1}}"),
            "balance-bar-free": ("share", "{0} of the push goes to the {1}"),
            "clutch-clears": ("slave", "by the {1} the slave's rod goes about {0}"),
        }.get(rule)
        figure = self._figure(f"{there.link}.{told[0]}") if told else ""
        return (told[1].format(figure, name),) if told and figure else ()

    def _weakest(self, pedals: set[str]) -> tuple[str, ...]:
        """What of the pedals has least to spare at the published push."""
        known = [x for x in self.lines.values() if x.about in pedals and x.unit == "x" and x.margin is not None]
        proof = [x for x in known if not x.id.endswith("-panic")]
        if not proof:
            return ()
        weak = min(proof, key=lambda x: (x.value or 0.0) / (x.low or 1.0))
        fails = ", which would fail" if weak.verdict is Verdict.FAILS else ""
        return (f"weakest by the sums is: {weak.title}, {weak.value:.2g} times of {weak.low:.3g}{fails}",)

    def _linkage(self, group: str, name: str, part: str) -> tuple[str, ...]:
        kind = self.parts[part].kind if part in self.parts else ""
        if not kind.startswith(group):
            return ()
        turns, left = self.lines.get(f"{name}.turns"), self._figure(f"{name}.over-travel")
        if turns is not None and turns.value is not None and turns.low is not None:
            fails = ", which would fail" if turns.verdict is Verdict.FAILS else ""
            over = f", {left} of the pad's way left at full open" if left and not fails else ""
            return (f"the last lever of the {name} turns {turns.value:.0f} of its {turns.low:.0f} deg{fails}{over}",)
        pulls = self._figure(f"{name}.pulls")
        return (f"the {name} draws its cable {pulls} over the whole travel",) if pulls else ()

    def _feet(self, key: str) -> tuple[str, ...]:
        """The pedal that comes nearest to the shoe on its neighbour, or to the steering."""
        known = [x for x in self.lines.values() if f".{key}" in x.id and x.value is not None]
        if not known:
            return ()
        near = min(known, key=lambda x: x.value or 0.0)
        what = "to the steering" if key == "steering" else near.title.replace("`", "")
        pedal = self.parts[near.about].name
        return (f"nearest by the sums is the {pedal}, {what}: about {self._figure(near.id)}",)

    def _bled(self, axle: str) -> tuple[str, ...]:
        amount = self._figure(f"{axle}.bleed")
        return (f"{amount} to bleed through at the {axle}",) if amount else ()

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
