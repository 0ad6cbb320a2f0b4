"""What stands above a plan and a tree of moves: sums that fail, questions that are open."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
import trials
from bare_answer import bare_answer
from rich.console import Console

from planner.cli.show_heads import show_failing, show_questions
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Knockons
from planner.model.job import Job
from planner.model.sums import Verdict
from planner.model.vehicle import Vehicle
from planner.sums.sheet import sums_of

JOB = Job(id="nothing", name="Nothing at all", changes=())


def unchanged(vehicle: Vehicle, *effects: Effect) -> Knockons:
    """An answer that leaves the vehicle as it is."""
    return bare_answer(vehicle.components, vehicle.links, *effects)


def question(subject: str, text: str) -> Effect:
    cause = Cause(kind=CauseKind.LINKED_TO, source="", text="it goes")
    return Effect(id=f"measured:{subject}", kind=EffectKind.MEASURED, subject=subject, text=text, causes=(cause,))


@pytest.fixture
def console() -> Console:
    return Console(file=io.StringIO(), width=400, no_color=True)


def said(console: Console) -> str:
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


def test_sums_that_fail_are_counted_as_the_sheet_counts_them(console: Console) -> None:
    vehicle = trials.vehicle()
    lines = sums_of(vehicle.components, vehicle.links, vehicle.figures, (), vehicle.driver)
    fails = [x for x in lines if x.verdict is Verdict.FAILS]
    assert len(fails) > 1
    show_failing(console, vehicle, JOB, unchanged(vehicle))
    assert f"sums when it is done: {len(fails)} FAIL (`knockon sums`)" in said(console)
    assert fails[0].title in said(console)


def test_a_single_move_tells_them_only_when_there_are_more_than_before(console: Console) -> None:
    vehicle = trials.vehicle()
    show_failing(console, vehicle, JOB, unchanged(vehicle), more_only=True)
    assert said(console) == ""


def test_a_vehicle_of_which_nothing_is_known_has_none(console: Console) -> None:
    vehicle = trials.vehicle()
    bare = replace(vehicle, components={}, links={}, figures=None, driver=None)
    show_failing(console, bare, JOB, unchanged(bare))
    assert said(console) == ""


def test_questions_about_one_thing_are_told_by_either_of_its_names(console: Console) -> None:
    found = unchanged(
        trials.vehicle(),
        question("brake-tee.rear", "brake tee is left with an open end (`rear`)"),
        question("tank~coil", "the gap between tank and coil is to be measured"),
    )
    show_questions(console, found, "brake-tee")
    assert "open end" in said(console)
    assert "gap" not in said(console)
    show_questions(console, found, "coil")
    assert "gap" in said(console)
