"""How the vehicle stands when a session begins: a circuit of which nothing is built yet is not told as open."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from functools import cache

from workshop import link, part, scuttle, shelf, worked

from planner.book.facts import BookFacts
from planner.book.sessions import standing_of
from planner.model.answer import Answer
from planner.model.job import Add, AddLink, Job, Repeating
from planner.model.vehicle import System
from planner.order import least_strip, pack

TODAY = date(2026, 12, 1)


@cache
def facts() -> BookFacts:
    """The rear brakes, of which the vehicle has nothing, get a cylinder, a union and a pipe between."""
    v = scuttle()
    rear = System(id="rear", kind="hydraulic-brake", name="rear brakes")
    v = replace(v, systems={**v.systems, rear.id: rear})
    parts = [
        part("brake-master-cylinder", "rear-master", (60, 300, 300), systems=("rear",), ports_mm={"out": (0, 50, 0)}),
        part("brake-union", "rear-union", (60, 600, 300), systems=("rear",), ports_mm={"in": (0, -50, 0)}),
    ]
    pipe = link("brake-pipe", "rear-pipe", "rear-master.out", "rear-union.in", system="rear")
    changes = (*(Add(component=p) for p in parts), AddLink(link=pipe))
    work, knockons = worked(v, *changes)
    saturdays = Repeating(weekday=5, start=time(9), end=time(13), hands=2)
    job = Job(id="job", name="job", changes=changes, repeating=(saturdays,))
    plan = pack(work, least_strip(work), job, shelf(), today=TODAY)
    found = Answer(vehicle=v, job=job, knockons=knockons, work=work, plan=plan, violations=(), today=TODAY, faults=0)
    return BookFacts(answer=found, keys=())


def test_it_is_open_from_its_first_part_on_and_until_it_is_filled() -> None:
    slots = [s.step for s in facts().answer.plan.slots]
    first = next(n for n, s in enumerate(slots) if s.on and s.ref in {"rear-master", "rear-union", "rear-pipe"})
    filled = next(n for n, s in enumerate(slots) if s.on and s.ref == "circuit:rear")
    told = ["rear brakes open" in standing_of(facts(), n) for n in (0, first, first + 1, filled, filled + 1)]
    assert told == [False, False, True, True, False]
