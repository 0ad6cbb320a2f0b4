"""Sizes that the sums decide, put as notes to the tasks that make or drill what they are about."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace

from planner.model.catalog import When, Work
from planner.model.figures import BoltFigures, BracketFigures, PedalFigures
from planner.model.job import Cut
from planner.model.sums import Verdict
from planner.model.vehicle import Component
from planner.model.work import Task
from planner.sums.bracket_lines import blank_of
from planner.sums.levers_there import LeverThere
from planner.sums.slots import sheet_slot
from planner.sums.threads import METRIC_COARSE_PITCH_MM, metric_grade, proof_load_n, stress_area_mm2
from planner.sums.tightening import torque_nm
from planner.units import MM_PER_INCH, format_length
from planner.work.bodies import Ground
from planner.work.computed_limits import Sheet
from planner.work.tasks import TaskBook

MARKED_MM = 0.5
MARKED_IN = 1.0 / 32.0
"""Finest size that is marked out with a rule and a scriber: common practice, no published source."""
CLAMP_SHARE = 0.75
"""Of the proof load, for a joint that is undone again. Source: Shigley, Mechanical Engineering Design."""
DRY_FACTOR = 0.2
"""Nut factor of dry threads. Source: Shigley, Mechanical Engineering Design."""


def with_made_sizes(tasks: Mapping[str, Task], ground: Ground, book: TaskBook, sheet: Sheet) -> dict[str, Task]:
    """The same tasks; where a part is marked out, or a hole, each size the sums know stands under the step."""
    told: dict[str, list[str]] = defaultdict(list)
    sizes = _Sizes(ground, sheet)
    for fact in ground.facts:
        if fact.when is When.MADE and (step := _marked_at(tasks, book, fact.subject)) is not None:
            told[step] += sizes.of_part(fact.subject)
    for cut in sizes.cuts:
        if (step := _marked_at(tasks, book, cut.id)) is not None:
            told[step] += sizes.of_hole(cut)
    return {
        i: replace(task, notes=(*task.notes, *dict.fromkeys(told[i]))) if i in told else task
        for i, task in tasks.items()
    }


def _marked_at(tasks: Mapping[str, Task], book: TaskBook, subject: str) -> str | None:
    """The first step that marks a thing out; without one the first, which draws or orders it."""
    # The owner may have put other work in place of a template's.
    steps = [i for i in book.of_subject.get(subject, []) if i in tasks]
    return next((i for i in steps if tasks[i].work is Work.MARKING), steps[0] if steps else None)


class _Sizes:
    """What there is to say about a part or a hole, in the owner's units."""

    def __init__(self, ground: Ground, sheet: Sheet) -> None:
        self.ground, self.sheet = ground, sheet
        self.units = ground.vehicle.units
        self.cuts = [c for c in ground.job.changes if isinstance(c, Cut)]

    def of_part(self, name: str) -> Iterator[str]:
        """Of a lever its arms and slots, of a bracket its blank; pivot and bolts where their figures are told."""
        figures, part = self.sheet.figures, self.ground.part(name)
        if isinstance(part, Component):
            yield from self._levers(part)
        if name in figures.brackets:
            yield from self._blank(figures.brackets[name])
        if name in figures.pedals:
            yield from self._pedal(figures.pedals[name])
        for pedal in figures.pedals.values():
            if pedal.bolts is not None and pedal.bolts.on == name:
                yield _bolts(pedal.bolts)

    def of_hole(self, cut: Cut) -> Iterator[str]:
        """What passes through a hole asks for, by the sheet's own lines."""
        along, across = (self.sheet.lines.get(f"{cut.id}.{way}") for way in ("along", "across"))
        if along is None or across is None or along.value is None or across.value is None:
            return
        fails = ": TOO SMALL or out of place" if Verdict.FAILS in {along.verdict, across.verdict} else ""
        yield (
            f"the levers ask for {self._up(along.value)} along the sheet x {self._up(across.value)} across "
            "(swept through the travel, clearance kept); the hole of the job is "
            f"{self._exact(along.high or 0.0)} x {self._exact(across.high or 0.0)}{fails}"
        )

    def _levers(self, part: Component) -> Iterator[str]:
        there = [x for x in self.sheet.levers if x.part == part.id]
        for lever in there[:1]:
            height = lever.lever.pivot_mm[1] - self.ground.vehicle.ground_z_mm
            yield (
                f"pivot to the middle of the pad {self._marked(lever.lever.pad_arm_mm)}; pivot hole "
                f"{self._marked(height)} over the ground when fitted (from the places in the job)"
            )
        for lever in there:
            rod = self.ground.part(lever.link).name
            yield f"pivot to the clevis hole of the {rod} {self._marked(lever.lever.clevis_arm_mm)} (from its ports)"
            yield from self._slots(lever, part)

    def _slots(self, lever: LeverThere, part: Component) -> Iterator[str]:
        link = self.sheet.links[lever.link]
        for host in dict.fromkeys(c.host for c in self.cuts):
            found = sheet_slot(lever, part, link, self.sheet.parts[host]) if host in self.sheet.parts else None
            if found is not None:
                passing, _ = found
                what = "its arm" if passing.what != link.id else f"the {link.name}"
                size = f"{self._up(passing.slot.long_mm)} x {self._up(passing.right_mm - passing.left_mm)}"
                yield f"{what} asks for a slot of {size} in the {self.ground.name(host)} (swept, clearance kept)"

    def _pedal(self, pedal: PedalFigures) -> Iterator[str]:
        if pedal.arm is not None:
            sizes = " x ".join(self._exact(size.value) for size in pedal.arm.across_mm)
            hole = "" if pedal.arm.hole_mm is None else f", drilled {self._exact(pedal.arm.hole_mm.value)} at most"
            yield f"arm of {pedal.arm.sort.value} bar {sizes}{hole} (its strength was reckoned with that, see the sums)"
        if pedal.pivot is not None:
            across = self._exact(pedal.pivot.across_mm.value)
            yield f"pivot {across} across (from `figures`): it turns free, not clamped tight"

    def _blank(self, bracket: BracketFigures) -> Iterator[str]:
        try:
            cut = blank_of(bracket)
        except ValueError as error:
            yield f"no flat blank: {error}"
            return
        long = max(x for x, _ in cut.outline_mm)
        wide = 2.0 * max(y for _, y in cut.outline_mm)
        yield (
            f"flat blank {self._marked(long)} x {self._marked(wide)}, {self._exact(bracket.thick_mm.value)} thick "
            "(legs, radius and neutral line from `figures`: fold a strip of the same sheet first)"
        )
        corners = ", ".join(f"({self._marked(x)}, {self._marked(y)})" for x, y in cut.outline_mm)
        yield f"corners from one end along, from the middle line across: {corners}"
        for fold, (begins, ends), angle in zip(cut.folds_mm, cut.zones_mm, cut.angles_deg, strict=True):
            yield (
                f"fold line {self._marked(fold[0][0])} from that end, {angle:g} deg; the bend runs from "
                f"{self._marked(begins)} to {self._marked(ends)}: no hole in it"
            )

    def _marked(self, mm: float) -> str:
        """Rounded to what can be marked out."""
        step = MARKED_IN * MM_PER_INCH if self.units == "inch" else MARKED_MM
        return format_length(round(mm / step) * step, self.units)

    def _up(self, mm: float) -> str:
        """A hole is never rounded down."""
        step = MARKED_IN * MM_PER_INCH if self.units == "inch" else MARKED_MM
        return format_length(-((-mm + _NOISE) // step) * step, self.units)

    def _exact(self, mm: float) -> str:
        return format_length(mm, self.units)


_NOISE = 1e-6


def _bolts(bolts: BoltFigures) -> str:
    pitch = METRIC_COARSE_PITCH_MM[round(bolts.thread_mm)]
    area = stress_area_mm2(bolts.thread_mm, pitch)
    clamp = CLAMP_SHARE * proof_load_n(area, metric_grade(bolts.grade, bolts.thread_mm))
    torque = torque_nm(bolts.thread_mm, clamp, DRY_FACTOR)
    return (
        f"{len(bolts.at_mm)} bolts, reckoned as M{bolts.thread_mm:g} {bolts.grade}: about {torque:.0f} N m dry "
        f"({CLAMP_SHARE:.0%} of the proof load, nut factor {DRY_FACTOR:g}; oiled or plated takes less, and a "
        "maker's own figure goes first)"
    )
