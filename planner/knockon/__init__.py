"""What else must move: effects with their reasons, and new homes at least cost."""

from planner.knockon.asked import mounting_graph
from planner.knockon.bearing import Adrift, adrift_asked, adrift_now, adrift_words
from planner.knockon.beneath import Beneath, hung_beneath
from planner.knockon.engine import find_knockons
from planner.knockon.graph import ASKED_TEXT, resting_only_on
from planner.knockon.left_holes import left_holes, takes_old_holes
from planner.knockon.open_ends import closing_words, is_left_open
from planner.knockon.opening import opened_by
from planner.knockon.options import template_for
from planner.knockon.part_facts import PartFacts, part_facts
from planner.knockon.present import Fault, drawn_rods, kept_now_mm, present_faults
from planner.knockon.rigid import follow
from planner.knockon.rocking import Rocked, rocked_asked, rocked_now
from planner.knockon.rods_now import swing_for
from planner.knockon.scene import NEW
from planner.knockon.tight import Tight, tight_spots
from planner.knockon.triggers import ANY_CHANGE, Fact, calls_for, facts_of, pulls
from planner.knockon.watched import bench_stay_min, is_watched, watch_min, watch_states
from planner.knockon.way_words import going_out, listed, shut_told, ways_told
from planner.knockon.weigh import End, Measured, Weighed, weigh_sizes

__all__ = [
    "ANY_CHANGE",
    "ASKED_TEXT",
    "NEW",
    "Adrift",
    "Beneath",
    "End",
    "Fact",
    "Fault",
    "Measured",
    "PartFacts",
    "Rocked",
    "Tight",
    "Weighed",
    "adrift_asked",
    "adrift_now",
    "adrift_words",
    "bench_stay_min",
    "calls_for",
    "closing_words",
    "drawn_rods",
    "facts_of",
    "find_knockons",
    "follow",
    "going_out",
    "hung_beneath",
    "is_left_open",
    "is_watched",
    "kept_now_mm",
    "left_holes",
    "listed",
    "mounting_graph",
    "opened_by",
    "part_facts",
    "present_faults",
    "pulls",
    "resting_only_on",
    "rocked_asked",
    "rocked_now",
    "shut_told",
    "swing_for",
    "takes_old_holes",
    "template_for",
    "tight_spots",
    "watch_min",
    "watch_states",
    "ways_told",
    "weigh_sizes",
]
