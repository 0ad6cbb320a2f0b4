"""Common practice, no published source: no brake or steering, no pushing about without chocks and rope."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

import pytest
from garage import vehicle
from workshop import link, part, worked

from planner.export.pushed_words import pushed_words
from planner.model.answer import Answer
from planner.model.job import Job, OwnTask, TakeOff
from planner.model.plan import NOTHING_LEFT, Slot, Step
from planner.model.vehicle import System
from planner.model.words import Session
from planner.model.work import Demand, Hold

SAT, SUN = date(2026, 5, 2), date(2026, 5, 3)
SESSIONS = tuple(Session(day=d, start=time(9), end=time(10, 40)) for d in (SAT, SUN))


UNDER = OwnTask(id="look", title="Look beneath", minutes=5, conditions=("on-stands",))


def answered(away: str) -> Answer:
    """A job of two short mornings that takes one thing off and puts it back, on wheels on the Saturday night."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None),
        part("handbrake-lever", "lever", (60, 0, 500), systems=("handbrake",)),
        part("handbrake-relay", "relay", (60, 400, 500), systems=("handbrake",)),
        part("horn", "horn", (60, -400, 500)),
    ]
    cable = link("handbrake-cable", "cable", "lever", "relay", system="handbrake")
    systems = [System(id="handbrake", kind="handbrake", name="handbrake")]
    v = vehicle(parts, links=[cable], systems=systems)
    change = TakeOff(part=away)
    work, knockons = worked(v, change, tasks=(UNDER,))
    stands = Demand(feature="state:on-stands", on=False)
    hold = Hold(id="rolls", title="can be rolled out", demands=(stands,), days=frozenset({SAT}))
    slots = tuple(
        Slot(
            step=Step(ref=away, on=on), session=n, start=datetime.combine(d, time(9)), end=datetime.combine(d, time(10))
        )
        for n, (d, on) in enumerate(((SAT, False), (SUN, True)))
    )
    return Answer(
        vehicle=v,
        job=Job(id="job", name="job", changes=(change,)),
        knockons=knockons,
        work=replace(work, holds={"rolls": hold}),
        plan=replace(NOTHING_LEFT, sessions=SESSIONS, slots=slots),
        violations=(),
        today=SAT,
        faults=0,
    )


@pytest.mark.parametrize(("away", "told"), [("cable", True), ("horn", False)])
def test_an_evening_on_its_wheels_without_handbrake_is_told(away: str, *, told: bool) -> None:
    said = " ".join(pushed_words(answered(away)))
    assert ("Sat 2 May" in said and "cable off" in said and "chocks following" in said) is told
