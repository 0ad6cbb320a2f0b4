"""Moments before what the log holds, words that were not written, and sessions as they are typed.

The shed's job works on Saturdays 09:00-13:00 and Sundays 14:00-18:00; 6 February 2027 is a Saturday by the calendar.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from shed import JOB_ID, agreed_project, catalog_at_hand, first_packing, isolating, run, work_up_to
from worked_once import worked_once

from planner.cli.logbook import log_book
from planner.units.spoken import day_words

LOG = f"jobs/{JOB_ID}.log.jsonl"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setattr("planner.cli.options.today", lambda: datetime(2027, 2, 1).date())  # noqa: DTZ001
    monkeypatch.setattr("planner.cli.recording.today", lambda: datetime(2027, 2, 1).date())  # noqa: DTZ001
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job whose plan is agreed, nothing done."""
    with catalog_at_hand():
        return agreed_project(tmp_path_factory.mktemp("moments") / "shed")


@pytest.fixture
def shed(agreed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed, tmp_path / "shed"))


def entries(folder: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in (folder / LOG).read_text().splitlines()]


def test_a_session_is_taken_as_it_is_typed(shed: Path) -> None:
    ended = run("record", "extra", "sat", "6", "feb", "18-20", "2", "--in", shed)
    assert ended.code == 0, ended.err
    assert "more time: Sat 6 Feb 2027 18:00 to 20:00, 2 pairs of hands" in ended.out
    ended = run("record", "extra", "wed & thu 6pm-8pm", "--in", shed)
    assert [(e["day"], e["start"]) for e in entries(shed)[-2:]] == [
        ("2027-02-03", "18:00:00"),
        ("2027-02-04", "18:00:00"),
    ]
    before = (shed / LOG).read_bytes()
    ended = run("record", "extra", "next sat 9-13", "--in", shed)
    assert ended.code == 2
    assert "Sat 6 Feb 2027 or Sat 13 Feb 2027" in ended.err
    assert "nothing was written" in ended.err
    assert (shed / LOG).read_bytes() == before


def test_a_day_that_was_not_told_as_a_date_is_said_as_one(shed: Path) -> None:
    ended = run("record", "lost", "6.2.", "--in", shed)
    assert "no work on Sat 6 Feb 2027" in ended.out
    ended = run("record", "ordered", "fluid", "--due", "4.2.", "--in", shed)
    assert ended.code == 0, ended.err
    assert "'4.2.' read as Thu 4 Feb 2027" in ended.err
    assert entries(shed)[-1]["due"] == "2027-02-04"


def test_nothing_is_planned_from_before_the_work_that_is_logged(shed: Path) -> None:
    assert run("done", "1", "--in", shed, "--at", "2027-02-06T10:30").code == 0
    before = (shed / LOG).read_bytes()
    ended = run("replan", shed, "--at", "2027-02-06T10:29", "--agree", "--limit", "1")
    assert ended.code == 2
    assert "up to Sat 6 Feb 10:30 (line 2)" in ended.err
    assert (shed / LOG).read_bytes() == before
    with first_packing():
        assert run("replan", shed, "--at", "2027-02-06T10:30").code == 0


def test_a_check_that_failed_and_passed_since_is_no_news(shed: Path) -> None:
    at = ("--in", shed, "--at", "2027-02-06T10:30", "--by", "AB")
    steps = json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]
    first = next(s["number"] for s in steps if "Switch everything off" in s["title"])
    assert run("done", work_up_to(shed, first), *at[:4]).code == 0
    assert run("record", "check", "battery-dead", "12", *at).code == 0
    with first_packing():
        failed = run("replan", shed, "--at", "2027-02-06T11:00").out
        assert "CHECK Battery proved off: 12 failed" in failed
        assert run("record", "check", "battery-dead", "0 yes", *at).code == 0
        assert "CHECK Battery proved off" not in run("replan", shed, "--at", "2027-02-06T11:00").out


def test_two_sessions_of_one_day_and_one_plan(shed: Path) -> None:
    """One that overlaps another takes the place of it for those hours: nobody is there twice."""
    for said in ("sat 6 feb 9-13 2", "sat 6 feb 10-16", "sat 6 feb 9-13 3"):
        assert run("record", "extra", said, "--in", shed).code == 0
    ended = run("replan", shed, "--at", "2027-02-05T10:00", "--limit", "1")
    assert ended.code == 0, ended.err
    assert "WRONG" not in ended.out


def test_a_shortage_of_hands_is_told_once_with_the_ways_out(shed: Path) -> None:
    job = shed / "jobs" / f"{JOB_ID}.yaml"
    job.write_text(job.read_text().replace(", hands: 2}", "}"))
    ended = run("replan", shed, "--at", "2027-02-05T10:00", "--limit", "1")
    assert (ended.code, ended.err) == (1, "")
    assert "2 pairs of hands and no session has more than 1" in ended.out
    assert "knockon record extra" in ended.out
    assert "WRONG" not in ended.out


def test_of_several_steps_none_is_written_when_one_cannot_be(shed: Path) -> None:
    steps = json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]
    first = next(s["number"] for s in steps if "Switch everything off" in s["title"])
    several = work_up_to(shed, first + 5)
    before = (shed / LOG).read_bytes()
    ended = run("done", several, "--in", shed, "--at", "2027-02-06T10:30")
    assert ended.code == 1
    assert f"nothing was written of these {len(several.split(','))} steps" in ended.err
    assert "those before it can be: knockon done 1," in ended.err
    assert (shed / LOG).read_bytes() == before
    could = ended.err.rsplit("knockon done ", 1)[1].split()[0]
    assert run("done", could, "--in", shed, "--at", "2027-02-06T10:30").code == 0
    ended = run("done", "1", "--in", shed)
    assert ended.err.rstrip().endswith("nothing was written")
    ended = run("record", "arrived", "fluid", "fulid", "--in", shed)
    assert "nothing was written" in ended.err
    assert not any(e["sort"] == "arrived" for e in entries(shed))


def test_status_as_it_stood(shed: Path) -> None:
    for number, hour in (("1", "09:30"), ("2", "10:30")):
        assert run("done", number, "--in", shed, "--at", f"2027-02-06T{hour}").code == 0
    assert "2 steps done" in run("status", shed).out
    assert "1 steps done" in run("status", shed, "--at", "2027-02-06T10:00").out
    assert "1 steps done" in run("status", shed, "--at", "sat 6 feb 10:00").out
    ended = run("status", shed, "--at", "2026-12-01T10:00")
    assert (ended.code, ended.out) == (2, "")
    assert "was agreed by" in ended.err


def ticked(at: str, **what: str) -> str:
    return json.dumps({"v": 1, "at": f"2027-02-06T{at}", **what})


def test_a_check_that_was_signed_before_its_work_is_not_taken(shed: Path, tmp_path: Path) -> None:
    """Both come in one file of ticks, the check first by the clock; and of both the moments may be said by hand."""
    steps = json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]
    off = next(s["number"] for s in steps if "Switch everything off" in s["title"])
    keys = [s["key"] for s in steps if str(s["number"]) in work_up_to(shed, off).split(",")]
    signed = {"value": "battery-dead", "text": "0 yes", "by": "AB"}
    file = tmp_path / "ticks"
    file.write_text("\n".join([ticked("09:20", **signed), *(ticked("10:00", tick=k) for k in keys)]))
    ended = run("record", "ticks", file, "--in", shed)
    assert ended.code == 1
    assert "signed Sat 6 Feb 2027 09:20, before" in ended.err
    assert "was done at 10:00" in ended.err
    assert [e["sort"] for e in entries(shed)] == ["agreed", *["done"] * len(keys)]
    early = run("record", "check", "battery-dead", "0 yes", "--by", "AB", "--in", shed, "--at", "2027-02-06T09:59")
    assert early.code == 1
    assert "nothing was written" in early.err
    file.write_text(ticked("10:01", **signed))
    assert run("record", "ticks", file, "--in", shed).code == 0


def test_a_refused_tick_names_its_step_once(shed: Path, tmp_path: Path) -> None:
    steps = json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]
    check = next(s for s in steps if s["title"].startswith("Check: "))
    (tmp_path / "ticks").write_text(ticked("10:00", tick=check["key"]))
    ended = run("record", "ticks", tmp_path / "ticks", "--in", shed)
    assert ended.err.count(check["title"].removeprefix("Check: ")) == 1


def test_a_moment_a_year_off_is_told_or_cannot_be(shed: Path) -> None:
    """The plan is agreed by the clock, after 2024; the first step comes after nothing, later ones after others."""
    ended = run("done", "1", "--in", shed, "--at", "2024-02-06T10:00")
    assert ended.code == 0, ended.err
    assert "! Tue 6 Feb 2024 is" in ended.out
    assert "months before the plan was agreed" in ended.out
    assert "knockon undo 2" in ended.out
    assert run("undo", "2", "--in", shed).code == 0
    ended = run("done", "1", "--in", shed, "--at", "2049-02-06T10:00")
    assert "! Sat 6 Feb 2049 is" in ended.out
    assert "months after all that is in the log" in ended.out
    assert run("undo", "4", "--in", shed).code == 0
    told = run("done", "1,2,4", "--in", shed, "--at", "2027-02-06T10:00")
    assert told.code == 0, told.err
    assert "before the plan was agreed" not in told.out
    for check in ("battery-dead", "3"):
        reading = "0 yes" if check == "battery-dead" else "yes"
        ended = run("record", "check", check, reading, "--by", "AB", "--in", shed, "--at", "2027-02-06T10:00")
        assert ended.code == 0, ended.err
    refused = [run("done", str(n), "--in", shed, "--at", "2026-02-06T10:00").err for n in range(1, 30)]
    assert any("which it comes after, was done Sat 6 Feb 2027 10:00" in err for err in refused)


def test_a_job_that_has_been_begun_is_planned_from_its_last_work_on(shed: Path) -> None:
    assert run("done", "1", "--in", shed, "--at", "2027-02-06T10:30").code == 0
    with first_packing():
        ended = run("plan", shed, JOB_ID, "--short", "--from", "2027-01-09", "--limit", "1")
    assert ended.code == 0, ended.err
    assert "planned from Sat 6 Feb 2027 10:30 on" in ended.err
    assert "Jan 2027" not in ended.out


def test_what_is_here_is_not_written_twice_and_is_called_as_people_do(shed: Path) -> None:
    """The job buys `fluid`, brake fluid 1 l, and the new cylinder itself."""
    at = ("--in", shed, "--at", "2027-02-05T10:00")
    ended = run("record", "ordered", "rear-cylinder", "--due", "2027-02-08", *at)
    assert "ordered: rear-cylinder, expected" in ended.out
    assert run("record", "arrived", "fluid", *at).code == 0
    before = (shed / LOG).read_bytes()
    ended = run("record", "arrived", "fluid 1 l", *at)
    assert ended.code == 0, ended.err
    assert "brake fluid 1 l: here already by line 3" in ended.out
    assert (shed / LOG).read_bytes() == before


def test_fewer_hands_are_no_more_time(shed: Path) -> None:
    """Sundays have two pairs of hands from 14:00 to 18:00."""
    at = ("--in", shed, "--at", "2027-02-05T10:00")
    plan = log_book(shed).plan().plan
    day = next(s.day for s in plan.sessions if s.hands == 2)
    ended = run("record", "extra", f"{day} 14:00-18:00", "--hands", "1", *at)
    assert f"fewer hands: {day_words(day)} 14:00 to 18:00, 1 pair of hands instead of 2" in ended.out


def test_who_answers_a_letter_does_not_sign_the_next_look(shed: Path) -> None:
    at = ("--in", shed, "--at", "2027-02-06T10:30")
    assert run("done", isolating(shed), *at).code == 0
    assert run("record", "check", "3", "yes", "--by", "OFFICE", *at).code == 0
    ended = run("record", "check", "battery-dead", "0 yes", *at)
    assert ended.code == 2
    assert "signed by somebody" in ended.err
    assert run("record", "check", "battery-dead", "0 yes", "--by", "AB", *at).code == 0
