"""Clashes on the drawing: at the right place in every view, with what comes, and every one of them in the text twin."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache

import garage
import pytest
import trials

from planner.draw import Clash, Sheet, Trace, draw_job, draw_vehicle, list_text, svg_text
from planner.draw.sheet import SpotEntry
from planner.draw.spots import FOLD_MM, SPOTS_AT_MOST
from planner.knockon import find_knockons, present_faults
from planner.model.effects import CauseKind, Effect, Knockons
from planner.model.job import Add, AddLink, Job
from planner.model.shapes import Direction, Vec
from planner.model.vehicle import Component, Link, Room, RoomNeed, Vehicle
from planner.space import Elevation

CUBE = (100.0, 100.0, 100.0)
SIDE, PLAN, FRONT = Elevation.SIDE, Elevation.PLAN, Elevation.FRONT
WALL_LEFT_TOP = {SIDE: (-10.0, 1000.0), PLAN: (-10.0, 1000.0), FRONT: (-1000.0, 1000.0)}
"""Upper left corner of the wall on the paper, to the right and up [mm]: it is x -10..10, y -1000..1000, z 0..1000.

Forward is to the right in the side view and the plan (left is up in the plan), left is to the right in the front view.
"""
OLD_AT, NEW_AT = (60.0, 0.0, 500.0), (60.0, 60.0, 500.0)
MEET: Vec = (60.0, 30.0, 500.0)
"""The old cube ends at y = 50, the new one begins at y = 10: the middle of what they share."""


@lru_cache(maxsize=1)
def pushed() -> tuple[Vehicle, Job, Knockons]:
    """A new cube that comes 40 mm into an old one, which may move along the wall."""
    old = garage.mover("old", OLD_AT, CUBE)
    vehicle = garage.vehicle([garage.wall(), old], spaces=[garage.space("shelf", (60, -300, 500), (100, 800, 100))])
    job = garage.job(Add(component=garage.part("new", NEW_AT, CUBE)))
    return vehicle, job, find_knockons(vehicle, job, garage.catalog())


def now(found: Sheet) -> dict[Elevation, object]:
    return {v.elevation: v for v in found.views if v.state == "as it stands"}


def places(found: Sheet, at_mm: Vec, state: str = "as it stands") -> dict[Elevation, tuple[float, float]]:
    """Where a place should be on the paper, reckoned from the drawn corner of the wall by hand."""
    x, y, z = at_mm
    flat = {SIDE: (-x, z), PLAN: (-x, -y), FRONT: (-y, z)}
    expected = {}
    for view in found.views:
        if view.state != state:
            continue
        (wall,) = [s for s in view.shapes if s.subject == "wall"]
        left, top = min(u for u, _ in wall.outline[0]), min(v for _, v in wall.outline[0])
        (u0, v0), (u, v) = WALL_LEFT_TOP[view.elevation], flat[view.elevation]
        expected[view.elevation] = (left + (u - u0) / found.scale, top + (v0 - v) / found.scale)
    return expected


def test_a_clash_is_marked_where_it_is_in_every_view() -> None:
    found = draw_job(*pushed())
    text = svg_text(found)
    expected = places(found, MEET)
    assert len(expected) == 3
    for view in found.views:
        if view.state != "as it stands":
            assert view.spots == ()
            continue
        (spot,) = view.spots
        assert spot.clash is Clash.OVERLAP
        assert spot.at == pytest.approx(expected[view.elevation], abs=0.02)
        (label,) = [x for x in view.labels if x.mark is Clash.OVERLAP]
        assert label.number == spot.number
        assert label.leader[1] == spot.at
    drawn = re.findall(r'data-spot="\d+" transform="translate\((\S+) (\S+)\)"', text)
    assert len(drawn) == 3
    for (x, y), place in zip(sorted((float(x), float(y)) for x, y in drawn), sorted(expected.values()), strict=True):
        assert (x, y) == pytest.approx(place, abs=0.02)


def rod_through_a_block() -> tuple[Vehicle, Job, Knockons]:
    """A rod drawn from y -300 to y 300 through the middle of a block of 200 mm: it can go nowhere else."""
    posts = [garage.part(f"post-{n}", (60.0, y, 500.0), (20.0, 20.0, 20.0)) for n, y in (("a", -300.0), ("b", 300.0))]
    vehicle = garage.vehicle([garage.wall(), *posts, garage.part("block", (60.0, 0.0, 500.0), (100.0, 200.0, 100.0))])
    job = garage.job(AddLink(link=garage.link("rod", "post-a", "post-b", rigid=True)))
    return vehicle, job, find_knockons(vehicle, job, garage.catalog())


def test_a_drawn_run_that_is_not_clear_is_marked_when_the_job_is_done() -> None:
    vehicle, job, knockons = rod_through_a_block()
    assert knockons.runs == {}
    found = draw_job(vehicle, job, knockons)
    # The middle of what they share is the middle of the block.
    expected = places(found, (60.0, 0.0, 500.0), "when the job is done")
    for view in found.views:
        if view.state == "as it stands":
            assert view.spots == ()
            assert not [x for x in view.labels if x.mark is Clash.OVERLAP]
            continue
        (spot,) = view.spots
        assert spot.clash is Clash.OVERLAP
        assert spot.at == pytest.approx(expected[view.elevation], abs=0.02)
        (label,) = [x for x in view.labels if x.mark is Clash.OVERLAP]
        assert (label.number, label.leader[1]) == (spot.number, spot.at)
    (entry,) = found.spots
    assert entry.text.startswith("clash: rod and block, ")
    assert entry.text.endswith("when the job is done")
    assert "as the job draws it, not clear: rod" in found.notes[-1].text
    assert not any(s.trace is Trace.NEWCOMER for v in found.views for s in v.shapes)


def test_a_run_found_instead_of_the_drawn_one_has_no_clash() -> None:
    vehicle, job, _ = rod_through_a_block()
    hose = job.changes[0]
    assert isinstance(hose, AddLink)
    led = garage.job(AddLink(link=replace(hose.link, rigid=False)))
    found = draw_job(vehicle, led, find_knockons(vehicle, led, garage.catalog()))
    assert found.spots == ()
    assert all(view.spots == () for view in found.views)
    [shape] = [s for v in found.views if v.elevation is PLAN for s in v.shapes if s.subject == "rod"]
    assert len(shape.outline[0]) > 2


def test_what_comes_is_dotted_where_it_comes_to() -> None:
    found = draw_job(*pushed())
    for view in found.views:
        dotted = [s for s in view.shapes if s.trace is Trace.NEWCOMER]
        if view.state != "as it stands":
            assert dotted == []
            continue
        (shape,) = dotted
        assert (shape.subject, shape.mark) == ("new", None)
        middle = places(found, NEW_AT)[view.elevation]
        us, vs = zip(*shape.outline[0], strict=True)
        assert ((min(us) + max(us)) / 2, (min(vs) + max(vs)) / 2) == pytest.approx(middle, abs=0.02)
        assert (max(us) - min(us), max(vs) - min(vs)) == pytest.approx((100 / found.scale, 100 / found.scale))


def test_the_list_says_what_meets_what_and_how_far() -> None:
    found = draw_job(*pushed())
    (entry,) = found.spots
    # Seen from the middle of the old cube (y 0) the place y 30 lies in its right quarter.
    assert entry.text == "clash: new and old, 40 mm at its right face"
    assert entry.at is not None
    lines = list_text(found).splitlines()
    at = lines.index(f"{entry.number:>3} K  {entry.text}")
    assert "overlaps it by 40 mm" in lines[at + 1]
    assert lines[at + 2].strip() == "at x 60 mm, y 30 mm, z 500 mm"


def faulty(*parts: Component, links: tuple[Link, ...] = (), at_mm: float = 0.0) -> tuple[Vehicle, Sheet]:
    made = garage.vehicle([garage.wall(), *parts], links=links, ground=at_mm)
    return made, draw_vehicle(made, present_faults(made))


def test_faults_of_the_vehicle_as_it_stands_are_marked_each_after_its_kind() -> None:
    room = Room(name="hand", needed=RoomNeed.ALWAYS, side=Direction.UP, depth_mm=80.0)
    _, found = faulty(
        garage.part("one", (60, 0, 500), CUBE),
        garage.part("two", (60, 88, 500), CUBE),
        garage.part("near", (60, -700, 500), CUBE, keep_clear_mm=20.0),
        garage.part("by", (60, -588, 500), CUBE),
        garage.part("owner", (60, 700, 500), CUBE, rooms=(room,)),
        garage.part("over", (60, 700, 650), CUBE),
    )
    told = {e.text.partition(":")[0]: e for e in found.spots}
    assert {e.clash for e in found.spots} == set(Clash)
    # Shared: y 38..50, 12 mm. Gap: y -650..-638, 12 of 20 mm. Room: z 550..630, from 600 on it is taken.
    assert told["clash"].text == "clash: two and one, 12 mm at its right face"
    assert told["too close"].text == "too close: by and near, by 8 mm at its right face"
    assert told["working room lost"].text == "working room lost: over and owner, 30 mm"
    expected = {
        Clash.OVERLAP: places(found, (60.0, 44.0, 500.0)),
        Clash.CLOSE: places(found, (60.0, -644.0, 500.0)),
    }
    for view in found.views:
        assert len(view.spots) == 3
        for spot in view.spots:
            if spot.clash in expected:
                # A near place is anywhere on the gap: within half of it, 6 mm, of its middle.
                assert spot.at == pytest.approx(expected[spot.clash][view.elevation], abs=6.0 / found.scale + 0.02)
    assert {sign for sign, _ in found.spot_legend} == set(Clash)


def test_each_kind_has_a_sign_of_its_own_that_needs_no_colour() -> None:
    _, found = faulty(garage.part("one", (60, 0, 500), CUBE), garage.part("two", (60, 88, 500), CUBE))
    signs = {}
    for clash in Clash:
        views = tuple(replace(v, spots=tuple(replace(s, clash=clash) for s in v.spots)) for v in found.views)
        (sign,) = set(re.findall(r'class="y" d="(M[^"]*Z)"/><circle', svg_text(replace(found, views=views))))
        signs[clash] = sign
    assert len(set(signs.values())) == 3


def test_a_pipe_through_a_part_is_a_clash_too() -> None:
    ends = (garage.part("a", (60, -300, 500), CUBE), garage.part("b", (60, 300, 500), CUBE))
    _, found = faulty(garage.part("one", (60, 0, 500), CUBE), *ends, links=(garage.link("pipe", "a", "b"),))
    (entry,) = found.spots
    assert entry.text.startswith("clash: pipe and one, ")
    (spot,) = now(found)[FRONT].spots  # type: ignore[attr-defined]
    left, top = places(found, (60.0, 50.0, 550.0))[FRONT]
    right, low = places(found, (60.0, -50.0, 450.0))[FRONT]
    assert left <= spot.at[0] <= right
    assert top <= spot.at[1] <= low


def test_clashes_that_fall_together_on_the_paper_are_one_spot_with_a_count() -> None:
    pairs = [
        part
        for n, y in enumerate((0.0, 24.0, 600.0))
        for part in (
            garage.part(f"a{n}", (60.0, y, 500.0), (100.0, 10.0, 100.0)),
            garage.part(f"b{n}", (60.0, y + 8.0, 500.0), (100.0, 10.0, 100.0)),
        )
    ]
    _, found = faulty(*pairs)
    # 24 mm apart is 1.2 mm on the paper at 1 : 20, 600 mm is 30.
    assert 24.0 / found.scale < FOLD_MM < 600.0 / found.scale
    assert sorted(len(e.told) for e in found.spots) == [1, 2]
    assert [e.text.endswith("; 1 more here") for e in found.spots].count(True) == 1


def all_told(entries: tuple[SpotEntry, ...]) -> list[str]:
    return [told for e in entries for told, _ in e.told]


def test_many_clashes_are_folded_to_as_many_as_can_be_read_and_all_are_in_the_text_twin() -> None:
    parts = [
        garage.part(f"p{n}-{k}", (60.0, -960.0 + 45.0 * n, 150.0 + 200.0 * k), (60.0, 48.0, 60.0))
        for n in range(43)
        for k in range(4)
    ]
    made, found = faulty(*parts)
    faults = present_faults(made)
    assert len(faults) == 4 * 42
    assert 1 <= len(found.spots) <= SPOTS_AT_MOST
    assert sorted(all_told(found.spots)) == sorted(f"{made.components[f.part].name}: {f.text}" for f in faults)
    text = list_text(found)
    assert all(f"{made.components[f.part].name}: {f.text}" in text for f in faults)
    assert all(entry.at is not None for entry in found.spots)


def placed_causes(effects: tuple[Effect, ...]) -> list[str]:
    """Every clash of two things, and whatever else has a place; a run that finds no way is no clash with itself."""
    kinds = {CauseKind.CLASH, CauseKind.KEEP_CLEAR, CauseKind.ROOM_LOST}
    return [
        c.text
        for e in effects
        for c in e.causes
        if c.kind in kinds and (c.at_mm or c.kind is CauseKind.CLASH) and c.source.rpartition(":")[2] != e.subject
    ]


@pytest.mark.parametrize("name", ["hung-pedals", "battery-aft"])
def test_every_clash_of_a_job_is_told(name: str) -> None:
    found = trials.knockons(name)
    sheet = draw_job(trials.vehicle(), trials.job(name), found)
    texts = placed_causes(found.effects)
    assert texts
    assert len(all_told(sheet.spots)) == len(texts)
    text = list_text(sheet)
    assert all(t in text for t in texts)


def test_a_clash_without_a_place_is_told_but_not_drawn() -> None:
    vehicle, job, found = pushed()
    effects = tuple(
        replace(e, causes=tuple(replace(c, at_mm=None) if c.kind is CauseKind.CLASH else c for c in e.causes))
        for e in found.effects
    )
    sheet = draw_job(vehicle, job, replace(found, effects=effects))
    assert all(view.spots == () for view in sheet.views)
    assert sheet.spot_legend == ()
    assert "  - K  clash: new and old, 40 mm" in list_text(sheet)


def test_a_job_that_is_in_nobodys_way_has_no_spots() -> None:
    vehicle, _, _ = pushed()
    job = garage.job(Add(component=garage.part("new", (60.0, 800.0, 500.0), CUBE)))
    sheet = draw_job(vehicle, job, find_knockons(vehicle, job, garage.catalog()))
    assert (sheet.spots, sheet.spot_legend) == ((), ())
    assert not any(s.trace is Trace.NEWCOMER for v in sheet.views for s in v.shapes)
