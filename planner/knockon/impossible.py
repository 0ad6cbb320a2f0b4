"""What a job asks for that cannot be, before any home is looked for."""

from __future__ import annotations

from collections.abc import Iterator

from planner.knockon.asked import Asked
from planner.knockon.conflicts import TOUCH_MM, PairRules
from planner.model.vehicle import Freedom, Vehicle
from planner.space import component_body, gap


def impossible(vehicle: Vehicle, asked: Asked, rules: PairRules) -> tuple[str, ...]:
    """One sentence for each thing the job asks for that cannot be done at all."""
    return (*_cuts_in_the_air(asked, rules), *_left_hanging(vehicle, asked, rules))


def _cuts_in_the_air(asked: Asked, rules: PairRules) -> Iterator[str]:
    for cut in asked.cuts:
        host = rules.name(cut.host)
        if cut.host not in asked.base:
            yield f"{cut.id}: {host}, in which it is to be cut, goes in this job"
            continue
        away_mm = gap(rules.hole(cut), component_body(asked.base[cut.host])).mm
        if away_mm > TOUCH_MM:
            yield f"{cut.id}: the hole does not meet {host}, it lies {rules.length(away_mm)} beside it"


def _left_hanging(vehicle: Vehicle, asked: Asked, rules: PairRules) -> Iterator[str]:
    """Parts that never come off, on a host that has to."""
    for i, part in asked.base.items():
        before = vehicle.components.get(i)
        if before is None or part.freedom is not Freedom.STAYS or part.rides or before.mounted_on is None:
            continue
        host = before.mounted_on
        if asked.gone.get(host):
            yield f"{part.name} never comes off (its freedom is `stays`), but {rules.name(host)} under it is replaced"
        elif host in asked.moved and i not in asked.moved:
            yield f"{part.name} never comes off (its freedom is `stays`), but {rules.name(host)} under it moves"
