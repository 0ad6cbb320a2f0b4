"""A new part that nobody has measured: its size is a question, and measuring it is a step before all that rests on it.

A guess is what `knockon new` writes where no size is told, a third of the largest of the kind with a fifth of that in
doubt; a size off a tape is in doubt by a few millimetres. Whether the one is told from the other is looked at on both.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import space
from workshop import bracket, first_of, hole, link, part, scuttle, worked

from planner.export.plan_words import asked_of
from planner.log.questions import SHAPING, held_by
from planner.model.guessed import size_is_guessed
from planner.model.job import Add, AddLink, Job
from planner.model.shapes import Box, Cylinder
from planner.model.vehicle import Component, Freedom
from planner.model.words import Work
from planner.model.work import WorkList


def with_doubt(component: Component, doubt_mm: float) -> Component:
    return replace(component, solids=tuple(replace(s, doubt_mm=doubt_mm) for s in component.solids))


@pytest.mark.parametrize(
    ("solid", "guess"),
    [
        (Box(size_mm=(170, 170, 170), doubt_mm=34), True),
        (Cylinder(across_mm=57, length_mm=57, doubt_mm=11.4), True),
        (Box(size_mm=(170, 170, 170), doubt_mm=5), False),
        (Box(size_mm=(620, 180, 12), doubt_mm=5), False),
        (Cylinder(across_mm=45, length_mm=210, doubt_mm=3), False),
        (Box(size_mm=(20, 20, 20)), False),
    ],
)
def test_a_guess_is_told_from_a_tape(solid: Box | Cylinder, *, guess: bool) -> None:
    assert size_is_guessed(replace(bracket(), solids=(solid,))) is guess


def shaping(work: WorkList) -> set[str]:
    return {i for i, t in work.tasks.items() if t.work in SHAPING | {Work.MARKING} and t.checkpoint is None}


def test_it_is_measured_before_anything_is_marked_cut_or_drilled_for_it_and_its_links() -> None:
    guessed = with_doubt(bracket(ports_mm={"out": (0, 60, 0)}), 34)
    pipe = AddLink(link=link("brake-pipe", "pipe", "union.in", "bracket.out", system="front"))
    work, _ = worked(scuttle(), Add(component=guessed), hole(), pipe)
    step = work.tasks["bracket.size"]
    assert step.work is Work.MEASURING
    assert not step.after
    assert any("knockon record size bracket.box.x VALUE" in note for note in step.notes)
    late = shaping(work)
    assert {i.split(".")[0] for i in late} >= {"bracket", "slot", "pipe"}
    assert not [i for i in late if "bracket.size" not in first_of(work, i)]


def test_one_that_was_measured_has_no_such_step_and_no_such_question() -> None:
    work, knockons = worked(scuttle(), Add(component=with_doubt(bracket(), 2)), hole())
    assert not [i for i in work.tasks if i.endswith(".size")]
    assert not [e.subject for e in knockons.effects if e.subject.endswith(".size")]


def test_its_size_is_a_question_that_says_what_rests_on_it_and_holds_it_back() -> None:
    guessed = with_doubt(bracket(), 34)
    changes = (Add(component=guessed), hole())
    work, knockons = worked(scuttle(), *changes)
    question = next(q for q in asked_of(Job(id="job", name="job", changes=changes), knockons) if q.id == "bracket.size")
    assert question.text == "the size of bracket was never measured"
    assert "+/- 34 mm" in question.why
    held = {i for i, task in work.tasks.items() if held_by(task, (question,))}
    assert held == {i for i, t in work.tasks.items() if t.work in SHAPING and i.split(".")[0] in {"bracket", "slot"}}
    assert held


def test_what_moves_for_it_waits_as_well() -> None:
    """By hand: the bracket stands where the horn is, which may be moved, and so goes elsewhere."""
    plain = scuttle()
    horn = replace(plain.components["horn"], freedom=Freedom.MOVES)
    room = space("wall", (60, 700, 600), (100, 400, 400), step=50, on="bulkhead")
    guessed = with_doubt(bracket(at=(60, 0, 250)), 34)
    there = replace(plain, components={**plain.components, "horn": horn}, spaces={room.id: room})
    work, _ = worked(there, Add(component=guessed))
    moved = {i for i in shaping(work) if i.startswith("horn.")}
    assert moved
    assert not [i for i in moved if "bracket.size" not in first_of(work, i)]


def test_a_part_that_is_ordered_or_bought_can_still_be_measured() -> None:
    """What is bought is measured when it is here: the step waits for the parcel, and the work for the step."""
    bought = with_doubt(replace(part("horn", "new-horn", (60, 700, 300)), price=30.0, lead_days=9), 34)
    work, _ = worked(scuttle(), Add(component=bought))
    assert "buy:new-horn" in work.tasks["new-horn.size"].purchases
