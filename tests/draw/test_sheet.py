"""Whole sheets: to scale, within the paper, everything that changes told, and SVG that needs nothing from elsewhere."""

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import lru_cache
from itertools import combinations

import garage
import pytest
import trials

from planner.draw import Clash, Mark, Near, Sheet, Trace, draw_detail, draw_job, draw_vehicle, list_text, svg_text
from planner.draw.lettering import text_width_mm
from planner.draw.sheet import TEXT_MM
from planner.knockon import find_knockons
from planner.model.effects import EffectKind
from planner.model.job import Cut, Grow
from planner.model.shapes import Box, Cylinder, Pose
from planner.model.vehicle import Vehicle
from planner.space import Elevation

SVG = "{http://www.w3.org/2000/svg}"
JOBS = ("hung-pedals", "battery-aft")
CLOSER = tuple(f"{job}/{part}" for job, part in zip(JOBS, ("loom-plate", "battery"), strict=True))
ALL = ("", *JOBS, *(f"{job}/" for job in JOBS), *CLOSER, "/throttle-shaft")
"""The vehicle, a job, a job/ for its closer look, a job/part for what is near a part."""
LETTER_OF = {
    EffectKind.NEW: "N",
    EffectKind.GONE: "X",
    EffectKind.MOVES: "M",
    EffectKind.GROWS: "L",
    EffectKind.CUT: "C",
    EffectKind.REMADE: "R",
    EffectKind.OFF_AND_BACK: "B",
    EffectKind.ADJUSTED: "S",
}


@lru_cache(maxsize=len(ALL))
def sheet(what: str) -> Sheet:
    job, slash, part = what.partition("/")
    near = Near(part=part, reach_mm=150.0) if part else None
    if not job:
        return draw_vehicle(trials.vehicle(), near=near)
    whole = draw_job(trials.vehicle(), trials.job(job), trials.knockons(job), near)
    if not slash or part:
        return whole
    closer = draw_detail(trials.vehicle(), trials.job(job), trials.knockons(job), whole)
    assert closer is not None
    return closer


def cube(units: str = "mm") -> Vehicle:
    made = garage.vehicle([garage.part("cube", (0.0, 0.0, 500.0), (1000.0, 1000.0, 1000.0), on=None)], ground=0.0)
    return replace(made, units=units)


def numbers(d: str) -> list[tuple[float, float]]:
    """Corners of a path: each rim begins at a place and goes on by steps."""
    found: list[tuple[float, float]] = []
    for rim in d.replace("Z", "").split("M")[1:]:
        first, steps = rim.split("l")
        x, y = (float(v) for v in first.split())
        found.append((x, y))
        values = [float(v) for v in steps.split()]
        for dx, dy in zip(values[::2], values[1::2], strict=True):
            x, y = x + dx, y + dy
            found.append((x, y))
    return found


def true_mm(text: str) -> float:
    return float(text.removesuffix(" mm")) if text.endswith(" mm") else float(text.removesuffix(" in")) * 25.4


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_a_metre_is_a_metre_by_the_scale_bar_in_every_view(units: str) -> None:
    root = ET.fromstring(svg_text(draw_vehicle(cube(units))))  # noqa: S314  # our own text
    fields = [r for r in root.iter(f"{SVG}rect") if r.get("data-bar") is not None]
    bar_mm = sum(float(f.get("width", "0")) for f in fields)
    texts = [t.text or "" for t in root.iter(f"{SVG}text")]
    longest = max(true_mm(t) for t in texts if re.fullmatch(r"[\d.]+ (mm|in)", t))
    boxes = [p for p in root.iter(f"{SVG}path") if p.get("class") == "s"]
    assert len(boxes) == 3
    for box in boxes:
        xs, ys = zip(*numbers(box.get("d", "")), strict=True)
        # Both are rounded to hundredths of a millimetre on the paper.
        assert (max(xs) - min(xs)) / bar_mm * longest == pytest.approx(1000.0, abs=1.0)
        assert (max(ys) - min(ys)) / bar_mm * longest == pytest.approx(1000.0, abs=1.0)


def test_what_is_written_is_what_was_laid_out() -> None:
    made = garage.part(
        "drum", (0.0, 0.0, 500.0), (1.0,) * 3, on=None, solids=(Cylinder(across_mm=900.0, length_mm=300.0),)
    )
    found = draw_vehicle(garage.vehicle([made], ground=0.0))
    (plan,) = [v for v in found.views if v.elevation is Elevation.PLAN]
    root = ET.fromstring(svg_text(found))  # noqa: S314  # our own text
    drawn = max((numbers(p.get("d", "")) for p in root.iter(f"{SVG}path") if p.get("class") == "s"), key=len)
    corners = plan.shapes[0].outline[0]
    assert len(drawn) >= 48
    for x, y in drawn:
        near = min(corners, key=lambda c: math.hypot(c[0] - x, c[1] - y))
        assert (x, y) == pytest.approx(near, abs=0.0051)


def test_the_scale_named_is_the_scale_drawn() -> None:
    drawn = draw_vehicle(cube())
    (shape,) = drawn.views[0].shapes
    xs = [x for x, _ in shape.outline[0]]
    assert (max(xs) - min(xs)) * drawn.scale == pytest.approx(1000.0)
    assert f"1 : {drawn.scale:g} " in svg_text(drawn)


@pytest.mark.parametrize("job", ALL)
def test_nothing_lies_outside_the_sheet(job: str) -> None:
    found = sheet(job)
    wide, high = found.size
    places = [
        p for view in found.views if view.cut_at is None for shape in view.shapes for rim in shape.outline for p in rim
    ]
    places += [corner for view in found.views if view.cut_at is not None for corner in view.cut_at]
    places += [spot.at for view in found.views for spot in view.spots]
    places += [entry.at for entry in found.spots if entry.at is not None]
    places += [entry.at for entry in found.entries if entry.at is not None]
    places += [p for view in found.views for line in view.grid for p in (line.start, line.finish)]
    for view in found.views:
        for label in view.labels:
            x, y = label.middle
            places += [(x - label.wide_mm / 2, y - label.high_mm / 2), (x + label.wide_mm / 2, y + label.high_mm / 2)]
            (left, top), (w, h) = view.corner, view.size
            assert left <= label.leader[1][0] <= left + w
            assert top <= label.leader[1][1] <= top + h
    assert len(places) > 60
    assert all(5.0 <= x <= wide - 5.0 and 5.0 <= y <= high - 5.0 for x, y in places)


@pytest.mark.parametrize("job", ALL)
def test_no_label_lies_on_another_or_on_a_frame(job: str) -> None:
    boxes = [
        (
            x.middle[0] - x.wide_mm / 2,
            x.middle[1] - x.high_mm / 2,
            x.middle[0] + x.wide_mm / 2,
            x.middle[1] + x.high_mm / 2,
        )
        for view in sheet(job).views
        for x in view.labels
    ]
    frames = [(v.corner[0], v.corner[1], v.corner[0] + v.size[0], v.corner[1] + v.size[1]) for v in sheet(job).views]
    assert boxes
    for a, b in [*combinations(boxes, 2), *((a, b) for a in boxes for b in frames)]:
        assert a[2] <= b[0] + 1e-9 or b[2] <= a[0] + 1e-9 or a[3] <= b[1] + 1e-9 or b[3] <= a[1] + 1e-9


def text_box(at: tuple[float, float], text: str, size: float = TEXT_MM) -> tuple[float, float, float, float]:
    return at[0], at[1] - 0.8 * size, at[0] + text_width_mm(text, size), at[1] + 0.25 * size


@pytest.mark.parametrize("job", ALL)
def test_no_words_lie_on_other_words_or_labels(job: str) -> None:
    found = sheet(job)
    boxes = [text_box(v.title_at, f"{v.title} {v.arrow_text}") for v in found.views]
    boxes += [text_box(n.at, n.text, n.size_mm) for n in found.notes]
    boxes += [text_box(at, f"12345678 {mark.words}") for mark, at in found.legend]
    boxes += [text_box(e.at, f"10 M {e.name}"[:30]) for e in found.entries if e.at is not None]
    boxes += [text_box(e.at, f"58 K {e.text}"[:90]) for e in found.spots if e.at is not None]
    for sign, (x, y) in found.spot_legend:
        words = 13.2 + text_width_mm(sign.words) if isinstance(sign, Clash) else 9.2 + text_width_mm(sign.value)
        boxes.append((x, y - 3.8, x + words, y + 1.4))
    boxes += [text_box(x.text_at, x.text) for v in found.views for x in v.grid if x.text and v.cut_at is not None]
    boxes += [
        (
            x.middle[0] - x.wide_mm / 2,
            x.middle[1] - x.high_mm / 2,
            x.middle[0] + x.wide_mm / 2,
            x.middle[1] + x.high_mm / 2,
        )
        for v in found.views
        for x in v.labels
    ]
    bar_right = found.bar.at[0] + found.bar.step_mm * (len(found.bar.texts) - 1)
    boxes.append((found.bar.at[0] - 3.0, found.bar.at[1], bar_right, found.bar.at[1] + 6.0))
    for a, b in combinations(boxes, 2):
        assert a[2] <= b[0] + 1e-9 or b[2] <= a[0] + 1e-9 or a[3] <= b[1] + 1e-9 or b[3] <= a[1] + 1e-9, (a, b)


@pytest.mark.parametrize("job", JOBS)
def test_every_changed_part_has_its_letter_on_the_paper(job: str) -> None:
    found = sheet(job)
    labelled = {x.subject: x.mark for view in found.views for x in view.labels if not isinstance(x.mark, Clash)}
    shown = {s.subject: s.mark for view in found.views for s in view.shapes if s.mark is not None}
    effects = [e for e in trials.knockons(job).effects if e.kind in LETTER_OF]
    assert len(effects) >= 5
    for effect in effects:
        others = {LETTER_OF[e.kind] for e in effects if e.subject == effect.subject}
        assert labelled[effect.subject] in others
        assert shown[effect.subject] in others
    assert set(labelled) >= {e.subject for e in effects}
    assert {e.subject for e in found.entries} == set(labelled)


def test_movers_leave_a_dashed_outline_where_they_were() -> None:
    found = sheet("battery-aft")
    before = [v for v in found.views if v.state == "as it stands"]
    after = [v for v in found.views if v.state != "as it stands"]
    for old, new in zip(before, after, strict=True):
        assert old.elevation is new.elevation
        (was,) = [s for s in old.shapes if s.subject == "battery" and s.trace is None]
        (left,) = [s for s in new.shapes if s.subject == "battery" and s.trace is Trace.OLD]
        (now,) = [s for s in new.shapes if s.subject == "battery" and s.trace is None]
        drop = new.corner[1] - old.corner[1]
        for (x0, y0), (x1, y1) in zip(was.outline[0], left.outline[0], strict=True):
            assert (x1, y1) == (pytest.approx(x0), pytest.approx(y0 + drop))
        assert (now.mark, left.mark) == (Mark.MOVES, None)
        assert now.outline != left.outline


def test_nearer_parts_are_drawn_later_and_changed_ones_last() -> None:
    for view in sheet("hung-pedals").views:
        plain = [s.near_mm for s in view.shapes if s.mark is None and s.trace is None]
        assert plain == sorted(plain)
        ranks = [(s.trace is not None, s.mark is not None) for s in view.shapes]
        assert ranks == sorted(ranks)


def test_cut_and_grown_parts_are_marked() -> None:
    plate = garage.part("plate", (120.0, 0.0, 500.0), (200.0, 200.0, 200.0))
    cut = Cut(id="slot", host="wall", hole=Box(size_mm=(30.0, 60.0, 60.0), pose=Pose(at_mm=(0.0, 500.0, 500.0))))
    vehicle = garage.vehicle([garage.wall(), plate])
    job = garage.job(cut, Grow(part="plate", by_mm=(0.0, 100.0, 0.0)))
    found = draw_job(vehicle, job, find_knockons(vehicle, job, garage.catalog()))
    assert {(e.subject, e.mark) for e in found.entries} >= {("slot", Mark.CUT), ("plate", Mark.LARGER)}


def test_a_job_without_an_answer_is_not_drawn() -> None:
    vehicle, job = cube(), garage.job()
    nothing = find_knockons(vehicle, job, garage.catalog())
    empty = replace(nothing, after={})
    with pytest.raises(ValueError, match="no answer"):
        draw_job(vehicle, job, empty)


@pytest.mark.parametrize("job", ALL)
def test_the_text_twin_tells_the_numbers_on_the_paper(job: str) -> None:
    drawn = {int(n) for n in re.findall(r'data-label="(\d+)"', svg_text(sheet(job)))}
    told = [int(n) for n in re.findall(r"^ *(\d+)(?: [NMXLCRBSKTW])?  ", list_text(sheet(job)), re.MULTILINE)]
    assert told == sorted(drawn)
    assert told == list(range(1, len(told) + 1))
    for entry in sheet(job).entries:
        assert f"{entry.name} ({entry.subject})" in list_text(sheet(job))
        assert entry.places


def test_the_text_twin_tells_where_a_part_was_and_is() -> None:
    lines = list_text(sheet("battery-aft")).splitlines()
    at = next(n for n, line in enumerate(lines) if line.endswith("(battery)"))
    # Middle of the battery's box in vehicle.yaml; the job moves it 1448 mm rearwards, 8 left and 145 up.
    assert lines[at + 2].strip() == (
        "middle as it stands: x 556 mm, y -416 mm, z 249 mm; when the job is done: x 2004 mm, y -424 mm, z 394 mm"
    )


@pytest.mark.parametrize("job", ALL)
def test_the_picture_is_sound_xml_that_fetches_nothing(job: str) -> None:
    text = svg_text(sheet(job))
    root = ET.fromstring(text)  # noqa: S314  # our own text
    assert root.get("role") == "img"
    assert root.get("lang") == "en"
    ids = {e.get("id") for e in root.iter() if e.get("id")}
    assert set((root.get("aria-labelledby") or "").split()) <= ids
    assert [len(list(root.iter(SVG + tag))) for tag in ("script", "image", "use", "foreignObject", "a")] == [0] * 5
    bare = text.replace('xmlns="http://www.w3.org/2000/svg"', "", 1)
    assert not re.search(r"http|href|@import|src=|javascript|\bon[a-z]+=", bare)
    assert set(re.findall(r"url\(([^)]*)\)", bare)) <= {f"#{i}" for i in ids}


@pytest.mark.parametrize("job", ALL)
def test_letters_are_at_least_nine_points_high(job: str) -> None:
    sizes = [float(s) for s in re.findall(r"font(?:-size)?:([\d.]+)px", svg_text(sheet(job)))]
    assert sizes
    assert min(sizes) * 72.0 / 25.4 >= 9.0


def test_the_same_drawing_twice_is_the_same_bytes() -> None:
    again = find_knockons(trials.vehicle(), trials.job("battery-aft"), trials.catalog(), limit_s=60.0)
    vehicle, job = trials.vehicle(), trials.job("battery-aft")
    whole = draw_job(vehicle, job, again)
    closer = draw_detail(vehicle, job, again, whole)
    near = draw_job(vehicle, job, again, Near(part="battery", reach_mm=150.0))
    assert closer is not None
    for made, what in ((whole, "battery-aft"), (closer, "battery-aft/"), (near, "battery-aft/battery")):
        assert svg_text(made) == svg_text(sheet(what))


def test_odd_names_cannot_break_the_picture() -> None:
    odd = 'a <b> & "c" \x01 \u65e5\u672c\u8a9e ' + "long " * 40
    plain = garage.part("cube", (0.0, 0.0, 500.0), (900.0, 900.0, 900.0), on=None)
    made = garage.vehicle([replace(plain, name=odd)])
    made = replace(made, name=odd)
    root = ET.fromstring(svg_text(draw_vehicle(made)))  # noqa: S314  # our own text
    assert any((t.text or "").startswith('a <b> & "c"') for t in root.iter(f"{SVG}text"))


@pytest.mark.parametrize(
    "size", [(5.0, 5.0, 5.0), (90.0, 90.0, 9000.0), (20000.0, 10.0, 10.0), (6000.0, 2500.0, 2500.0)]
)
def test_very_small_long_and_tall_things_fit(size: tuple[float, float, float]) -> None:
    made = garage.vehicle([garage.part("thing", (0.0, 0.0, size[2] / 2), size, on=None)], ground=0.0)
    found = draw_vehicle(made)
    for view in found.views:
        for x, y in view.shapes[0].outline[0]:
            assert 5.0 <= x <= found.size[0] - 5.0
            assert 5.0 <= y <= found.size[1] - 5.0
    assert {v.elevation for v in found.views} == set(Elevation)
