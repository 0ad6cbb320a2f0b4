"""Runs of links on the drawing: bent where they are bent, along the run that was found, and the note says the truth."""

from __future__ import annotations

import math
from dataclasses import replace

import garage
import pytest

from planner.draw import Sheet, draw_job, draw_vehicle
from planner.knockon import find_knockons
from planner.model.effects import Effect, EffectKind, Knockons
from planner.model.job import Add, Job
from planner.model.runs import Laid, Run, RunSort
from planner.model.shapes import Vec
from planner.model.vehicle import Vehicle
from planner.space import Elevation

ENDS = (garage.part("a", (100.0, 0.0, 500.0), (10.0,) * 3), garage.part("b", (500.0, 400.0, 500.0), (10.0,) * 3))
CORNER: Vec = (500.0, 0.0, 500.0)


def bent(radius_mm: float) -> Vehicle:
    """A pipe that goes 400 mm rearwards and then 400 mm to the right: one square bend, flat in the plan."""
    pipe = garage.link("pipe", "a", "b", via_mm=(CORNER,), bend_radius_mm=radius_mm, across_mm=8.0)
    return garage.vehicle([garage.wall(), *ENDS], links=[pipe])


def run_in_plan(sheet: Sheet, state: str = "as it stands") -> list[tuple[float, float]]:
    """The pipe as it is drawn in the plan, from its corner on the paper [mm of the vehicle]."""
    (view,) = [v for v in sheet.views if v.elevation is Elevation.PLAN and v.state == state]
    (a,) = [s for s in view.shapes if s.subject == "a"]
    (pipe,) = [s for s in view.shapes if s.subject == "pipe"]
    left, top = min(u for u, _ in a.outline[0]), min(v for _, v in a.outline[0])
    # Part a is x 95..105, y -5..5: on the paper its right edge is x 95, its upper edge y -5.
    return [(105.0 - (u - left) * sheet.scale, (v - top) * sheet.scale - 5.0) for u, v in pipe.outline[0]]


def test_a_bend_is_drawn_round_and_its_ends_stay() -> None:
    line = run_in_plan(draw_vehicle(bent(100.0)))
    assert line[0] == pytest.approx((100.0, 0.0), abs=0.01)
    assert line[-1] == pytest.approx((500.0, 400.0), abs=0.01)
    # The arc of 100 mm about (400, 100) leaves the legs at x 400 and y 100.
    arc = [p for p in line if p[0] > 400.0 + 0.2 and p[1] < 100.0 - 0.2]
    assert len(arc) >= 8
    assert all(math.dist(p, (400.0, 100.0)) == pytest.approx(100.0, abs=0.1) for p in arc)
    assert min(math.dist(p, CORNER[:2]) for p in line) == pytest.approx(100.0 * (math.sqrt(2.0) - 1.0), abs=1.0)


def test_without_a_bend_the_corner_stays_sharp() -> None:
    assert run_in_plan(draw_vehicle(bent(0.0)))[1] == pytest.approx(CORNER[:2], abs=0.01)


def remade(*links: str) -> tuple[Vehicle, Job, Knockons]:
    vehicle = bent(0.0)
    job = garage.job(Add(component=garage.part("new", (60.0, 800.0, 500.0), (100.0,) * 3)))
    found = find_knockons(vehicle, job, garage.catalog())
    made = tuple(
        Effect(id=f"made anew:{i}", kind=EffectKind.REMADE, subject=i, text=f"{i} is made anew", causes=())
        for i in links
    )
    return vehicle, job, replace(found, effects=(*found.effects, *made))


def run(link: str, laid: Laid = Laid.FOUND) -> Run:
    points = ((100.0, 0.0, 500.0), (100.0, 400.0, 500.0), (500.0, 400.0, 500.0))
    facts = {"length_mm": 757.08, "bound_mm": 700.0, "cut_mm": 780.0}
    return Run(link=link, sort=RunSort.PIPE, points_mm=points, bend_mm=50.0, laid=laid, **facts)  # type: ignore[arg-type]


def test_a_link_made_anew_is_drawn_along_the_run_that_was_found() -> None:
    vehicle, job, found = remade("pipe")
    sheet = draw_job(vehicle, job, replace(found, runs={"pipe": run("pipe")}))
    line = run_in_plan(sheet, "when the job is done")
    assert min(math.dist(p, (100.0, 400.0)) for p in line) == pytest.approx(50.0 * (math.sqrt(2.0) - 1.0), abs=1.0)
    assert run_in_plan(sheet)[1] == pytest.approx(CORNER[:2], abs=0.01)
    instead = draw_job(vehicle, job, replace(found, runs={"pipe": run("pipe", Laid.INSTEAD)}))
    assert run_in_plan(instead, "when the job is done") == line


def foot(sheet: Sheet) -> str:
    return sheet.notes[-1].text


def test_the_note_on_runs_is_true_to_what_is_known() -> None:
    vehicle, job, found = remade("pipe")
    assert "runs of R are not settled" in foot(draw_job(vehicle, job, found))
    assert "settled" not in foot(draw_job(vehicle, job, replace(found, runs={"pipe": run("pipe")})))
    assert "settled" not in foot(draw_job(*remade()))
    vehicle, job, found = remade("pipe", "hose")
    some = draw_job(vehicle, job, replace(found, runs={"pipe": run("pipe")}))
    assert "runs not settled: hose" in foot(some)
    vehicle, job, found = remade("pipe", "h1", "h2", "h3")
    many = draw_job(vehicle, job, replace(found, runs={"pipe": run("pipe")}))
    assert "the runs of 3 of 4 R are not settled" in foot(many)
