"""Telling which relations a part would miss where it was, and what has become the lowest point of the vehicle."""

from __future__ import annotations

from collections.abc import Iterator

from planner.knockon.graph import EffectBook
from planner.knockon.outcome import Outcome, disturbed_effect
from planner.knockon.placed import Placed, settled
from planner.knockon.relations import KEPT_MM, Miss
from planner.model.effects import Cause, CauseKind, EffectKind
from planner.model.vehicle import Driver, Keeps, Relation

_REACHES = frozenset({Keeps.FOOT_REACH, Keeps.HAND_REACH})


def relation_pushers(out: Outcome, part: str) -> Iterator[tuple[str, Cause]]:
    """Relations that a part would miss where it was, each as (subject it comes from, cause without source).

    Those towards a settled part are left out: they are told with the pair. The subject is "" when only the job itself
    is to blame.
    """
    placed = out.base[part]
    moved = settled(out.answer.placed, out.base, out.asked.fixed)
    for miss in out.rules.kept.alone(placed):
        yield _seat_of(out, miss.relation, moved), _cause(miss)
    for i, other in out.answer.placed.items():
        if i != part and i not in moved:
            for miss in out.rules.kept.between(placed, other):
                yield "", _cause(miss)
    for miss in run_misses(out, part):
        others = (miss.relation.part, miss.relation.of or "", miss.third)
        yield next((i for i in others if i in moved and i != part), ""), _cause(miss)


def run_misses(out: Outcome, part: str) -> Iterator[Miss]:
    """Straight runs that are barred with a part where it was and everything else where it is now."""
    placed = {**(out.answer.placed or out.base), part: out.base[part]}
    for relation in out.rules.kept.runs:
        ends = placed.get(relation.part), placed.get(relation.of or "")
        if ends[0] is None or ends[1] is None:
            continue
        thirds = placed.values() if part in {relation.part, relation.of} else (placed[part],)
        for other in thirds:
            yield from out.rules.kept.in_the_run(relation, ends[0], ends[1], other)


def _seat_of(out: Outcome, relation: Relation, moved: dict[str, Placed]) -> str:
    """The moved or new part by which the driver sits, when a reach is measured from it."""
    driver = out.rules.driver or Driver()
    spots = [driver.heel, driver.hip, driver.points.get(relation.from_point)] if relation.keeps in _REACHES else []
    return next((s.on for s in spots if s is not None and s.on in moved and s.on is not None), "")


def _cause(miss: Miss) -> Cause:
    return Cause(kind=CauseKind.RELATION, source="", text=miss.text, mm=miss.mm)


def tell_lowest(out: Outcome, book: EffectBook) -> None:
    """Sprung parts that now reach further down than anything sprung did: the next thing to meet the road."""
    before = [p.still.lo_mm[2] for i in out.vehicle.components if (p := out.rules.present(i)) and not p.part.unsprung]
    if not before:
        return
    ground, bump = out.vehicle.ground_z_mm, out.vehicle.bump_mm
    lowest = min(before)
    for i, placed in settled(out.answer.placed, out.base, out.asked.fixed).items():
        low = placed.still.lo_mm[2]
        if placed.part.unsprung or low >= lowest - KEPT_MM:
            continue
        at_bump = "" if bump is None else f" ({out.length(low - bump - ground)} at bump)"
        text = (
            f"it comes down to {out.length(low - ground)} off the ground{at_bump}, and the lowest sprung part was at "
            f"{out.length(lowest - ground)}: ramps, kerbs and ruts are to be thought of"
        )
        cause = Cause(kind=CauseKind.KEEP_CLEAR, source=disturbed_effect(book, i), text=text, mm=lowest - low)
        words = f"{placed.part.name} becomes the lowest point of the vehicle"
        book.add(EffectKind.MEASURED, f"{i}~ground", words, [cause])
