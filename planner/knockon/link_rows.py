"""What the choice of homes does to the links, as rows of the model and as a look at an answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from planner.knockon.asked import Asked
from planner.knockon.conflicts import PairRules, run_of
from planner.knockon.homes_model import HomesModel, PartOption
from planner.knockon.link_change import Fate, allowed, change_of, fate_cost, fates_between
from planner.knockon.movers import Movers
from planner.knockon.options import Option, Sort
from planner.knockon.placed import Placed, moved_from, settled
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Freedom, Link
from planner.space import Body, link_body, port_mm

Payers = tuple[cp_model.IntVar, ...]
"""Literals of which one must hold: what a fate costs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRows:
    """The links of a job against the active parts.

    A link with one end on an active part and the other on a movable part not yet active costs nothing here: that
    keeps the model a relaxation, and :meth:`stretched_ends` makes the other end active when it matters.
    """

    asked: Asked
    rules: PairRules
    movers: Movers
    base: dict[str, Placed]
    hour_worth: float
    standing: tuple[Placed, ...]
    """Parts that nothing can move."""
    known_hits: dict[tuple[str, str, Pose], bool]
    known_fates: dict[tuple[str, Pose, Pose], Fate]
    """What was found before, by link and poses: neither depends on what is active."""

    def add(self, model: HomesModel) -> None:
        """Add the literals and rows of every link that an active part can change; a new link is being made anyway."""
        goings = [(choice, option.part) for choice, option in model.all_choices() if option.sort is Sort.GO]
        for link in self.asked.links.values():
            constant = self.constant_fate(link)
            left_out = any(c is not None and c not in model.options for c in self._controllers(link))
            if left_out:
                continue
            if constant >= Fate.REMAKE or link.id in self.asked.links_new:
                self._end_rows(model, link, {Fate.USELESS: ()})
                continue
            remake: Payers = ()
            if allowed(link, Fate.REMAKE):
                cost = self.cost(link, Fate.REMAKE) - self.cost(link, constant)
                remake = (model.fate(f"remake {link.id}", cost),)
            adjust = model.fate(f"adjust {link.id}", self.cost(link, Fate.ADJUST))
            self._end_rows(model, link, {Fate.REMAKE: remake, Fate.ADJUST: (adjust, *remake), Fate.USELESS: ()})
            self._hit_rows(model, link, remake, goings)

    def spoilt(self) -> str | None:
        """A link that may not be made anew, but that the job's own placings stretch or hit beyond all help."""
        for link in self.asked.links.values():
            if link.id in self.asked.links_new or self._may_vanish(link):
                continue
            free = any(self.movers.chain(e.component) for e in link.ends)
            hit = self._hit_by_the_job(link) and not allowed(link, Fate.REMAKE)
            if hit or (not free and not allowed(link, self.constant_fate(link))):
                return link.id
        return None

    def forbidding(self, option: Option) -> Iterator[str]:
        """Links that may not be made anew and would have to be with this option, all else where the job leaves it."""
        for link in self.asked.links.values():
            if allowed(link, Fate.REMAKE) or link.id in self.asked.links_new or self._may_vanish(link):
                continue
            hit = self._is_hit(link, [p for p in option.bundle if self._has_moved(p)])
            still = not self._idle_ends(link) and self._controllers(link) <= {option.part, None}
            if hit or (still and not allowed(link, self._fate(link, option))):
                yield link.id

    def forbidding_both(
        self, p: str, firsts: Sequence[Option], q: str, seconds: Sequence[Option]
    ) -> Iterator[tuple[str, int, int]]:
        """Links between two parts that may not be made anew and would have to be, with the options that ask for it."""
        for link in self.asked.links.values():
            ends = [self.movers.controller(e.component) for e in link.ends]
            if allowed(link, Fate.REMAKE) or link.id in self.asked.links_new or set(ends) != {p, q}:
                continue
            turned = ends[0] == q
            fates = self._fates(link, *((tuple(seconds), tuple(firsts)) if turned else (tuple(firsts), tuple(seconds))))
            bad = np.argwhere(fates >= Fate.REMAKE.value).tolist()
            yield from ((link.id, j, i) if turned else (link.id, i, j) for i, j in bad)

    def hitters(self, link: Link) -> list[str]:
        """Parts the job places in the run of a link."""
        return [i for i in sorted(self.asked.fixed) if self._is_hit(link, (self.base[i],))]

    def cost(self, link: Link, fate: Fate) -> int:
        """Price of a fate of a link [thousandths of a hand-minute]."""
        return fate_cost(link, fate, self.hour_worth)

    def _may_vanish(self, link: Link) -> bool:
        """Whether an end of the link is a part that may be done without: the link goes with it."""
        ends = [self.base[e.component].part for e in link.ends]
        return any(p.freedom is Freedom.MAY_GO and self.movers.chain(p.id)[:1] == [p.id] for p in ends)

    def _hit_by_the_job(self, link: Link) -> bool:
        return self._is_hit(link, (self.base[i] for i in sorted(self.asked.fixed)))

    def constant_fate(self, link: Link) -> Fate:
        """The fate that the job's own placings bring about, whatever else is chosen."""
        fate = Fate.NOTHING
        if self._may_vanish(link):
            return fate
        if all(self.movers.controller(e.component) is None for e in link.ends):
            fate = change_of(link, self.ports_before(link), self.ports_in(link, self.base)).fate
        return Fate.REMAKE if fate < Fate.REMAKE and self._hit_by_the_job(link) else fate

    def constant_cost(self) -> int:
        """Price of the links the job's own placings change [thousandths of a hand-minute]."""
        return sum(
            self.cost(link, self.constant_fate(link))
            for link in self.asked.links.values()
            if link.id not in self.asked.links_new
        )

    def bill(self, placed: Mapping[str, Placed]) -> int | None:
        """Price of what becomes of all links in an arrangement, None when one of them will not have it."""
        moved = settled(placed, self.base, self.asked.fixed).values()
        total = 0
        for link in self.asked.links.values():
            if link.id in self.asked.links_new or any(e.component not in placed for e in link.ends):
                continue
            fate = change_of(link, self.ports_before(link), self.ports_in(link, placed)).fate
            if fate < Fate.REMAKE and (
                self._is_hit(link, moved) or (fate is Fate.ADJUST and self.swings_into(link, placed, self.standing))
            ):
                fate = Fate.REMAKE
            if not allowed(link, fate):
                return None
            total += self.cost(link, fate)
        return total

    def stretched_ends(self, placed: dict[str, Placed]) -> Iterator[str]:
        """Far ends, movable but not yet in the choice, of links that an arrangement changes."""
        moved = settled(placed, self.base, self.asked.fixed).values()
        for link in self.asked.links.values():
            idle = self._idle_ends(link)
            if idle and all(e.component in placed for e in link.ends):
                change = change_of(link, self.ports_before(link), self.ports_in(link, placed))
                if change.fate is not Fate.NOTHING or (self._may_vanish(link) and self._is_hit(link, moved)):
                    yield from idle

    def ports_before(self, link: Link) -> tuple[Vec, Vec]:
        """Where the link's ports are in the vehicle as it stands; as the job has them for a new link."""
        present = self.rules.vehicle.links.get(link.id)
        if present is None:
            return self.ports_in(link, self.base)
        first, second = (port_mm(self.rules.vehicle.components[e.component], e.port) for e in present.ends)
        return first, second

    def ports_in(self, link: Link, placed: Mapping[str, Placed]) -> tuple[Vec, Vec]:
        """Where the link's ports are in an arrangement."""
        first, second = (port_mm(placed[e.component].part, e.port) for e in link.ends)
        return first, second

    def run(self, link: Link) -> Body:
        """The link's run as it stands, or as the job gives it."""
        if link.id in self.rules.vehicle.links:
            return self.rules.present_run(link.id)
        return run_of(link, {i: p.part for i, p in self.base.items()})

    def _end_rows(self, model: HomesModel, link: Link, payers: dict[Fate, Payers]) -> None:
        """What the ends' options do to a link, for the fates that are to be paid for (by nobody: they may not be)."""
        active = sorted(c for c in self._controllers(link) if c is not None)
        if not active or self._idle_ends(link):
            return
        if len(active) == 1:
            for i, option in enumerate(model.options[active[0]]):
                fate = self._fate(link, option)
                if fate in payers:
                    model.brings((active[0], i), None, payers[fate])
            return
        first, second = (self.movers.controller(e.component) or "" for e in link.ends)
        fates = self._fates(link, model.options[first], model.options[second])
        for fate, paid in payers.items():
            for i, row in enumerate(fates == fate.value):
                model.brings((first, i), [(second, int(j)) for j in np.flatnonzero(row)], paid)

    def _fates(self, link: Link, firsts: tuple[Option, ...], seconds: tuple[Option, ...]) -> np.ndarray:
        """Fates of a link between two active parts, shape (firsts, seconds): values of Fate."""
        before = self.ports_before(link)
        ends = [self._port_places(link, n, options) for n, options in enumerate((firsts, seconds))]
        fates = fates_between(link, before, ends[0][0], ends[1][0])
        if link.rigid:
            for i, j in np.argwhere(fates == Fate.ADJUST.value).tolist():
                places = (_vec(ends[0][0][i]), _vec(ends[1][0][j]))
                if self._run_hits(link, places, self.standing):
                    fates[i, j] = Fate.REMAKE.value
        gone = ends[0][1][:, None] | ends[1][1][None, :]
        return np.where(gone, Fate.NOTHING.value, fates)

    def _port_places(self, link: Link, end: int, options: tuple[Option, ...]) -> tuple[np.ndarray, np.ndarray]:
        """Where an end's port is under each option [mm], and under which options it is nowhere yet or no more."""
        at = link.ends[end]
        places, gone = [], []
        for option in options:
            part = next((p.part for p in option.bundle if p.part.id == at.component), None)
            gone.append(part is None)
            places.append(port_mm(part or self.base[at.component].part, at.port))
        return np.asarray(places), np.asarray(gone)

    def _fate(self, link: Link, option: Option) -> Fate:
        """The link's fate when this option is taken; a link that loses an end simply goes."""
        placed = {e.component: self.base[e.component] for e in link.ends}
        if option.sort is Sort.ELSEWHERE or (option.pose is None and option.part in placed):
            return Fate.NOTHING
        placed.update((p.part.id, p) for p in option.bundle if p.part.id in placed)
        first, second = (placed[e.component].part.pose for e in link.ends)
        key = (link.id, first, second)
        if key not in self.known_fates:
            fate = change_of(link, self.ports_before(link), self.ports_in(link, placed)).fate
            swings = fate is Fate.ADJUST and self.swings_into(link, placed, self.standing)
            self.known_fates[key] = Fate.REMAKE if swings else fate
        return self.known_fates[key]

    def swings_into(self, link: Link, placed: Mapping[str, Placed], others: Iterable[Placed]) -> bool:
        """Whether a stiff link, set to its moved ends, would run through a part; a hose is laid round it by hand."""
        return link.rigid and self._run_hits(link, self.ports_in(link, placed), others)

    def _run_hits(self, link: Link, ports: tuple[Vec, Vec], others: Iterable[Placed]) -> bool:
        run = link_body(link, *ports)
        return any(self.rules.link_hit(link, run, p) for p in others)

    def _hit_rows(self, model: HomesModel, link: Link, remake: Payers, goings: list[tuple[PartOption, str]]) -> None:
        """A part that settles in the run has the link made anew, unless the link goes with an end that may go."""
        if self._idle_ends(link) and self._may_vanish(link):
            return
        ends = {e.component for e in link.ends}
        excuses = tuple(model.take[choice] for choice, part in goings if part in ends)
        if self._may_vanish(link) and self._hit_by_the_job(link):
            model.demands((*remake, *excuses))
        run = self.run(link)
        for choice, option in model.choices_near(run.lo_mm, run.hi_mm):
            if self._is_hit(link, [p for p in option.bundle if self._has_moved(p)]):
                model.brings(choice, None, (*remake, *excuses))

    def _controllers(self, link: Link) -> set[str | None]:
        return {self.movers.controller(e.component) for e in link.ends}

    def _idle_ends(self, link: Link) -> list[str]:
        """Ends that could be moved or done without but are not in the choice yet."""
        return [
            e.component
            for e in link.ends
            if self.movers.chain(e.component) and self.movers.controller(e.component) is None
        ]

    def _has_moved(self, placed: Placed) -> bool:
        return moved_from(placed.part, self.base[placed.part.id].part)

    def _is_hit(self, link: Link, parts: Iterable[Placed]) -> bool:
        return any(self._hits(link, p) for p in parts)

    def _hits(self, link: Link, placed: Placed) -> bool:
        key = (link.id, placed.part.id, placed.part.pose)
        if key not in self.known_hits:
            self.known_hits[key] = self.rules.link_hit(link, self.run(link), placed)
        return self.known_hits[key]


def _vec(row: np.ndarray) -> Vec:
    x, y, z = (float(v) for v in row)
    return (x, y, z)
