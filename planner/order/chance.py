"""How likely the dates of a plan are: the plan is worked through many times with the times it may turn out to take.

Times are drawn one by one and independently (:mod:`planner.order.chance_draw`) and the steps worked in the plan's own
order, with time that one must wait for used by those after it (:mod:`planner.order.chance_run`). Somebody who plans
anew when things turn out otherwise may do better; what nobody thought of is not in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.plan import Odds, Plan
from planner.model.words import DAY_MIN
from planner.model.work import WorkList
from planner.order.calendar import calendar_of
from planner.order.chance_bays import ACT
from planner.order.chance_draw import Bools, Floats, draw_fails, draw_minutes, grained
from planner.order.chance_model import HIGH, LOW, Course, Times, course_of
from planner.order.chance_run import Runs, simulate

TRIED = 8
"""How many steps are made sure, one by one, to see what their doubt costs."""
COSTED = 2_000
"""How many of the runs are worked through again for that, at the most."""
AT_ONCE = 4
"""Of those so many at a time, for speed."""
TOLD = 3
"""How many steps that were cut short by the sessions are named."""


def odds(
    work: WorkList, plan: Plan, job: Job, catalog: Catalog, *, today: date, runs: int = 10_000, seed: int = 7
) -> Odds:
    """Find the chances of a plan's dates.

    Parameters
    ----------
    work, job, catalog : WorkList, Job, Catalog
        What the plan was made from.
    plan : Plan
        With slots.
    today : date
        The day the plan was made.
    runs : int
        How often it is worked through.
    seed : int
        Of the chance; same seed, same answer.

    Returns
    -------
    Odds
        ``costs`` come from the first 2,000 runs, worked through again with the step at its most likely time; one that
        ran out of sessions counts as finished at the end of the last one.

    Raises
    ------
    ValueError
        The plan has no slots, or they are no valid sequence of steps.
    """
    if not plan.slots:
        raise ValueError("a plan without steps has no dates")
    calendar = calendar_of(job, catalog, today)
    course = course_of(work, plan, calendar)
    dice = np.random.default_rng(seed)
    minutes = draw_minutes(course.times, runs, dice)
    happens = draw_fails(course.fails, runs, dice)
    found = simulate(course, minutes, happens)
    finish = found.finish
    done = [(calendar.first + timedelta(days=day), count) for day, count in zip(*_days(finish), strict=True)]
    by = None if job.finish_by is None else max((c for d, c in done if d <= job.finish_by), default=0) / runs
    costs = _costs(course, minutes, happens, finish)
    return Odds(
        runs=runs,
        days=tuple((d, c / runs) for d, c in done),
        late=1 - (done[-1][1] if done else 0) / runs,
        p50=_by(done, runs, 50),
        p80=_by(done, runs, 80),
        p95=_by(done, runs, 95),
        by=by,
        costs=costs.days,
        critical=_critical(course, found),
        notes=_notes(course, work, found, runs, costs),
    )


def _days(finish: Floats) -> tuple[list[int], list[int]]:
    """Days since the first on which some run was finished, and how many were by then."""
    ended = finish[np.isfinite(finish)]
    days, counts = np.unique(np.floor(ended / DAY_MIN).astype(np.int64), return_counts=True)
    return [int(d) for d in days], [int(c) for c in np.cumsum(counts)]


def _by(done: Sequence[tuple[date, int]], runs: int, percent: int) -> date | None:
    """The first day by which so many in a hundred runs were finished."""
    return next((day for day, count in done if count * 100 >= percent * runs), None)


def _rows(times: Sequence[Times]) -> dict[str, list[int]]:
    """Which times belong to each step ref, of those in doubt."""
    rows: dict[str, list[int]] = {}
    for i, t in enumerate(times):
        if t.high > t.low:
            rows.setdefault(t.ref, []).append(i)
    return rows


@dataclass(frozen=True, slots=True, kw_only=True)
class _Costs:
    """Days by which the mean finish comes sooner, for the ``tried`` of ``among`` doubtful steps."""

    days: tuple[tuple[str, float], ...]
    tried: int
    among: int


def _costs(course: Course, minutes: Floats, happens: Bools, finish: Floats) -> _Costs:
    """Make the steps whose times go most with the finish sure, one by one, in the same runs."""
    end = float(max((b.closes for b in course.calendar.bays), default=0))
    minutes, happens = minutes[:, :COSTED], happens[:, :COSTED]
    told = np.minimum(finish[:COSTED], end)
    rows = _rows(course.times)
    likeness = {ref: _likeness(minutes[mine].sum(axis=0), told) for ref, mine in rows.items()}
    dearest = sorted(rows, key=lambda ref: -likeness[ref])[:TRIED]
    days: dict[str, float] = {}
    for batch in (dearest[i : i + AT_ONCE] for i in range(0, len(dearest), AT_ONCE)):
        sure = np.tile(minutes, (1, len(batch)))
        columns = [slice(n * told.size, (n + 1) * told.size) for n in range(len(batch))]
        for ref, mine in zip(batch, columns, strict=True):
            for i in rows[ref]:
                sure[i, mine] = grained(np.float64(course.times[i].likely))
        finishes = np.minimum(simulate(course, sure, np.tile(happens, (1, len(batch)))).finish, end)
        for ref, mine in zip(batch, columns, strict=True):
            days[ref] = float((told - finishes[mine]).mean()) / DAY_MIN
    ranked = sorted(((r, d) for r, d in days.items() if d > 0), key=lambda pair: -pair[1])
    return _Costs(days=tuple(ranked), tried=len(dearest), among=len(rows))


def _likeness(one: Floats, other: Floats) -> float:
    """How much two rows of numbers rise together: their correlation; 0 when one of them is always the same."""
    a, b = one - one.mean(), other - other.mean()
    spread = float(np.sqrt((a @ a) * (b @ b)))
    return float(a @ b) / spread if spread > 0 else 0.0


def _critical(course: Course, found: Runs) -> tuple[tuple[str, float], ...]:
    """Share of runs in which each step was on the chain that binds the finish."""
    runs = found.ends.shape[1]
    on = np.zeros((len(course.acts), runs), dtype=np.bool_)
    on[(found.ends.max(axis=0) & ACT) - 1, np.arange(runs)] = True
    by_ref: dict[str, Bools] = {}
    for a in range(len(course.acts) - 1, -1, -1):
        columns = np.flatnonzero(on[a])
        other = found.starts[a, columns] & ACT
        on[other[other > 0] - 1, columns[other > 0]] = True
        ref = course.times[course.acts[a].times].ref
        by_ref[ref] = by_ref[ref] | on[a] if ref in by_ref else on[a]
    first = {t.ref: i for i, t in reversed(list(enumerate(course.times)))}
    shares = [(ref, int(mine.sum()) / runs) for ref, mine in by_ref.items()]
    return tuple(sorted(((r, s) for r, s in shares if s > 0), key=lambda pair: (-pair[1], first[pair[0]])))


def _notes(course: Course, work: WorkList, found: Runs, runs: int, costs: _Costs) -> tuple[str, ...]:
    """What the numbers rest on, in words."""
    guessed = len({t.ref for t in course.times if t.guessed})
    among = len({t.ref for t in course.times})
    notes = [
        "steps are simulated in the plan's own order; in time that one leaves because it must wait, later ones are done"
    ]
    if guessed:
        notes.append(
            f"{guessed} of {among} steps have one figure only: they are taken to last from {LOW:g} to {HIGH:g} times"
            " as long, a starting guess"
        )
    if costs.among > costs.tried:
        notes.append(
            f"what doubt costs was worked out for the {costs.tried} of {costs.among} steps whose times go most with"
            " the finish"
        )
    dearest = sorted(found.cut.items(), key=lambda pair: (-pair[1], pair[0]))
    for row, count in dearest[:TOLD]:
        notes.append(
            f"`{course.times[row].title}` took longer than any session still to come in {count / runs:.1%} of the"
            " runs, and went on from one to the next there: can it be left half done?"
        )
    if len(dearest) > TOLD:
        notes.append(f"so did {len(dearest) - TOLD} more steps")
    if course.fails:
        notes.append(
            "where a trial fit fails, its own tasks are done again; what must come off and go back is not in it"
        )
    if work.holds:
        notes.append("how the vehicle must stand when a session ends is not watched in the simulated runs")
    return tuple(notes)
