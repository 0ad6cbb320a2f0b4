"""Parts by the name that is printed for them: every verb that takes a part takes it, and guesses at a near miss."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from new_trial import piped
from shed import JOB_ID, VEHICLE, catalog_at_hand, run, shed_files, write_project
from worked_once import worked_once

from planner.cli.called import id_called, ids_called, near_to
from planner.cli.ending import Stop

NAMED = VEHICLE.replace("    kind: fuse-box\n", "    kind: fuse-box\n    name: old Bakelite fuses\n", 1)


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return write_project(tmp_path / "shed", shed_files(vehicle=NAMED))


@pytest.mark.parametrize("name", ["old Bakelite fuses", "OLD  bakelite-fuses", "fuse box", "Fuse_Box"])
def test_the_printed_name_is_as_good_as_the_id(shed: Path, name: str) -> None:
    for words in (("part",), ("moves", "--by", "0 2 0"), ("draw", "-o", "-", "--near")):
        verb, *options = words
        by_id, by_name = (
            run(verb, shed, *options, n) if verb == "draw" else run(verb, shed, n, *options) for n in ("fuse-box", name)
        )
        assert (by_id.code, by_name.code) == (0, 0), by_name.err
        assert by_name.out == by_id.out


def test_what_a_job_adds_goes_by_its_name_too(shed: Path) -> None:
    told = run("part", shed, "rear cylinder", JOB_ID, "--json")
    assert json.loads(told.out)["id"] == "rear-cylinder"
    assert "rear cylinder" in run("draw", shed, JOB_ID, "--near", "Rear cylinder", "-o", "-").out


def test_what_is_kept_and_bought_goes_by_the_words_on_the_lists(shed: Path) -> None:
    assert run("plan", shed, JOB_ID, "--quick", "--from", "2027-01-01", "--short", "--agree").code == 0
    about = [
        run("plan", shed, JOB_ID, "--quick", "--from", "2027-01-01", "--about", n).out
        for n in ("wiper-lever", "wiper lever")
    ]
    assert about[0].splitlines()[1:] == about[1].splitlines()[1:]
    for words in (
        ("kept", "old bakelite fuses", "a tin"),
        ("broken", "Old Bakelite fuses", "cracked"),
        ("photo", "fuse box", "1.jpg"),
        ("note", "rusty", "--of", "the engine bay"),
        ("arrived", "brake fluid 1 l"),
        ("ordered", "rear cylinder"),
    ):
        ended = run("record", *words, "--in", shed)
        assert ended.code == 0, ended.err
    log = [json.loads(line) for line in (shed / f"jobs/{JOB_ID}.log.jsonl").read_text().splitlines()]
    assert [e.get("of") or e.get("part") or e.get("buy") for e in log[1:]] == [
        "fuse-box",
        "fuse-box",
        "fuse-box",
        "the engine bay",
        "fluid",
        "buy:rear-cylinder",
    ]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("part", "bakelite fuse"), "did you mean `fuse-box`?"),
        (("moves", "old fuses"), "did you mean `fuse-box`?"),
        (("moves", "second cylindr"), "did you mean `second-cylinder`?"),
        (("draw", "--near", "old fuses"), "near to it: `fuse-box`"),
    ],
)
def test_a_near_miss_is_answered_with_what_may_be_meant(shed: Path, words: tuple[str, ...], told: str) -> None:
    ended = run(words[0], shed, *words[1:])
    assert (ended.code, ended.out) == (2, "")
    assert told in ended.err


@pytest.mark.parametrize("end", ["old Bakelite fuses", "Old bakelite fuses top", "fuse-box", "fuse box top"])
def test_a_new_link_and_a_new_job_take_the_names_too(shed: Path, end: str) -> None:
    words = ("--kind", "wire", "--from-part", end, "--to-part", "radiator")
    ended = piped("", "new", "link", shed, *words, "-n")
    assert ended.code == 0, ended.err
    assert "from: fuse-box" in ended.out
    asked = ("--do", "move", "--part", "Old Bakelite fuses", "--by", "0 9 0", "--when", "saturday 09:00-13:00")
    assert "part: fuse-box" in piped("", "new", "job", shed, "fuses aside", *asked, "-n").out


def test_two_things_of_one_name_are_not_guessed_between() -> None:
    names = {"tank-1": "fuel tank", "tank-2": "fuel tank", "fuel": "tank 1"}
    assert ids_called("tank 2", names) == ("tank-2",)
    assert ids_called("tank-1", names) == ("tank-1",)
    assert ids_called("tank 1", names) == ("tank-1", "fuel")
    assert ids_called(" ", names) == ()
    with pytest.raises(Stop, match="may be several"):
        id_called("fuel tank", names, "there is no part")
    assert near_to("fool tank", names)[:2] == ("tank-1", "tank-2")


def test_the_same_words_in_another_order_are_nearest() -> None:
    names = {"wheel-rear": "left back wheel", "steering-wheel": "steering wheel", "rear-wheels": "rear wheels"}
    assert near_to("rear-wheel", names)[0] == "wheel-rear"
    assert near_to("Back wheel left", names)[0] == "wheel-rear"
