"""What both models of the calendar say of bays: the eras steps fall in, the hands that are missing, the bays in use."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ortools.sat.python import cp_model

from planner.order.calendar import Calendar

Literals = Mapping[int, cp_model.IntVar]
"""Of one step, by the index of each bay it may be done in: whether it is."""


def eras_within(
    model: cp_model.CpModel, eras: Sequence[int], literals: Literals, name: str
) -> dict[int, cp_model.IntVar]:
    """Literal of each era that one step may fall in.

    Parameters
    ----------
    model : CpModel
    eras : sequence of int
        Of each bay (see :class:`~planner.order.schedule_net.Stretch`).
    literals : Literals
    name : str
        Of the step, for the names of the variables.
    """
    groups: dict[int, list[cp_model.IntVar]] = {}
    for bay, literal in literals.items():
        groups.setdefault(eras[bay], []).append(literal)
    found = {}
    for era, those in groups.items():
        found[era] = model.new_bool_var(f"era {name} {era}")
        model.add(sum(those) == found[era])
    return found


def eras_at_the_end(
    model: cp_model.CpModel, eras: Sequence[int], steps: Iterable[Literals], *, first: bool
) -> dict[int, cp_model.IntVar]:
    """Literal of each era as that of the first (or the last) step of all: the least (or greatest) any step falls in."""
    found = {era: model.new_bool_var(f"era {'first' if first else 'last'} {era}") for era in sorted(set(eras))}
    model.add_exactly_one(found.values())
    reaching: dict[int, list[cp_model.IntVar]] = {era: [] for era in found}
    for literals in steps:
        for bay, literal in literals.items():
            reaching[eras[bay]].append(literal)
            for era, chosen in found.items():
                if (eras[bay] < era) if first else (eras[bay] > era):
                    model.add_implication(chosen, literal.negated())
    for era, chosen in found.items():
        model.add_bool_or([*reaching[era], chosen.negated()])
    return found


def missing_hands(model: cp_model.CpModel, calendar: Calendar) -> list[tuple[cp_model.IntervalVar, int]]:
    """A fixed block over each bay with fewer hands than the calendar's most, with the hands it takes away."""
    most = calendar.most_hands
    return [
        (model.new_fixed_size_interval_var(bay.opens, bay.room, f"missing {i}"), most - bay.hands)
        for i, bay in enumerate(calendar.bays)
        if bay.hands < most
    ]


def count_bays(
    model: cp_model.CpModel, steps: Iterable[Literals], used: dict[int, cp_model.IntVar]
) -> cp_model.LinearExpr:
    """Number of bays worked in; ``used`` takes the literal of each."""
    for literals in steps:
        for bay, literal in literals.items():
            if bay not in used:
                used[bay] = model.new_bool_var(f"u {bay}")
            model.add_implication(literal, used[bay])
    return cp_model.LinearExpr.sum(list(used.values()))
