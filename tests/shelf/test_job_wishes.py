"""Times with their doubt, trial loops, what is left in, and how the vehicle stands when a session ends."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from job_text import CHANGES, read_job, sound_job, told

from planner.model.job import EndState

TASK = "tasks:\n  try: {title: Try it, after: [slot], "


def test_everything_new_is_filled(tmp_path: Path) -> None:
    job = sound_job(
        tmp_path,
        "day_worth: 12\nsetup: 20 min\ntidy: 10 min\n"
        + CHANGES
        + "tasks:\n"
        + "  fit: {title: Fit, takes: 1 h, splits: true}\n"
        + "  try: {title: Try, takes: [30 min, 40, 1 h 30 min], after: [slot, fit], again: 30 %, redo: [slot, fit]}\n"
        + "leave_in: {master-cylinder: 90 min, front-brake-pipe: always, on-stands: 25}\n"
        + "again: {header-tank: 0.4}\n"
        + "at_session_end:\n"
        + "  rolls: {name: car rolls, fitted: [header-tank, brake-pedal], without: [on-stands],"
        + " on: [saturday, 2026-12-16]}\n"
        + "  safe: {name: battery off, conditions: [battery-off], off: [brake-rod]}\n",
    )
    assert (job.day_worth, job.setup_min, job.tidy_min) == (12.0, 20, 10)
    fit, trial = job.tasks
    assert (fit.minutes, fit.low_min, fit.high_min, fit.splits, fit.again) == (60, None, None, True, 0.0)
    assert (trial.minutes, trial.low_min, trial.high_min, trial.splits) == (40, 30, 90, False)
    assert (trial.again, trial.redo) == (0.3, ("slot", "fit"))
    assert job.leave_in == {"master-cylinder": 90, "front-brake-pipe": None, "on-stands": 25}
    assert job.again == {"header-tank": 0.4}
    assert job.at_end == {
        "rolls": EndState(
            id="rolls",
            name="car rolls",
            fitted=("header-tank", "brake-pedal"),
            without=("on-stands",),
            weekdays=(5,),
            days=(date(2026, 12, 16),),
        ),
        "safe": EndState(id="safe", name="battery off", conditions=("battery-off",), off=("brake-rod",)),
    }


def test_what_is_not_said_is_as_before(tmp_path: Path) -> None:
    job = sound_job(tmp_path, CHANGES)
    assert (job.day_worth, job.setup_min, job.tidy_min) == (5.0, None, 0)
    assert (job.leave_in, job.again, job.at_end, job.options, job.take) == ({}, {}, {}, {}, None)


@pytest.mark.parametrize(
    ("takes", "code"),
    [
        ("[10, 20]", "bad-takes"),
        ("[]", "bad-takes"),
        ("[10, 20, 15]", "bad-takes"),
        ("[10, x, 30]", "wrong-unit"),
        ("[10, [20], 30]", "wrong-unit"),
        ("0", "absurd-time"),
        ("[0, 10, 20]", "absurd-time"),
        ("40 days", "absurd-time"),
        ("[10, 20, 800 h]", "absurd-time"),
    ],
)
def test_times_that_cannot_be(tmp_path: Path, takes: str, code: str) -> None:
    assert [c for c, _ in told(tmp_path, CHANGES + TASK + f"takes: {takes}}}\n")] == [code]


def test_three_equal_times_are_sure(tmp_path: Path) -> None:
    (task,) = sound_job(tmp_path, CHANGES + TASK + "takes: [30, 30, 30]}\n").tasks
    assert (task.low_min, task.minutes, task.high_min) == (30, 30, 30)


@pytest.mark.parametrize(
    ("chance", "right"), [("30 %", 0.3), ("0.3", 0.3), ("12.5%", 0.125), ("0", 0.0), ("95 %", 0.95)]
)
def test_chances(tmp_path: Path, chance: str, right: float) -> None:
    (task,) = sound_job(tmp_path, CHANGES + TASK + f"takes: 30, again: {chance}}}\n").tasks
    assert task.again == pytest.approx(right)


@pytest.mark.parametrize("chance", ["30", "-0.1", "96 %", "100 %", "often", "true", "[30 %]"])
def test_chances_that_are_none(tmp_path: Path, chance: str) -> None:
    assert [c for c, _ in told(tmp_path, CHANGES + TASK + f"takes: 30, again: {chance}}}\n")] == ["bad-chance"]


def test_what_is_redone_may_come_first_through_others(tmp_path: Path) -> None:
    text = (
        CHANGES
        + "tasks:\n  file: {title: File it, takes: 10, after: [slot]}\n"
        + "  try: {title: Try it, takes: 10, after: [file], again: 10 %, redo: [slot, file]}\n"
    )
    assert sound_job(tmp_path, text).tasks[1].redo == ("slot", "file")
    assert told(tmp_path, text.replace("after: [file]", "before: [file]")) == [
        ("redo-not-before", "slot"),
        ("redo-not-before", "file"),
    ]


def test_off_a_part_that_goes_is_led_to_after(tmp_path: Path) -> None:
    text = "changes: [{do: remove, part: brake-rod}]\ntasks:\n  bung: {title: Bung it, takes: 10, off: [brake-rod]}\n"
    _, [finding] = read_job(tmp_path, text)
    assert (finding.code, "`after: [brake-rod]`" in finding.hint) == ("part-gone", True)
    assert sound_job(tmp_path, text.replace("off:", "after:")).tasks[0].after == ("brake-rod",)


def test_what_comes_after_a_gate_changes_nothing(tmp_path: Path) -> None:
    parts = "changes: [{do: move, part: header-tank, by: [0, 40, 0]}, {do: remove, part: brake-rod}]\n"
    text = (
        parts + "tasks:\n  hill: {title: H, takes: 10, after: [road-test]}\n  note: {title: N, takes: 5, after: [hill]"
    )
    assert sound_job(tmp_path, text + "}\n").tasks[0].after == ("road-test",)
    for more in (
        "off: [header-tank]",
        "conditions: [on-stands]",
        "fitted: [brake-rod]",
        "before: [header-tank]",
        "again: 0.3, redo: [header-tank]",
    ):
        assert "after-gate" in [code for code, _ in told(tmp_path, f"{text}, {more}}}\n")], more
    assert told(tmp_path, text + ", fitted: [header-tank], again: 0.3}\n") == []


def test_a_part_that_goes_may_be_a_jig_but_not_off_nor_unknown(tmp_path: Path) -> None:
    text = (
        "changes: [{do: remove, part: brake-rod}]\ntasks:\n  hold: {title: Hold it, takes: 10, fitted: [brake-rod]}\n"
    )
    assert sound_job(tmp_path, text).tasks[0].fitted == ("brake-rod",)
    assert told(tmp_path, text.replace("fitted:", "off:")) == [("part-gone", "brake-rod")]
    assert told(tmp_path, text.replace("fitted: [brake-rod]", "fitted: [brake-rope]")) == [("unknown-id", "brake-rope")]


@pytest.mark.parametrize(
    ("wish", "rest", "code"),
    [
        ("header-tonk: 10", "", "unknown-id"),
        ("header-tank: always", "", "cannot-leave"),
        ("header-tank: 90 min", "", None),
        ("brake-pedal: allways", "", "unknown-choice"),
        ("brake-pedal: always", "tasks: {t: {title: T, takes: 5, off: [brake-pedal]}}\n", "cannot-leave"),
        ("on-stands: always", "tasks: {t: {title: T, takes: 5, conditions: [on-stands]}}\n", "cannot-leave"),
        ("on-stands: 5", "tasks: {t: {title: T, takes: 5, conditions: [on-stands]}}\n", None),
        ("on-stands: always", "at_session_end: {up: {name: up, conditions: [on-stands]}}\n", "cannot-leave"),
        ("brake-pedal: always", "at_session_end: {out: {name: out, off: [brake-pedal]}}\n", "cannot-leave"),
        ("brake-pedal: 800 h", "", "absurd-time"),
        ("bulkhead: always", "", None),
    ],
)
def test_what_may_be_left_in(tmp_path: Path, wish: str, rest: str, code: str | None) -> None:
    assert [c for c, _ in told(tmp_path, CHANGES + f"leave_in: {{{wish}}}\n" + rest)] == ([code] if code else [])


def test_a_part_that_goes_cannot_be_left_in(tmp_path: Path) -> None:
    text = "changes: [{do: remove, part: brake-rod}]\nleave_in: {brake-rod: 90 min}\n"
    assert told(tmp_path, text) == [("part-gone", "brake-rod")]


@pytest.mark.parametrize(
    ("state", "findings"),
    [
        ("fitted: [header-tank], on: [2027-13-01]", ["bad-date"]),
        ("fitted: [header-tank], on: [sundae]", ["bad-date"]),
        ("fitted: [header-tank], on: [2026-12-19]", []),
        ("fitted: [header-tank], on: [wednesday]", []),
        ("fitted: [header-tank], on: [2026-12-20, monday]", ["never-asked", "never-asked"]),
        ("fitted: [header-tank, master-cylinder], off: [master-cylinder]", ["end-state-clash"]),
        ("conditions: [on-stands], without: [on-stands]", ["end-state-clash"]),
        ("off: [bulkhead]", ["never-comes-off"]),
        ("without: [on-stand]", ["unknown-id"]),
        ("conditions: [master-cylinder]", ["unknown-id"]),
    ],
)
def test_end_states_that_cannot_be(tmp_path: Path, state: str, findings: list[str]) -> None:
    text = CHANGES + f"at_session_end:\n  it: {{name: it, {state}}}\n"
    assert [c for c, _ in told(tmp_path, text)] == findings


@pytest.mark.parametrize(
    ("first", "second", "clash"),
    [
        ("", "", True),
        ("on: [saturday]", "", True),
        ("on: [saturday]", "on: [wednesday]", False),
        ("on: [saturday]", "on: [2026-12-16]", False),
        ("on: [wednesday]", "on: [2026-12-16]", True),
        ("on: [2026-12-19]", "on: [2026-12-26]", False),
        ("on: [2026-12-19]", "on: [2026-12-26, 2026-12-19]", True),
    ],
)
def test_two_end_states_clash_only_on_a_day_of_both(tmp_path: Path, first: str, second: str, clash: bool) -> None:
    text = CHANGES + (
        f"at_session_end:\n  up: {{name: up, conditions: [on-stands], {first}}}\n"
        f"  down: {{name: down, without: [on-stands], {second}}}\n"
    )
    assert told(tmp_path, text) == ([("end-state-clash", "down")] if clash else [])


def test_replaced_parts_are_there_all_along_and_added_ones_are_not(tmp_path: Path) -> None:
    new = "component: {kind: tank, at: [820, 240, 760], solids: [{box: [100, 100, 100]}], mounted_on: bulkhead}"
    state = "at_session_end:\n  it: {name: it, fitted: [header-tank, new-tank]}\n"
    swapped = f"changes:\n  - do: replace\n    part: header-tank\n    with: new-tank\n    {new}\n"
    assert sound_job(tmp_path, swapped + state).at_end["it"].fitted == ("header-tank", "new-tank")
    added = f"changes:\n  - do: add\n    part: new-tank\n    {new}\n"
    assert told(tmp_path, added + state) == [("not-there-yet", "new-tank")]
    gone = "changes: [{do: remove, part: header-tank}]\n"
    assert told(tmp_path, gone + state.replace(", new-tank", "")) == [("part-gone", "header-tank")]


@pytest.mark.parametrize(
    ("times", "short"), [("", 0), ("setup: 110 min\n", 0), ("setup: 2 h\n", 1), ("tidy: 4 h\n", 2)]
)
def test_sessions_with_nothing_left_of_them(tmp_path: Path, times: str, short: int) -> None:
    job, findings = read_job(tmp_path, times + CHANGES)
    assert [f.code for f in findings] == ["session-too-short"] * short
    assert job is not None


def test_own_chances_are_of_parts_and_links(tmp_path: Path) -> None:
    assert told(tmp_path, CHANGES + "again: {brake-rod: 20 %, slot: 20 %, nothing: 10}\n") == [
        ("unknown-id", "slot"),
        ("bad-chance", "10"),
    ]
