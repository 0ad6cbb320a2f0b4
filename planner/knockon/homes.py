"""New homes for whatever is in the way, at the least total cost, the cascade being part of the choice.

Only *active* parts have options in the model: those that a chosen arrangement was found to hit, or whose link to a
moved part would otherwise have to be made anew. All other movable parts are left out of the rows, which makes the
model a relaxation; when its optimum hits none of them it is the optimum over all homes of all parts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from planner.knockon.arrangement import Arrangement, fate_of
from planner.knockon.asked import Asked
from planner.knockon.budget import Budget
from planner.knockon.clashes import ClashBook, Vicinity
from planner.knockon.conflicts import PairRules
from planner.knockon.dominance import worth_offering
from planner.knockon.home_list import Standing
from planner.knockon.homes_model import HomesModel, Solved
from planner.knockon.link_facts import LinkFacts
from planner.knockon.link_rows import LinkRows
from planner.knockon.movers import Movers
from planner.knockon.offers import Offers
from planner.knockon.options import MILLI, Option, Sort
from planner.knockon.placed import Placed, place, settled
from planner.knockon.relation_rows import RelationRows
from planner.knockon.remakes import Remaking
from planner.knockon.roll import Bools
from planner.model.catalog import Catalog
from planner.model.effects import Proof
from planner.model.vehicle import Link

MOST_OPTIONS = 40_000
"""When more homes than this are listed, no more are: the answer is then the best among them, beside a proved bound."""
_PROVING = 0.6
"""Share of the time after which no more homes are listed: what is left is for a whole answer."""
_ROUND = 0.5
"""Share of the time left that one choice among the homes listed may take, once no more are listed."""
_NEAR_ENOUGH = 0.01
"""Such a choice is good enough when it costs no more than this above its own bound."""

_MODEL_S, _OPTION_S = 0.01, 3e-5
"""Setting up a choice, and looking which of the options another one stands for, counted as work."""
WORTH_IT = MILLI // 2
"""Homes in contact are looked through for what saves half a hand-minute: less is only a trifle of distance."""

Cut = Mapping[str, str]
"""An answer that is to be ruled out: what becomes of each part of it that does not stay."""


class HomeSearch:
    """The lazy loop: solve for the active parts, see whom the answer hits, let those be moved too, solve again."""

    def __init__(self, asked: Asked, rules: PairRules, catalog: Catalog, hour_worth: float) -> None:
        self.asked = asked
        self.rules = rules
        self.hour_worth = hour_worth
        self.budget = Budget()
        self.base = {i: place(c) for i, c in sorted(asked.base.items())}
        self.movers = Movers(asked)
        self.clashes = ClashBook(rules, self.budget)
        self._shown_impossible = False
        self._barred_here: dict[str, bool] = {}
        self.world = Vicinity(self.clashes, {i: p for i, p in self.base.items() if not self.movers.chain(i)})
        facts = LinkFacts(
            asked=asked,
            rules=rules,
            movers=self.movers,
            base=self.base,
            hour_worth=hour_worth,
            standing=tuple(self.world.placed.values()),
        )
        self.links = LinkRows(facts)
        standing = Standing(rules=rules, base=self.base)
        remaking = Remaking(asked=asked, rules=rules, catalog=catalog, base=self.base, world=self.world.placed)
        self.offers = Offers(asked, self.movers, catalog, self.base, standing, remaking, self._suits, self.world)
        self._everything = Vicinity(self.clashes, self.base)
        self._relations = RelationRows(rules=rules.kept, movers=self.movers, base=self.base, world=self.world.placed)

    def run(self, limit_s: float) -> Arrangement:
        """Choose homes until nothing is hit, first on the grid and then in contact as well.

        Parameters
        ----------
        limit_s : float [s]
            For the whole search, in work rather than by the clock. When it is used up the answer is the best found,
            beside the bound proved by then.
        """
        return self._explained(self.tried_out(limit_s))

    def tried_out(self, limit_s: float) -> Arrangement:
        """The same, but when there is no answer without looking for the smallest set of parts that is stuck."""
        stuck = self._begin(limit_s)
        return self.no_answer(stuck) if stuck else self.choose(())

    def over_grid(self, limit_s: float) -> Arrangement:
        """Choose among the homes on the grid alone, and in contact only for parts that the grid has none for."""
        stuck = self._begin(limit_s)
        return self.no_answer(stuck) if stuck else self._explained(self.best_listed())

    def _explained(self, answer: Arrangement) -> Arrangement:
        """With the smallest stuck set, when it was shown that there is no answer."""
        if answer.proof is Proof.NONE and self._shown_impossible and not answer.stuck:
            return self.no_answer(self._smallest_stuck())
        return answer

    def _begin(self, limit_s: float) -> tuple[str, ...]:
        """Start the budget and let those be moved that the job itself hits; what spoils the job at once, if any."""
        self.budget.start(limit_s)
        stuck = self._stuck_at_once()
        if not stuck:
            for part in self._hit_by(self._decided()):
                self.movers.activate(part)
        return stuck

    def choose(self, cuts: tuple[Cut, ...]) -> Arrangement:
        """The cheapest arrangement that is none of ``cuts`` and holds none of them, with what is left of the budget.

        First over the grid; then over the homes in contact as well, for anything that saves ``WORTH_IT`` or more.
        """
        was_on = self.offers.contact
        answer = self.best_listed(cuts)
        if was_on or answer.proof is not Proof.PROVED or not answer.chosen or self.budget.spent(_PROVING):
            return replace(answer, contact=self.offers.contact)
        self.offers.want_contact()
        closer = self.best_listed(cuts, below=answer.cost - WORTH_IT)
        if closer.proof is not Proof.NONE:
            return replace(closer, contact=True)
        return replace(answer, contact=not self.offers.closed)

    def best_listed(self, cuts: tuple[Cut, ...] = (), below: int | None = None) -> Arrangement:
        """The cheapest arrangement of homes that are offered at present, at most ``below`` when that is given."""
        self.offers.closed = self._shown_impossible = False
        bound = 0
        while True:
            if self.budget.spent(_PROVING):
                self.offers.closed = True
            options = self.offers.listed()
            solved = self._solve(options, frozenset(), cuts, below)
            if solved is None and below is None and self._more_homes():
                continue
            if solved is None:
                self._shown_impossible = True
                return self.no_answer(())
            if options and not solved.chosen:
                if self.offers.closed:
                    return self.no_answer(())
                self.offers.closed = True
                continue
            if not self.offers.closed:
                bound = max(bound, solved.bound)
            answer = self._arranged(options, solved)
            if not self._list_more(options, solved) and not self._widen(answer):
                return self._with_bound(answer, bound)

    def _more_homes(self) -> bool:
        """List more homes when those listed do not do; False when there are no more."""
        if self.offers.closed and not self.budget.spent(1.0):
            self.offers.closed = self.budget.spent(_PROVING)
            self.offers.want_all()
            return not self.offers.closed or self.offers.grew()
        return self.offers.want_contact()

    def _stuck_at_once(self) -> tuple[str, ...]:
        """Parts or links that spoil the job before anything is chosen."""
        spoilt = self.links.spoilt()
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
        least = min(answer.cost, bound + self.links.constant_cost())
        return replace(answer, proof=Proof.PROVED if least == answer.cost else Proof.FOUND, bound=least)

    def _solve(
        self,
        options: dict[str, tuple[Option, ...]],
        ignored: frozenset[str],
        cuts: tuple[Cut, ...] = (),
        below: int | None = None,
    ) -> Solved | None:
        live = {p: o for p, o in options.items() if p not in ignored}
        if any(not o for o in live.values()):
            return None
        model = self._model(live, fates_differ=bool(cuts))
        for cut in cuts:
            self._rule_out(model, cut)
        if below is not None:
            model.at_most(below - self.links.constant_cost())
        if self.offers.closed:
            return model.solve(self.budget, share=_ROUND, gap=_NEAR_ENOUGH)
        return model.solve(self.budget)

    def _rule_out(self, model: HomesModel, cut: Cut) -> None:
        """At least one part of an answer must fare otherwise."""
        model.forbid_fates(
            [
                [(part, i) for i, o in enumerate(model.options.get(part, ())) if fate_of(o, self.base) == fate]
                for part, fate in sorted(cut.items())
            ]
        )

    def _decided(self) -> dict[str, Placed]:
        return {i: p for i, p in self.base.items() if i in self.asked.fixed}

    def _fixed_trouble(self) -> tuple[str, ...]:
        """A part the job places where another part that cannot give way stands: both ids, empty when there is none."""
        for i, part in self.world.placed.items():
            if self.cannot_be_here(part):
                return (i,)
            for other in self.world.near(part):
                asked_for = i in self.asked.fixed or other.part.id in self.asked.fixed
                if other.part.id > i and asked_for and self.clashes.broken(part, other):
                    return (i, other.part.id)
        return self._relations.trouble()

    def cannot_be_here(self, part: Placed) -> bool:
        """Whether a hole or a relation of its own forbids a part to be where it is."""
        return bool(self.rules.cut_away(part)) or self.rules.own_relation_missed(part)

    def _suits(self, options: Sequence[Option]) -> list[bool]:
        """Whether each option is free of everything that can never give way."""
        barred = self.world.barred([o.bundle for o in options])
        return [
            not bad and not any(self.cannot_be_here(a) for a in o.bundle) and self._relations.suits(o.bundle)
            for o, bad in zip(options, barred, strict=True)
        ]

    def suits_runs(self, option: Option) -> bool:
        """Whether an option leaves every straight run free among what can never give way."""
        return self._relations.suits(option.bundle)

    def _model(self, options: dict[str, tuple[Option, ...]], *, fates_differ: bool) -> HomesModel:
        """Variables and rows over some options, those left out that another one stands for."""
        clashes = self._clashes(options)
        links = self.links.tables(options, {p: self.clashes.boxes(p, o) for p, o in options.items()})
        possible = {
            p: np.array([o.sort is Sort.HOME or self.offers.is_suited(o) for o in several])
            for p, several in options.items()
        }
        kept = worth_offering(
            options,
            clashes,
            self.links.effects(options, links),
            possible,
            self._relations.ruled(),
            fates_differ=fates_differ,
        )
        self.budget.spend(_MODEL_S + _OPTION_S * sum(len(several) for several in options.values()))
        model = HomesModel(options=options, kept=kept)
        for part, mask in possible.items():
            for i in np.flatnonzero(~mask).tolist():
                model.forbid((part, i))
        for (p, q), table in clashes.items():
            model.forbid_pairs(p, q, table)
        self._relations.add(model)
        self.links.add(model, links)
        return model

    def _clashes(self, options: Mapping[str, Sequence[Option]]) -> dict[tuple[str, str], Bools]:
        """Which options of each two parts conflict, where any do."""
        rows = {p: self.clashes.rows_of(p, several) for p, several in options.items()}
        found = {}
        for p, q in combinations(sorted(options), 2):
            table = self.clashes.between(p, rows[p], q, rows[q])
            if table.any():
                found[p, q] = table
        return found

    def _arranged(self, options: dict[str, tuple[Option, ...]], solved: Solved) -> Arrangement:
        chosen = {p: options[p][i] for p, i in solved.chosen.items()}
        placed = {i: p for i, p in self.base.items() if self.movers.controller(i) is None}
        for option in chosen.values():
            placed.update((p.part.id, p) for p in option.bundle)
        constant = self.links.constant_cost()
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
        fresh.extend(self.movers.activate(part) for part in self.links.stretched_ends(answer.placed))
        fresh.append(self._relations.widen(answer.placed, answer.chosen, self.offers.listed()))
        return any(fresh)

    def _hit_by(self, moved: Mapping[str, Placed]) -> list[str]:
        """Movable parts that are not yet in the choice and cannot stay beside the settled ones."""
        idle = {i for i in self.base if self.movers.chain(i) and self.movers.controller(i) is None}
        hit = {i for i in idle if self._barred_at_home(i)}
        for mover in moved.values():
            hit |= {p.part.id for p in self._among(idle - hit, self._everything.near(mover), mover)}
        return sorted(hit)

    def _among(self, wanted: set[str], near: Iterable[Placed], mover: Placed) -> list[Placed]:
        return [p for p in near if p.part.id in wanted and self.clashes.broken(p, mover)]

    def _barred_at_home(self, part: str) -> bool:
        if part not in self._barred_here:
            self._barred_here[part] = self.cannot_be_here(self.base[part])
        return self._barred_here[part]

    def _smallest_stuck(self) -> tuple[str, ...]:
        """The smallest set of parts that cannot all be placed: each is left out for good while it still fails."""
        options = self.offers.all_listed()
        left_out = self._others_than_rods(options)
        for part in sorted(options):
            trial = left_out | {q for q in options if self._rests_on(q, part)}
            if part not in left_out and len(trial) < len(options) and self._solve(options, trial) is None:
                left_out = trial
        return tuple(sorted(set(options) - left_out))

    def _others_than_rods(self, options: dict[str, tuple[Option, ...]]) -> frozenset[str]:
        """All but one part that a rod ties to what the job places, when that alone is stuck: it is soon found out."""
        for part in sorted(options):
            tied = (k for k in self.asked.links.values() if k.swing_deg is not None)
            if any(self._joins(k, part) for k in tied):
                others = frozenset(q for q in options if q not in self.movers.chain(part))
                if self._solve(options, others) is None:
                    return others
        return frozenset()

    def _joins(self, link: Link, part: str) -> bool:
        ends = {e.component for e in link.ends}
        return part in ends and bool(ends & self.asked.fixed)

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
