"""What a job leaves open when it is adopted early goes over to the vehicle, and holds the road until it is signed.

Every check of the job that nobody passed has to be found again in the file, in `check`, and in the next job's plan.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from shed import JOB_ID, agreed_project, catalog, catalog_at_hand, fine, first_packing, run
from worked_once import worked_once

from planner.cli.logbook import log_book
from planner.knockon import find_knockons
from planner.log import append_after, lacks_of
from planner.log.left_open import left_open, proved_since
from planner.model.log import SignedLine, Verdict
from planner.model.words import FIRST_MOVE, FIRST_START, ROAD_TEST
from planner.shelf import load_job, load_vehicle
from planner.verify import check_gates
from planner.work import work_for

NEXT = """\
knockon: 1
name: Fuse box up
start: 2027-03-06
changes:
  - {do: take-off, part: fuse-box}
sessions:
  - {every: saturday, from: "09:00", to: "13:00", hands: 2}
  - {every: sunday, from: "09:00", to: "18:00", hands: 2}
"""
WEEPS = "weeps at the front nut"
SIGN = ("--by", "JK", "--in")


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "2000")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), first_packing(), worked_once():
        yield


@pytest.fixture(scope="module")
def adopted_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with catalog_at_hand(), first_packing():
        folder = agreed_project(tmp_path_factory.mktemp("adopted") / "shed")
        fine(run("record", "check", "brake-leak", "--failed", WEEPS, *SIGN, folder))
        told = fine(run("adopt", folder, JOB_ID, "--yes", "--early", "winter is over"))
        assert "every plan of this vehicle holds the road until each is signed" in told
        (folder / "jobs" / "next.yaml").write_text(NEXT)
    return folder


@pytest.fixture
def shed(adopted_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(adopted_once, tmp_path / "shed"))


def owed(folder: Path) -> set[str]:
    """Ids under `to_prove` in the vehicle's file."""
    vehicle, findings = load_vehicle(folder, catalog())
    assert vehicle is not None, findings
    return set(vehicle.to_prove)


def warned(folder: Path) -> set[str]:
    """What `check` says is not for the road."""
    found = json.loads(run("check", folder, "--json").out)["findings"]
    return {f["message"] for f in found if f["code"] == "left-open"}


def test_every_check_that_is_not_passed_is_in_the_file_and_told(shed: Path) -> None:
    book = log_book(shed, JOB_ID)
    once = {c.replace(".", "-") for c, p in book.plan().work.checkpoints.items() if not p.each_time}
    assert owed(shed) == {*once, f"work-of-{JOB_ID}"}
    assert len(warned(shed)) == len(owed(shed))
    assert any(WEEPS in text for text in warned(shed))
    told = fine(run("next", shed, JOB_ID))
    assert f"STOP: {len(owed(shed))} things are open on the vehicle" in told
    assert "It is over" not in told


def test_the_next_job_has_each_as_a_check_that_holds_the_road(shed: Path) -> None:
    fine(run("plan", shed, "next", "--quick", "--from", "2027-03-01", "--short", "--agree"))
    book = log_book(shed, "next")
    points = book.plan().work.checkpoints
    assert {f"open-{i}" for i in owed(shed)} <= points.keys()
    ended = run("status", shed, "next", "--road", "--json")
    road = " ".join(o["text"] for o in json.loads(ended.out)["road"]["road"]["open"])
    assert all(points[f"open-{i}"].title in road for i in owed(shed))
    refused = run("record", "needless", "check.open-brake-leak", "it is dry", "--in", shed, "--job", "next")
    assert refused.code == 2


def test_the_checker_asks_for_each_by_itself(shed: Path) -> None:
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    job, _ = load_job(shed, "next", vehicle, catalog())
    assert job is not None
    found = find_knockons(vehicle, job, catalog())
    work = work_for(vehicle, job, found, catalog())
    assert check_gates(vehicle, found, work, catalog(), job=job) == ()
    less = {i: c for i, c in work.checkpoints.items() if i != "open-brake-leak"}
    told = check_gates(vehicle, found, replace(work, checkpoints=less), catalog(), job=job)
    assert "`brake-leak` was left open by an earlier job and is no check of this one" in told
    gates = {g: replace(work.tasks[g], after=()) for g in (FIRST_START, FIRST_MOVE, ROAD_TEST)}
    loose = {i: replace(c, blocked=()) for i, c in work.checkpoints.items()}
    free = replace(work, tasks={**work.tasks, **gates}, checkpoints=loose)
    told = check_gates(vehicle, found, free, catalog(), job=job)
    assert any("does not hold back" in t and "open-brake-leak" in t for t in told)


def test_signed_in_the_job_that_left_it_it_is_open_no_more(shed: Path) -> None:
    before, book = warned(shed), log_book(shed, JOB_ID)
    ready = [
        c
        for c in sorted(owed(shed) & book.plan().work.checkpoints.keys())
        if not lacks_of(book.plan(), book.standing, f"check.{c}")
    ]
    told = fine(run("record", "check", ready[0], "yes", *SIGN, shed, "--job", JOB_ID))
    assert "is over; of what was left open on the vehicle" in told
    assert len(before) - len(warned(shed)) == 1
    fine(run("plan", shed, "next", "--quick", "--from", "2027-03-01", "--short", "--agree"))
    assert f"open-{ready[0]}" not in log_book(shed, "next").plan().work.checkpoints
    refused = run("record", "check", "brake-leak", "yes", *SIGN, shed, "--job", JOB_ID)
    assert "cannot be signed before" in refused.err
    assert any(WEEPS in text for text in warned(shed))


def test_what_the_next_job_signs_goes_out_of_the_file_and_the_rest_stays(shed: Path) -> None:
    before = owed(shed)
    fine(run("plan", shed, "next", "--quick", "--from", "2027-03-01", "--short", "--agree"))
    line = {
        "sort": "signed",
        "checkpoint": "open-brake-leak",
        "key": "check.open-brake-leak",
        "verdict": "passed",
        "limit": "dry",
        "text": "yes",
        "by": "JK",
    }
    append_after(log_book(shed, "next").path, lambda _: [line], at="2027-03-07T12:00:00")
    fine(run("adopt", shed, "next", "--yes", "--early", "once more"))
    after = owed(shed)
    assert "brake-leak" not in after
    assert before - {"brake-leak"} <= after


def test_with_nothing_open_nothing_is_written(shed: Path) -> None:
    book = log_book(shed, JOB_ID)
    agreed = book.plan()
    lines = {
        c: SignedLine(n=n, checkpoint=c, key="", verdict=Verdict.PASSED, limit="")
        for n, c in enumerate(agreed.work.checkpoints)
    }
    goals = {f.id: f.goal for f in agreed.work.features.values() if f.goal is not None}
    done = replace(book.standing, signed=lines, finished=frozenset(agreed.work.tasks), states=goals, reopened={})
    assert left_open(agreed, done) == ()
    assert [o.id for o in left_open(agreed, replace(done, states={}))] == [f"work-of-{JOB_ID}"]


def test_of_several_checks_of_one_rule_each_is_signed_for_itself(shed: Path) -> None:
    book = log_book(shed, JOB_ID)
    known = book.plan()
    look = next(p for p in known.work.checkpoints.values() if p.rule == "weld-look")
    other = replace(look, id="weld-look.other", title="Weld looked at: another one")
    two = replace(known, work=replace(known.work, checkpoints={**known.work.checkpoints, other.id: other}))
    of_look, of_other = (o for o in left_open(two, book.standing) if o.check == "weld-look")
    line = SignedLine(checkpoint=look.id, key=f"check.{look.id}", verdict=Verdict.PASSED, limit="", text="0", by="JK")
    signed = replace(book.standing, signed={look.id: line})
    assert proved_since(of_look, two, signed)
    assert not proved_since(of_other, two, signed)
    assert not proved_since(of_look, two, book.standing)
