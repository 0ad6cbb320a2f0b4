"""New homes for whatever is in the way, at the least total cost, the cascade being part of the choice.

Only *active* parts have options in the model: those that a chosen arrangement was found to hit, or whose link to a
moved part would otherwise have to be made anew. All other movable parts are left out of the rows, which makes the
model a relaxation; when its optimum hits none of them it is the optimum over all homes of all parts.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from planner.knockon.asked import Asked
from planner.knockon.conflicts import PairRules
from planner.knockon.homes_model import HomesModel, PartOption, Solved
from planner.knockon.link_change import Fate
from planner.knockon.link_rows import LinkRows
from planner.knockon.movers import Movers
from planner.knockon.offers import Offers
from planner.knockon.options import Option, Sort
from planner.knockon.placed import Placed, place, settled
from planner.model.catalog import Catalog
from planner.model.effects import Proof
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component

MOST_OPTIONS = 1500
"""When more homes than this are listed, no more are: the answer is then the best among them, beside a proved bound."""

_PairKey = tuple[str, str, tuple[float, ...], Vec, Vec, str | None, str | None]


def _pair_key(a: Component, b: Component) -> _PairKey:
    """How b sits towards a: the shift between their origins (to a thousandth of a millimetre), turns, mountings."""
    shift = (round(q - p, 3) for p, q in zip(a.pose.at_mm, b.pose.at_mm, strict=True))
    return (a.id, b.id, tuple(shift), a.pose.turn_deg, b.pose.turn_deg, a.mounted_on, b.mounted_on)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """Where everything is when the job is done.

    ``placed`` holds every part that is there; ``chosen`` the option of each part whose home was chosen; ``stuck`` the
    parts that, together, cannot be placed when ``proof`` is NONE. Costs are thousandths of a hand-minute.
    """

    proof: Proof
    placed: dict[str, Placed]
    chosen: dict[str, Option]
    cost: int
    bound: int
    stuck: tuple[str, ...] = ()
    tried: dict[str, int] = field(default_factory=dict)
    """How many homes of each stuck part were looked at."""


class HomeSearch:
    """The lazy loop: solve for the active parts, see whom the answer hits, let those be moved too, solve again."""

    def __init__(self, asked: Asked, rules: PairRules, catalog: Catalog, hour_worth: float) -> None:
        self.asked = asked
        self.rules = rules
        self.hour_worth = hour_worth
        self.base = {i: place(c) for i, c in sorted(asked.base.items())}
        self.movers = Movers(asked)
        self.offers = Offers(asked, self.movers, catalog, self.base, self._suits)
        self._broken: dict[_PairKey, bool] = {}
        self._known_hits: dict[tuple[str, str, Pose], bool] = {}
        self._known_fates: dict[tuple[str, Pose, Pose], Fate] = {}
        self._world = [p for i, p in self.base.items() if not self.movers.chain(i)]

    def run(self, limit_s: float) -> Arrangement:
        """Choose homes until nothing is hit.

        Parameters
        ----------
        limit_s : float [s]
            Time for each solve.
        """
        stuck = self._stuck_at_once()
        if stuck:
            return self.no_answer(stuck)
        for part in self._hit_by(dict(self._decided())):
            self.movers.activate(part)
        bound = 0
        while True:
            options = self.offers.listed()
            solved = self._solve(options, frozenset(), limit_s)
            if solved is None and self.offers.closed:
                self.offers.closed = False
                self.offers.want_all()
                continue
            if solved is None or (options and not solved.chosen):
                return self.no_answer(self._smallest_stuck(limit_s) if solved is None else ())
            if not self.offers.closed:
                bound = solved.bound
            answer = self._arranged(options, solved)
            if not self._list_more(options, solved) and not self._widen(answer):
                return self._with_bound(answer, bound)

    def _stuck_at_once(self) -> tuple[str, ...]:
        """Parts or links that spoil the job before anything is chosen."""
        spoilt = self.links().spoilt()
        for part in sorted(self.asked.homeless):
            self.movers.activate(part)
        homeless = [part for part in sorted(self.asked.homeless) if not self.movers.chain(part)]
        return self._fixed_trouble() or ((spoilt,) if spoilt is not None else tuple(homeless[:1]))

    def _list_more(self, options: dict[str, tuple[Option, ...]], solved: Solved) -> bool:
        """List more homes of the parts that were sent elsewhere, or no more at all; False when none was."""
        elsewhere = [p for p, i in solved.chosen.items() if options[p][i].sort is Sort.ELSEWHERE]
        if elsewhere and sum(len(o) for o in options.values()) > MOST_OPTIONS:
            self.offers.closed = True
        else:
            for part in elsewhere:
                self.offers.want_more(part)
        return bool(elsewhere)

    def _with_bound(self, answer: Arrangement, bound: int) -> Arrangement:
        """When not every home was listed any more, the last relaxation still bounds the cost from below."""
        if not self.offers.closed:
            return answer
        least = min(answer.cost, bound + self.links().constant_cost())
        return replace(answer, proof=Proof.PROVED if least == answer.cost else Proof.FOUND, bound=least)

    def _solve(self, options: dict[str, tuple[Option, ...]], ignored: frozenset[str], limit_s: float) -> Solved | None:
        live = {p: o for p, o in options.items() if p not in ignored}
        if any(not o for o in live.values()):
            return None
        model = HomesModel(options=live)
        self._world_rows(model)
        self._pair_rows(model)
        self.links().add(model)
        return model.solve(limit_s)

    def links(self) -> LinkRows:
        """The links of the job against the present set of active parts."""
        return LinkRows(
            asked=self.asked,
            rules=self.rules,
            movers=self.movers,
            base=self.base,
            hour_worth=self.hour_worth,
            standing=tuple(self._world),
            known_hits=self._known_hits,
            known_fates=self._known_fates,
        )

    def _decided(self) -> dict[str, Placed]:
        return {i: p for i, p in self.base.items() if i in self.asked.fixed}

    def _fixed_trouble(self) -> tuple[str, ...]:
        """A part the job places where another part that cannot give way stands: both ids, empty when there is none."""
        still = self._world
        for i, a in enumerate(still):
            if self._cannot_be_here(a):
                return (a.part.id,)
            for b in still[i + 1 :]:
                asked_for = a.part.id in self.asked.fixed or b.part.id in self.asked.fixed
                if asked_for and self._pair_broken(a, b):
                    return (a.part.id, b.part.id)
        return ()

    def _cannot_be_here(self, part: Placed) -> bool:
        return bool(self.rules.cut_away(part)) or self.rules.own_relation_short_mm(part) > 0.0

    def _pair_broken(self, a: Placed, b: Placed) -> bool:
        """Whether two parts conflict; it depends only on how they sit towards each other: found once."""
        key = _pair_key(a.part, b.part) if a.part.id < b.part.id else _pair_key(b.part, a.part)
        if key not in self._broken:
            self._broken[key] = self.rules.broken(a, b)
        return self._broken[key]

    def _suits(self, option: Option) -> bool:
        """Whether an option is free of everything that can never give way."""
        return not any(self._cannot_be_here(a) for a in option.bundle) and not any(
            self._pair_broken(a, b) for a in option.bundle for b in self._world
        )

    def _world_rows(self, model: HomesModel) -> None:
        for choice, option in model.all_choices():
            if option.sort is not Sort.HOME and not self._suits(option):
                model.forbid(choice)

    def _pair_rows(self, model: HomesModel) -> None:
        parts = sorted(model.options)
        for n, p in enumerate(parts):
            for q in parts[n + 1 :]:
                near = _may_meet(model.boxes(p), model.boxes(q))
                if self._bound_by_relation(model.options[p], model.options[q]):
                    near[:] = True
                for i in np.flatnonzero(near.any(axis=1)).tolist():
                    option = model.options[p][i]
                    against: list[PartOption] = [
                        (q, j) for j in np.flatnonzero(near[i]).tolist() if self._clash(option, model.options[q][j])
                    ]
                    model.forbid_together((p, i), against)

    def _clash(self, a: Option, b: Option) -> bool:
        return any(self._pair_broken(x, y) for x in a.bundle for y in b.bundle)

    def _bound_by_relation(self, a: tuple[Option, ...], b: tuple[Option, ...]) -> bool:
        first = {p.part.id for o in a for p in o.bundle}
        second = {p.part.id for o in b for p in o.bundle}
        return any(
            (r.part in first and r.of in second) or (r.part in second and r.of in first)
            for r in self.asked.relations.values()
        )

    def _arranged(self, options: dict[str, tuple[Option, ...]], solved: Solved) -> Arrangement:
        chosen = {p: options[p][i] for p, i in solved.chosen.items()}
        placed = {i: p for i, p in self.base.items() if self.movers.controller(i) is None}
        for option in chosen.values():
            placed.update((p.part.id, p) for p in option.bundle)
        constant = self.links().constant_cost()
        return Arrangement(
            proof=Proof.PROVED if solved.proved else Proof.FOUND,
            placed=dict(sorted(placed.items())),
            chosen=chosen,
            cost=solved.cost + constant,
            bound=solved.bound + constant,
        )

    def _widen(self, answer: Arrangement) -> bool:
        """Let parts be moved that the answer hits or whose links it over-stretches; False when there are none."""
        moved = settled(answer.placed, self.base, self.asked.fixed)
        fresh = [self.movers.activate(part) for part in self._hit_by(moved)]
        fresh.extend(self.movers.activate(part) for part in self.links().stretched_ends(answer.placed))
        return any(fresh)

    def _hit_by(self, moved: dict[str, Placed]) -> list[str]:
        """Movable parts that are not yet in the choice and cannot stay beside the settled ones."""
        return [
            i
            for i, part in self.base.items()
            if self.movers.chain(i)
            and self.movers.controller(i) is None
            and (
                self._cannot_be_here(part) or any(self._pair_broken(part, s) for s in moved.values() if s.part.id != i)
            )
        ]

    def _smallest_stuck(self, limit_s: float) -> tuple[str, ...]:
        """The smallest set of parts that cannot all be placed: each is left out for good while it still fails."""
        options = self.offers.all_listed()
        left_out: frozenset[str] = frozenset()
        for part in sorted(options):
            trial = left_out | {q for q in options if self._rests_on(q, part)}
            if len(trial) < len(options) and self._solve(options, trial, limit_s) is None:
                left_out = trial
        return tuple(sorted(set(options) - left_out))

    def _rests_on(self, part: str, host: str) -> bool:
        return host in self.movers.chain(part)

    def no_answer(self, stuck: tuple[str, ...]) -> Arrangement:
        """Everything where it was, because these parts cannot be placed together."""
        return Arrangement(
            proof=Proof.NONE,
            placed=self.base,
            chosen={},
            cost=0,
            bound=0,
            stuck=stuck,
            tried={p: self.offers.tried(p) for p in stuck},
        )


def _may_meet(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Which boxes of ``a`` meet which of ``b``, shape (len(a), len(b))."""
    low = np.maximum(a[:, None, 0], b[None, :, 0])
    high = np.minimum(a[:, None, 1], b[None, :, 1])
    return np.asarray((low <= high).all(axis=2))
