"""A missed relation in words: what must hold, what was found, by how much it is missed and with which numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.knockon.measures import Setting, Shortfall, ends_mm, needed_fall_mm
from planner.knockon.placed import Placed
from planner.model.vehicle import FootBand, Keeps, Relation
from planner.units import format_length

_WHOLE_PARTS = {
    Keeps.ABOVE: "above the top",
    Keeps.BELOW: "below the underside",
    Keeps.WITHIN: "at most from the nearest face",
    Keeps.APART: "away from the nearest face",
    Keeps.OFF_GROUND: "off the ground",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Speech:
    """How parts are called and lengths are written."""

    name: Callable[[str], str]
    units: str

    def length(self, mm: float) -> str:
        """A length in the owner's units."""
        return format_length(mm, self.units)

    def place(self, part: str, port: str) -> str:
        """A place on a part: its port, or the part itself."""
        return f"{self.name(part)} ({port})" if port else self.name(part)

    def start(self, relation: Relation) -> str:
        """The place the relation is about."""
        return self.place(relation.part, relation.port)

    def end(self, relation: Relation) -> str:
        """The place it is held against."""
        return self.place(relation.of or "", relation.of_port)


def miss_words(
    relation: Relation, missed: Shortfall, part: Placed, of: Placed | None, setting: Setting, speech: Speech
) -> str:
    """One sentence for a relation that one or two parts miss."""
    why = f": {relation.why}" if relation.why else ""
    return _words(relation, missed, part, of, setting, speech) + why


def _words(
    relation: Relation, missed: Shortfall, part: Placed, of: Placed | None, setting: Setting, speech: Speech
) -> str:
    start = speech.start(relation)
    if relation.keeps is Keeps.FOOT_REACH and setting.foot is not None:
        return f"{start} must lie in reach of the driver's foot: {_foot(relation, missed, setting.foot, speech)}"
    if relation.keeps is Keeps.HAND_REACH:
        return (
            f"{start} must lie within {speech.length(relation.by_mm)} of the driver's "
            f"{relation.from_point.replace('-', ' ')} (a reach you measured yourself): it is "
            f"{speech.length(missed.found)} away and misses it by {speech.length(missed.mm)}"
        )
    if relation.keeps is Keeps.UPRIGHT:
        return (
            f"{speech.name(relation.part)} must stand upright to {relation.within_deg:g} degrees: "
            f"it leans {missed.found:.1f} and misses it by {missed.deg:.1f} degrees"
        )
    if of is not None and relation.keeps in {Keeps.STRAIGHT_RUN, Keeps.FALLS, Keeps.LEVEL}:
        return _places(relation, missed, part, of, speech)
    return _whole(relation, missed, part, setting, speech)


def _places(relation: Relation, missed: Shortfall, part: Placed, of: Placed, speech: Speech) -> str:
    start, end = speech.start(relation), speech.end(relation)
    by, short = speech.length(relation.by_mm), speech.length(missed.mm)
    if relation.keeps is Keeps.STRAIGHT_RUN:
        return (
            f"the straight line from {start} to {end} may stand {relation.within_deg:g} degrees off its direction at "
            f"most: it stands {missed.found:.1f} off and misses it by {missed.deg:.1f} degrees"
        )
    if relation.keeps is Keeps.LEVEL:
        found = speech.length(missed.found)
        return f"{start} must be level with {end} to {by}: they differ by {found} and miss it by {short}"
    needed = speech.length(needed_fall_mm(relation, *ends_mm(relation, part, of)))
    does = "falls" if missed.found >= 0.0 else "rises"
    found = speech.length(abs(missed.found))
    return f"{start} must fall towards {end} by {by} a metre, here {needed}: it {does} {found} and misses it by {short}"


def _whole(relation: Relation, missed: Shortfall, part: Placed, setting: Setting, speech: Speech) -> str:
    kept = f" of {speech.name(relation.of)}" if relation.of is not None else ""
    bump = ""
    if relation.at_bump:
        down = "it does not come down" if part.part.unsprung else f"{speech.length(setting.bump_mm)} down"
        bump = f" at bump ({down})"
    return (
        f"{speech.name(relation.part)} must stay {speech.length(relation.by_mm)} {_WHOLE_PARTS[relation.keeps]}{kept}"
        f"{bump} and misses it by {speech.length(missed.mm)}"
    )


def _foot(relation: Relation, missed: Shortfall, foot: FootBand, speech: Speech) -> str:
    short = speech.length(missed.mm)
    if missed.case == "ankle":
        return (
            f"the foot would be closed to {missed.found:.0f} degrees against the line from heel to hip, "
            f"{foot.ankle_least_deg:g} is the least, and misses it by {missed.deg:.1f} degrees ({foot.source})"
        )
    if missed.case == "under":
        return f"it lies {short} below the heel"
    if missed.case == "behind":
        return f"it lies {short} behind the heel"
    limit, words = (foot.low_mm, foot.low_words) if missed.case == "near" else (foot.high_mm, foot.high_words)
    side, sign = ("short of", -1) if missed.case == "near" else ("beyond", 1)
    spare = f", {speech.length(relation.by_mm)} allowed" if relation.by_mm else ""
    found, reached = speech.length(missed.found), speech.length(limit + sign * relation.by_mm)
    away = f"seen from the side it is {found} from the heel, {short} {side} the {reached} of {words}{spare}"
    return f"{away} ({foot.source})"


def in_the_run_words(relation: Relation, mm: float, other: Placed, speech: Speech) -> str:
    """One sentence for a third part that stands in a straight run, missing it by ``mm``."""
    gap_mm = relation.by_mm - mm
    found = f"comes within {speech.length(gap_mm)} of" if gap_mm > 0.0 else "stands in"
    why = f": {relation.why}" if relation.why else ""
    return (
        f"{other.part.name} {found} the straight line from {speech.start(relation)} to {speech.end(relation)}, "
        f"{speech.length(relation.by_mm)} is to be kept free and is missed by {speech.length(mm)}{why}"
    )
