"""Closer looks: cut at their frames, to scale, with what is inside and nothing else, and fit to share a page."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import lru_cache

import garage
import pytest
import trials

from planner.draw import Near, Sheet, Trace, UnknownPartError, draw_detail, draw_job, draw_vehicle, list_text, svg_text
from planner.knockon import find_knockons
from planner.model.job import Move
from planner.model.shapes import Pose, Turn, Vec
from planner.model.vehicle import Vehicle
from planner.space import Elevation

SVG = "{http://www.w3.org/2000/svg}"
SIDE, PLAN, FRONT = Elevation.SIDE, Elevation.PLAN, Elevation.FRONT
NOW, DONE = "as it stands", "when the job is done"


def near(job: str, part: str, reach_mm: float = 150.0) -> Sheet:
    return draw_job(trials.vehicle(), trials.job(job), trials.knockons(job), Near(part=part, reach_mm=reach_mm))


def closer(job: str) -> Sheet | None:
    whole = draw_job(trials.vehicle(), trials.job(job), trials.knockons(job))
    return draw_detail(trials.vehicle(), trials.job(job), trials.knockons(job), whole)


def small(units: str = "mm", **more: object) -> Vehicle:
    """A cube of 40 mm at (100, 200, 300) behind a wall, with another 60 mm right of it and one far away."""
    size = (40.0, 40.0, 40.0)
    parts = [
        garage.wall(),
        garage.part("cube", (100.0, 200.0, 300.0), size, **more),
        garage.part("next", (100.0, 300.0, 300.0), size),
        garage.part("far", (100.0, -800.0, 300.0), size),
        garage.part("ahead", (-900.0, 200.0, 300.0), size),
    ]
    links = [garage.link("hose", "cube", "next"), garage.link("wire", "far", "ahead")]
    return replace(garage.vehicle(parts, links=links), units=units)


def span(sheet: Sheet, subject: str, view: Elevation) -> tuple[float, float, float, float]:
    (found,) = [v for v in sheet.views if v.elevation is view and v.state == NOW]
    (shape,) = [s for s in found.shapes if s.subject == subject and s.trace is None]
    us, vs = zip(*shape.outline[0], strict=True)
    return min(us), min(vs), max(us), max(vs)


@pytest.mark.parametrize("reach_mm", [5.0, 50.0, 300.0])
def test_a_window_holds_the_part_and_its_reach_to_scale(reach_mm: float) -> None:
    sheet = draw_vehicle(small(), near=Near(part="cube", reach_mm=reach_mm))
    for view in sheet.views:
        assert view.cut_at is not None
        (left, top), (right, low) = view.cut_at
        # 40 mm of cube and the reach on either side, wherever it is looked at from.
        assert (right - left) * sheet.scale == pytest.approx(40.0 + 2 * reach_mm, abs=0.1 * sheet.scale)
        assert (low - top) * sheet.scale == pytest.approx(40.0 + 2 * reach_mm, abs=0.1 * sheet.scale)
        box = span(sheet, "cube", view.elevation)
        expected = (left + reach_mm / sheet.scale, top + reach_mm / sheet.scale)
        assert box[:2] == pytest.approx(expected, abs=0.1)
        assert (box[2] - box[0]) * sheet.scale == pytest.approx(40.0, abs=0.1 * sheet.scale)


def test_a_closer_look_is_larger_the_less_it_reaches() -> None:
    scales = [draw_vehicle(small(), near=Near(part="cube", reach_mm=r)).scale for r in (2.0, 50.0, 200.0, 900.0)]
    assert scales == sorted(scales)
    assert scales[0] < 1.0 < scales[-1]
    assert scales[-1] <= draw_vehicle(small()).scale


def test_only_what_comes_into_the_box_is_drawn() -> None:
    sheet = draw_vehicle(small(), near=Near(part="cube", reach_mm=50.0))
    for view in sheet.views:
        # The window ends at y 270, ten before the next cube, and at x 30, twenty behind the wall.
        assert {s.subject for s in view.shapes} == {"cube", "hose"}
    wider = draw_vehicle(small(), near=Near(part="cube", reach_mm=95.0))
    assert {s.subject for s in wider.views[0].shapes} == {"cube", "hose", "next", "wall"}
    assert {e.subject for e in wider.entries} <= {"cube", "hose", "next", "wall"}
    assert {"cube", "next"} <= {e.subject for e in wider.entries}


def test_a_run_that_only_passes_in_front_of_the_box_is_not_in_it() -> None:
    # The wire runs from y -800 to y 200 a long way ahead: seen from the front it crosses the window, it is not in it.
    sheet = draw_vehicle(small(), near=Near(part="cube", reach_mm=80.0))
    assert all(s.subject != "wire" for v in sheet.views for s in v.shapes)


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_the_grid_of_a_window_is_named_and_true(units: str) -> None:
    sheet = draw_vehicle(small(units), near=Near(part="cube", reach_mm=100.0))
    checked = 0
    for view in sheet.views:
        box = span(sheet, "cube", view.elevation)
        middle = {"u": (box[0] + box[2]) / 2, "v": (box[1] + box[3]) / 2}
        # Which axis runs along the paper in each view, and which way: forward and left are to the right.
        across = {SIDE: ("x", 100.0), PLAN: ("x", 100.0), FRONT: ("y", 200.0)}[view.elevation]
        upward = {SIDE: ("z", 300.0, 1.0), PLAN: ("y", 200.0, -1.0), FRONT: ("z", 300.0, 1.0)}[view.elevation]
        assert all(line.text for line in view.grid)
        for line in view.grid:
            axis, number = line.text.split(" ", 1)
            if axis == "ground":
                continue
            value = sum(eval(n) for n in number.split()) * (25.4 if units == "inch" else 1.0)  # noqa: S307  # 1/2
            if axis == across[0]:
                expected = middle["u"] - (value - across[1]) / sheet.scale
                assert line.start[0] == line.finish[0] == pytest.approx(expected, abs=0.1)
            else:
                assert axis == upward[0]
                expected = middle["v"] - upward[2] * (value - upward[1]) / sheet.scale
                assert line.start[1] == line.finish[1] == pytest.approx(expected, abs=0.1)
            checked += 1
    assert checked >= 9


SHEETS = (
    "hung-pedals/loom-plate",
    "hung-pedals/front-brake-pipe",
    "battery-aft/battery",
    "hung-pedals/",
    "battery-aft/",
)


@lru_cache(maxsize=len(SHEETS))
def sheet_of(what: str) -> Sheet:
    job, _, part = what.partition("/")
    if part == "front-brake-pipe":
        part = next(i for i in sorted(trials.knockons(job).links_after) if "pipe" in i)
    found = near(job, part) if part else closer(job)
    assert found is not None
    return found


@pytest.mark.parametrize("what", SHEETS)
def test_nothing_is_seen_outside_its_frame(what: str) -> None:
    sheet = sheet_of(what)
    root = ET.fromstring(svg_text(sheet))  # noqa: S314  # our own text
    windows = {
        c.get("id"): [float(c[0].get(k, "nan")) for k in ("x", "y", "width", "height")]
        for c in root.iter(f"{SVG}clipPath")
        if c[0].tag == f"{SVG}rect"
    }
    assert len(windows) == len(sheet.views)
    cut = [g for g in root.iter(f"{SVG}g") if g.get("clip-path")]
    assert len(cut) == len(sheet.views)
    inside = {id(e) for g in cut for e in g.iter()}
    for group, view in zip(cut, sheet.views, strict=True):
        assert view.cut_at is not None
        (left, top), (right, low) = view.cut_at
        x, y, wide, high = windows[(group.get("clip-path") or "")[5:-1]]
        assert (x, y, x + wide, y + high) == pytest.approx((left, top, right, low), abs=0.02)
        for label in view.labels:
            assert left - 1e-6 <= label.leader[1][0] <= right + 1e-6
            assert top - 1e-6 <= label.leader[1][1] <= low + 1e-6
        for spot in view.spots:
            assert left <= spot.at[0] <= right
            assert top <= spot.at[1] <= low
        for line in view.grid:
            assert all(left - 1e-6 <= p[0] <= right + 1e-6 for p in (line.start, line.finish))
            assert all(top - 1e-6 <= p[1] <= low + 1e-6 for p in (line.start, line.finish))
    # Whatever has the look of a part is within a group that is cut; the legend's lines are short and straight.
    parts = [e for e in root.iter(f"{SVG}path") if (e.get("class") or "")[:1] in set("scokdvqge")]
    loose = [e for e in parts if id(e) not in inside and "pattern" not in e.tag]
    assert all(re.fullmatch(r"M\S+ \S+h8", e.get("d", "")) for e in loose)
    assert len(parts) > 30


def test_what_moves_far_has_a_window_at_either_home_and_what_moves_near_one_for_both() -> None:
    middle = {NOW: (556.0, 249.0), DONE: (2004.0, 394.0)}  # x and z of the battery, vehicle.yaml and the job
    sheet = near("battery-aft", "battery", 100.0)
    for view in sheet.views:
        if view.elevation is not SIDE:
            continue
        assert view.cut_at is not None
        (left, top), (right, low) = view.cut_at
        x, z = middle[view.state]
        named = [line for line in view.grid if line.text]
        upright = next(line for line in named if line.text.startswith("x "))
        level = next(line for line in named if line.text.startswith("z "))
        at_x = upright.start[0] - (x - float(upright.text[2:])) / sheet.scale
        at_z = level.start[1] - (z - float(level.text[2:])) / sheet.scale
        assert (at_x, at_z) == pytest.approx(((left + right) / 2, (top + low) / 2), abs=0.1)
    vehicle = small()
    job = garage.job(Move(part="cube", to=Pose(at_mm=(100.0, 180.0, 300.0))))
    both = draw_job(vehicle, job, find_knockons(vehicle, job, garage.catalog()), Near(part="cube", reach_mm=50.0))
    for view in both.views:
        assert view.cut_at is not None
        (left, _), (right, _) = view.cut_at
        assert (right - left) * both.scale == pytest.approx(160.0 if view.elevation is FRONT else 140.0, abs=0.5)


def test_a_swing_is_shown_in_a_window_and_not_on_the_whole() -> None:
    swing = Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=90.0)
    vehicle = small(motion=swing)
    sheet = draw_vehicle(vehicle, near=Near(part="cube", reach_mm=50.0))
    (side,) = [v for v in sheet.views if v.elevation is SIDE]
    (traced,) = [s for s in side.shapes if s.trace is Trace.SWING]
    us = [u for u, _ in traced.outline[0]]
    # The corner of a square that turns about its middle comes sqrt(2) times as far out as its side.
    assert (max(us) - min(us)) * sheet.scale == pytest.approx(40.0 * 2**0.5, abs=1.0)
    assert not any(s.trace for v in draw_vehicle(vehicle).views for s in v.shapes)
    assert "fine dots" in sheet.notes[-1].text
    assert "fine dots" not in draw_vehicle(vehicle, near=Near(part="far", reach_mm=50.0)).notes[-1].text


def test_the_part_that_is_sought_is_drawn_bolder() -> None:
    sheet = draw_vehicle(small(), near=Near(part="cube", reach_mm=95.0))
    assert {s.subject for v in sheet.views for s in v.shapes if s.sought} == {"cube"}
    assert svg_text(sheet).count('class="s p"') == 3


def test_ids_and_rules_are_their_own_when_sheets_share_a_page() -> None:
    sheets = [draw_vehicle(trials.vehicle()), draw_vehicle(trials.vehicle(), near=Near(part="battery", reach_mm=99.0))]
    sheets += [draw_job(trials.vehicle(), trials.job(j), trials.knockons(j)) for j in ("hung-pedals", "battery-aft")]
    sheets += [sheet_of(what) for what in SHEETS]
    texts = [svg_text(s) for s in sheets]
    ids = [i for text in texts for i in re.findall(r'\bid="([^"]*)"', text)]
    assert len(ids) == len(set(ids))
    for text in texts:
        own = set(re.findall(r'\bid="([^"]*)"', text))
        used = set(re.findall(r"url\(#([^)]*)\)", text))
        assert used <= own
        (style,) = re.findall(r"<style>(.*?)</style>", text)
        (root,) = re.findall(r'^<svg [^>]*?\bid="([^"]*)"', text)
        assert all(rule.startswith(f"#{root} ") for rule in style.split("}")[:-1])


def test_names_of_files_cannot_be_those_of_other_jobs() -> None:
    names = [near("battery-aft", "battery").name, sheet_of("battery-aft/").name]
    # A slug holds no full stop: no job can be called so.
    assert names == ["battery-aft.near-battery", "battery-aft.detail"]


def test_a_closer_look_is_drawn_where_it_shows_more_and_else_not() -> None:
    whole = draw_job(trials.vehicle(), trials.job("battery-aft"), trials.knockons("battery-aft"))
    found = closer("battery-aft")
    assert found is not None
    assert found.scale <= whole.scale / 2
    assert {n for e in found.spots for n, _ in e.told} == {n for e in whole.spots for n, _ in e.told if e.number}
    vehicle = small()
    job = garage.job(Move(part="far", to=Pose(at_mm=(100.0, -700.0, 300.0))))
    quiet = find_knockons(vehicle, job, garage.catalog())
    assert draw_detail(vehicle, job, quiet, draw_job(vehicle, job, quiet)) is None


def test_a_part_that_is_not_there_is_an_error_with_the_names_there_are() -> None:
    with pytest.raises(UnknownPartError, match="`cub`") as caught:
        draw_vehicle(small(), near=Near(part="cub", reach_mm=50.0))
    assert caught.value.names["cube"] == "cube"


def test_the_text_twin_of_a_window_tells_its_numbers() -> None:
    sheet = sheet_of("hung-pedals/")
    drawn = {int(n) for n in re.findall(r'data-label="(\d+)"', svg_text(sheet))}
    told = {int(n) for n in re.findall(r"^ *(\d+)(?: [A-Z])?  ", list_text(sheet), re.MULTILINE)}
    assert told == drawn


@pytest.mark.parametrize("at", [(60.0, 0.0, 500.0), (50_000.0, -3_000.0, 900.0)])
def test_a_part_far_from_everything_is_drawn_as_well(at: Vec) -> None:
    vehicle = garage.vehicle([garage.wall(), garage.part("lone", at, (30.0, 30.0, 30.0), on=None)])
    sheet = draw_vehicle(vehicle, near=Near(part="lone", reach_mm=20.0))
    assert {s.subject for v in sheet.views for s in v.shapes if "lone" in s.subject} == {"lone"}
    assert sheet.scale <= 1.0
    assert draw_vehicle(vehicle).scale >= 2.0


def test_in_a_window_of_few_things_the_links_are_named_too() -> None:
    vehicle = small()
    job = garage.job(Move(part="ahead", to=Pose(at_mm=(-900.0, 220.0, 300.0))))
    found = find_knockons(vehicle, job, garage.catalog())
    sheet = draw_job(vehicle, job, found, Near(part="next", reach_mm=90.0))
    labels = {label.subject: label.mark for view in sheet.views for label in view.labels}
    assert {"cube", "next", "hose"} <= set(labels)
    assert labels["hose"] is None


def test_the_name_of_the_ground_keeps_off_that_of_a_zero_plane() -> None:
    # Seen from the right the wall is one millimetre wide on the paper, and x 0 is in the middle of it.
    sheet = draw_vehicle(garage.vehicle([garage.wall()]))
    (side,) = [v for v in sheet.views if v.elevation is SIDE]
    at = {line.text: line.text_at for line in side.grid if line.text}
    assert abs(at["ground"][0] - at["x 0"][0]) < 12.0
    assert abs(at["ground"][1] - at["x 0"][1]) >= 3.2
