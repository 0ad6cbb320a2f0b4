"""Invented work lists in three rising kinds of hardness, for timing the least strip-down.

Parts p0, p1, ... lie one behind another: a part comes off only when up to two of the eight outside it are off, and
goes back under the same demands. That makes every change undoable, so each job can be done by construction: one
task after the other, everything back on in between. What rises from kind to kind: parts that come off in more than
one way, trial fits and second removals, parts that others must be fitted for (a jig, a support), groups of tasks
that wait for each other.
"""

from __future__ import annotations

import random
import sys
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "order"))

from worklists import feature, task, toggle, work_list

from planner.model.work import Feature, Task, WorkList

SIZES = (15, 30, 60, 120, 200)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """Shares, 0 to 1, of the parts or groups of tasks that have each trouble."""

    name: str
    ways: float
    """Parts with other ways out."""
    fits: float
    """Groups with a trial fit between two removals."""
    jigs: float
    """Parts whose toggles demand a deeper part fitted."""
    linked: float
    """Groups that wait for an earlier group."""
    states: float
    """Groups whose last task wants the vehicle in one of its two conditions."""
    span: int
    """How far away, in parts, the other part of a group may lie."""


KINDS = (
    Kind(name="realistic", ways=0.1, fits=0.2, jigs=0.0, linked=0.1, states=0.1, span=12),
    Kind(name="harder", ways=0.3, fits=0.4, jigs=0.05, linked=0.3, states=0.3, span=24),
    Kind(name="hardest", ways=0.6, fits=0.6, jigs=0.15, linked=0.6, states=0.6, span=200),
)


def _part(index: int, parts: int, dice: random.Random, kind: Kind) -> tuple[Feature, list[int]]:
    """A part, and the parts in front of it whatever the way."""
    outer = list(range(max(0, index - 8), index))
    front = dice.sample(outer, min(len(outer), dice.choice([0, 1, 1, 2])))
    demands = [f"not p{f}" for f in front]
    ways: list[list[str]] = []
    if len(outer) > 3 and dice.random() < kind.ways:
        ways = [[f"not p{f}" for f in dice.sample(outer, dice.choice([1, 2]))] for _ in range(dice.choice([2, 3]))]
    if dice.random() < 0.3:
        demands.append(f"stands{dice.randrange(2)}")
    if index + 1 < parts and dice.random() < kind.jigs:
        demands.append(f"p{dice.randrange(index + 1, min(parts, index + 9))}")
    name = f"p{index}"
    hands = dice.choice([1, 1, 1, 2])
    off = toggle(name, False, dice.choice([5, 10, 15, 20, 40]), hands=hands, demands=demands, ways=ways)
    on = toggle(name, True, dice.choice([5, 10, 20, 30, 60]), hands=hands, demands=demands, ways=ways)
    return feature(name, on=on, off=off), front


def invented_job(kind: Kind, parts: int, seed: int) -> WorkList:
    """A vehicle of so many parts, two conditions to be in, and 1.25 times as many tasks."""
    dice = random.Random(f"{kind.name} {parts} {seed}")
    stands = [feature(f"stands{i}", start=False, goal=False, on_min=15 + 5 * i, off_min=10) for i in range(2)]
    made = [_part(i, parts, dice, kind) for i in range(parts)]
    behind: list[set[int]] = []
    for i, (_, front) in enumerate(made):
        behind.append({i}.union(*(behind[f] for f in front)))
    tasks: list[Task] = []
    while len(tasks) < parts * 5 // 4:
        tasks += _group(tasks, behind, dice, kind)
    return work_list([*stands, *(f for f, _ in made)], tasks)


def _group(tasks: list[Task], behind: list[set[int]], dice: random.Random, kind: Kind) -> list[Task]:
    """Two or three tasks in a row about one part, perhaps with a trial fit in the middle."""
    host = dice.randrange(len(behind))
    near = dice.randrange(max(0, host - kind.span), min(len(behind), host + kind.span))
    rows = [[f"not p{host}"], [f"not p{near}"]]
    if dice.random() < kind.fits:
        # The trial fit is made with the neighbour out of the way, unless the host must be off for that.
        away = [f"not p{near}"] if host not in behind[near] and dice.random() < 0.5 else []
        rows = [[f"not p{host}"], [f"p{host}", *away], [f"not p{host}"]]
    if dice.random() < kind.states:
        rows[-1].append(f"stands{dice.randrange(2)}")
    made: list[Task] = []
    for demands in rows:
        after = [made[-1].id] if made else []
        if not made and tasks and dice.random() < kind.linked:
            after = [dice.choice(tasks).id]
        made.append(task(f"t{len(tasks) + len(made)}", 20, demands=demands, after=after))
    return made
