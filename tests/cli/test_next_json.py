"""`next --json` says the same as `next`: the same step first, the same word to stop."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from shed import agreed_project, catalog_at_hand, fine, isolating, run
from test_ready import LOWER, SPIN, shop
from worked_once import worked_once

from planner.cli.ahead import ahead_of
from planner.log import lacks_of
from planner.log.fold import fold
from planner.model.log import DoneLine


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "300")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with catalog_at_hand():
        return agreed_project(tmp_path_factory.mktemp("agreed") / "shed")


@pytest.fixture
def shed(agreed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed, tmp_path / "shed"))


def both(folder: Path) -> tuple[str, dict[str, Any]]:
    return fine(run("next", folder, "-n", "3")), json.loads(fine(run("next", folder, "-n", "3", "--json")))


def told_first(out: str) -> int:
    """The step that the page tells whole: what to type when it is done."""
    return int(re.findall(r"then: knockon (?:done|record check) (\d+)", out)[0])


def do(folder: Path, out: str) -> None:
    """Do as the page says; a check passes."""
    step = str(told_first(out))
    signed = ("record", "check", step, "yes", "--by", "ME")
    verb = signed if f"then: knockon record check {step}" in out else ("done", step)
    fine(run(*verb, "--in", folder, "--at", "2027-01-09T09:15"))


def test_the_step_that_can_be_done_comes_first_in_both(shed: Path) -> None:
    """The first steps of the plan done but for one in between: what waits is not first although its number is."""
    for _ in range(4):
        out, data = both(shed)
        first = data["steps"][0]
        assert (first["number"], first["waits_for"]) == (told_first(out), [])
        assert len({s["number"] for s in data["steps"]}) == 3
        do(shed, out)


def test_a_step_that_waits_does_not_lead_the_list() -> None:
    """Lowered too early: turning the wheels and the look at the pipe wait for the stands, sweeping does not."""
    agreed = shop()
    lowered = DoneLine(n=1, key=LOWER, guess_min=5, work="planning")
    book = SimpleNamespace(plan=lambda: agreed, standing=fold([lowered], agreed.basis), over=lambda: False)
    ahead = ahead_of(book, 3)
    assert ahead.keys[0] == SPIN
    assert [bool(lacks_of(agreed, book.standing, k)) for k in ahead.keys] == [True, True, False, False]
    assert (ahead.ready, ahead.told) == ("sweep", ("sweep", SPIN, "look"))


def test_a_failed_check_stops_in_both(shed: Path) -> None:
    fine(run("done", isolating(shed), "--in", shed, "--at", "2027-01-09T09:15"))
    out, data = both(shed)
    assert (data["stop"], data["prove_first"], "STOP" in out) == ("", ["battery-dead"], False)
    fine(run("record", "check", "battery-dead", "12,4", "--in", shed, "--by", "ME", "--at", "2027-01-09T09:30"))
    out, data = both(shed)
    [line] = [told for told in out.splitlines() if told.startswith("STOP: ")]
    assert data["stop"] == line.removeprefix("STOP: ")
    assert "12,4 failed" in data["stop"]
    fine(run("record", "check", "battery-dead", "0 yes", "--in", shed, "--by", "ME", "--at", "2027-01-09T09:40"))
    out, data = both(shed)
    assert (data["stop"], data["prove_first"], "STOP" in out) == ("", [], False)
    assert data["steps"][0]["number"] == told_first(out)
