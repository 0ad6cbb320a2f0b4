"""The cut list: `moves --runs`, the line at each link, JSON, and the notes of the plan."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import JOB_ID, catalog_at_hand, run, shed_files, write_project

BENT = """\
knockon: 1
name: Tank higher up
start: 2027-01-09
hour_worth: 18
currency: GBP
changes:
  - {do: move, part: header-tank, by: [0, 0, 90]}
  - do: add
    part: tool-tray
    component:
      kind: bracket
      at: [400, 150, 500]
      solids: [{box: [120, 300, 60]}]
      mounted_on: bulkhead
      keep_clear: 10
sessions:
  - {every: saturday, from: "09:00", to: "13:00"}
  - {every: sunday, from: "14:00", to: "18:00", hands: 2}
"""


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand():
        yield


def asked(folder: Path, verb: str, *options: str) -> str:
    ended = run(verb, write_project(folder, shed_files(job=BENT)), JOB_ID, *options)
    assert ended.code == 0, ended.err
    return ended.out


def test_the_cut_list_says_what_is_cut_where_it_goes_and_how_good_it_is(tmp_path: Path) -> None:
    told = " ".join(asked(tmp_path, "moves", "--runs").split())
    assert "cut list" in told
    assert "header fill hose" in told
    assert "corner to corner from the first end" in told
    assert "shorter at most" in told
    assert "hose clip over the bead of the spigot" in told


def test_the_same_numbers_stand_in_json_in_the_effect_and_in_the_plan(tmp_path: Path) -> None:
    found = json.loads(asked(tmp_path, "moves", "--json"))
    made = found["runs"]["header-fill-hose"]
    [effect] = [e for e in found["effects"] if e["id"] == "made anew:header-fill-hose"]
    assert effect["text"].startswith(f"header fill hose is made anew: {round(made['cut_mm'])} mm of coolant hose")
    assert made["points_mm"][0] == pytest.approx([721.4, 150.0, 584.0], abs=0.3)
    assert made["no_clear_run_below_mm"] <= made["length_mm"] == made["cut_mm"]
    steps = json.loads(asked(tmp_path, "plan", "--json", "--from", "2027-01-09"))["sessions"]
    notes = [s["notes"] for session in steps for s in session["steps"] if s["notes"]]
    assert notes == [made["cut_list"]]


def test_nothing_made_anew_says_so(tmp_path: Path) -> None:
    project = write_project(tmp_path, shed_files(job=BENT))
    ended = run("moves", project, "wiper-lever", "--off", "--runs")
    assert ended.code == 0
    assert "No link is made anew" in ended.out
