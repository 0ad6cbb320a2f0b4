"""Where parts and links are: what carries a part, where a link ends, how thick it is, what `allow` writes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import typer
from cli.new_trial import piped, typed
from cli.shed import catalog, catalog_at_hand, run
from worked_once import worked_once

from planner.cli.options import day_ahead, minutes
from planner.cli.told_run import points_told
from planner.finding.words import with_article
from planner.knockon.size_words import size_words
from planner.model.sizes import TapeSize
from planner.shelf import load_vehicle
from planner.shelf.believed_sizes import thickness_fault

VEHICLE = """\
knockon: 1
name: Two rails
units: mm
zero: {x: front, y: middle, z: top}
ground: -300
systems:
  wiring: {kind: low-voltage-wiring}
  fuel: {kind: fuel}
components:
  rail-left: {kind: chassis-rail, at: [0, -300, 0], solids: [{box: [2000, 40, 80]}]}
  rail-right:
    kind: chassis-rail
    at: [0, 300, 0]
    solids: [{box: [2000, 40, 80]}]
  tray: {kind: battery-tray, at: [0, 220, 42], solids: [{box: [200, 120, 4]}], mounted_on: rail-right}
  battery:
    kind: battery
    at: [0, 220, 144]
    solids: [{box: [190, 100, 200]}]
    mounted_on: tray
    systems: [wiring]
"""
MOVED = """\
knockon: 1
name: To the other side
changes:
  - {do: move, part: tray, to: [0, -220, 42]%s}
"""


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture
def car(tmp_path: Path) -> Path:
    (tmp_path / "jobs").mkdir()
    (tmp_path / "vehicle.yaml").write_text(VEHICLE, "utf-8")
    return tmp_path


def test_a_tray_that_a_job_puts_at_the_other_rail_names_that(car: Path) -> None:
    """From y = -160 the tray is 440 mm from the right rail, which begins at 280; it touches the left one."""
    (car / "jobs" / "over.yaml").write_text(MOVED % "", "utf-8")
    out = run("check", car).out
    told = "tray: rail right, which it is said to be mounted on, is 440 mm from it, and rail left touches it"
    assert f"over.yaml:4:5: warning: {told} [carried-by-nothing]" in out
    assert "write `onto: rail-left`" in out
    (car / "jobs" / "over.yaml").write_text(MOVED % ", onto: rail-left", "utf-8")
    assert "carried-by-nothing" not in run("check", car).out


def test_a_tray_that_the_file_has_away_from_its_rail_is_told(car: Path) -> None:
    (car / "vehicle.yaml").write_text(VEHICLE.replace("tray, at: [0, 220,", "tray, at: [0, -220,"), "utf-8")
    out = run("check", car).out
    assert "is 440 mm from it, and rail left touches it [carried-by-nothing]" in out
    assert "write `mounted_on: rail-left`" in out


def test_what_carries_a_moved_part_is_named_on_the_line(car: Path) -> None:
    asked = "what carries tray in its new place is to be settled"
    assert asked in run("moves", car, "tray", "--by", "0 -440 0").out
    told = run("moves", car, "tray", "--by", "0 -440 0", "--onto", "rail left").out
    assert "moved by 0 -440 0 onto rail left" in told
    assert asked not in told
    assert (
        "cannot be mounted on itself or on what it carries"
        in run("moves", car, "tray", "--by", "0 9 0", "--onto", "battery").err
    )
    assert "--onto goes with --by or --to" in run("moves", car, "tray", "--off", "--onto", "rail-left").err


def test_nothing_but_what_is_asked_for_needs_no_empty_tree(car: Path) -> None:
    lines = [
        line for line in run("moves", car, "battery", "--grow", "0 0 9", "--from", "bottom").out.splitlines() if line
    ]
    assert lines[2] == "Asked for: battery becomes larger."
    assert "the job" not in lines


def test_an_end_without_a_place_is_where_the_rail_is_nearest(car: Path) -> None:
    """The battery's top is at x 0, y 220, z 244: the rail's inner upper edge, y 280, z 40, is nearest to that."""
    ends = ("--from-part", "battery top", "--to-part", "rail right")
    assert "no place was named on rail right" in piped("", "new", "link", car, "--kind", "earth strap", *ends).out
    vehicle, _ = load_vehicle(car, catalog())
    assert vehicle is not None
    assert vehicle.components["rail-right"].ports_mm == {"by-battery": (0.0, -20.0, 40.0)}
    assert vehicle.links["earth-strap"].ends[1].port == "by-battery"


def test_a_link_as_thick_as_no_vehicle_has_it_is_asked_again(car: Path) -> None:
    done = typed("wire\nbattery top\nrail right top\n\n8 cm\n5\n\n", "new", "link", car)
    assert done.code == 0
    assert "a wire `80 mm` thick" in " ".join(done.out.split())
    text = (car / "vehicle.yaml").read_text("utf-8").replace("across: 5\n", "across: 8 cm\n")
    (car / "vehicle.yaml").write_text(text, "utf-8")
    assert "a wire `80 mm` thick" in run("check", car).out


@pytest.mark.parametrize(("mm", "believed"), [(1.6, True), (40.0, True), (1.5, False), (41.0, False)])
def test_a_fuel_pipe_is_believed_from_a_fifth_to_five_times_as_thick_as_usual(mm: float, believed: bool) -> None:
    assert (thickness_fault(mm, 8.0, "fuel pipe", "mm") == "") is believed


SHELF = "shelf\n\nrail right\n{size}\n{at}\n{answer}"


def test_allow_writes_the_room_that_is_left(car: Path) -> None:
    """A battery wants 80 mm above it, from z 244 on; a shelf at 284 leaves 40 of them."""
    done = typed(SHELF.format(size="40 x 40 x 2", at="bottom 0 220 284", answer="allow\n"), "new", "part", car)
    assert done.code == 0, done.err
    assert "still so" not in done.out
    text = (car / "vehicle.yaml").read_text("utf-8")
    assert "side: up, depth: 40 mm, needed: always}" in text
    assert "room-blocked-at-start" not in run("check", car).out


def test_allow_is_not_offered_where_it_would_change_nothing(car: Path) -> None:
    """A room that its owner has written stays as it is written: how to change it is told."""
    rooms = "rooms: [{name: caps, side: up, depth: 80, needed: always}]"
    text = VEHICLE.replace("    systems: [wiring]\n", f"    systems: [wiring]\n    {rooms}\n")
    (car / "vehicle.yaml").write_text(text, "utf-8")
    done = typed(SHELF.format(size="40 x 40 x 2", at="bottom 0 220 284", answer="leave\n"), "new", "part", car)
    assert done.code == 0, done.err
    told = " ".join(done.out.split())
    assert "leave or retype [leave]" in told
    assert "depth: 40 mm, needed: always" in told


def test_a_new_parts_own_room_is_written_as_deep_as_is_left(car: Path) -> None:
    lines = "brake pedal\n\nrail right\n40 x 40 x 100\n-160 220 150\n"
    done = typed(lines + "allow\n", "new", "part", car)
    assert done.code == 0, done.err
    text = (car / "vehicle.yaml").read_text("utf-8")
    # Its foot wants 80 mm behind x = -140, and the battery begins at -95: 45 are left.
    assert "rooms: [{name: foot, side: rearwards, depth: 45 mm, needed: always}]" in text
    assert "room-blocked-at-start" not in run("check", car).out


def test_a_port_that_is_not_there_may_be_given(car: Path) -> None:
    link = "links:\n  lead: {kind: wire, from: battery.plus, to: rail-right}\n"
    (car / "vehicle.yaml").write_text(VEHICLE + link, "utf-8")
    assert "give `battery` it under `ports`" in run("check", car).out


def test_points_are_read_out_of_an_answer() -> None:
    assert points_told("by 480 306 74; 560 306 74", "mm") == ((480.0, 306.0, 74.0), (560.0, 306.0, 74.0))
    assert points_told("1 2 3", "inch") == ((25.4, 50.8, 76.2),)
    assert points_told("tried with wire, clear", "mm") == ()


def test_things_have_their_article() -> None:
    told = [with_article(n) for n in ("engine", "union", "exhaust pipe", "universal joint", "fuel tank")]
    assert told == ["an engine", "a union", "an exhaust pipe", "a universal joint", "a fuel tank"]


def test_words_and_times_are_read_as_they_are_said() -> None:
    """`next wed` told on Fri 4 Dec 2026 may be the 9th or the 16th, and never one gone by."""
    assert [minutes(t) for t in ("40m", "40 m", "40 min")] == [40, 40, 40]
    assert day_ahead("wed", date(2026, 12, 4)) == date(2026, 12, 9)
    with pytest.raises(typer.BadParameter, match="Wed 9 Dec 2026 or Wed 16 Dec 2026"):
        day_ahead("next wed", date(2026, 12, 4))


def test_what_is_no_number_is_told_in_words(car: Path) -> None:
    assert "'five' is no number, such as 20" in run("plan", car, "over", "--limit", "five").err


def test_a_size_left_of_the_middle_says_what_its_minus_means(car: Path) -> None:
    vehicle, _ = load_vehicle(car, catalog())
    assert vehicle is not None
    rail, at = (
        vehicle.components["rail-left"],
        TapeSize(name="rail-left.at.y", part="rail-left", mm=-300, doubt_mm=1, said=False),
    )
    assert size_words(at, rail) == "middle of rail left right of the zero plane of y (left of it is minus)"
    assert "minus" not in size_words(replace(at, mm=300), rail)


def test_a_wrong_answer_is_told_whole_or_cut_with_dots(car: Path) -> None:
    out = typed("pump\nhydraulic front brakes of mine\n", "new", "part", car).out
    assert "`hydraulic front brakes of mine` is not one of 1 to" in " ".join(out.split())
