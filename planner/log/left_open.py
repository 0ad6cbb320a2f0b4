"""What a job leaves open when it is adopted early: what the next one, and the vehicle's file, have to know of."""

from __future__ import annotations

import re
from collections.abc import Iterator

from planner.log.ready import unsigned
from planner.model.log import SignedLine
from planner.model.standing import Agreed, Standing
from planner.model.vehicle import Before, Owed
from planner.model.words import GATES
from planner.model.work import Checkpoint

OWED = "open-"
"""What the checks of things that an earlier job left open begin with."""
LONGEST = 360
"""Characters that an entry of a file may take, and some to spare."""
MOST = 6
"""So many pieces of work are named."""
_NO_SLUG = re.compile(r"[^a-z0-9]+")


def left_open(agreed: Agreed, standing: Standing, taken: frozenset[str] = frozenset()) -> tuple[Owed, ...]:
    """Every check that is not passed, one by one, and all work that is not done, as one.

    Parameters
    ----------
    agreed : Agreed
    standing : Standing
    taken : frozenset of str
        Ids in use already: what an earlier job left open and is open still has its own entry, and is left out.
    """
    found: dict[str, Owed] = {}
    for point in _points(agreed, standing):
        name = _free(_NO_SLUG.sub("-", point.id.lower()).strip("-"), taken | found.keys())
        found[name] = Owed(
            id=name,
            what=_short(point.title),
            limit=_short(point.limit),
            check=point.rule,
            job=agreed.job,
            why=_short(_told(standing.signed.get(point.id))),
            before=_before(point),
        )
    undone = list(_undone(agreed, standing))
    if undone:
        name = _free(f"work-of-{agreed.job}", taken | found.keys())
        rest = f" and {len(undone) - MOST} more" if len(undone) > MOST else ""
        titles = "; ".join(_short(title, LONGEST // (MOST + 1)) for title in undone[:MOST])
        found[name] = Owed(
            id=name,
            what=f"work that was not done: {titles}{rest}",
            limit="it is done, or it was found needless",
            job=agreed.job,
        )
    return tuple(found.values())


def proved_since(owed: Owed, agreed: Agreed, standing: Standing) -> bool:
    """Whether the job that left something open has signed it since; of several checks of one rule, the one it names."""
    points = [p for p in agreed.work.checkpoints.values() if p.rule == owed.check]
    named = [p for p in points if _short(p.title) == owed.what] if len(points) > 1 else points
    return any(standing.is_passed(p.id) for p in named)


def made_good(agreed: Agreed, standing: Standing) -> frozenset[str]:
    """Ids of what an earlier job left open and this one has signed."""
    points = (c for c in agreed.work.checkpoints if c.startswith(OWED))
    return frozenset(c.removeprefix(OWED) for c in points if standing.is_passed(c))


def _points(agreed: Agreed, standing: Standing) -> Iterator[Checkpoint]:
    """Checkpoints that are not passed, or whose step counts no more; of a state that was never entered none."""
    makers = {t.checkpoint: t.id for t in agreed.work.tasks.values() if t.checkpoint is not None}
    entered = set(unsigned(agreed, standing))
    for point in agreed.work.checkpoints.values():
        made = standing.is_passed(point.id) and makers.get(point.id, "") not in standing.reopened
        never = point.each_time and point.id not in entered
        if not made and not never and not point.id.startswith(OWED):
            yield point


def _undone(agreed: Agreed, standing: Standing) -> Iterator[str]:
    """Work that is not done, parts not where they belong, states that are not left, and what nobody planned."""
    work = agreed.work
    for task in work.tasks.values():
        if task.checkpoint is None and task.id not in GATES and task.id not in standing.finished:
            yield task.title
    yield from (line.title for line in standing.found if line.id not in work.tasks)
    yield from (f"damaged: {line.part} ({line.why})" for line in standing.broken if line.id not in work.tasks)
    for feature in work.features.values():
        if feature.goal is not None and standing.states.get(feature.id, feature.start) is not feature.goal:
            yield f"{feature.name}: {'not yet' if feature.goal else 'still'}"


def _short(text: str, most: int = LONGEST) -> str:
    """A text on one line, cut where it is too long."""
    line = " ".join(text.split())
    return line if len(line) <= most else f"{line[: most - 3].rstrip()}..."


def _told(signed: SignedLine | None) -> str:
    if signed is None:
        return "it was not made"
    return "; ".join(t for t in (f"it {signed.verdict.value}", signed.text, signed.why) if t)


def _before(point: Checkpoint) -> Before:
    if "engine" in point.blocks:
        return Before.START
    return Before.MOVE if "moving" in point.blocks else Before.ROAD


def _free(name: str, taken: frozenset[str] | set[str]) -> str:
    """The id, with a number where it is in use."""
    numbers = (f"{name}-{n}" for n in range(2, len(taken) + 3))
    return name if name not in taken else next(n for n in numbers if n not in taken)
