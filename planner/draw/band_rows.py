"""Bands as plain data: for each feature a plan changes, the stretches of steps in which it is not as at the start."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum

from planner.draw.picture import plain
from planner.draw.plan_steps import in_order
from planner.knockon import NEW
from planner.model.plan import Plan, Slot
from planner.model.work import Demand, Feature, WorkList
from planner.work.circuits import circuit_id, state_id
from planner.work.holds import is_away
from planner.work.loosely import tight_id


class Sort(IntEnum):
    """Groups of rows, from the top down."""

    PART = 0
    CIRCUIT = 1
    CONDITION = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A stretch in which a feature is not as at the start: from column ``first`` to ``last`` (None: to the end).

    A column is a slot's place in the order of work, from 0; the steps that change the feature stand at both ends.
    """

    first: int
    last: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A step that demands a state of the feature; ``changed``: the state it is in within its bands."""

    column: int
    changed: bool
    task: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BandRow:
    """One feature that the plan changes."""

    feature: Feature
    name: str
    sort: Sort
    bands: tuple[Band, ...]
    needs: tuple[Need, ...]

    @property
    def letter(self) -> str:
        """What its bands are, as ``LETTERS`` tells."""
        if self.sort is Sort.CONDITION or is_away(self.feature.id):
            return "E"
        pair = "VC" if self.sort is Sort.CIRCUIT else "LT" if self.feature.id.endswith(tight_id("")) else "OF"
        return pair[0] if self.feature.start else pair[1]


LETTERS = {
    "O": "off",
    "F": "fitted",
    "L": "loosened",
    "T": "tightened",
    "V": "open",
    "C": "closed",
    "E": "in this state",
}


def band_rows(work: WorkList, plan: Plan) -> tuple[BandRow, ...]:
    """Rows of all features that the plan changes: parts by their first change, then circuits, then conditions."""
    order = in_order(plan)
    changes: dict[str, list[int]] = {}
    needs: dict[str, list[Need]] = {}
    for column, i in enumerate(order):
        slot = plan.slots[i]
        if slot.step.on is not None:
            changes.setdefault(slot.step.ref, []).append(column)
        for demand in _demands(work, slot):
            if demand.feature in work.features and demand.feature != slot.step.ref:
                changed = demand.on != work.features[demand.feature].start
                task = slot.step.on is None
                needs.setdefault(demand.feature, []).append(Need(column=column, changed=changed, task=task))
    rows = [
        BandRow(
            feature=work.features[f],
            name=_name(work.features[f]),
            sort=_sort(work.features[f]),
            bands=tuple(_bands(columns)),
            needs=tuple(needs.get(f, ())),
        )
        for f, columns in changes.items()
    ]
    return tuple(sorted(rows, key=lambda r: (r.sort, r.bands[0].first, r.feature.id)))


def _demands(work: WorkList, slot: Slot) -> tuple[Demand, ...]:
    """What a step demands whatever way it is done; alternatives are left out, as any one of them will do."""
    return tuple(dict.fromkeys(work.piece(slot.step).demands))


def _bands(columns: list[int]) -> Iterator[Band]:
    """Every other change ends what the one before began."""
    for n in range(0, len(columns), 2):
        yield Band(first=columns[n], last=columns[n + 1] if n + 1 < len(columns) else None)


def _sort(feature: Feature) -> Sort:
    if feature.id == state_id(feature.subject):
        return Sort.CONDITION
    return Sort.CIRCUIT if feature.id == circuit_id(feature.subject) else Sort.PART


_ENDINGS = (" fitted", " closed", " tightened")


def _name(feature: Feature) -> str:
    """The feature's name without its state, which its letter tells; what has no new home but is new says so."""
    name = plain(feature.name)
    for ending in _ENDINGS:
        name = name.removesuffix(ending)
    name = name.replace(" fitted in its new home", " in its new home")
    return name if NEW not in feature.id or name.endswith("new home") else f"{name}, new"
