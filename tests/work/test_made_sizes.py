"""Sizes of the sums under the steps that mark out what is made: on the worked project and by hand."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache

import pytest
from cli.shed import catalog
from workshop import bracket, scuttle, worked

from planner.knockon import Fact, find_knockons
from planner.knockon.asked import asked_by
from planner.model.catalog import When, Work
from planner.model.effects import Knockons, Proof
from planner.model.figures import BoltFigures, BracketFigures, Figure, Figures, PedalFigures, PinFigures
from planner.model.job import Add, Job
from planner.model.vehicle import Vehicle
from planner.model.work import Task
from planner.shelf import load_job, load_vehicle, projects_folder
from planner.work import work_for
from planner.work.bodies import Ground
from planner.work.computed_limits import Sheet
from planner.work.made_sizes import with_made_sizes
from planner.work.tasks import TaskBook

CAR = projects_folder() / "trials-car"
FOLDED = BracketFigures(
    legs_mm=(Figure(50.0), Figure(30.0)),
    widths_mm=(Figure(40.0), Figure(60.0)),
    angles_deg=(90.0,),
    radius_mm=Figure(3.0),
    thick_mm=Figure(2.0),
    neutral=Figure(0.4),
)
AT = ((0.0, 0.0, 0.0),) * 4
BOLTS = BoltFigures(on="bracket", thread_mm=8.0, grade="8.8", along="x", at_mm=AT)


@cache
def car() -> tuple[Vehicle, Job]:
    vehicle, _ = load_vehicle(CAR, catalog())
    assert vehicle is not None
    job, _ = load_job(CAR, "hung-pedals", vehicle, catalog())
    assert job is not None
    return vehicle, job


def marked_out() -> dict[str, Task]:
    """The worked project's parts in the homes that its job gives them, with a step each that marks it out."""
    vehicle, job = car()
    asked = asked_by(vehicle, job)
    nothing: dict = {}
    knockons = Knockons(
        effects=(),
        homes=nothing,
        after=asked.base,
        links_after=asked.links,
        access=nothing,
        cut_rooms=nothing,
        hot_near=nothing,
        bare=nothing,
        limits=nothing,
        proof=Proof.PROVED,
    )
    made = ("hung-brake-pedal", "pedal-box")
    facts = tuple(Fact(when=When.MADE, subject=m, effect="", words=frozenset()) for m in made)
    ground = Ground(vehicle=vehicle, job=job, catalog=catalog(), knockons=knockons, handled={}, facts=facts)
    book = TaskBook()
    for subject in (*made, "clutch-slot"):
        book.add(subject, Task(id=f"{subject}.1", title="draw", work=Work.PLANNING, minutes=5))
        book.add(subject, Task(id=f"{subject}.2", title="mark out", work=Work.MARKING, minutes=5, notes=("own",)))
    return with_made_sizes(book.tasks, ground, book, Sheet(vehicle, job, knockons))


def figured(units: str = "mm", **more: object) -> Vehicle:
    return replace(scuttle(), units=units, figures=Figures(axles={}, **more))  # type: ignore[arg-type]


def notes_of(vehicle: Vehicle) -> dict[str, str]:
    """Notes of the bracket's steps, as one text a step."""
    work, _ = worked(vehicle, Add(component=bracket()))
    return {i: "; ".join(t.notes) for i, t in work.tasks.items() if i.startswith("bracket.") and t.notes}


def test_a_pedals_arms_stand_under_the_step_that_marks_it_out() -> None:
    """By hand from the job's file: pad 50 mm ahead of and 380 below the pivot, rod 78 below it; pivot at z 650.

    The ground lies at -230.
    """
    tasks = marked_out()
    assert tasks["hung-brake-pedal.1"].notes == ()
    assert tasks["hung-brake-pedal.2"].notes[0] == "own"
    text = "; ".join(tasks["hung-brake-pedal.2"].notes)
    assert "pivot to the middle of the pad 383 mm" in text
    assert "pivot hole 880 mm over the ground" in text
    assert text.count("pivot to the clevis hole of the push-rod") == 2
    assert text.count(" 78 mm (from its ports)") == 2
    assert "asks for a slot of 18.5 mm x 18 mm in the bulkhead" in text
    assert "arm of flat bar 12 mm x 40 mm" in text


def test_a_slot_is_wide_enough_for_the_rod_and_fits_its_hole() -> None:
    """A rod of 5/16 in with 5 mm on each side is 17.94 mm; the holes are those of the job's file."""
    text = "; ".join(marked_out()["clutch-slot.2"].notes)
    found = re.search(r"ask for ([\d.]+) mm along the sheet x ([\d.]+) mm across", text)
    assert found is not None
    along, across = (float(x) for x in found.groups())
    assert along >= across >= 5 / 16 * 25.4 + 10
    assert across < 5 / 16 * 25.4 + 10 + 0.5
    assert "the hole of the job is 46 mm x 48 mm" in text
    assert "TOO SMALL" not in text


def test_a_folded_brackets_blank_with_its_fold_line() -> None:
    """Outside legs 50 and 30, inside radius 3 in 2 mm: flats 45 and 25; the bend takes pi / 2 (3 + 0.8) = 5.97 mm."""
    [(step, text)] = notes_of(figured(brackets={"bracket": FOLDED})).items()
    bend = math.pi / 2 * 3.8
    long, fold = (round(2 * x) / 2 for x in (45 + bend + 25, 45 + bend / 2))
    assert f"flat blank {long:g} mm x 60 mm, 2 mm thick" in text
    assert f"fold line {fold:g} mm from that end, 90 deg; the bend runs from 45 mm to 51 mm" in text
    assert "(0 mm, -20 mm)" in text
    assert "(0 mm, 20 mm)" in text
    work, _ = worked(scuttle(), Add(component=bracket()))
    assert work.tasks[step].work is Work.MARKING


def test_a_bracket_that_cannot_be_folded_says_so() -> None:
    short = replace(FOLDED, legs_mm=(Figure(50.0), Figure(3.0)))
    [text] = notes_of(figured(brackets={"bracket": short})).values()
    assert text.startswith("no flat blank")


def test_pivot_and_bolts_with_their_torque() -> None:
    """M8 of 8.8: 36.6 mm2 and 580 MPa of proof stress (ISO 898-1); T = 0.2 x 8 mm x 0.75 x 21.2 kN = 25.5 N m."""
    pin = PinFigures(across_mm=Figure(16.0), long_mm=Figure(40.0), yield_mpa=Figure(350.0))
    pedals = {"bracket": PedalFigures(pivot=pin), "other": PedalFigures(bolts=BOLTS)}
    [text] = notes_of(figured(pedals=pedals)).values()
    assert "pivot 16 mm across" in text
    found = re.search(r"4 bolts, reckoned as M8 8.8: about (\d+) N m dry", text)
    assert found is not None
    assert float(found[1]) == pytest.approx(0.2 * 8e-3 * 0.75 * 36.6 * 580, abs=1.0)


def test_inches_are_marked_out_in_fractions() -> None:
    [text] = notes_of(figured("inch", brackets={"bracket": FOLDED})).values()
    assert "flat blank 3 in x 2 3/8 in" in text


@pytest.mark.slow
def test_the_worked_projects_own_list_has_them_where_things_are_marked_out() -> None:
    vehicle, job = car()
    tasks = work_for(vehicle, job, find_knockons(vehicle, job, catalog()), catalog()).tasks
    for subject, words in (
        ("hung-brake-pedal", "pivot to the middle of the pad 383 mm"),
        ("pedal-box", "8 bolts, reckoned as M6 8.8"),
        ("brake-slot", "the hole of the job is 46 mm x 112 mm"),
    ):
        [step] = [t for i, t in tasks.items() if i.startswith(f"{subject}.") and words in "; ".join(t.notes)]
        assert step.work is Work.MARKING


def test_without_figures_nothing_is_said() -> None:
    assert notes_of(scuttle()) == {}
