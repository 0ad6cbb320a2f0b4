"""The network of steps: arcs as the rules of the work list ask for, worked out by hand."""

from dataclasses import replace

import pytest
from small_plans import HOSTILE, feature, in_a_row, long_job, needs, plan_of, session, slot, task, work_of
from svg_reading import box_of, faults, labels, shapes

from planner.draw import draw_order, draw_order_words
from planner.model.plan import Chain, Plan, Tie
from planner.model.work import After, Checkpoint, WorkList

DAYS = [session(0, 9, 12), session(1, 9, 12)]


@pytest.fixture
def paint() -> tuple[WorkList, Plan]:
    """Take the door off, sand it, paint it with a cure, put it back the next day, check it; sweep at any time."""
    work = work_of(
        [feature("door")],
        [
            task("sand", needs("door", on=False)),
            task("paint", needs("door", on=False), after=["sand"], keep_min=600),
            task("sweep"),
            task("check", needs("door", on=True), after=["sand", "paint"], checkpoint="c"),
        ],
    )
    plan = plan_of(
        DAYS,
        [
            slot(DAYS, 0, "-door", "09:00", 10),
            slot(DAYS, 0, "sand", "09:10", 30),
            slot(DAYS, 0, "sweep", "09:40", 30),
            slot(DAYS, 0, "paint", "10:10", 30),
            slot(DAYS, 1, "+door", "09:00", 10),
            slot(DAYS, 1, "check", "09:10", 10),
        ],
    )
    return work, plan


def arcs(svg: str) -> list[tuple[str, str]]:
    return sorted((d["from"], d["to"]) for d, _ in shapes(svg, "from"))


def test_arcs_are_those_that_do_not_follow_from_others(paint: tuple[WorkList, Plan]) -> None:
    # 1 off, 2 sand, 4 paint, 5 on, 6 check: off before sand before paint; paint needs it off too, which follows. 5
    # comes after 1, 2 and 4, of which 4 is enough, and its arc is from another session; 6 after 5, which is enough.
    assert arcs(draw_order(*paint)) == [("1", "2"), ("2", "4"), ("5", "6")]


def test_arcs_from_other_sessions_are_told_by_number_with_their_wait(paint: tuple[WorkList, Plan]) -> None:
    words = [w.text for w in labels(draw_order(*paint)) if w.text.startswith("after ") and "step" not in w.text]
    assert words == ["after 4 and 10 h"]


def test_the_twin_tells_every_step_and_what_it_comes_after(paint: tuple[WorkList, Plan]) -> None:
    chain = Chain(ties=(Tie(slot=3, sort="step", text="", after=1),), float_min=(0,) * 6)
    assert draw_order_words(*paint, chain) == (
        "What must come after what",
        "Mon 4 May 2026, 09:00-12:00",
        "  1 O Take door off",
        "  2 D Do sand",
        "      after 1",
        "  3 D Do sweep",
        "  4 D Do paint; binds the finish",
        "      after 2",
        "Tue 5 May 2026, 09:00-12:00",
        "  5 P Put door on",
        "      after 4 and 10 h",
        "  6 Q Do check",
        "      after 5",
    )


def test_a_checkpoint_has_cut_corners(paint: tuple[WorkList, Plan]) -> None:
    found = {d["step"]: p for d, p in shapes(draw_order(*paint), "step")}
    assert [n for n, p in found.items() if p.count("l") == 3] == ["6"]
    assert [n for n, p in found.items() if p.count("l") == 0] == ["1", "2", "3", "4", "5"]


def test_the_chain_is_marked(paint: tuple[WorkList, Plan]) -> None:
    chain = Chain(
        ties=(Tie(slot=1, sort="start", text=""), Tie(slot=3, sort="step", text="", after=1)), float_min=(0,) * 6
    )
    svg = draw_order(*paint, chain)
    assert [d["step"] for d, _ in shapes(svg, "binds")] == ["2", "4"]
    assert svg.count('class="k-bound" data-from="2" data-to="4"') == 1


def test_arcs_lead_from_a_box_to_a_later_column(paint: tuple[WorkList, Plan]) -> None:
    svg = draw_order(*paint)
    boxes = {d["step"]: box_of(p) for d, p in shapes(svg, "step")}
    for data, d in shapes(svg, "from"):
        begin = tuple(float(v) for v in d[1:].split("C")[0].split())
        end = tuple(float(v) for v in d.split()[-2:])
        start, goal = boxes[data["from"]], boxes[data["to"]]
        assert begin[0] == pytest.approx(start[2], abs=0.02)
        assert start[1] <= begin[1] <= start[3]
        assert end[0] == pytest.approx(goal[0], abs=0.02)
        assert goal[1] <= end[1] <= goal[3]


def test_checkpoints_come_before_what_they_block(paint: tuple[WorkList, Plan]) -> None:
    work, plan = paint
    gate = Checkpoint(
        id="c", rule="r", subject="s", title="t", measure="m", limit="l", unit="", low=None, high=None, blocks=(),
        blocked=("drive",), caution="", source="", why="",
    )  # fmt: skip
    more = replace(work, checkpoints={"c": gate}, tasks={**work.tasks, "drive": task("drive")})
    longer = plan_of(DAYS, [*plan.slots, slot(DAYS, 1, "drive", "09:20", 10)])
    assert ("6", "7") in arcs(draw_order(more, longer))


def test_a_split_task_is_in_a_row() -> None:
    work = work_of([], [task("saw", splits=True), task("a", after=[After(task="saw", lag_min=90)])])
    slots = [
        slot(DAYS, 0, "saw", "09:00", 30, part=1, parts=2),
        slot(DAYS, 0, "saw", "10:00", 30, part=2, parts=2),
        slot(DAYS, 1, "a", "09:00", 30),
    ]
    told = draw_order_words(work, plan_of(DAYS, slots))
    assert "  2 D Do saw (part 2 of 2)" in told
    assert told[told.index("  2 D Do saw (part 2 of 2)") + 1] == "      after 1"
    assert told[-1] == "      after 2 and 1 h 30 min"


@pytest.mark.parametrize("wide", [60.0, 277.0])
def test_hundreds_of_steps_with_bad_names(wide: float) -> None:
    work, plan = long_job(133, HOSTILE)
    svg = draw_order(work, plan, wide_mm=wide)
    assert faults(svg) == []
    assert sorted(int(d["step"]) for d, _ in shapes(svg, "step")) == list(range(1, 400))


def test_a_wait_within_a_session_is_told_and_dashed() -> None:
    work = work_of([], [task("stir"), task("pour", after=[After(task="stir", lag_min=20)])])
    svg = draw_order(work, plan_of(DAYS, [slot(DAYS, 0, "stir", "09:00", 5), slot(DAYS, 0, "pour", "09:30", 5)]))
    assert "after 1 and 20 min" in [w.text for w in labels(svg)]
    assert svg.count('class="k-wait" data-from="1" data-to="2"') == 1
    assert faults(svg) == []


def test_no_box_lies_over_another() -> None:
    boxes = sorted((box_of(p) for _, p in shapes(draw_order(*long_job(60)), "step")), key=lambda b: b[1])
    for n, one in enumerate(boxes):
        for other in boxes[n + 1 :]:
            apart = other[0] >= one[2] - 0.02 or other[2] <= one[0] + 0.02 or other[1] >= one[3] - 0.02
            assert apart, (one, other)


def test_every_must_is_drawn_or_told() -> None:
    """Each pair of the twin is an arc or a number over the box."""
    work, plan = long_job(40)
    svg = draw_order(work, plan)
    drawn = {(d["from"], d["to"]) for d, _ in shapes(svg, "from")}
    told = draw_order_words(work, plan)
    pairs = {
        (number, told[n - 1].split()[0])
        for n, line in enumerate(told)
        if line.startswith("      after ")
        for number in line.removeprefix("      after ").split(", ")
    }
    boxes = {d["step"]: box_of(p) for d, p in shapes(svg, "step")}
    tags = [w for w in labels(svg) if w.text.startswith("after ") and "step" not in w.text]
    for source, goal in pairs - drawn:
        left, top, *_ = boxes[goal]
        (tag,) = (t for t in tags if abs(t.x - left) < 0.1 and 0 < top - t.y < 3.5)
        assert source in tag.text.removeprefix("after ").split(", ")
    assert drawn <= pairs


def test_nothing_planned_is_said() -> None:
    svg = draw_order(work_of(), plan_of([], []))
    assert "Nothing is planned." in [w.text for w in labels(svg)]
    assert faults(svg) == []
    assert draw_order_words(work_of(), plan_of([], []))[-1] == "nothing is planned"


def test_one_step_and_the_same_twice() -> None:
    work, plan = work_of([], [task("t")]), in_a_row([session(0)], ["t"])
    assert faults(draw_order(work, plan)) == []
    assert draw_order(work, plan) == draw_order(work, plan)
