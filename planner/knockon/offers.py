"""What each active part is offered: staying, following its host, going, and the cheapest homes that suit it alone.

Homes are listed a few at a time. One more option, *elsewhere*, stands for all the others: it hits nothing and costs no
more than the cheapest of them, so that an answer that does not choose it is the answer over all homes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from planner.knockon.asked import Asked
from planner.knockon.movers import Movers
from planner.knockon.options import (
    Candidate,
    Needs,
    Option,
    candidates,
    elsewhere_option,
    follow_options,
    go_option,
    home_option,
    stay_option,
)
from planner.knockon.placed import Placed
from planner.model.catalog import Catalog
from planner.model.vehicle import Freedom

_FIRST_HOMES = 12
_MORE = 4


@dataclass(slots=True)
class _Homes:
    """The homes of one part with one set of riders: looked at in order of price, kept when they suit."""

    candidates: tuple[Candidate, ...]
    looked_at: int = 0
    suiting: list[Option] = field(default_factory=list)


@dataclass(slots=True)
class Offers:
    """Options of the active parts, listed as far as they are wanted.

    ``suits`` says whether an option is free of everything that can never give way.
    """

    asked: Asked
    movers: Movers
    catalog: Catalog
    base: dict[str, Placed]
    suits: Callable[[Option], bool]
    closed: bool = False
    """No more homes are listed, and nothing stands for the rest."""
    _wanted: dict[str, int] = field(default_factory=dict)
    _homes: dict[tuple[str, tuple[str, ...]], _Homes] = field(default_factory=dict)

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

    def want_more(self, part: str) -> None:
        """List four times as many homes of a part from now on."""
        self._wanted[part] = self._wanted.get(part, _FIRST_HOMES) * _MORE

    def tried(self, part: str) -> int:
        """How many homes of a part were looked at so far."""
        return max((h.looked_at for (p, _), h in self._homes.items() if p == part), default=0)

    def _options(self, part: str, found: dict[str, tuple[Option, ...]]) -> list[Option]:
        placed = self.base[part]
        carried = tuple(self.base[i] for i in self.movers.carried_by(part))
        host = self.movers.host_controller(part)
        options: list[Option] = []
        if host is not None:
            options.extend(follow_options(placed, carried, self.asked.base[host], found[host]))
        elif part not in self.asked.homeless:
            options.append(stay_option(placed, carried))
        options.extend(self._home_options(placed, carried))
        if placed.part.freedom is Freedom.MAY_GO and not carried:
            options.append(go_option(placed))
        return options

    def _home_options(self, placed: Placed, carried: tuple[Placed, ...]) -> list[Option]:
        part = placed.part
        key = (part.id, tuple(c.part.id for c in carried))
        if key not in self._homes:
            riders = tuple(c.part for c in carried)
            self._homes[key] = _Homes(candidates(part, riders, self.asked, self.catalog))
        homes = self._homes[key]
        wanted = self._wanted.get(part.id, _FIRST_HOMES)
        while len(homes.suiting) < wanted and homes.looked_at < len(homes.candidates):
            candidate = homes.candidates[homes.looked_at]
            homes.looked_at += 1
            option = home_option(candidate, placed, carried, self.asked.spaces[candidate.space].on)
            if self.suits(option):
                homes.suiting.append(option)
        resting = (self._resting(option) for option in homes.suiting)
        options = [option for option in resting if option is not None]
        if homes.looked_at < len(homes.candidates) and not self.closed:
            options.append(elsewhere_option(part, homes.candidates[homes.looked_at].cost))
        return options

    def _resting(self, option: Option) -> Option | None:
        """A home on a part that may itself move only counts while that part stays."""
        host = self.movers.controller(self.asked.spaces[option.space].on)
        if host is None:
            return option
        if host == option.part or not self.movers.can_keep_still(host):
            return None
        return replace(option, needs=Needs(part=host, index=0))
