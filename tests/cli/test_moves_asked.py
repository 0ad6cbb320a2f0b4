"""What can be asked on the command line without a job file, and what is refused and why."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import JOB_ID, VEHICLE, catalog_at_hand, first_packing, run, shed_files, write_project
from worked_once import worked_once


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return write_project(tmp_path, shed_files())


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("fuse-box", "--by", "0.4 0 -0.4"), "--by changes nothing"),
        (("fuse-box", "--to", "730 -150 560.3"), "--to changes nothing"),
        (("fuse-box", "--grow", "0 0 0"), "--grow changes nothing"),
        (("fuse-box", "--by", "0 20001 0"), "--by goes farther than 20 m"),
        (("fuse-box", "--to", "21 m, 0, 0"), "--to goes farther than 20 m"),
        (("fuse-box", "--grow", "0 0 90000"), "--grow goes farther than 20 m"),
        (("fuse-box", "--grow", "0 0 40", "--from", "left"), "--from: left is no side that it grows away from"),
        (("fuse-box", "--grow", "0 0 40", "--from", "below"), "--from: below is no side that it grows away from"),
        (("fuse-box", "--grow", "0 0 40", "--from", "top bottom"), "two sides across from each other cannot both stay"),
        (("fuse-box", "--by", "0 0 40", "--from", "bottom"), "--from goes with --grow"),
        ((JOB_ID, "--from", "bottom"), "--by, --to, --onto, --grow, --from and --off go with a component"),
        (("bulkhead", "--off"), "`bulkhead` never comes off: its freedom is `stays`"),
        (("header-fill-hose", "--off"), "`header-fill-hose` is a link; only components can be moved"),
        (("fuse-bx", "--off"), "did you mean `fuse-box`?"),
        (("zebra",), "jobs of this project: second-cylinder"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_words(asked: tuple[str, ...], told: str, shed: Path) -> None:
    ended = run("moves", shed, *asked)
    assert (ended.code, ended.out) == (2, "")
    assert told in ended.err


def test_a_part_grows_from_the_side_that_is_named(shed: Path) -> None:
    told = run("moves", shed, "fuse-box", "--grow", "0 0 40", "--from", "bottom", "--json")
    assert (told.code, told.err) == (0, "")
    assert [e["kind"] for e in json.loads(told.out)["effects"]][:1] == ["grows"]
    assert "from its bottom" in run("moves", shed, "fuse-box", "--grow", "0 0 40", "--from", "bottom").out


def test_half_a_millimetre_is_a_change(shed: Path) -> None:
    assert run("moves", shed, "fuse-box", "--by", "0 0 0.5").code == 0


def test_a_part_that_stays_may_still_be_asked_to_move(shed: Path) -> None:
    assert "never comes off" not in run("moves", shed, "bulkhead", "--by", "5 0 0").err


SUNK = VEHICLE.replace("at: [730, -150, 560]", "at: [745, -150, 560]")
"""The fuse box stands 9 mm deep in the bulkhead."""


def test_a_vehicle_with_faults_is_taken_as_it_is_and_says_so(tmp_path: Path) -> None:
    sunk = write_project(tmp_path, shed_files(vehicle=SUNK))
    line = "as it stands the vehicle has 1 fault (`knockon check`); it is taken as it is"
    for words in (("moves", sunk, JOB_ID), ("plan", sunk, JOB_ID, "--from", "2027-01-09")):
        with first_packing():
            ended = run(*words)
            assert line in " ".join(ended.out.split()), words
            assert '"faults_at_start": 1,' in run(*words, "--json").out


def test_a_sound_vehicle_is_not_spoken_of(shed: Path) -> None:
    assert "as it stands" not in run("moves", shed, JOB_ID).out
    assert '"faults_at_start": 0,' in run("moves", shed, JOB_ID, "--json").out


HOSE_THROUGH = VEHICLE.replace("to: radiator.top\n", "to: radiator.top\n    via: [[800, 150, 600], [800, 300, 600]]\n")
OVERLAPPING = VEHICLE.replace("at: [28.4 in, 150, 560 +/- 5]", "at: [28.4 in, -100, 560]")
HOSE_CLOSE = VEHICLE.replace(
    "    solids: [{box: [50, 120, 80]}]\n", "    solids: [{box: [50, 120, 80]}]\n    keep_clear: 400\n"
)


@pytest.mark.parametrize(
    ("vehicle", "hint"),
    [
        (HOSE_THROUGH, "name `bulkhead` under `passes`"),
        (SUNK, "write in the block of `fuse-box`: where it need not be free in use"),
        (OVERLAPPING, "name `fuse-box` under `touches`"),
    ],
)
def test_the_hint_names_the_key_that_can_be_written(vehicle: str, hint: str, tmp_path: Path) -> None:
    ended = run("check", write_project(tmp_path, shed_files(vehicle=vehicle)))
    assert ended.code == 1
    assert hint in ended.out


@pytest.mark.parametrize(
    ("through", "passable"),
    [("bracket", True), ("switch-panel", True), ("fuse-box", False), ("engine-mount", False), ("washer-bottle", False)],
)
def test_a_hose_is_led_round_what_nothing_goes_through(through: str, *, passable: bool, tmp_path: Path) -> None:
    """First of all its run is asked about; `passes` is for sheet and frame, where a hole with a grommet can be."""
    led = VEHICLE.replace(
        "to: radiator.top\n", "to: radiator.top\n    passes: [bulkhead]\n    via: [[730, -150, 560]]\n"
    )
    text = led.replace("    kind: fuse-box\n", f"    kind: {through}\n")
    out = " ".join(run("check", write_project(tmp_path, shed_files(vehicle=text))).out.split())
    assert "runs through" in out
    assert "move its run: measure the points it goes by again" in out
    assert ("name `fuse-box` under `passes`" in out) is passable
    assert ("nothing is led through" in out) is not passable


def test_what_is_too_close_is_let_be_by_the_key_that_the_hint_writes(tmp_path: Path) -> None:
    project = write_project(tmp_path, shed_files(vehicle=HOSE_CLOSE))
    told = re.search(
        r"write `(near: \{fuse-box: \d+ mm\})` in the block\s+of `header-fill-hose`", run("check", project).out
    )
    assert told is not None
    (project / "vehicle.yaml").write_text(
        HOSE_CLOSE.replace("to: radiator.top\n", f"to: radiator.top\n    {told[1]}\n"), encoding="utf-8"
    )
    assert "header-fill-hose" not in run("check", project).out.replace("components", "")


def test_no_hint_tells_of_a_verb_there_is_not(tmp_path: Path) -> None:
    (tmp_path / "vehicle.yaml").write_text("# nothing\n", encoding="utf-8")
    told = run("check", tmp_path)
    assert "or begin with `knockon new FOLDER`" in told.out + told.err
    assert run("new", "--help").code == 0
