"""Words that plans and logs share with everything else: apart, so that reading a plan loads no more than a plan."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum

FIRST_YEAR, LAST_YEAR = 1990, 2150
"""No job is worked on outside these."""
DAY_MIN = 24 * 60
"""Minutes of a day."""
MOST_MIN = 100_000
"""Minutes of one piece of work."""
MOST_DAYS = 1000
"""Days until something is here."""
MOST_HANDS = 20
MOST_PRICE = 1e7
ON_STANDS = "on-stands"
"""The condition in which people go beneath the vehicle."""
FIRST_START = "first-start"
FIRST_MOVE = "first-move"
ROAD_TEST = "road-test"
GATES = (FIRST_START, FIRST_MOVE, ROAD_TEST)
"""Ids of the tasks that are the last gates of every job, in their order."""


class Work(StrEnum):
    """Kinds of work, by which a person's own pace is known and cautions are chosen."""

    PLANNING = "planning"
    MEASURING = "measuring"
    REMOVING = "removing"
    DRAINING = "draining"
    MOCK_UP = "mock-up"
    MARKING = "marking out"
    DRILLING = "drilling"
    CUTTING = "cutting"
    BENDING = "bending"
    WELDING = "welding"
    DRESSING = "dressing"
    TRIAL_FIT = "trial fit"
    FINISHING = "finishing"
    FITTING = "fitting"
    ROUTING = "routing"
    FILLING = "filling"
    ADJUSTING = "adjusting"
    TESTING = "testing"


class Deed(StrEnum):
    """What a mending does that asks for more than hands: heat, sparks, holes, an open circuit, somebody underneath."""

    WELD = "weld"
    """an arc or a flame: welding, brazing, heating to bend or to free"""
    GRIND = "grind"
    """sparks and no flame"""
    CUT = "cut"
    """drilled, sawn, filed through"""
    OPEN = "open"
    """a circuit is opened"""
    UNDER = "under"
    """somebody works under the vehicle"""
    PLAIN = "plain"
    """none of these"""
    UNSAID = "not said"
    """nobody was asked, or nobody knew"""


KINDLING = frozenset({Deed.WELD, Deed.GRIND, Deed.CUT})
"""What sets off vapour in anything that held fuel."""


class Proof(StrEnum):
    """How good an answer is known to be."""

    PROVED = "proved least"
    FOUND = "best found"
    NONE = "no answer"


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One stretch of work time on one day."""

    day: date
    start: time
    end: time
    hands: int = 1

    @property
    def minutes(self) -> int:
        """Length of the session [min]."""
        return (self.end.hour - self.start.hour) * 60 + self.end.minute - self.start.minute
