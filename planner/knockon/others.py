"""The next-best answers: each lets at least one part fare otherwise than the answers before it.

An answer counts as another one only when it does not hold a cheaper one whole: the same parts going the same ways, and
one more moved for nothing, is no other answer. What differs is what becomes of a part (it stays, goes into which space,
follows its mounting, is made anew, is done without), not where in a space it is put.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.knockon.arrangement import STAYS, Arrangement, fate_of, fates_of
from planner.knockon.homes import Cut, HomeSearch
from planner.knockon.link_change import Fate
from planner.knockon.options import MILLI, Option, Sort, shift_between
from planner.knockon.outcome import Outcome, outcome_of
from planner.knockon.slide import slid
from planner.knockon.tell_moves import remade_words
from planner.model.effects import Alternative, Proof


def others_of(search: HomeSearch, answer: Arrangement, count: int, limit_s: float) -> Iterator[Arrangement]:
    """The next-best arrangements after an answer, cheapest first, at most ``count``; ``limit_s`` [s] for each."""
    cuts: list[Cut] = []
    for _ in range(count):
        fates = fates_of(answer, search.base)
        if not fates or answer.proof is Proof.NONE:
            return
        cuts.append(fates)
        search.budget.start(limit_s)
        answer = search.choose(tuple(cuts))
        if answer.proof is not Proof.NONE:
            yield answer


def tell_others(out: Outcome, search: HomeSearch, count: int, limit_s: float) -> tuple[Alternative, ...]:
    """The next-best answers in words, each with its own links made anew."""
    told = []
    for found in others_of(search, out.answer, count, limit_s):
        other = outcome_of(out.vehicle, out.job, out.catalog, out.asked, search, slid(search, found))
        told.append(_told(out, other))
    return tuple(sorted(told, key=lambda a: a.cost))


def _told(out: Outcome, other: Outcome) -> Alternative:
    answer, base = other.answer, other.base
    cost = -(-answer.cost // MILLI)
    present = out.vehicle.components
    return Alternative(
        cost=cost,
        more=cost - -(-out.answer.cost // MILLI),
        bound=-(-answer.bound // MILLI),
        proof=answer.proof,
        fates=fates_of(answer, base),
        moves=tuple(
            move_words(other, part, option)
            for part, option in sorted(answer.chosen.items())
            if fate_of(option, base) != STAYS
        ),
        homes={i: p.part.pose for i, p in answer.placed.items() if i in present and p.part.pose != present[i].pose},
        links=tuple(
            sorted(i for i, k in other.links.items() if k.fate is Fate.REMAKE and i not in out.asked.links_new)
        ),
    )


def move_words(out: Outcome, part: str, option: Option) -> str:
    """What becomes of a part, in a few words."""
    name = out.name(part)
    if option.sort is Sort.GO or option.pose is None:
        return f"{name} goes"
    words = out.shift_words(shift_between(out.base[part].part.pose, option.pose))
    if option.sort is Sort.REMADE:
        return f"{name} {remade_words(out, part)}, {words} into {out.asked.spaces[option.space].name}"
    if option.sort is Sort.FOLLOW:
        return f"{name} goes along with its mounting, {words}"
    return f"{name} {words} into {out.asked.spaces[option.space].name}"
