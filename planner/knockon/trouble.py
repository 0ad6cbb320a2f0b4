"""When there is no answer: which parts cannot all be placed, and what stands against each."""

from __future__ import annotations

from planner.knockon.link_change import Fate
from planner.knockon.outcome import Outcome
from planner.knockon.placed import Placed
from planner.knockon.tell_lean import lean_words
from planner.knockon.tell_relations import relation_pushers
from planner.model.vehicle import Component, Freedom


def trouble_words(out: Outcome) -> tuple[str, ...]:
    """One sentence for each part of the smallest set that cannot be placed together."""
    stuck = out.answer.stuck
    if not stuck:
        return ("no set of homes was found in the time there was, and none was shown to be impossible",)
    lines: list[str] = []
    for part in stuck:
        if part in out.asked.links:
            lines.append(_spoilt_link(part, out))
            continue
        placed = out.base[part]
        against = [c.text for c in out.rules.cut_away(placed)]
        for i, other in out.base.items():
            settled = i in out.asked.fixed or (i in stuck and i < part)
            if i != part and (settled or (part in out.asked.fixed and i in stuck)):
                against.extend(c.text for c in out.rules.between(placed, other))
        against.extend(cause.text for _, cause in relation_pushers(out, part))
        against.extend(lean_words(out, part))
        if part in out.asked.homeless:
            against.append(f"{out.name(placed.part.mounted_on or '')} goes, which it is mounted on")
        lines.append(_line(placed, against, _why_not(placed.part, out), alone=len(stuck) == 1))
    return tuple(lines)


def _spoilt_link(link: str, out: Outcome) -> str:
    outcome = out.links[link]
    hit = [f"{out.name(p)} stands in its run" for p in outcome.hit_by]
    far = f"the job draws its ends {out.length(abs(outcome.change.longer_mm))} out of its length"
    change, most = outcome.change, out.asked.links[link].swing_deg
    if change.fate is Fate.USELESS and most is not None:
        swung = f"the job swings it {change.swing_deg:.0f} degrees out of its line"
        return f"{out.name(link)}: {swung}, and {most:g} degrees is the most it may stand off"
    freedom = out.asked.links[link].freedom
    return f"{out.name(link)}: {'; '.join(hit) or far}; and it may not be made anew (its freedom is `{freedom}`)"


def _line(placed: Placed, against: list[str], why_not: str, *, alone: bool) -> str:
    nobody = "it cannot stay where it is" if alone else "it is pushed out by the others named here"
    told = "; ".join(dict.fromkeys(against)) or nobody
    return f"{placed.part.name}: {told}; {why_not}"


def _why_not(part: Component, out: Outcome) -> str:
    if part.id in out.asked.fixed:
        return "the job itself puts it there"
    if part.freedom in {Freedom.STAYS, Freedom.COMES_OFF}:
        return f"and it may not be moved (its freedom is `{part.freedom}`)"
    offered = out.answer.tried.get(part.id, 0)
    if offered:
        return f"and none of the {offered} homes its mounting spaces offer is free of trouble"
    return "and no mounting space takes it, or none is large enough"
