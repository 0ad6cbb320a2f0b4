"""The independent checker: it recomputes every rule from the model and the answer, and imports no solver."""

from planner.verify.bygone import check_bygone
from planner.verify.days_told import check_days
from planner.verify.gates import check_gates
from planner.verify.homes import check_homes
from planner.verify.left import check_left
from planner.verify.mended import check_found
from planner.verify.plan import check_plan
from planner.verify.steps import check_steps
from planner.verify.strip import check_strip
from planner.verify.told import check_told
from planner.verify.ways_out import check_ways

__all__ = [
    "check_bygone",
    "check_days",
    "check_found",
    "check_gates",
    "check_homes",
    "check_left",
    "check_plan",
    "check_steps",
    "check_strip",
    "check_told",
    "check_ways",
]
