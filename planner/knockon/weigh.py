"""Which sizes to measure before metal is cut: those whose doubt decides what else must move, and what that costs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Protocol

from planner.knockon.conflicts import TOUCH_MM
from planner.knockon.decisions import Decision, open_decisions
from planner.knockon.placed import Placed, place
from planner.knockon.size_words import size_words
from planner.knockon.solution import Solution, solve
from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.sizes import TapeSize
from planner.model.vehicle import Component, Vehicle

_MOVES_MM = 0.01
"""A size that shifts a face by less than this over its whole doubt has nothing to do with it."""


class Sheet(Protocol):
    """A project whose sizes can be written otherwise (:class:`planner.shelf.Draft` is one)."""

    @property
    def sizes(self) -> tuple[TapeSize, ...]:
        """The sizes with any doubt."""

    def filled(self, values: Mapping[str, float | str]) -> tuple[Vehicle | None, Job | None, tuple[object, ...]]:
        """Vehicle and job with other values."""

    def part(self, name: str, value: float) -> Component | None:
        """The part of a size with another value [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """What follows when a size is at one end of its doubt.

    ``more_min`` is the change of cost in hand-minutes, None when there is no answer then and ``trouble`` says why;
    ``gained`` and ``lost`` are effects in words.
    """

    mm: float
    more_min: int | None
    gained: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    trouble: tuple[str, ...] = ()

    @property
    def same(self) -> bool:
        """Nothing is otherwise than by the nominal size."""
        return self.more_min == 0 and not self.gained and not self.lost


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A size that decides something.

    ``stake_min`` is the greatest change of cost at either end, None when the job has no answer at one; ``to_mm`` is how
    exactly it and the others of its decisions must be known for these to be beyond doubt.
    """

    size: TapeSize
    words: str
    decides: tuple[str, ...]
    low: End
    high: End
    stake_min: int | None
    to_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """The sizes that decide something, the most minutes first.

    ``idle`` sizes in doubt change nothing at either end; ``together`` are decisions in words that no single size turns
    over but several can; ``left`` sizes were not worked through.
    """

    cost_min: int | None
    weighed: tuple[Weighed, ...]
    idle: int
    together: tuple[str, ...]
    left: int
    trouble: tuple[str, ...] = ()


@dataclass(slots=True)
class _Pull:
    """What one size does to one decision: slack [mm] at its low and its high end."""

    low_mm: float
    high_mm: float
    nominal_mm: float

    @property
    def reach_mm(self) -> float:
        return max(abs(self.low_mm - self.nominal_mm), abs(self.high_mm - self.nominal_mm))

    def turns(self, end_mm: float) -> bool:
        """Whether the decision falls the other way at an end."""
        return _holds(end_mm) is not _holds(self.nominal_mm)


def weigh_sizes(
    sheet: Sheet,
    catalog: Catalog,
    *,
    most: int = 20,
    limit_s: float = 10.0,
    tell: Callable[[int, int], None] = lambda _done, _of: None,
) -> Measured:
    """Rank the sizes in doubt by what they decide.

    Parameters
    ----------
    sheet, catalog
        A project without errors.
    most : int
        Sizes worked through at the most, those with the most decisions first.
    limit_s : float [s]
        Time for each solve.
    tell
        Called with how many ends are done and how many there are.
    """
    vehicle, job, _ = sheet.filled({})
    if vehicle is None or job is None:
        raise ValueError("the project has errors")
    base = solve(vehicle, job, catalog, limit_s=limit_s)
    if base.cost_min is None:
        decisions: tuple[Decision, ...] = ()
    else:
        decisions = open_decisions(base)
    pulls = {n: _pulls(sheet, d) for n, d in enumerate(decisions)}
    open_ = {n: by_size for n, by_size in pulls.items() if _undecided(by_size)}
    turning = {
        size.name: [n for n, by in open_.items() if size.name in by and _turned(by[size.name])] for size in sheet.sizes
    }
    ranked = sorted((s for s in sheet.sizes if turning[s.name]), key=lambda s: (-len(turning[s.name]), s.name))
    weighed: list[Weighed] = []
    for done, size in enumerate(ranked[:most]):
        tell(done, min(most, len(ranked)))
        mine = {n: open_[n] for n in turning[size.name]}
        weighed.append(_weigh(sheet, catalog, base, size, {n: decisions[n] for n in mine}, mine, limit_s))
    worth = [w for w in weighed if not (w.low.same and w.high.same)]
    alone = {n for names in turning.values() for n in names}
    return Measured(
        cost_min=base.cost_min,
        weighed=tuple(sorted(worth, key=_rank)),
        idle=len(sheet.sizes) - len(worth) - max(0, len(ranked) - most),
        together=tuple(decisions[n].text for n in open_ if n not in alone),
        left=max(0, len(ranked) - most),
        trouble=base.trouble,
    )


def _rank(weighed: Weighed) -> tuple[bool, int, int, str]:
    stake = weighed.stake_min
    return (stake is not None, -(stake or 0), -len(weighed.decides), weighed.size.name)


def _holds(slack_mm: float) -> bool:
    return slack_mm >= -TOUCH_MM


def _turned(pull: _Pull) -> bool:
    return pull.turns(pull.low_mm) or pull.turns(pull.high_mm)


def _undecided(by_size: dict[str, _Pull]) -> bool:
    """Whether all sizes of a decision, each at its worse end, would turn it over."""
    if not by_size:
        return False
    nominal_mm = next(iter(by_size.values())).nominal_mm
    ends = [(p.low_mm, p.high_mm) for p in by_size.values()]
    if _holds(nominal_mm):
        return not _holds(nominal_mm + sum(min(0.0, low - nominal_mm, high - nominal_mm) for low, high in ends))
    return _holds(nominal_mm + sum(max(0.0, low - nominal_mm, high - nominal_mm) for low, high in ends))


def _pulls(sheet: Sheet, decision: Decision) -> dict[str, _Pull]:
    """What each size in doubt of the parts of a decision does to it; sizes that do nothing are left out."""
    nominal_mm = decision.slack(decision.parts)
    found: dict[str, _Pull] = {}
    for size in sheet.sizes:
        if size.part not in decision.parts or (size.is_place and size.part in decision.set_anew):
            continue
        ends = [_slack_at(sheet, decision, size, size.mm + way * size.doubt_mm) for way in (-1, 1)]
        if ends[0] is None or ends[1] is None:
            continue
        pull = _Pull(low_mm=ends[0], high_mm=ends[1], nominal_mm=nominal_mm)
        if pull.reach_mm > _MOVES_MM:
            found[size.name] = pull
    return found


def _slack_at(sheet: Sheet, decision: Decision, size: TapeSize, mm: float) -> float | None:
    part = sheet.part(size.name, mm)
    if part is None:
        return None
    there = decision.parts[size.part].part
    pose = there.pose if size.part in decision.set_anew else part.pose
    other: dict[str, Placed] = {size.part: place(replace(there, pose=pose, solids=part.solids))}
    return decision.slack({**decision.parts, **other})


def _weigh(
    sheet: Sheet,
    catalog: Catalog,
    base: Solution,
    size: TapeSize,
    decisions: dict[int, Decision],
    pulls: dict[int, dict[str, _Pull]],
    limit_s: float,
) -> Weighed:
    """Solve at each end that turns a decision over, and say how exactly the size must be known."""
    ends: list[End] = []
    for way in (-1, 1):
        mm = size.mm + way * size.doubt_mm
        mine = [by[size.name] for by in pulls.values()]
        turned = any(p.turns(p.low_mm if way < 0 else p.high_mm) for p in mine)
        ends.append(_end(sheet, catalog, base, size, mm, limit_s) if turned else End(mm=mm, more_min=0))
    stakes = [e.more_min for e in ends]
    return Weighed(
        size=size,
        words=size_words(size, _part_of(base, size)),
        decides=tuple(d.text for d in decisions.values()),
        low=ends[0],
        high=ends[1],
        stake_min=None if None in stakes else max(abs(m) for m in stakes if m is not None),
        to_mm=min(_to_mm(sheet, by) for by in pulls.values()),
    )


def _part_of(base: Solution, size: TapeSize) -> Component:
    known = base.out.vehicle.components
    return known[size.part] if size.part in known else base.asked.base[size.part]


def _end(sheet: Sheet, catalog: Catalog, base: Solution, size: TapeSize, mm: float, limit_s: float) -> End:
    vehicle, job, findings = sheet.filled({size.name: mm})
    if vehicle is None or job is None:
        return End(mm=mm, more_min=None, trouble=tuple(str(getattr(f, "message", f)) for f in findings))
    then = solve(vehicle, job, catalog, limit_s=limit_s)
    if then.cost_min is None or base.cost_min is None:
        return End(mm=mm, more_min=None, trouble=then.trouble)
    return End(
        mm=mm,
        more_min=then.cost_min - base.cost_min,
        gained=tuple(text for i, text in then.effects.items() if i not in base.effects),
        lost=tuple(text for i, text in base.effects.items() if i not in then.effects),
    )


def _to_mm(sheet: Sheet, by_size: dict[str, _Pull]) -> float:
    """The margin of a decision shared out: known to this [mm], its sizes together can no longer turn it over."""
    doubts = {s.name: s.doubt_mm for s in sheet.sizes}
    margin_mm = abs(next(iter(by_size.values())).nominal_mm + TOUCH_MM)
    return margin_mm / sum(p.reach_mm / doubts[name] for name, p in by_size.items())
