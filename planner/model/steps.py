"""Keys of steps: short words that stay the same from one plan of a job to the next, for logs, books and ticks."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache

from planner.model.plan import Slot, Step

_TOGGLE = re.compile(r"(?P<feature>.*):(?P<way>on|off)#[1-9][0-9]*", re.DOTALL)
_MENDING = "put-right."
_ENDED = "ended."
JOINED = ":joined"
"""Ends the id of the feature of a pinned link being joined."""
_PART = re.compile(r"~[1-9][0-9]*$")


def step_keys(
    slots: Iterable[Slot],
    done: Mapping[tuple[str, bool], int] | None = None,
    parts_done: Mapping[str, int] | None = None,
) -> tuple[str, ...]:
    """One key a slot.

    A task's key is its id, a toggle's "<feature>:on#k" or "<feature>:off#k" for the k-th change of the feature in that
    direction, a part of a split task the task's id with "~" and the part's number.

    Parameters
    ----------
    slots : iterable of Slot
        In the order of the plan.
    done : mapping of (feature, on) to int, optional
        How often each feature was changed before the plan begins.
    parts_done : mapping of task to int, optional
        How many parts of each split task were done before the plan begins.

    Examples
    --------
    >>> from datetime import datetime as d
    >>> step = Step(ref="tank", on=False)
    >>> step_keys([Slot(step=step, session=0, start=d(2026, 5, 2, 9), end=d(2026, 5, 2, 10))])
    ('tank:off#1',)
    """
    counted = dict(done or {})
    earlier = parts_done or {}
    found = []
    for slot in slots:
        step = slot.step
        if step.on is None:
            part = slot.part + earlier.get(step.ref, 0)
            found.append(step.ref if slot.parts == part == 1 else f"{step.ref}~{part}")
            continue
        counted[step.ref, step.on] = counted.get((step.ref, step.on), 0) + 1
        found.append(f"{step.ref}:{'on' if step.on else 'off'}#{counted[step.ref, step.on]}")
    return tuple(found)


@lru_cache(maxsize=4096)
def step_of_key(key: str) -> Step:
    """The step that a key stands for.

    Examples
    --------
    >>> step_of_key("tank:off#2")
    Step(ref='tank', on=False)
    >>> step_of_key("cut-slot~2")
    Step(ref='cut-slot', on=None)
    """
    toggle = _TOGGLE.fullmatch(key)
    if toggle is not None:
        return Step(ref=toggle["feature"], on=toggle["way"] == "on")
    return Step(ref=_PART.sub("", key))


def whole_steps(done: Iterable[str], left: Iterable[str]) -> tuple[int, int]:
    """How many steps are done and how many are left: one done in parts is one, and left till its last.

    Examples
    --------
    >>> whole_steps(["tank:off#1", "saw~1"], ["saw~2", "tank:on#1"])
    (1, 2)
    """
    to_go = {_PART.sub("", key) for key in left}
    return len({_PART.sub("", key) for key in done} - to_go), len(to_go)


def known_as(feature: str, features: Collection[str]) -> str:
    """The feature that stands for another one in a work list.

    A pinned link that comes off itself has no joint of its own: undone at its pins it is off.

    Examples
    --------
    >>> known_as("rod:joined", {"rod", "pedal"})
    'rod'
    >>> known_as("rod:joined", {"rod:joined"})
    'rod:joined'
    """
    link = feature.removesuffix(JOINED)
    return link if feature not in features and link in features else feature


def mending_id(task: str, failures: int) -> str:
    """Id of the task that puts right what made a task fail for so many times."""
    return f"{_MENDING}{task}.{failures}"


def put_right_by(mending: str) -> str:
    """The task whose failure is put right by another one.

    Examples
    --------
    >>> put_right_by(mending_id("bracket.1", 2))
    'bracket.1'
    """
    return mending.removeprefix(_MENDING).rsplit(".", 1)[0]


def is_mending(task: str) -> bool:
    """Whether a task puts right what failed, or fills a circuit again after that."""
    return task.startswith(_MENDING)


def ended_id(feature: str, entries: int) -> str:
    """Id of the task that looks over what a state left on too long, the last of so many, was there to watch."""
    return f"{_ENDED}{feature}.{entries}"


def ended_by(task: str) -> str:
    """The state that a task takes as ended; empty of any other task.

    Examples
    --------
    >>> ended_by(ended_id("state:watch", 2))
    'state:watch'
    >>> ended_by("bracket.1")
    ''
    """
    return task.removeprefix(_ENDED).rsplit(".", 1)[0] if task.startswith(_ENDED) else ""


def thing_of(task: str) -> str:
    """The part, link or cut that a template's task is about: what its id begins with.

    Examples
    --------
    >>> thing_of("pedal-box.3")
    'pedal-box'
    """
    return task.split(".", 1)[0]
