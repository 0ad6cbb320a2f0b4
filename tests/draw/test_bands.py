"""Bands: each begins at the step that changes a thing and ends at the one that changes it back."""

import re

import pytest
from small_plans import HOSTILE, feature, in_a_row, long_job, needs, plan_of, session, task, work_of
from svg_reading import box_of, faults, labels, paths, shapes

from planner.draw import draw_bands, draw_bands_words, draw_order, draw_sessions
from planner.draw.band_rows import LETTERS
from planner.model.plan import Plan
from planner.model.work import WorkList

DAY = [session(0)]


@pytest.fixture
def refit() -> tuple[WorkList, Plan]:
    """The tank is off for a cut, back for a trial fit, off again for paint, and back for good."""
    work = work_of(
        [
            feature("tank"),
            feature("state:stands", start=False, about="on stands"),
            feature("circuit:fuel", about="fuel"),
            feature("shelf", start=False, goal=True),
        ],
        [
            task("cut", needs("tank", on=False)),
            task("trial", needs("tank", on=True)),
            task("paint", needs("tank", on=False)),
        ],
    )
    #         1                2                3        4      5        6        7        8        9        10
    texts = ["+state:stands", "-circuit:fuel", "-tank", "cut", "+tank", "trial", "-tank", "paint", "+shelf", "+tank"]
    return work, in_a_row(DAY, [*texts, "+circuit:fuel", "-state:stands"])


def test_bands_begin_and_end_at_the_steps_that_change_a_thing(refit: tuple[WorkList, Plan]) -> None:
    found = [(d["feature"], d["first"], d.get("last")) for d, _ in shapes(draw_bands(*refit), "feature")]
    assert found == [
        ("tank", "3", "5"),
        ("tank", "7", "10"),
        ("shelf", "9", None),
        ("circuit:fuel", "2", "11"),
        ("state:stands", "1", "12"),
    ]


def test_a_step_is_as_wide_in_every_row(refit: tuple[WorkList, Plan]) -> None:
    at = {(d["feature"], d["first"]): box_of(p) for d, p in shapes(draw_bands(*refit), "feature")}
    (left, _, right, _), (again, _, end, _) = at["tank", "3"], at["tank", "7"]
    step = (right - left) / 2
    assert again - right == pytest.approx(2 * step, abs=0.02)
    assert end - again == pytest.approx(3 * step, abs=0.02)
    assert at["state:stands", "1"][0] == pytest.approx(left - 2 * step, abs=0.02)


def test_numbers_stand_at_both_ends(refit: tuple[WorkList, Plan]) -> None:
    svg = draw_bands(*refit, numbers=tuple(range(101, 113)))
    words = {w.text: w.x for w in labels(svg) if w.text.isdigit()}
    assert set(words) == {"103", "105", "107", "109", "110", "102", "111", "101", "112"}
    bands = {d["first"]: box_of(p) for d, p in shapes(svg, "feature")}
    assert words["103"] == pytest.approx(bands["103"][0], abs=0.02)
    assert words["105"] == pytest.approx(bands["103"][2], abs=0.02)


def test_letters_tell_what_a_band_is(refit: tuple[WorkList, Plan]) -> None:
    rows = sorted((w for w in labels(draw_bands(*refit)) if w.x == 6.0 and len(w.text) == 1), key=lambda w: w.y)
    assert [w.text for w in rows] == ["O", "F", "V", "E"]


def test_the_twin_tells_why_it_goes_back(refit: tuple[WorkList, Plan]) -> None:
    told = draw_bands_words(*refit)
    tank = told[1 : told.index("parts and links: shelf")]
    assert tank == (
        "parts and links: tank",
        "  off from 3 to 5",
        "    4 Do cut: needs it so",
        "    6 Do trial: needs it back",
        "  off from 7 to 10",
        "    8 Do paint: needs it so",
    )
    assert "  fitted from 9 on" in told
    assert "  open from 2 to 11" in told
    assert "  in this state from 1 to 12" in told


def test_strokes_mark_the_tasks_that_need_it(refit: tuple[WorkList, Plan]) -> None:
    svg = draw_bands(*refit)
    left, top, right, _ = next(box_of(p) for d, p in shapes(svg, "feature") if d["first"] == "3")
    step = (right - left) / 2
    (tank,) = (p for p in paths(svg, "need") if abs(box_of(p)[1] - top) < 1.0)
    # Cut at step 4, one after the band begins; the trial fit, at 6, on the bare rail; paint, at 8, in the second band.
    strokes = sorted({round(float(s.split()[0]), 1) for s in tank.split("M")[1:]})
    assert strokes == pytest.approx([left + step, left + 3 * step, left + 5 * step], abs=0.06)


def test_nothing_to_change_is_said() -> None:
    svg = draw_bands(work_of(), plan_of([], []))
    assert "The plan takes nothing off and puts nothing on." in [w.text for w in labels(svg)]
    assert faults(svg) == []
    assert draw_bands_words(work_of(), plan_of([], []))[-1] == "the plan takes nothing off and puts nothing on"


def test_hundreds_of_steps_with_bad_names_stay_on_the_paper() -> None:
    work, plan = long_job(133, HOSTILE)
    assert len(plan.slots) == 399
    svg = draw_bands(work, plan)
    assert faults(svg) == []
    assert len(shapes(svg, "feature")) == 133
    assert max(len(w.text) for w in labels(svg)) < 120


def test_many_short_bands_keep_their_numbers_apart() -> None:
    work = work_of([feature("bonnet")], [task(f"t{n}") for n in range(200)])
    texts = [t for n in range(20) for t in ("-bonnet", "+bonnet")] + [f"t{n}" for n in range(200)]
    plan = in_a_row([session(n) for n in range(20)], texts)
    svg = draw_bands(work, plan)
    assert faults(svg) == []
    assert len([w for w in labels(svg) if w.text.isdigit()]) == 40


def test_pictures_of_one_plan_share_a_page(refit: tuple[WorkList, Plan]) -> None:
    page = "".join(f(*refit) for f in (draw_bands, draw_order, draw_sessions))
    ids = re.findall(r' id="([^"]*)"', page)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]*)\)", page)) <= set(ids)


def test_the_same_twice_and_two_on_a_page(refit: tuple[WorkList, Plan]) -> None:
    assert draw_bands(*refit) == draw_bands(*refit)
    assert 'id="p-other-title"' in draw_bands(*refit, name="other")


def test_the_key_of_every_letter_is_on_the_paper_of_a_page() -> None:
    """180 mm hold six of the seven beside one another: the last goes below."""
    work = work_of(
        [
            feature("tank"),
            feature("shelf", start=False, goal=True),
            feature("bracket:tight"),
            feature("box:tight", start=False, goal=True),
            feature("circuit:fuel", about="fuel"),
            feature("circuit:clutch", start=False, goal=True),
            feature("state:stands", start=False, about="on stands"),
        ]
    )
    steps = ["+state:stands", "-circuit:fuel", "-tank", "-bracket:tight", "+shelf", "+box:tight", "+circuit:clutch"]
    svg = draw_bands(work, in_a_row(DAY, steps), wide_mm=180.0)
    assert faults(svg) == []
    assert {w.text for w in labels(svg)} >= set(LETTERS.values())


def test_a_long_name_is_told_whole_in_two_lines() -> None:
    name = "loom from the fuse box to the instruments"
    svg = draw_bands(work_of([feature("loom", about=name)]), in_a_row(DAY, ["-loom"]))
    rows = sorted((w for w in labels(svg) if w.x == 10.0), key=lambda w: w.y)
    assert [" ".join(w.text for w in rows[n : n + 2]) for n in range(len(rows))].count(name) == 1
