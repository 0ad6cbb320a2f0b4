"""What the choice of homes does to the links, as rows of the model and as a look at an answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from planner.knockon.clashes import may_meet
from planner.knockon.homes_model import HomesModel
from planner.knockon.link_change import Fate, allowed, change_of, fates_between
from planner.knockon.link_facts import LinkFacts
from planner.knockon.options import Option, Sort
from planner.knockon.placed import Placed, moved_from, settled
from planner.model.shapes import Vec
from planner.model.vehicle import Link
from planner.space import port_mm

Payers = tuple[cp_model.IntVar, ...]
"""Literals of which one must hold: what a fate costs."""
Bundle = tuple[Placed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkTable:
    """One link against the options listed at present."""

    link: Link
    made: bool
    """It is made anew whatever is chosen."""
    ends: tuple[tuple[str, ...], np.ndarray] | None
    """The active parts at its ends and its fates, shape (options, 1) or (options, options); None: they do not count."""
    hitting: dict[str, list[int]]
    """Options of each part that settle in its run."""
    forced: bool
    """The job itself has it made anew, unless it goes."""

    @property
    def counts(self) -> bool:
        """Whether anything hangs on it."""
        return self.forced or bool(self.hitting) or self.ends is not None


@dataclass(slots=True)
class LinkRows:
    """The links of a job against the active parts.

    A link with one end on an active part and the other on a movable part not yet active costs nothing here: that
    keeps the model a relaxation, and :meth:`stretched_ends` makes the other end active when it matters.
    """

    facts: LinkFacts
    _fates_known: dict[tuple[str, int], tuple[Bundle, Fate]] = field(default_factory=dict)
    _hits_known: dict[tuple[str, int], tuple[Bundle, bool]] = field(default_factory=dict)
    _ports_known: dict[tuple[str, int, int], tuple[Bundle, Vec, bool]] = field(default_factory=dict)
    """What was found before, by link and bundle (kept, so that its id stays its own)."""

    def tables(self, options: Mapping[str, Sequence[Option]], boxes: Mapping[str, np.ndarray]) -> list[LinkTable]:
        """What each link that an active part can change has to do with some options.

        ``boxes`` are those of the options with rooms and reach, shape (options, 6) [mm]. A link on an active part that
        is left out of the options is left out as well.
        """
        links = list(self.facts.asked.links.values())
        runs = [self.facts.run(link) for link in links]
        around = np.array([(*run.lo_mm, *run.hi_mm) for run in runs]).reshape(-1, 6)
        near: list[dict[str, list[int]]] = [{} for _ in links]
        for part, several in boxes.items():
            for n, i in np.argwhere(may_meet(around, several)).tolist():
                near[n].setdefault(part, []).append(i)
        found = []
        for link, rows in zip(links, near, strict=True):
            if not any(c is not None and c not in options for c in self._controllers(link)):
                found.append(self._table(link, options, rows))
        return [table for table in found if table.counts]

    def _table(self, link: Link, options: Mapping[str, Sequence[Option]], near: dict[str, list[int]]) -> LinkTable:
        made = self.constant_fate(link) >= Fate.REMAKE or link.id in self.facts.asked.links_new
        hitting: dict[str, list[int]] = {}
        if not made and not (self._idle_ends(link) and self.facts.may_vanish(link)):
            hit = {p: [i for i in rows if self._hit_by(link, options[p][i])] for p, rows in near.items()}
            hitting = {p: rows for p, rows in hit.items() if rows}
        forced = not made and self.facts.may_vanish(link) and self.facts.hit_by_the_job(link)
        return LinkTable(
            link=link,
            made=made,
            ends=self._ends(link, options),
            hitting=hitting,
            forced=forced and not self._idle_ends(link),
        )

    def _ends(self, link: Link, options: Mapping[str, Sequence[Option]]) -> tuple[tuple[str, ...], np.ndarray] | None:
        """The active parts at its ends and its fates by their options; None when its ends decide nothing yet."""
        active = sorted(c for c in self._controllers(link) if c is not None)
        if not active or self._idle_ends(link):
            return None
        if len(active) == 1:
            fates = [self._fate(link, option).value for option in options[active[0]]]
            return (active[0],), np.array(fates)[:, None]
        first, second = (self.facts.movers.controller(e.component) or "" for e in link.ends)
        return (first, second), self._fates(link, options[first], options[second])

    def effects(
        self, options: Mapping[str, Sequence[Option]], tables: Sequence[LinkTable]
    ) -> dict[str, list[np.ndarray]]:
        """For each part what its options do to the links: tables (options, k), true being never better than false."""
        found: dict[str, list[np.ndarray]] = {p: [] for p in options}
        for table in tables:
            for part, rows in table.hitting.items():
                found[part].append(np.isin(np.arange(len(options[part])), rows)[:, None])
            if table.ends is not None:
                parts, fates = table.ends
                for part, several in zip(parts, (fates, fates.T), strict=False):
                    found[part].extend(several >= fate.value for fate in Fate if fate is not Fate.NOTHING)
        return found

    def add(self, model: HomesModel, tables: Sequence[LinkTable]) -> None:
        """Add the literals and rows of the links; a new link is being made anyway."""
        goings = [(choice, option.part) for choice, option in model.all_choices() if option.sort is Sort.GO]
        for table in tables:
            link = table.link
            if table.made:
                _end_rows(model, table, {Fate.USELESS: ()})
                continue
            remake: Payers = ()
            if allowed(link, Fate.REMAKE):
                cost = self.facts.cost(link, Fate.REMAKE) - self.facts.cost(link, self.constant_fate(link))
                remake = (model.fate(f"remake {link.id}", cost),)
            adjust = model.fate(f"adjust {link.id}", self.facts.cost(link, Fate.ADJUST))
            _end_rows(model, table, {Fate.REMAKE: remake, Fate.ADJUST: (adjust, *remake), Fate.USELESS: ()})
            ends = {e.component for e in link.ends}
            excuses = tuple(model.take[choice] for choice, part in goings if part in ends)
            if table.forced:
                model.demands((*remake, *excuses))
            for part, rows in table.hitting.items():
                model.brings([(part, i) for i in rows], (*remake, *excuses))

    def spoilt(self) -> str | None:
        """A link that may not be made anew, but that the job's own placings stretch or hit beyond all help."""
        for link in self.facts.asked.links.values():
            if link.id in self.facts.asked.links_new or self.facts.may_vanish(link):
                continue
            free = any(self.facts.movers.chain(e.component) for e in link.ends)
            hit = self.facts.hit_by_the_job(link) and not allowed(link, Fate.REMAKE)
            if hit or (not free and not allowed(link, self.constant_fate(link))):
                return link.id
        return None

    def forbidding(self, option: Option) -> Iterator[tuple[str, Fate]]:
        """Links to which this option does what may not be, all else where the job leaves it; and what it does.

        To be made anew, which they may not; or to lean so far that no making anew helps.
        """
        for link in self.facts.asked.links.values():
            remade = self._may_be_remade(link)
            if remade and link.swing_deg is None:
                continue
            still = not self._idle_ends(link) and self._controllers(link) <= {option.part, None}
            fate = self._fate(link, option) if still else Fate.NOTHING
            if fate is Fate.USELESS:
                yield link.id, fate
            elif not remade and (fate is Fate.REMAKE or self._hit_by(link, option)):
                yield link.id, Fate.REMAKE

    def _may_be_remade(self, link: Link) -> bool:
        """Whether nothing forbids to make it anew, or it may go with one of its ends."""
        return allowed(link, Fate.REMAKE) or link.id in self.facts.asked.links_new or self.facts.may_vanish(link)

    def forbidding_both(
        self, p: str, firsts: Sequence[Option], q: str, seconds: Sequence[Option]
    ) -> Iterator[tuple[str, int, int, Fate]]:
        """Links between two parts to which two options together do what may not be (:meth:`forbidding`)."""
        for link in self.facts.asked.links.values():
            ends = [self.facts.movers.controller(e.component) for e in link.ends]
            remade = allowed(link, Fate.REMAKE) or link.id in self.facts.asked.links_new
            if (remade and link.swing_deg is None) or set(ends) != {p, q}:
                continue
            turned = ends[0] == q
            fates = self._fates(link, *((seconds, firsts) if turned else (firsts, seconds)))
            for i, j in np.argwhere(fates >= (Fate.USELESS if remade else Fate.REMAKE).value).tolist():
                fate = Fate(int(fates[i, j]))
                yield (link.id, j, i, fate) if turned else (link.id, i, j, fate)

    def constant_fate(self, link: Link) -> Fate:
        """The fate that the job's own placings bring about, whatever else is chosen."""
        fate = Fate.NOTHING
        if self.facts.may_vanish(link):
            return fate
        if all(self.facts.movers.controller(e.component) is None for e in link.ends):
            fate = self.facts.fate_at_base(link)
        return Fate.REMAKE if fate < Fate.REMAKE and self.facts.hit_by_the_job(link) else fate

    def constant_cost(self) -> int:
        """Price of the links the job's own placings change [thousandths of a hand-minute]."""
        return sum(
            self.facts.cost(link, self.constant_fate(link))
            for link in self.facts.asked.links.values()
            if link.id not in self.facts.asked.links_new
        )

    def stretched_ends(self, placed: dict[str, Placed]) -> Iterator[str]:
        """Far ends, movable but not yet in the choice, of links that an arrangement changes."""
        moved = settled(placed, self.facts.base, self.facts.asked.fixed).values()
        for link in self.facts.asked.links.values():
            idle = self._idle_ends(link)
            if idle and all(e.component in placed for e in link.ends):
                stretched = self.facts.then(link, placed) is not Fate.NOTHING
                if stretched or (self.facts.may_vanish(link) and self.facts.is_hit(link, moved)):
                    yield from idle

    def _fates(self, link: Link, firsts: Sequence[Option], seconds: Sequence[Option]) -> np.ndarray:
        """Fates of a link between two active parts, shape (firsts, seconds): values of Fate."""
        before = self.facts.ports_before(link)
        ends = [self._port_places(link, n, options) for n, options in enumerate((firsts, seconds))]
        fates = fates_between(link, before, ends[0][0], ends[1][0])
        if link.rigid:
            for i, j in np.argwhere(fates == Fate.ADJUST.value).tolist():
                places = (_vec(ends[0][0][i]), _vec(ends[1][0][j]))
                if self.facts.run_hits(link, places, self.facts.standing):
                    fates[i, j] = Fate.REMAKE.value
        gone = ends[0][1][:, None] | ends[1][1][None, :]
        return np.where(gone, Fate.NOTHING.value, fates)

    def _port_places(self, link: Link, end: int, options: Sequence[Option]) -> tuple[np.ndarray, np.ndarray]:
        """Where an end's port is under each option [mm], and under which options it is nowhere yet or no more."""
        found = [self._port_place(link, end, option.bundle) for option in options]
        return np.asarray([at for at, _ in found]), np.asarray([gone for _, gone in found], dtype=bool)

    def _port_place(self, link: Link, end: int, bundle: Bundle) -> tuple[Vec, bool]:
        key = (link.id, end, id(bundle))
        if key not in self._ports_known:
            at = link.ends[end]
            part = next((p.part for p in bundle if p.part.id == at.component), None)
            place = port_mm(part or self.facts.base[at.component].part, at.port)
            self._ports_known[key] = (bundle, place, part is None)
        return self._ports_known[key][1:]

    def _fate(self, link: Link, option: Option) -> Fate:
        """The link's fate when this option is taken; a link that loses an end simply goes."""
        if option.sort is Sort.ELSEWHERE or (
            option.pose is None and any(option.part == e.component for e in link.ends)
        ):
            return Fate.NOTHING
        key = (link.id, id(option.bundle))
        if key not in self._fates_known:
            placed = {e.component: self.facts.base[e.component] for e in link.ends}
            placed.update((p.part.id, p) for p in option.bundle if p.part.id in placed)
            fate = change_of(link, self.facts.ports_before(link), self.facts.ports_in(link, placed)).fate
            swings = fate is Fate.ADJUST and self.facts.swings_into(link, placed, self.facts.standing)
            self._fates_known[key] = (option.bundle, Fate.REMAKE if swings else fate)
        return self._fates_known[key][1]

    def _hit_by(self, link: Link, option: Option) -> bool:
        key = (link.id, id(option.bundle))
        if key not in self._hits_known:
            moved = [p for p in option.bundle if moved_from(p.part, self.facts.base[p.part.id].part)]
            self._hits_known[key] = (option.bundle, self.facts.is_hit(link, moved))
        return self._hits_known[key][1]

    def _controllers(self, link: Link) -> set[str | None]:
        return {self.facts.movers.controller(e.component) for e in link.ends}

    def _idle_ends(self, link: Link) -> list[str]:
        """Ends that could be moved or done without but are not in the choice yet."""
        return [
            e.component
            for e in link.ends
            if self.facts.movers.chain(e.component) and self.facts.movers.controller(e.component) is None
        ]


def _end_rows(model: HomesModel, table: LinkTable, payers: dict[Fate, Payers]) -> None:
    """What the ends' options do to a link, for the fates that are to be paid for (by nobody: they may not be)."""
    if table.ends is None:
        return
    parts, fates = table.ends
    for fate, paid in payers.items():
        if len(parts) == 1:
            model.brings([(parts[0], int(i)) for i in np.flatnonzero(fates[:, 0] == fate.value)], paid)
        else:
            model.brings_both(parts[0], parts[1], fates == fate.value, paid)


def _vec(row: np.ndarray) -> Vec:
    x, y, z = (float(v) for v in row)
    return (x, y, z)
