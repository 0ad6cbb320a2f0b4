"""What each active part is offered: staying, following its host, going, and the cheapest homes that suit it alone.

Homes are listed a few at a time. One more option, *elsewhere*, stands for all the others: it hits nothing and costs no
more than the cheapest of them, so that an answer that does not choose it is the answer over all homes. What is offered
twice is the same object both times, so that what is found out about it can be remembered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from planner.knockon.asked import Asked
from planner.knockon.clashes import Vicinity
from planner.knockon.home_list import HomeList, Standing, homes_of
from planner.knockon.movers import Movers
from planner.knockon.options import (
    Candidate,
    Needs,
    Option,
    elsewhere_option,
    follow_option,
    go_option,
    home_option,
    stay_option,
)
from planner.knockon.placed import Placed, place
from planner.knockon.remakes import Remaking
from planner.knockon.roll import Bools
from planner.model.catalog import Catalog
from planner.model.shapes import Pose
from planner.model.vehicle import Freedom

_FIRST_HOMES = 12
_MORE = 4
_AT_ONCE = 64
"""So many homes are looked at in one go."""

_Key = tuple[str, str, tuple[str, ...], Pose | None]
"""Part, sort of option and space, what it carries, pose."""


@dataclass(slots=True)
class _Homes:
    """The homes of one part with one set of riders: looked at in order of price, kept when they suit."""

    listed: HomeList
    looked_at: int = 0
    suiting: list[Option] = field(default_factory=list)
    in_contact: bool = False
    barred: Bools | None = None
    """Of each home, whether what never gives way plainly bars it."""


@dataclass(slots=True)
class Offers:
    """Options of the active parts, listed as far as they are wanted.

    ``suits`` says of each option whether it is free of everything that can never give way, the ``world``.
    """

    asked: Asked
    movers: Movers
    catalog: Catalog
    base: dict[str, Placed]
    standing: Standing
    remaking: Remaking
    suits: Callable[[Sequence[Option]], list[bool]]
    world: Vicinity
    closed: bool = False
    """No more homes are listed, and nothing stands for the rest."""
    contact: bool = False
    """Homes in contact are offered to every part, and not only to one that the grid has none for."""
    _wanted: dict[str, int] = field(default_factory=dict)
    _homes: dict[tuple[str, tuple[str, ...]], _Homes] = field(default_factory=dict)
    _made: dict[_Key, Option] = field(default_factory=dict)
    _suited: dict[int, bool] = field(default_factory=dict)
    _looked_into: list[Option] = field(default_factory=list)
    """Options looked into are kept, so that the ids of their bundles stay theirs."""
    _remakes: dict[str, list[Option]] = field(default_factory=dict)

    def listed(self) -> dict[str, tuple[Option, ...]]:
        """The options of every active part; option 0 leaves it where it is, unless its mounting has gone."""
        found: dict[str, tuple[Option, ...]] = {}
        for part in self.movers.hosts_first():
            found[part] = tuple(self._options(part, found))
        return found

    def all_listed(self) -> dict[str, tuple[Option, ...]]:
        """The same with every home there is."""
        self.want_all()
        return self.listed()

    def want_all(self) -> None:
        """List every home from now on."""
        for part in self.movers.active:
            self._wanted[part] = 1 << 30

    def grew(self) -> bool:
        """Whether any active part has homes that were not looked at yet."""
        return any(h.looked_at < len(h.listed) for (p, _), h in self._homes.items() if p in self.movers.active)

    def want_more(self, part: str) -> None:
        """List four times as many homes of a part from now on."""
        self._wanted[part] = self._wanted.get(part, _FIRST_HOMES) * _MORE

    def want_contact(self) -> bool:
        """Offer homes in contact from now on; False when they were offered already."""
        if self.contact:
            return False
        self.contact = True
        return True

    def in_contact(self) -> bool:
        """Whether any part was offered homes in contact."""
        return any(h.in_contact for h in self._homes.values())

    def tried(self, part: str) -> int:
        """How many homes of a part were looked at so far."""
        return max((h.looked_at for (p, _), h in self._homes.items() if p == part), default=0)

    def is_suited(self, option: Option) -> bool:
        """Whether an option is free of everything that can never give way; found once."""
        self._look_into([option])
        return self._suited[id(option.bundle)]

    def _look_into(self, options: Sequence[Option]) -> None:
        fresh = [o for o in options if id(o.bundle) not in self._suited]
        if fresh:
            self._suited.update(zip((id(o.bundle) for o in fresh), self.suits(fresh), strict=True))
            self._looked_into.extend(fresh)

    def _options(self, part: str, found: dict[str, tuple[Option, ...]]) -> list[Option]:
        placed = self.base[part]
        carried = tuple(self.base[i] for i in self.movers.carried_by(part))
        host = self.movers.host_controller(part)
        options: list[Option] = []
        if host is not None:
            options.extend(self._following(placed, carried, host, found[host]))
        elif part not in self.asked.homeless:
            options.append(self._once("stay", placed, carried, None, lambda: stay_option(placed, carried)))
        options.extend(self._home_options(placed, carried))
        if not carried:
            options.extend(self._remade(placed))
        if placed.part.freedom is Freedom.MAY_GO and not carried:
            options.append(self._once("go", placed, carried, None, lambda: go_option(placed)))
        return options

    def _once(
        self, sort: str, placed: Placed, carried: tuple[Placed, ...], pose: Pose | None, make: Callable[[], Option]
    ) -> Option:
        key = (placed.part.id, sort, tuple(c.part.id for c in carried), pose)
        if key not in self._made:
            self._made[key] = make()
        return self._made[key]

    def _following(
        self, placed: Placed, carried: tuple[Placed, ...], host: str, host_options: tuple[Option, ...]
    ) -> Iterator[Option]:
        """The part going wherever its host goes."""
        under = self.asked.base[host]
        for index, option in enumerate(host_options):
            pose = option.pose
            if pose is None:
                continue
            make = partial(follow_option, placed, carried, under, pose)
            made = self._once(f"follow {host}", placed, carried, pose, make)
            yield replace(made, needs=Needs(part=host, index=index))

    def _remade(self, placed: Placed) -> Iterator[Option]:
        """The part made anew in other shapes, as far as they suit it alone."""
        part = placed.part.id
        if part not in self._remakes:
            self._remakes[part] = [o for o in self.remaking.options(placed) if self.is_suited(o)]
        resting = (self._resting(option) for option in self._remakes[part])
        yield from (option for option in resting if option is not None)

    def _home_options(self, placed: Placed, carried: tuple[Placed, ...]) -> list[Option]:
        homes = self._homes_of(placed, carried)
        self._look(homes, placed, carried)
        if not homes.suiting and homes.looked_at == len(homes.listed) and not homes.in_contact:
            # The grid has nothing for it: contact may.
            homes = self._homes_of(placed, carried, contact=True)
            self._look(homes, placed, carried)
        resting = (self._resting(option) for option in homes.suiting)
        options = [option for option in resting if option is not None]
        if homes.looked_at < len(homes.listed) and not self.closed:
            options.append(elsewhere_option(placed.part, homes.listed.cost(homes.looked_at)))
        return options

    def _homes_of(self, placed: Placed, carried: tuple[Placed, ...], *, contact: bool = False) -> _Homes:
        key = (placed.part.id, tuple(c.part.id for c in carried))
        known = self._homes.get(key)
        contact = contact or self.contact
        if known is None or (contact and not known.in_contact):
            riders = tuple(c.part for c in carried)
            standing = self.standing if contact else None
            listed = homes_of(placed.part, riders, self.asked, self.catalog, standing)
            known = self._homes[key] = _Homes(listed, in_contact=contact)
        return known

    def _look(self, homes: _Homes, placed: Placed, carried: tuple[Placed, ...]) -> None:
        """Look at homes until as many suit as are wanted."""
        wanted = self._wanted.get(placed.part.id, _FIRST_HOMES)
        while len(homes.suiting) < wanted and homes.looked_at < len(homes.listed):
            start, stop = homes.looked_at, min(homes.looked_at + _AT_ONCE, len(homes.listed))
            free = start + np.flatnonzero(~self._barred(homes, placed)[start:stop])
            options = {n: self._home(homes.listed[n], placed, carried) for n in free.tolist()}
            self._look_into(list(options.values()))
            homes.looked_at = stop
            for n, option in options.items():
                if self.is_suited(option):
                    homes.suiting.append(option)
                    if len(homes.suiting) == wanted:
                        homes.looked_at = n + 1
                        break

    def _barred(self, homes: _Homes, placed: Placed) -> Bools:
        """Which homes of a list are plainly barred by what never gives way, before anything is put there."""
        if homes.barred is None:
            listed = homes.listed
            homes.barred = np.zeros(len(listed), dtype=bool)
            for s, space in enumerate(listed.spaces):
                for t, turn in enumerate(listed.turns_deg):
                    rows = np.flatnonzero((listed.rows[:, 3] == s) & (listed.rows[:, 4] == t))
                    host = self.asked.spaces[space].on
                    there = replace(placed.part, pose=Pose(turn_deg=turn), mounted_on=host)
                    homes.barred[rows] = self.world.plainly_barred(place(there), listed.rows[rows, :3])
        return homes.barred

    def _home(self, candidate: Candidate, placed: Placed, carried: tuple[Placed, ...]) -> Option:
        host = self.asked.spaces[candidate.space].on
        sort = f"home {candidate.space}"
        return self._once(sort, placed, carried, candidate.pose, lambda: home_option(candidate, placed, carried, host))

    def _resting(self, option: Option) -> Option | None:
        """A home on a part that may itself move only counts while that part stays."""
        host = self.movers.controller(self.asked.spaces[option.space].on)
        if host is None:
            return option
        if host == option.part or not self.movers.can_keep_still(host):
            return None
        return replace(option, needs=Needs(part=host, index=0))
