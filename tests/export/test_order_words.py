"""The buying list says when to order: by a day, or with the step that measures what somebody else makes."""

from __future__ import annotations

from datetime import date, time
from functools import cache

from workshop import link, scuttle, shelf, worked

from planner.book.buying import buying_of
from planner.book.facts import BookFacts
from planner.export import EXPORTERS, plan_json
from planner.model.answer import Answer
from planner.model.job import AddLink, Job, Purchase, Repeating
from planner.order import least_strip, pack

TODAY = date(2026, 12, 1)
HOSE = link("brake-hose", "new-hose", "union", "wheel-cylinder", system="front", lead_days=9)
WASHER = Purchase(id="tap", what="a tap", price=9.0, lead_days=3, for_part="tank")


@cache
def answer() -> Answer:
    """A hose of nine days that is ordered to length, and a tap of three that can be ordered at once."""
    changes = (AddLink(link=HOSE),)
    work, knockons = worked(scuttle(), *changes, purchases=(WASHER,))
    saturdays = Repeating(weekday=5, start=time(9), end=time(13), hands=2)
    job = Job(id="job", name="job", changes=changes, purchases=(WASHER,), repeating=(saturdays,))
    plan = pack(work, least_strip(work), job, shelf(), today=TODAY)
    return Answer(
        vehicle=scuttle(), job=job, knockons=knockons, work=work, plan=plan, violations=(), today=TODAY, faults=0
    )


def test_what_is_made_to_measure_is_ordered_with_a_step_on_every_list() -> None:
    slots = answer().plan.slots
    step = next(n for n, s in enumerate(slots, start=1) if s.step.ref == "new-hose.2")
    told = f"when measured, step {step}"
    [row] = [
        line for line in EXPORTERS["md"].write(answer()).splitlines() if "new\\-hose, made" in line or told in line
    ]
    assert told in row
    [line] = [b for b in buying_of(BookFacts(answer=answer(), keys=())).lines if b.id == "buy:new-hose"]
    # It cannot be here nine days after day 1: nobody knows its length then.
    assert (line.order_by, line.arrives) == (told, "")
    [data] = [b for b in plan_json(answer())["buy"] if b["id"] == "buy:new-hose"]
    assert data["order_with_step"] == step


def test_what_can_be_ordered_at_once_has_its_day_as_ever() -> None:
    [data] = [b for b in plan_json(answer())["buy"] if b["id"] == "tap"]
    assert data["order_with_step"] is None
    [line] = [b for b in buying_of(BookFacts(answer=answer(), keys=())).lines if b.id == "tap"]
    assert line.arrives == "Fri 4 Dec 2026"
    assert "when measured" not in line.order_by
