"""`knockon measure` as a whole: what it prints, that it tries without writing, and how it refuses."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import JOB, JOB_ID, VEHICLE, catalog_at_hand, read_project, run, shed_files, write_project
from worked_once import worked_once

from planner.shelf import load_catalog
from planner.shelf.draft import Draft, draft_of

TANK = "at: [28.4 in, 150, 560 +/- 5]"


@pytest.fixture(autouse=True)
def quick_and_plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "110")
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    with catalog_at_hand(), worked_once():
        yield


def shed(folder: Path, tank: str = TANK, job: str = JOB) -> Path:
    assert TANK in VEHICLE
    return write_project(folder, shed_files(vehicle=VEHICLE.replace(TANK, tank), job=job))


def draft(folder: Path) -> Draft:
    return draft_of(folder, JOB_ID, load_catalog()[0])


def test_sizes_have_names_values_and_doubts(tmp_path: Path) -> None:
    sizes = {s.name: s for s in draft(shed(tmp_path)).sizes}
    assert (sizes["header-tank.at.z"].mm, sizes["header-tank.at.z"].doubt_mm, sizes["header-tank.at.z"].said) == (
        560,
        5,
        True,
    )
    assert (sizes["header-tank.at.x"].mm, sizes["header-tank.at.x"].said) == (pytest.approx(28.4 * 25.4), False)
    assert sizes["header-tank.at.x"].doubt_mm == 3
    assert sizes["header-tank.box.z"].mm == pytest.approx(5.25 * 25.4)
    assert sizes["bulkhead.box.x"].doubt_mm == pytest.approx(0.2), "nobody misreads a 2 mm sheet by 3 mm"
    assert sizes["wiper-lever.tube.through.2.z"].mm == 100
    assert sizes["wiper-lever.tube.across"].doubt_mm == pytest.approx(1.2)
    assert "rear-cylinder.at.x" not in sizes, "the job's own parts are drawn, and as sure as drawn"
    assert "rear-cylinder.at.x" in draft(shed(tmp_path)).names


def test_a_new_part_may_be_in_doubt(tmp_path: Path) -> None:
    sizes = {
        s.name: s for s in draft(shed(tmp_path, job=JOB.replace("[690, 150, 500]", "[690, 150, 500 +/- 4]"))).sizes
    }
    assert (sizes["rear-cylinder.at.z"].doubt_mm, sizes["rear-cylinder.at.z"].in_job) == (4, True)


def test_the_names_of_the_sizes_of_a_part_are_listed(tmp_path: Path) -> None:
    """By hand from the files: its middle at 690, 150, 500, 40 across and 138 long along x."""
    folder = shed(tmp_path)
    told = run("measure", folder, JOB_ID, "rear cylinder").out.splitlines()
    found = {line.split()[0]: line.split()[1] for line in told if line.startswith("   rear-cylinder.")}
    assert found == {
        "rear-cylinder.at.x": "690",
        "rear-cylinder.at.y": "150",
        "rear-cylinder.at.z": "500",
        "rear-cylinder.cylinder.across": "40",
        "rear-cylinder.cylinder.length": "138",
    }
    data = json.loads(run("measure", folder, JOB_ID, "rear-cylinder", "--json").out)
    assert {s["size"] for s in data["sizes"]} == found.keys()
    ended = run("measure", folder, JOB_ID, "header-fill-hose")
    assert ended.code == 2
    assert "is a link" in ended.err


@pytest.mark.parametrize("value", ["700", "530 +/- 2", "26 in", "505 mm"])
def test_trying_equals_editing_the_file(tmp_path: Path, value: str) -> None:
    folder = shed(tmp_path / "as-it-is")
    before = read_project(folder)
    tried = json.loads(run("measure", folder, JOB_ID, "--try", f"header-tank.at.z={value}", "--json").out)
    assert read_project(folder) == before, "nothing is written"
    edited = shed(tmp_path / "edited", TANK.replace("560 +/- 5", value))
    old, new = (json.loads(run("moves", f, JOB_ID, "--json").out) for f in (folder, edited))
    assert (tried["cost_hand_min"], tried["cost_hand_min_by_the_file"]) == (new["cost_hand_min"], old["cost_hand_min"])
    assert tried["proof"] == new["proof"]
    told = [{e["id"] for e in answer["effects"]} for answer in (old, new)]
    texts = {e["id"]: e["text"] for answer in (old, new) for e in answer["effects"]}
    assert {text.split(": ")[0] for text in tried["gained"]} == {texts[i].split(": ")[0] for i in told[1] - told[0]}
    assert {text.split(": ")[0] for text in tried["lost"]} == {texts[i].split(": ")[0] for i in told[0] - told[1]}


def test_far_enough_away_nothing_moves_any_more(tmp_path: Path) -> None:
    folder = shed(tmp_path)
    ended = run("measure", folder, JOB_ID, "--try", "header-tank.at.y = 500")
    assert ended.code == 0, ended.err
    assert "tried, and not written: header-tank.at.y = 500 (the file has 150 mm +/- 3 mm)" in ended.out
    assert "less than by the file" in ended.out
    assert "No longer:\n  - header tank moves" in ended.out


def test_several_sizes_may_be_tried_at_once(tmp_path: Path) -> None:
    two = ("--try", "header-tank.at.y=500", "--try", "radiator.at.z=100")
    tried = json.loads(run("measure", shed(tmp_path), JOB_ID, *two, "--json").out)
    assert tried["tried"] == {"header-tank.at.y": "500", "radiator.at.z": "100"}


@pytest.mark.parametrize(
    ("text", "line", "hint"),
    [
        ("heder-tank.at.z=600", "no size is called `heder-tank.at.z`", "`header-tank.at.z`"),
        ("header-tank.at.z", "`header-tank.at.z` tries nothing", "header-tank.at.z=645"),
        ("header-tank.at.z=tall", "header-tank.at.z=tall: item 3 of `at`: `tall` is not a length", "620 mm"),
        ("header-tank.box.z=-4", "header-tank.box.z=-4: a size must be more than 0", ""),
        ("header-tank.at.z=2 kg", "`kg` measures a mass, not a length", ""),
    ],
)
def test_what_cannot_be_tried_is_one_line_and_a_hint(tmp_path: Path, text: str, line: str, hint: str) -> None:
    ended = run("measure", shed(tmp_path), JOB_ID, "--try", text)
    assert (ended.code, ended.out) == (2, "")
    assert line in ended.err
    assert hint in ended.err
    assert len(ended.err.splitlines()) <= 2


def test_one_size_is_tried_once(tmp_path: Path) -> None:
    ended = run("measure", shed(tmp_path), JOB_ID, "--try", "radiator.at.z=1", "--try", "radiator.solids.1.at.z=1")
    assert ended.code == 2
    ended = run(
        "measure", shed(tmp_path), JOB_ID, "--try", "header-tank.box.z=90", "--try", "header-tank.solids.1.box.z=91"
    )
    assert (ended.code, "`header-tank.box.z` is tried twice" in ended.err) == (2, True)


def near_miss(folder: Path) -> Path:
    """The tank stands 8 mm right of the new cylinder, that keeps 5, its place in y is sure to 6, and it clears by 3."""
    # Cylinder: y from 130 to 170. Tank 160 wide: its left side at 178 when its middle is at 258.
    return shed(folder, TANK.replace("150, 560 +/- 5", "258 +/- 6, 510"))


def test_the_ranking_names_size_decision_ends_and_exactness(tmp_path: Path) -> None:
    ended = run("measure", near_miss(tmp_path), JOB_ID)
    assert ended.code == 0, ended.err
    text = " ".join(ended.out.split())
    assert "1. middle of header tank right of the zero plane of y" in text
    assert "header-tank.at.y: 258 mm +/- 6 mm in the file" in text
    assert "decides the gap between rear cylinder and header tank is 8 mm, 5 mm to be kept" in text
    assert "at 252 mm:" in text
    assert "header tank moves" in text
    assert "sizes in doubt change nothing at either end." in text
    assert '--try "header-tank.at.y=252 mm"' in text
    assert ended.err == "", "no progress when it is no terminal"


def test_the_ranking_as_json(tmp_path: Path) -> None:
    found = json.loads(run("measure", near_miss(tmp_path), JOB_ID, "--json").out)
    [size] = found["sizes"]
    assert (size["size"], size["mm"], size["doubt_mm"]) == ("header-tank.at.y", 258, 6)
    assert (size["low"]["mm"], size["high"]["more_hand_min"]) == (252, 0)
    assert size["stake_hand_min"] == size["low"]["more_hand_min"] > 0
    # 3 mm of margin (and 0.05 of touching) over the place and half of the tank's width, both sides counted once.
    assert size["needed_to_mm"] == pytest.approx(3.05 / 1.5, abs=0.02)
    assert (found["cost_hand_min"], found["left"]) == (0, 0)


def test_a_job_without_a_place_says_so(tmp_path: Path) -> None:
    folder = shed(tmp_path)
    text = (folder / "vehicle.yaml").read_text(encoding="utf-8")
    start = text.index("spaces:")
    (folder / "vehicle.yaml").write_text(text[:start] + text[text.index("relations:") :], encoding="utf-8")
    ended = run("measure", folder, JOB_ID)
    assert ended.code == 1
    assert "there is no place for all of it" in ended.err


def test_an_unknown_job_ends_as_elsewhere(tmp_path: Path) -> None:
    assert run("measure", shed(tmp_path), "nothing").code == run("moves", shed(tmp_path), "nothing.yaml").code == 1
