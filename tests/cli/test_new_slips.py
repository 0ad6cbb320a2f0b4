"""Slips of whoever describes a vehicle: a size for a name, a name for a number, words without quotes."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.new_trial import piped, typed
from cli.shed import catalog, read_project, run, shed_files, write_project

from planner.shelf import load_vehicle
from planner.shelf.tape import looks_measured


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return write_project(tmp_path / "shed", shed_files())


@pytest.mark.parametrize(
    "size", ["500 x 350 x 350", "170", "170 mm", "rear 400 0 400", "round 95 x 121 along z", "6 1/2 in"]
)
def test_a_size_is_no_name(size: str, shed: Path) -> None:
    done = typed(f"horn\n{size}\nhooter\nbulkhead\n60 x 60 x 60\nrear 759 0 300\n", "new", "part", shed)
    assert f"`{size}` is a size, not a name" in done.out
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    assert "hooter" in vehicle.components


@pytest.mark.parametrize("name", ["tank 170", "2 x 4 tray", "left rail", "V8", "number 2"])
def test_a_name_with_a_number_in_it_is_one(name: str) -> None:
    assert not looks_measured(name, "mm")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("170", "`170` is one length: a size has three, front to rear x side to side x height"),
        ("rear 400 0 400", "`rear 400 0 400` says where it is: its size is wanted first"),
        ("400 0 400 up", "three lengths are wanted and nothing else, found `up` in `400 0 400 up` as well"),
    ],
)
def test_a_size_that_is_none_is_told_in_plain_words(text: str, told: str, shed: Path) -> None:
    done = piped("", "new", "part", shed, "--kind", "horn", "--size", text, "--at", "0 0 900", "--on", "bulkhead")
    assert (done.code, told in done.err) == (2, True)
    assert "found 3" not in done.err


@pytest.mark.parametrize("answer", ["brake pedal", "pedal", "3"])
def test_of_several_kinds_one_is_chosen_by_its_name_as_well(answer: str, shed: Path) -> None:
    # The list is: brake disc, brake drum, brake pedal, ...
    done = typed(f"brake\n{answer}\n\nbulkhead\n\n\nleave\n", "new", "part", shed)
    assert "taken as: brake pedal" in done.out
    assert done.code == 0


def test_a_name_that_is_not_meant_is_told(shed: Path) -> None:
    done = typed("brake\nsofa\n3\n\nbulkhead\n\n\n", "new", "part", shed)
    assert "`sofa` is not one of 1 to 9" in " ".join(done.out.split())
    assert "taken as: brake pedal" in done.out


def test_a_job_without_a_name_is_asked_for_it(shed: Path) -> None:
    done = typed("battery aft\nmove\nheader tank\n0 20 0\n\n", "new", "job", shed)
    assert (done.code, done.err) == (0, "")
    assert (shed / "jobs" / "battery-aft.yaml").is_file()


def test_a_job_that_is_there_is_asked_for_another_name(shed: Path) -> None:
    done = typed("second cylinder\nthird\nmove\nheader tank\n0 20 0\n\n", "new", "job", shed)
    assert "is there already" in done.out
    assert (shed / "jobs" / "third.yaml").is_file()


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (("part", "front", "brake", "cylinder"), "knockon new part PROJECT --kind 'front brake cylinder'"),
        (("part", "SHED", "brake", "cylinder"), "--kind 'brake cylinder'"),
        (("part", "SHED", "--kind", "brake", "cylinder"), "stands in quotes: 'brake cylinder'"),
        (("link", "SHED", "brake", "pipe"), "--kind 'brake pipe'"),
        (("space", "SHED", "front", "shelf"), "--name 'front shelf'"),
        (("job", "SHED", "battery", "further", "aft"), "stands in quotes: 'battery further aft'"),
        (("my", "car"), "stands in quotes: 'my car'"),
    ],
)
def test_words_without_quotes_are_told_how_to_quote(words: tuple[str, ...], hint: str, shed: Path) -> None:
    before = read_project(shed)
    done = run("new", *(str(shed) if w == "SHED" else w for w in words))
    assert (done.code, hint in " ".join(done.err.split())) == (2, True)
    assert read_project(shed) == before


def test_three_lengths_need_no_quotes_behind_at(shed: Path) -> None:
    words = ("--kind", "horn", "--size", "60 x 60 x 60", "--on", "bulkhead", "--at", "600", "-40", "900")
    assert piped("", "new", "part", shed, *words).code == 0
    vehicle, _ = load_vehicle(shed, catalog())
    assert vehicle is not None
    assert vehicle.components["horn"].pose.at_mm == (600.0, -40.0, 900.0)


def test_a_part_of_two_words_is_no_part_and_job(shed: Path) -> None:
    done = run("part", shed, "header", "tank")
    assert (done.code, f"knockon part {shed} 'header tank'" in done.err) == (2, True)
    assert "there is no job `sofa`" in run("part", shed, "header", "sofa").err
