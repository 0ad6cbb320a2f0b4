"""Options: each is checked as if it were worked in, and what is wrong is told where it is written."""

from __future__ import annotations

from pathlib import Path

import pytest
from job_text import CHANGES, read_job, sound_job, told

from planner.model.job import Add, Cut, Move

TANK = "component: {kind: tank, at: [820, %d, 760], solids: [{box: [100, 100, 100]}], mounted_on: %s}"
TWO = (
    CHANGES
    + "take: b\n"
    + "options:\n"
    + "  a:\n"
    + "    name: one side\n"
    + "    changes:\n"
    + "      - {do: add, part: tank, "
    + TANK % (-200, "bulkhead")
    + "}\n"
    + "    purchases: {cap: {what: a cap, for: tank}}\n"
    + "  b:\n"
    + "    name: other side\n"
    + "    changes:\n"
    + "      - {do: add, part: tank, "
    + TANK % (440, "bulkhead")
    + "}\n"
    + "      - {do: cut, id: hole, host: bulkhead, box: [4, 20, 20], at: [900, 440, 700]}\n"
    + "    tasks: {seal: {title: Seal it, takes: 20, after: [hole, slot]}}\n"
    + "    relations: {lower: {part: tank, keeps: below, of: header-tank, by: 0}}\n"
)


def test_options_may_each_add_the_same_part(tmp_path: Path) -> None:
    job = sound_job(tmp_path, TWO)
    assert (job.option, job.take, list(job.options)) == (None, "b", ["a", "b"])
    assert [type(c) for c in job.changes] == [Move, Cut]
    assert (job.tasks, job.purchases, job.relations) == ((), (), {})
    a, b = job.taking("a"), job.taking("b")
    assert [type(c) for c in a.changes] == [Move, Cut, Add]
    assert [type(c) for c in b.changes] == [Move, Cut, Add, Cut]
    assert [c.component.pose.at_mm[1] for j in (a, b) for c in j.changes if isinstance(c, Add)] == [-200.0, 440.0]
    assert [p.for_part for p in a.purchases] == ["tank"]
    assert (b.purchases, [t.after for t in b.tasks], list(b.relations)) == ((), [("hole", "slot")], ["lower"])


def test_the_job_itself_may_name_what_every_option_brings(tmp_path: Path) -> None:
    text = TWO + "tasks: {fill: {title: Fill it, takes: 5, fitted: [tank]}}\n"
    assert sound_job(tmp_path, text).tasks[0].fitted == ("tank",)


def test_what_only_one_option_brings_is_missed_with_the_other(tmp_path: Path) -> None:
    _, findings = read_job(tmp_path, TWO + "tasks: {look: {title: Look, takes: 5, after: [hole]}}\n")
    assert [(f.code, f.message) for f in findings] == [
        ("unknown-id", "there is no task or change `hole` (with option `a`)")
    ]


def test_faults_inside_an_option_are_told_there_and_only_there(tmp_path: Path) -> None:
    text = TWO.replace("after: [hole, slot]", "after: [hole, slut]").replace("for: tank", "for: tonk")
    assert told(tmp_path, text) == [("unknown-id", "tonk"), ("unknown-id", "slut")]


def test_an_option_that_takes_a_part_away_from_the_job(tmp_path: Path) -> None:
    text = (
        CHANGES
        + "tasks: {t: {title: T, takes: 5, off: [master-cylinder]}}\n"
        + "options:\n  a: {name: A, changes: [{do: remove, part: master-cylinder}, {do: remove, part: brake-rod},"
        + " {do: remove, part: front-brake-pipe}]}\n  b: {name: B}\n"
    )
    _, findings = read_job(tmp_path, text)
    assert ("part-gone", "`master-cylinder` goes in this job (with option `a`)") in [
        (f.code, f.message) for f in findings
    ]
    assert len(findings) <= 3  # the relation of the vehicle about it may be told as well


@pytest.mark.parametrize(
    ("edit", "findings"),
    [
        (("take: b", "take: c"), [("unknown-id", "c")]),
        (("name: other side", "name: [1]"), [("wrong-type", "[1")]),
        (("tasks: {seal", "tasks: {header-tank"), [("double-id", "header-tank")]),
        (("relations: {lower", "relations: {tank-above-cylinder"), [("double-id", "tank-above-cylinder")]),
        (("do: cut, id: hole", "do: cut, id: slot"), [("double-id", "slot"), ("unknown-id", "hole")]),
        (("do: cut, id: hole", "do: cot, id: hole"), [("unknown-choice", "cot")]),
        (("  a:\n", "  A b:\n"), [("bad-id", "A")]),
    ],
)
def test_slips_in_options(tmp_path: Path, edit: tuple[str, str], findings: list[tuple[str, str]]) -> None:
    assert edit[0] in TWO
    assert told(tmp_path, TWO.replace(*edit)) == findings


def test_ids_of_the_job_itself_are_in_use_in_every_option(tmp_path: Path) -> None:
    text = TWO + "tasks: {seal: {title: Seal, takes: 5}}\npurchases: {cap: {what: a cap}}\n"
    assert told(tmp_path, text) == [("double-id", "cap"), ("double-id", "seal")]


def test_a_job_whose_changes_are_all_in_options_is_not_empty(tmp_path: Path) -> None:
    text = "options:\n  a: {name: A, changes: [{do: take-off, part: master-cylinder}]}\n  b: {name: B}\n"
    assert sound_job(tmp_path, text).changes == ()
    nothing = "options:\n  a: {name: A}\n  b: {name: B}\n"
    assert told(tmp_path, nothing) == [("empty-job", "knockon")]


def test_take_without_options(tmp_path: Path) -> None:
    assert told(tmp_path, CHANGES + "take: a\n") == [("unknown-id", "a")]


def test_wishes_are_held_against_every_option(tmp_path: Path) -> None:
    text = TWO.replace(
        "    name: one side\n    changes:\n",
        "    name: one side\n    changes:\n      - {do: take-off, part: master-cylinder}\n",
    )
    _, findings = read_job(tmp_path, text + "leave_in: {master-cylinder: always}\n")
    assert [(f.code, f.message) for f in findings] == [
        ("cannot-leave", "`master-cylinder` is to be left as it is, and this job takes it off (with option `a`)")
    ]
