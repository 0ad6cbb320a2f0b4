"""What hangs on sizes that are in doubt: gaps and relations of the answer, moves that may be needless, better homes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from planner.knockon.doubts import Verdict, clearance_of, most_doubt_mm
from planner.knockon.home_list import homes_of
from planner.knockon.link_change import Fate, allowed, change_of
from planner.knockon.measures import setting_of, shortfall
from planner.knockon.options import MILLI, Candidate, Option, Sort, home_option
from planner.knockon.outcome import links_at
from planner.knockon.placed import Placed, settled
from planner.knockon.solution import Solution
from planner.model.effects import CauseKind
from planner.model.vehicle import Link, Relation
from planner.space import closer_than, gap, port_mm

_MOST_HOMES = 200
"""Better homes of one part that are looked at, the best first."""

Measure = Callable[[Mapping[str, Placed]], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """A yes or no that sizes in doubt may turn over.

    ``parts`` are the placed parts it is about, by id; ``slack`` gives by how much [mm] it holds for these or for the
    same parts in other sizes (less than nothing: it does not). ``set_anew`` are those whose place is set in this job.
    """

    text: str
    parts: dict[str, Placed]
    slack: Measure
    set_anew: frozenset[str]


def open_decisions(found: Solution) -> tuple[Decision, ...]:
    """Everything that sizes in doubt may decide otherwise than by their nominal values."""
    return (*_gaps(found), *_relations(found), *_links(found), *_needless(found), *_better_homes(found))


def _gaps(found: Solution) -> Iterator[Decision]:
    """Gaps round what the job has put or moved."""
    placed = found.out.answer.placed
    moved = settled(placed, found.out.base, found.asked.fixed)
    for i in moved:
        for j, other in placed.items():
            if j != i and not (j in moved and j < i) and _undecided(found, placed[i], other):
                yield _gap_decision(found, placed[i], other, "the gap between {part} and {other}")


def _undecided(found: Solution, a: Placed, b: Placed) -> bool:
    if found.rules.meant_to_touch(a.part, b.part):
        return False
    needed_mm = found.rules.keeps.keep(a.part, b.part).mm
    most_mm = most_doubt_mm(a.part) + most_doubt_mm(b.part)
    if most_mm <= 0.0 or not closer_than(a.body, b.body, needed_mm + most_mm):
        return False
    return clearance_of(a, b, needed_mm, found.rules.set_anew(a, b)).verdict is Verdict.UNDECIDED


def _gap_decision(found: Solution, a: Placed, b: Placed, words: str) -> Decision:
    needed_mm = found.rules.keeps.keep(a.part, b.part).mm
    gap_mm, length = gap(a.body, b.body).mm, found.rules.length
    state = f"overlaps by {length(-gap_mm)}" if gap_mm < 0 else f"is {length(gap_mm)}"
    head = words.format(part=a.part.name, other=b.part.name)
    return Decision(
        text=f"{head} {state}, {length(needed_mm)} to be kept",
        parts={a.part.id: a, b.part.id: b},
        slack=_gap_slack(a.part.id, b.part.id, needed_mm),
        set_anew=found.rules.set_anew(a, b),
    )


def _gap_slack(a: str, b: str, needed_mm: float) -> Measure:
    return lambda parts: gap(parts[a].body, parts[b].body).mm - needed_mm


def _relations(found: Solution) -> Iterator[Decision]:
    """Relations by length that bind what the job has put or moved."""
    placed = found.out.answer.placed
    moved = settled(placed, found.out.base, found.asked.fixed)
    setting = setting_of(found.out.vehicle, found.out.vehicle.driver, found.asked.base)
    for relation in found.asked.relations.values():
        ends = [i for i in (relation.part, relation.of) if i is not None]
        if not all(i in placed for i in ends) or not any(i in moved for i in ends):
            continue
        parts = {i: placed[i] for i in ends}
        if shortfall(relation, placed[ends[0]], placed[ends[1]] if ends[1:] else None, setting).mm == 0.0:
            continue

        def slack(now: Mapping[str, Placed], relation: Relation = relation, ends: list[str] = ends) -> float:
            of = now[ends[1]] if ends[1:] else None
            return -shortfall(relation, now[ends[0]], of, setting).mm

        told = f" {placed[ends[1]].part.name}" if ends[1:] else ""
        text = (
            f"whether {placed[ends[0]].part.name} is {relation.keeps}{told} as `{relation.id}` has it "
            f"({found.rules.length(slack(parts))} to spare)"
        )
        yield Decision(text=text, parts=parts, slack=slack, set_anew=found.rules.set_anew(*parts.values()))


def _links(found: Solution) -> Iterator[Decision]:
    """Links whose ends move, and that may or may not be long enough for it."""
    for link in found.asked.links.values():
        outcome = found.out.links.get(link.id)
        if outcome is None or link.id in found.asked.links_new or outcome.change.fate in {Fate.NOTHING, Fate.USELESS}:
            continue
        here = {e.component: found.rules.present(e.component) for e in link.ends}
        parts = {i: p for i, p in here.items() if p is not None}
        spare_mm = link.adjust_mm + (0.0 if link.rigid else link.slack_mm)
        if len(parts) < len(here) or (link.rigid and link.via_mm) or outcome.hit_by:
            continue
        slack = _link_slack(found, link, spare_mm)
        if abs(slack(parts)) < sum(most_doubt_mm(p.part) for p in parts.values()):
            change, length = outcome.change, found.rules.length
            how = "longer" if change.longer_mm > 0 else "shorter"
            text = (
                f"whether {link.name} reaches ({length(abs(change.longer_mm))} {how}, it can take {length(spare_mm)})"
            )
            yield Decision(text=text, parts=parts, slack=slack, set_anew=frozenset())


def _link_slack(found: Solution, link: Link, spare_mm: float) -> Measure:
    """What a link has to spare when its ends are measured elsewhere; ends that are set anew go to their new place."""
    placed = found.out.answer.placed
    anew = {
        e.component: placed[e.component] for e in link.ends if placed[e.component].part.id in _moved_ends(found, link)
    }

    def slack(parts: Mapping[str, Placed]) -> float:
        now = {**parts, **anew}
        before, after = (tuple(port_mm(where[e.component].part, e.port) for e in link.ends) for where in (parts, now))
        longer_mm = change_of(link, (before[0], before[1]), (after[0], after[1])).longer_mm
        return spare_mm - (abs(longer_mm) if link.rigid else longer_mm)

    return slack


def _moved_ends(found: Solution, link: Link) -> frozenset[str]:
    return found.rules.set_anew(*(found.out.answer.placed[e.component] for e in link.ends))


def _needless(found: Solution) -> Iterator[Decision]:
    """Parts that only have to move if sizes are as they stand in the file."""
    others = settled(found.out.answer.placed, found.out.base, found.asked.fixed)
    for part in found.out.answer.chosen:
        here = found.out.base[part]
        moved_mm = found.out.answer.placed.get(part)
        if moved_mm is not None and moved_mm.part.pose == here.part.pose:
            continue
        if found.rules.cut_away(here) or part in found.asked.homeless:
            continue
        against = [o for i, o in others.items() if i != part and found.rules.broken(here, o)]
        if against and all(_only_gap(found, here, o) and _undecided(found, here, o) for o in against):
            yield _joined(found, [(here, o) for o in against], f"whether {here.part.name} has to move at all")


def _only_gap(found: Solution, a: Placed, b: Placed) -> bool:
    return all(c.kind in {CauseKind.CLASH, CauseKind.KEEP_CLEAR} for c in found.rules.between(a, b))


def _joined(found: Solution, pairs: list[tuple[Placed, Placed]], text: str) -> Decision:
    """A decision that falls when every one of some gaps is large enough after all."""
    slacks = [_gap_slack(a.part.id, b.part.id, found.rules.keeps.keep(a.part, b.part).mm) for a, b in pairs]
    told = "; ".join(f"{b.part.name} {found.rules.length(max(0.0, gap(a.body, b.body).mm))} away" for a, b in pairs)
    return Decision(
        text=f"{text} ({told})",
        parts={p.part.id: p for pair in pairs for p in pair},
        slack=lambda parts: min(slack(parts) for slack in slacks),
        set_anew=found.rules.set_anew(*(p for pair in pairs for p in pair)),
    )


def _better_homes(found: Solution) -> Iterator[Decision]:
    """The best home of each moved part that would cost less and is only barred by gaps in doubt."""
    for part, option in found.out.answer.chosen.items():
        if option.sort is not Sort.HOME or len(option.bundle) != 1:
            continue
        for saved, better in _cheaper(found, part, option)[:_MOST_HOMES]:
            placed = home_option(better, found.out.base[part], (), found.asked.spaces[better.space].on).bundle[0]
            pairs = _barred_by(found, placed)
            if pairs:
                name = found.asked.spaces[better.space].name
                text = f"whether {placed.part.name} has a home in {name} that costs {saved // MILLI} min less"
                yield _joined(found, pairs, text)
                break


def _cheaper(found: Solution, part: str, option: Option) -> list[tuple[int, Candidate]]:
    """Homes of a part that cost at least a minute less with its links, the others being where they are."""
    here = found.out.answer.placed[part]
    paid = option.cost + _link_cost(found, part, here)
    base = found.out.base[part]
    every = [
        (paid - c.cost - _link_cost(found, part, replace(base, part=replace(base.part, pose=c.pose))), c)
        for c in homes_of(base.part, (), found.asked, found.out.catalog)
    ]
    return sorted((e for e in every if e[0] >= MILLI), key=lambda e: (-e[0], e[1].space, e[1].pose.at_mm))


def _link_cost(found: Solution, part: str, placed: Placed) -> int:
    """Price of what becomes of a part's links when it stands there [thousandths of a hand-minute]."""
    rows, where = found.search.links.facts, {**found.out.answer.placed, part: placed}
    total = 0
    for link in links_at(found.asked.links, part):
        if link.id in found.asked.links_new or any(e.component not in where for e in link.ends):
            continue
        fate = change_of(link, rows.ports_before(link), rows.ports_in(link, where)).fate
        worst = fate if allowed(link, fate) else Fate.USELESS
        total += 10**9 if worst is Fate.USELESS else rows.cost(link, fate)
    return total


def _barred_by(found: Solution, home: Placed) -> list[tuple[Placed, Placed]]:
    """The pairs that bar a home, empty when any of them is beyond doubt or there are none."""
    pairs: list[tuple[Placed, Placed]] = []
    if found.rules.own_relation_missed(home) or found.rules.cut_away(home):
        return []
    for i, other in found.out.answer.placed.items():
        if i == home.part.id or not found.rules.broken(home, other):
            continue
        if not (_only_gap(found, home, other) and _undecided(found, home, other)):
            return []
        pairs.append((home, other))
    return pairs
