"""What was done by a plan of an earlier version of the program and is no step of today's any more."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

_LOOK = "look-over."


@dataclass(frozen=True, slots=True, kw_only=True)
class Bygone:
    """A task, or a state of something, that the log tells of and that the work list of today does not have.

    It stays in the log and counts for nothing: no step and no check is done by it. ``n`` is the last line about it,
    ``since`` the line that agreed the plan which knew it. ``carried``: the plan goes on with it as it was agreed,
    because it failed, or because it is left as it must not stay; the others are looked over by a step of their own.
    """

    ref: str
    title: str
    n: int
    at: datetime
    since: int
    carried: bool = False


def look_over_id(since: int) -> str:
    """Id of the task that looks over what a plan, agreed in that line, had done and is no step any more."""
    return f"{_LOOK}{since}"
