"""The record of a job: lines that are only ever added, and what they come to."""

from planner.log.agreed import AgreedError, digest_of, keep_agreed, keys_of, numbers_for, read_agreed
from planner.log.append import LogFaultyError, append_after
from planner.log.bags import bag_of
from planner.log.entries import counting, entry_of, line_of
from planner.log.fold import fold, last_agreed
from planner.log.frozen import MisfitError
from planner.log.pace import Paced, paces
from planner.log.read import read_log
from planner.log.ready import Lack, lacks_of, open_keys, piece_of_key, unproved, unsigned, waits_until
from planner.log.road import Open, Road, road_of
from planner.log.sound import entries_of, faults_of

__all__ = [
    "AgreedError",
    "Lack",
    "LogFaultyError",
    "MisfitError",
    "Open",
    "Paced",
    "Road",
    "append_after",
    "bag_of",
    "counting",
    "digest_of",
    "entries_of",
    "entry_of",
    "faults_of",
    "fold",
    "keep_agreed",
    "keys_of",
    "lacks_of",
    "last_agreed",
    "line_of",
    "numbers_for",
    "open_keys",
    "paces",
    "piece_of_key",
    "read_agreed",
    "read_log",
    "road_of",
    "unproved",
    "unsigned",
    "waits_until",
]
