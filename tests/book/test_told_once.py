"""What the book tells once and where it belongs: no repeats at a step, units with numbers alone, heads on one line."""

from __future__ import annotations

from dataclasses import replace

import pytest
from book.reading import Read, having, words
from book.worked import bare_book
from export import nasty

from planner.book import BookFacts, Paper
from planner.book.bags import bags_of
from planner.book.buying import buying_of
from planner.book.labels import SHEETS
from planner.book.sessions import StepLine, sessions_of
from planner.model.answer import Answer
from planner.model.steps import step_keys
from planner.model.work import Buy, Feature
from planner.work.loosely import tight_id

NEAR = "fuel tap (81 mm away)"


def facts(found: Answer) -> BookFacts:
    return BookFacts(answer=found, keys=step_keys(found.plan.slots))


def steps(found: Answer) -> list[StepLine]:
    told = facts(found)
    return [step for session in sessions_of(told, bags_of(told)) for step in session.steps]


def with_first_task(**changes: object) -> Answer:
    """The first task of a plan altered."""
    found = nasty.answer()
    step = next(s.step.ref for s in found.plan.slots if s.step.on is None)
    task = replace(found.work.tasks[step], **changes)  # type: ignore[arg-type]
    return replace(found, work=replace(found.work, tasks={**found.work.tasks, step: task}))


def test_what_a_caution_of_a_step_says_is_no_detail_of_it_as_well() -> None:
    lines = (f"To be found near it: {NEAR}", "Smell for petrol at floor height")
    altered = with_first_task(cautions=(f"`Drill` has near it: {NEAR}. A stop on the drill",), notes=lines)
    parts = [s for s in steps(altered) if lines[1] in s.details]
    assert parts
    for step in parts:
        assert NEAR not in " ".join(step.details)
        assert any(NEAR in caution.text for caution in step.cautions)


def test_what_is_fitted_finger_tight_is_torqued_when_it_is_tightened() -> None:
    found = nasty.answer()
    feature = found.work.features[next(s.step.ref for s in found.plan.slots if s.step.on)]
    assert feature.turn_on is not None
    wrench = replace(feature, turn_on=replace(feature.turn_on, tools=("torque wrench",)))

    def torqued(*features: Feature) -> int:
        work = replace(found.work, features={**found.work.features, **{f.id: f for f in features}})
        return sum(step.torqued for step in steps(replace(found, work=work)))

    assert (torqued(wrench), torqued(wrench, replace(wrench, id=tight_id(wrench.id)))) == (1, 0)


def test_what_a_purchase_is_for_is_told_where_its_own_words_do_not() -> None:
    found = nasty.answer()
    own = Buy(id="own", what="material for seat", price=1.0, lead_days=3, for_part="seat")
    buys = (
        own,
        replace(own, id="other", what="clips"),
        replace(own, id="rags", lead_days=0, for_part="", used_up=True),
    )
    told = buying_of(facts(replace(found, work=replace(found.work, buys={b.id: b for b in buys}))))
    assert {line.id: (line.for_part, line.lead) for line in told.lines} == {
        "own": ("", "3 days"),
        "other": ("seat", "3 days"),
        "rags": ("used up", ""),
    }


def printed() -> Read:
    """A book with a counted check, one that is yes or no, both with a unit, and a caution that another begins with."""
    found = with_first_task(cautions=("Mind the glass", "Mind the glass, gloves on"))
    bolts = found.work.checkpoints["bolts"]
    points = {
        "bolts": replace(bolts, title="Counted"),
        "rocked": replace(bolts, id="rocked", title="Yes or no", low=None, high=None),
    }
    return Read(bare_book(replace(found, work=replace(found.work, checkpoints={**found.work.checkpoints, **points}))))


@pytest.fixture(scope="module")
def book() -> Read:
    return printed()


def test_a_unit_stands_at_numbers_and_never_at_yes_or_no(book: Read) -> None:
    blanks = {words(s): " ".join(words(b) for b in having(s, "blanks")) for s in having(book.root, "sheet-check")}
    for title, counted in (("Counted", True), ("Yes or no", False)):
        [blank] = [text for sheet, text in blanks.items() if title in sheet]
        assert ("(N m)" in blank, "N m" in blank) == (counted, counted)


def test_a_caution_that_another_begins_with_is_not_listed_before_the_job(book: Read) -> None:
    [listed] = having(book.root, "cautions")
    assert words(listed).count("Mind the glass") == 1
    assert "Mind the glass, gloves on" in words(listed)


def test_a_head_is_set_large_only_where_its_label_has_room_on_one_line() -> None:
    """Seen in print: as large as a bag's number `loom-dash A` took two lines on a label of 70 mm, `coil-lead A` one."""
    assert [SHEETS[Paper.A4].holds(head) for head in ("BAG 228", "coil-lead A", "loom-dash A")] == [True, True, False]
    assert SHEETS[Paper.LETTER].holds("loom-dash A")
