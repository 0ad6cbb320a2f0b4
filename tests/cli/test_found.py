"""`knockon record found`: what a mending does is told by option or asked, and the next plan keeps whoever does it."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from io import StringIO
from pathlib import Path
from unittest.mock import patch

import pytest
from shed import JOB_ID, agreed_project, catalog_at_hand, fine, first_packing, run
from worked_once import worked_once

from planner.cli.doing import lines_for
from planner.cli.ending import Stop
from planner.cli.logbook import log_book
from planner.model.job import Job
from planner.model.standing import Standing
from planner.model.steps import mending_id
from planner.model.words import Work
from planner.work import amended

LOG = f"jobs/{JOB_ID}.log.jsonl"
WHEN = ("--at", "2027-02-04T10:00")


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with catalog_at_hand(), first_packing():
        return agreed_project(tmp_path_factory.mktemp("found") / "shed")


@pytest.fixture
def shed(agreed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed, tmp_path / "shed"))


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def found(folder: Path, title: str, *words: str) -> str:
    ended = run("record", "found", title, *words, "--in", folder, *WHEN)
    assert ended.code == 0, ended.err
    return ended.out


def refused(folder: Path, title: str, *words: str) -> str:
    before = (folder / LOG).read_bytes()
    ended = run("record", "found", title, *words, "--in", folder, *WHEN)
    assert ended.code == 2
    assert (folder / LOG).read_bytes() == before
    return ended.err


def last(folder: Path) -> dict[str, object]:
    line: dict[str, object] = json.loads((folder / LOG).read_text().splitlines()[-1])
    return {k: v for k, v in line.items() if k not in {"v", "n", "at", "sort", "id", "title"}}


def test_options_say_what_it_does_and_where(shed: Path) -> None:
    told = found(
        shed, "Patch", "--does", "weld,drill", "--on", "slot", "--spot", "760 100 560", "--before", "header-tank"
    )
    assert last(shed) == {
        "minutes": 30,
        "hands": 2,
        "before": ["header-tank"],
        "does": ["weld", "cut"],
        "on": "bulkhead",
        "spot_mm": [760.0, 100.0, 560.0],
    }
    assert "fuel is made safe, somebody watches for fire" in told
    assert "! What carries load is not cut or welded on a guess" in told


@pytest.mark.parametrize(
    ("word", "deed"),
    [("Heat", "weld"), ("drilling", "cut"), ("none", "plain"), ("no", "plain"), ("not sure", "not said")]
)  # fmt: skip
def test_people_say_it_in_their_own_words(shed: Path, word: str, deed: str) -> None:
    found(shed, "Rust", "--does", word, "--on", "fuse-box")
    assert last(shed)["does"] == [deed]


def test_nobody_asked_at_a_pipe_it_is_said_and_the_title_is_heard(shed: Path) -> None:
    told = found(shed, "Weld the lug", "--on", "fuse-box")
    assert last(shed)["does"] == ["weld", "not said"]
    assert "nobody said what the mending does" in told
    assert "somebody watches for fire" in told
    found(shed, "Loose lug", "--on", "fuse-box")
    assert last(shed)["does"] == ["not said"]


def test_a_person_is_asked(shed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A slip is asked again; the part is larger than heat reaches, so its spot is asked for as well."""
    answers = ("fly", "weld, open", "bulkhead", "cooling", "radiator", "760 300 600")
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join(answers) + "\n"))
    told = found(shed, "Rust")
    assert "`fly` is nothing that a mending does" in told
    for asked in (
        "what does the mending do",
        "at which part or link",
        "which circuit",
        "before which",
        "where on bulkhead",
    ):
        assert asked in told
    line = last(shed)
    assert (line["does"], line["opens"], line["before"]) == (["weld", "open"], ["cooling"], ["radiator"])
    assert line["spot_mm"] == [760.0, 300.0, 600.0]


def test_a_person_who_says_it_by_option_is_asked_nothing(shed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal(""))
    found(shed, "Rust", "--does", "grind")
    assert last(shed) == {"minutes": 30, "does": ["grind"]}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--does", "fly"), "`fly` is nothing that a mending does"),
        (("--does", "plain,weld"), "plain work does none of the others"),
        (("--does", "open"), "nobody said which"),
        (("--opens", "gearbox"), "no circuit is called `gearbox`"),
        (("--does", "weld", "--on", "paint-slot"), "is no part or link"),
        (("--does", "weld", "--on", "bulkhead", "--spot", "760 100 2000"), "mm from bulkhead"),
        (("--does", "weld", "--on", "bulkhead", "--spot", "760 100"), "--spot"),
        (("--does", "weld", "--on", "bulkhead", "--off", "bulkhead"), "`bulkhead` never comes off"),
        (("--does", "weld", "--after", "road-test"), "a mending does not come after road-test"),
    ],
)
def test_what_cannot_be_meant_is_not_written(shed: Path, words: tuple[str, ...], told: str) -> None:
    assert told in refused(shed, "Rust", *words)


def test_a_check_may_be_what_it_comes_before(shed: Path) -> None:
    steps = json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]
    number = next(str(s["number"]) for s in steps if s["key"].startswith("check.bulkhead-sealed"))
    found(shed, "Rust", "--does", "plain", "--before", number)
    assert last(shed)["before"] == ["check.bulkhead-sealed"]


def test_a_part_that_is_off_is_mended_at_the_bench(shed: Path) -> None:
    """One pair of hands is enough there; the vehicle's fuel is not spoken of."""
    told = found(shed, "Braze the seam", "--does", "weld", "--on", "header-tank", "--off", "header-tank")
    assert "hands" not in last(shed)
    assert "fuel is made safe" not in told


def test_until_it_is_planned_it_is_told_and_holds_the_vehicle_back(shed: Path) -> None:
    found(shed, "Weld the crack", "--does", "weld", "--on", "fuse-box")
    assert "not in the plan yet: found: Weld the crack (30 min, welds or heats, at fuse-box)" in run("next", shed).out
    assert "welds or heats, at fuse-box): not in the plan yet, replan" in run("status", shed).out
    assert "found: Weld the crack (30 min, welds or heats" in run("status", shed, "--road").out


def test_the_plan_has_states_order_cautions_and_the_look_at_it(shed: Path) -> None:
    """29 CFR 1910.252(a)(2): battery, fuel and fire watch before it, half an hour after it; refitted only then."""
    found(
        shed, "Weld the crack", "--does", "weld,under", "--on", "bulkhead", "--spot", "760 300 600",
        "--before", "header-tank",
    )  # fmt: skip
    with first_packing():
        ended = run("replan", shed, JOB_ID, *WHEN, "--agree")
    assert ended.code == 0, ended.out
    steps = json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]
    place = {s["key"]: n for n, s in enumerate(steps)}
    (mend,) = [s for s in steps if s["title"] == "Weld the crack"]
    here = place[mend["key"]]
    assert mend["checkpoints"] == ["fire-watch"]
    assert any("watch for 30 min" in c for c in mend["cautions"])
    for title in ("Switch everything off", "Unplug the alternator", "Clear everything that burns", "Chock the wheels"):
        assert any(s["title"].startswith(title) for s in steps[:here]), title
    fitted = next(n for n, s in enumerate(steps) if s["title"].startswith("Fit header tank"))
    assert here < fitted
    look = next(n for n, s in enumerate(steps) if "mended-look" in s["checkpoints"])
    road = next(n for n, s in enumerate(steps) if s["title"].startswith("Road test"))
    assert here < look < road
    status = run("status", shed).out
    assert "Weld the crack (30 min, welds or heats, under the vehicle, at bulkhead): to do" in status
    assert "! Extinguisher and water at hand" in status


def test_a_plan_that_lost_what_was_found_is_not_accepted(shed: Path) -> None:
    found(shed, "Weld the crack", "--does", "weld", "--on", "fuse-box")

    def forgetful(job: Job, standing: Standing, now: datetime, setup_min: int) -> Job:
        return amended(job, replace(standing, found=()), now, setup_min)

    with first_packing(), patch("planner.work.amended", forgetful):
        ended = run("replan", shed, JOB_ID, *WHEN, "--agree")
    assert ended.code != 0
    assert "was found (Weld the crack) and the job does not know of it" in ended.out


def test_what_broke_is_told_by_the_name_it_is_bought_under(shed: Path) -> None:
    told = fine(run("record", "broken", "header-tank", "dropped", "--days", "6", "--in", shed, *WHEN))
    name = str(json.loads((shed / LOG).read_text().splitlines()[-1])["id"])
    assert name.startswith("mend-")
    assert f"knockon record ordered {name}" in told
    assert f"knockon record arrived {name}" in told
    assert "as if nothing was to be bought" in fine(run("record", "broken", "header-tank", "bent", "--in", shed, *WHEN))


def test_a_step_that_put_right_what_failed_and_is_no_more_is_told_by_its_title(shed: Path) -> None:
    book = log_book(shed, JOB_ID)
    known = book.plan()
    trial = next(t for t in known.work.tasks.values() if t.work is Work.TRIAL_FIT)
    gone = mending_id(trial.id, 1)
    book = replace(book, agreed=replace(known, named={**known.named, gone: 999}))
    with pytest.raises(Stop) as stopped:
        lines_for(book, gone, "")
    assert f"999 Put right what failed: {trial.title} is no step any more" in str(stopped.value)
    assert gone not in str(stopped.value)


def test_plain_work_at_a_wet_part_says_that_nothing_is_opened(shed: Path) -> None:
    """A joint that nobody said was undone would be neither filled nor bled (common practice, no published source)."""
    told = found(shed, "Turn its hose clip", "--does", "plain", "--on", "header-tank")
    assert "if a joint of cooling is undone" in told
    assert "--opens cooling" in told
    assert "a joint of" not in found(shed, "Turn its screw", "--does", "plain", "--on", "fuse-box")


def test_the_same_found_twice_is_told(shed: Path) -> None:
    assert "says the same" not in found(shed, "Crack beside the shelf", "--does", "weld", "--on", "bulkhead")
    told = found(shed, "crack beside the  shelf", "--does", "weld", "--on", "bulkhead")
    assert "! line 2 says the same" in told
    assert "says the same" not in found(shed, "Crack beside the shelf", "--does", "weld", "--on", "header-tank")


def test_what_is_off_is_called_by_its_name(shed: Path) -> None:
    features = log_book(shed, JOB_ID).plan().work.features
    off = "header-tank:off#1"
    fine(run("done", off, "--anyway", "to try", "--in", shed, *WHEN))
    told = fine(run("status", shed)).split("off now")[1]
    assert "header tank" in told.split("\n\n")[0]
    assert features["header-tank"].name == "header tank fitted"
