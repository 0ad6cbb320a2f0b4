"""Which features, tasks, checkpoints and purchases a set of knock-ons needs."""

from planner.model.words import FIRST_MOVE, FIRST_START, ROAD_TEST
from planner.work.amended import amended, pinned, with_fuel_off
from planner.work.build import work_for
from planner.work.bygone import bygone_of, strange_to, with_bygone
from planner.work.circuits import circuit_id, state_id
from planner.work.covered import with_covered
from planner.work.left import disturbed, left_of, with_mending
from planner.work.more_time import with_helper_every, with_more_time

__all__ = [
    "FIRST_MOVE",
    "FIRST_START",
    "ROAD_TEST",
    "amended",
    "bygone_of",
    "circuit_id",
    "disturbed",
    "left_of",
    "pinned",
    "state_id",
    "strange_to",
    "with_bygone",
    "with_covered",
    "with_fuel_off",
    "with_helper_every",
    "with_mending",
    "with_more_time",
    "work_for",
]
