"""`knockon part`: one part on one screen."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import JOB_ID, VEHICLE, catalog_at_hand, run, shed_files, write_project


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand():
        yield


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return write_project(tmp_path, shed_files())


def rows(text: str) -> dict[str, str]:
    """The screen by the words at its left, the lines under them joined."""
    found: dict[str, str] = {}
    left = ""
    for line in text.split("\n")[1:]:
        if not line:
            break
        left = line[:13].strip() or left
        found[left] = f"{found.get(left, '')} {line[13:].strip()}".strip()
    return found


def test_a_part_with_all_that_is_known(shed: Path) -> None:
    ended = run("part", shed, "header-tank")
    assert (ended.code, ended.err) == (0, "")
    told = rows(ended.out)
    assert ended.out.startswith("header tank (header-tank)")
    # 28.4 in is 721.36 mm; 70 deep, 160 wide, 5 1/4 in (133.35 mm) high
    assert told["where"].startswith("x 686.4 mm to 756.4 mm, y 70 mm to 230 mm, z 493.3 mm to 626.7 mm")
    assert told["held by"] == "bulkhead"
    assert told["joined by"] == "header fill hose (to radiator)"
    # to the left it would go 280 mm, its own 160 and a hand: the fuse box stands 160 mm off
    assert told["comes out"] == (
        "up, forwards, right or down: nothing in the way left: after fuse box not rearwards: bulkhead never comes off"
    )
    assert told["off first"] == "nothing else"
    assert "opens cooling" in told["needs"]
    assert "scalds" in told["take care"]


def test_what_stands_in_the_way_and_in_the_room(tmp_path: Path) -> None:
    boxed = VEHICLE.replace(
        "  wiper-lever:",
        "  shelf:\n    kind: bracket\n    at: [730, -150, 620]\n    solids: [{box: [56, 130, 4]}]\n"
        "    mounted_on: bulkhead\n    freedom: comes off\n    off: 5 min\n    on: 10 min\n  wiper-lever:",
    ).replace("at: [730, -150, 560]\n", "at: [730, -150, 560]\n    way_out: [up, [30 mm down, forwards]]\n")
    boxed = boxed.replace(
        "solids: [{box: [50, 120, 80]}]",
        "solids: [{box: [50, 120, 80]}]\n    rooms: [{name: lid, side: up, depth: 40, needed: always}]",
    )
    told = rows(run("part", write_project(tmp_path, shed_files(vehicle=boxed)), "fuse-box").out)
    assert told["comes out"] == (
        "30 mm down, then forwards (as its file says): nothing in the way up (as its file says): after shelf"
    )
    assert told["rooms"] == "lid: shelf in it"


def test_the_new_home_as_well(shed: Path) -> None:
    ended = run("part", shed, "wiper-lever", JOB_ID)
    assert ended.code == 0, ended.err
    before, after = ended.out.split("\n\n")
    assert "as it stands" in before
    assert "when it is done: A second brake cylinder" in after
    assert rows(after)["the job"] == "wiper lever moves 40 mm left"
    assert "y -446 mm to -434 mm" in after
    new = run("part", shed, "rear-cylinder", JOB_ID)
    assert "is added on bulkhead" in new.out
    assert run("part", shed, "rear-cylinder").code == 2


def test_a_link(shed: Path) -> None:
    told = rows(run("part", shed, "header-fill-hose").out)
    assert told["joins"] == "header tank (out) and radiator (top)"
    # (721.36, 150, 494) to (80, 150, 420)
    assert told["run"].startswith("645.6 mm as drawn")
    assert "opens cooling" in told["needs"]


def test_an_unknown_part_in_one_line(shed: Path) -> None:
    ended = run("part", shed, "header-tnk")
    assert (ended.code, ended.out) == (2, "")
    assert ended.err.splitlines() == [
        "knockon: there is no component and no link `header-tnk`",
        "hint: did you mean `header-tank` or `header-fill-hose`?",
    ]


def test_the_same_as_json(shed: Path) -> None:
    ended = run("part", shed, "header-tank", JOB_ID, "--json")
    told = json.loads(ended.out)
    assert (told["schema"], told["id"]) == (1, "header-tank")
    assert len(told["states"]) == 2
    now = told["states"][0]
    assert now["mounted_on"] == "bulkhead"
    assert {way["legs"][0]["direction"] for way in now["ways"]} == {"up", "down", "left", "right", "forwards"}
    assert now["shut"] == [{"legs": [{"direction": "rearwards", "mm": None}], "after": ["bulkhead"], "stated": False}]
    assert now["neighbours"] == sorted(now["neighbours"], key=lambda n: n["gap_mm"])
    link = json.loads(run("part", shed, "header-fill-hose", "--json").out)
    assert link["states"][0]["ends"][0] == {"part": "header-tank", "port": "out"}
