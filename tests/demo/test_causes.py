"""Take one cause out of the demo vehicle: exactly the effects that rested on it alone are gone."""

from dataclasses import replace

import pytest
from trials import answer, catalog, job, vehicle

from planner.knockon import find_knockons, resting_only_on
from planner.model.effects import Effect
from planner.model.vehicle import Vehicle


def without(*things: str) -> Vehicle:
    """The vehicle without some parts or links (and without what is said of them elsewhere)."""
    car = vehicle()
    gone = set(things)
    return replace(
        car,
        components={i: c for i, c in car.components.items() if i not in gone},
        links={i: k for i, k in car.links.items() if i not in gone and not gone & {e.component for e in k.ends}},
        relations={i: r for i, r in car.relations.items() if not gone & {r.part, r.of}},
    )


def about(effect: Effect, subjects: set[str]) -> bool:
    return effect.subject in subjects or bool(subjects & set(effect.subject.split("~")))


def lost_with(effects: tuple[Effect, ...], subjects: set[str]) -> frozenset[str]:
    """Effects on the things themselves, and those whose every reason goes through them: by the graph alone."""
    own = {e.id for e in effects if about(e, subjects)}
    arcs = [(c.source, e.id) for e in effects for c in e.causes if c.source in own]
    return frozenset(own) | resting_only_on(effects, arcs)


CAUSES = {
    "the washer bottle is where the header tank goes": ("washer-bottle",),
    "the lamp wire ends on the loom plate": ("lamp-wire-right",),
    "the rod joins throttle pedal and cross-shaft": ("throttle-rod-pedal",),
    "the vent hose joins the header tank": ("header-vent-hose",),
    "the driver's seat stands in the way of the column": ("seat-right",),
}


LONG = (
    "the washer bottle is where the header tank goes",
    "the driver's seat stands in the way of the column",
    "the lamp wire ends on the loom plate",
)
"""Causes without which much else is chosen: the whole job is looked through again."""


@pytest.mark.parametrize("cause", [pytest.param(c, marks=[pytest.mark.slow] if c in LONG else []) for c in CAUSES])
def test_removing_one_cause_removes_what_rested_on_it_alone(cause: str) -> None:
    subjects = set(CAUSES[cause])
    car = vehicle()
    subjects |= {i for i, k in car.links.items() if subjects & {e.component for e in k.ends}}
    before = answer("hung-pedals").knockons.effects
    asked = job("hung-pedals")
    asked = replace(
        asked,
        tasks=tuple(
            replace(
                t,
                off=tuple(i for i in t.off if i not in subjects),
                fitted=tuple(i for i in t.fitted if i not in subjects),
            )
            for t in asked.tasks
        ),
    )
    after = find_knockons(without(*CAUSES[cause]), asked, catalog()).effects
    gone = {e.id for e in before} - {e.id for e in after}
    come = {e.id for e in after} - {e.id for e in before}
    assert come == set()
    assert gone == lost_with(before, subjects)
    assert gone, "the cause must have mattered"
