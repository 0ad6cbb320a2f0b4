"""What else must move: effects with their reasons, and new homes at least cost."""

from planner.knockon.engine import find_knockons
from planner.knockon.graph import ASKED_TEXT, resting_only_on
from planner.knockon.opening import opened_by
from planner.knockon.options import template_for
from planner.knockon.present import Fault, present_faults
from planner.knockon.rigid import follow
from planner.knockon.scene import NEW
from planner.knockon.triggers import Fact, calls_for, facts_of, pulls

__all__ = [
    "ASKED_TEXT",
    "NEW",
    "Fact",
    "Fault",
    "calls_for",
    "facts_of",
    "find_knockons",
    "follow",
    "opened_by",
    "present_faults",
    "pulls",
    "resting_only_on",
    "template_for",
]
