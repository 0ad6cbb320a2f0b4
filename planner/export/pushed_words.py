"""Evenings on which the vehicle has to stand on its wheels, to be pushed, while brakes or steering are undone."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from planner.model.answer import Answer
from planner.model.words import ON_STANDS
from planner.model.work import Demand, Feature
from planner.units.spoken import day_words

GROUPS = frozenset({"brakes", "steering"})
"""Groups of parts and links by which a vehicle is held and steered."""
CIRCUITS = frozenset({"hydraulic-brake", "cable-brake", "handbrake", "steering"})
"""Kinds of circuit of the same."""
_MOST = 4


def pushed_words(answer: Answer) -> Iterator[str]:
    """One line for each evening on which a hold wants the vehicle off its stands while brakes or steering are undone.

    Parameters
    ----------
    answer : Answer
        With a plan; what is undone is read off its slots, as of the end of the day's last session.
    """
    slots = answer.plan.slots
    if not slots:
        return
    begin, finish = min(s.start for s in slots), max(s.end for s in slots)
    holds = [h for h in answer.work.holds.values() if any(_is_lowering(answer, d) for d in h.demands)]
    ends: dict[date, datetime] = {}
    for session in answer.plan.sessions:
        end = datetime.combine(session.day, session.end)
        ends[session.day] = max(end, ends.get(session.day, end))
    for hold in holds:
        for day, end in sorted(ends.items()):
            if not hold.asks(day) or not begin < end < finish:
                continue
            undone = _undone(answer, end)
            if undone:
                named = ", ".join(undone[:_MOST]) + (f" and {more} more" if (more := len(undone) - _MOST) > 0 else "")
                yield (
                    f"{day_words(day)}, {hold.title}: undone then: {named}. It may neither hold nor steer. Chock it "
                    "both ways, move it on level ground only, by hand and with the chocks following, or not at all"
                )


def _is_lowering(answer: Answer, demand: Demand) -> bool:
    known = answer.work.features.get(demand.feature)
    return not demand.on and known is not None and known.subject == ON_STANDS


def _undone(answer: Answer, moment: datetime) -> list[str]:
    """Names of brake and steering features that are off, open or between two homes at a moment."""
    done = sorted((s for s in answer.plan.slots if s.end <= moment), key=lambda s: s.end)
    now = answer.work.states_after(s.step for s in done)
    by_subject: dict[str, list[Feature]] = {}
    for feature in answer.work.features.values():
        by_subject.setdefault(feature.subject, []).append(feature)
    gone = [
        subject
        for subject, features in by_subject.items()
        if any(f.start for f in features) and not any(now[f.id] for f in features)
    ]
    # What steers is told first, pipes and rods after what they join.
    gone.sort(key=lambda i: (i not in answer.vehicle.systems, not _steers(answer, i), i in answer.vehicle.links))
    return [name for subject in gone if (name := _named(answer, subject))]


def _steers(answer: Answer, subject: str) -> bool:
    part = answer.vehicle.components.get(subject) or answer.vehicle.links.get(subject)
    return part is not None and part.group == "steering"


def _named(answer: Answer, subject: str) -> str:
    """What is told of a part, link or circuit that holds or steers and is undone; empty for any other."""
    vehicle = answer.vehicle
    part = vehicle.components.get(subject) or vehicle.links.get(subject)
    if part is not None:
        return f"{part.name} off" if part.group in GROUPS else ""
    system = vehicle.systems.get(subject)
    return f"{system.name} open" if system is not None and system.kind in CIRCUITS else ""
