"""What is impossible or already broken in the vehicle as the file has it."""

from __future__ import annotations

from dataclasses import dataclass

from planner.knockon.conflicts import TOUCH_MM, PairRules, rules_now, run_of
from planner.knockon.placed import Placed, place
from planner.model.effects import CauseKind
from planner.model.vehicle import Link, Vehicle
from planner.space import Body, gap, near_pairs, place_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that cannot be so: ``part`` and ``other`` are ids, ``mm`` the depth or shortfall."""

    kind: CauseKind
    part: str
    other: str
    text: str
    mm: float


def present_faults(vehicle: Vehicle) -> tuple[Fault, ...]:
    """Overlaps, broken keep-clears, blocked rooms and missed relations of the vehicle as it stands."""
    rules = rules_now(vehicle)
    placed = {i: place(c) for i, c in vehicle.components.items()}
    runs = {i: run_of(k, vehicle.components) for i, k in vehicle.links.items()}
    faults = [*_part_faults(rules, placed), *_link_faults(rules, vehicle, placed, runs)]
    for relation in vehicle.relations.values():
        of = placed[relation.of] if relation.of is not None else None
        mm = rules.shortfall_mm(relation, placed[relation.part], of)
        if mm > 0.0:
            told = rules.relation_conflict(relation, relation.part, mm)
            faults.append(Fault(kind=told.kind, part=relation.part, other=relation.id, text=told.text, mm=mm))
    return tuple(faults)


def _part_faults(rules: PairRules, placed: dict[str, Placed]) -> list[Fault]:
    ids = list(placed)
    margin = max((p.part.keep_clear_mm for p in placed.values()), default=0.0)
    pairs = set(near_pairs([placed[i].body for i in ids], margin)) | _room_pairs(placed, ids)
    faults: list[Fault] = []
    for a, b in sorted(pairs):
        first, second = placed[ids[a]], placed[ids[b]]
        faults.extend(
            Fault(kind=c.kind, part=c.part, other=c.other, text=c.text, mm=c.mm)
            for c in rules.between(first, second)
            if c.kind is not CauseKind.RELATION
        )
    return faults


def _room_pairs(placed: dict[str, Placed], ids: list[str]) -> set[tuple[int, int]]:
    """Pairs in which one part may stand in an always-needed room of the other."""
    owners = [n for n, i in enumerate(ids) for _ in placed[i].rooms]
    rooms = [body for i in ids for _, body in placed[i].rooms]
    count = len(rooms)
    pairs: set[tuple[int, int]] = set()
    for a, b in near_pairs([*rooms, *(placed[i].body for i in ids)], 0.0):
        if a < count <= b and owners[a] != b - count:
            low, high = sorted((owners[a], b - count))
            pairs.add((low, high))
    return pairs


def _link_faults(rules: PairRules, vehicle: Vehicle, placed: dict[str, Placed], runs: dict[str, Body]) -> list[Fault]:
    links, parts = list(runs), list(placed)
    bodies = [*(runs[i] for i in links), *(placed[i].body for i in parts)]
    margin = max((p.part.keep_clear_mm for p in placed.values()), default=0.0)
    count = len(links)
    faults: list[Fault] = []
    for a, b in near_pairs(bodies, margin):
        if a >= count:
            continue
        link = vehicle.links[links[a]]
        if b < count:
            faults.extend(_crossing(rules, link, vehicle.links[links[b]], bodies[a], bodies[b]))
        else:
            faults.extend(_in_run(rules, link, bodies[a], placed[parts[b - count]]))
    return faults


def _in_run(rules: PairRules, link: Link, run: Body, part: Placed) -> list[Fault]:
    if not rules.link_hit(link, run, part):
        return []
    found = gap(part.body, run)
    where = place_words(part.body, found.at_mm)
    name = part.part.name
    if found.mm < -TOUCH_MM:
        text = f"{link.name} runs through {name} at its {where}"
        return [Fault(kind=CauseKind.CLASH, part=link.id, other=part.part.id, text=text, mm=-found.mm)]
    needed = part.part.keep_clear_mm
    near, kept = rules.length(max(0.0, found.mm)), rules.length(needed)
    text = f"{link.name} runs {near} from {name} at its {where}, {kept} is to be kept"
    return [Fault(kind=CauseKind.KEEP_CLEAR, part=link.id, other=part.part.id, text=text, mm=needed - found.mm)]


def _crossing(rules: PairRules, first: Link, second: Link, a: Body, b: Body) -> list[Fault]:
    """Two stiff links in the same place; a hose or wire gives way, and links of one port share it."""
    shared = {(e.component, e.port) for e in first.ends} & {(e.component, e.port) for e in second.ends}
    if shared or not (first.rigid and second.rigid):
        return []
    depth_mm = -gap(a, b).mm
    if depth_mm <= TOUCH_MM:
        return []
    text = f"{first.name} and {second.name} run {rules.length(depth_mm)} through each other"
    return [Fault(kind=CauseKind.CLASH, part=first.id, other=second.id, text=text, mm=depth_mm)]
