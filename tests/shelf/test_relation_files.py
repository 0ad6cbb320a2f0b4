"""Relations and the driver as files say them: what comes out, and each thing that cannot be, with its place."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.finding import Finding
from planner.model.catalog import BodyFigure, BodySize, Catalog, Measure, Sex
from planner.model.job import Job
from planner.model.vehicle import Driver, Keeps, Relation, Spot, Vehicle
from planner.shelf.load import load_job, load_vehicle

HEAD = """\
knockon: 1
name: small
units: mm
zero: {x: a, y: b, z: c}
ground: -300
bump: 60 mm
components:
  panel: {kind: panel, at: [900, 0, 500], solids: [{box: [3, 1200, 700]}]}
  seat: {kind: brake-pedal, at: [1600, 300, 100], solids: [{box: [90, 90, 90]}], ports: {hip: [0, 0, 180]}, rooms: []}
  pedal: {kind: brake-pedal, at: [905, 320, 640], solids: [{box: [40, 60, 90]}], ports: {pad: [50, 0, -380]}, rooms: []}
  tank: {kind: tank, at: [700, 200, 760], solids: [{box: [90, 90, 90]}], ports: {out: [0, 0, -45]}}
"""
DRIVER = """\
driver:
  hip: seat.hip
  heel: [1120, 320, 100]
  shoe: 30 mm
  people: {from: 5th woman, to: 95th man}
  points: {right-shoulder: [1500, 450, 700]}
"""
MADE_UP = "made up"


def with_people(**more: object) -> Catalog:
    """The small catalog with feet of round numbers: 10 mm for each printed step."""

    def row(sex: Sex, first: float) -> BodySize:
        return BodySize(
            id=f"foot-{sex}", of=sex, what=Measure.BALL_OF_FOOT, count=9, mean_mm=first + 20, sd_mm=9, source=MADE_UP,
            p1_mm=first, p5_mm=first + 10, p50_mm=first + 20, p95_mm=first + 30, p99_mm=first + 40,
        )  # fmt: skip

    figure = BodyFigure(id="least-ankle-angle", value=87.0, unit="deg", source=MADE_UP)
    sizes = {"woman": row(Sex.WOMAN, 150.0), "man": row(Sex.MAN, 170.0)}
    facts: dict[str, object] = {"body_sizes": sizes, "body_figures": {figure.id: figure}}
    return replace(small_catalog(), **{**facts, **more})  # type: ignore[arg-type]


def read(folder: Path, text: str, catalog: Catalog | None = None) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    (folder / "vehicle.yaml").write_text(text, encoding="utf-8")
    return load_vehicle(folder, catalog or with_people())


def sound(folder: Path, text: str) -> Vehicle:
    vehicle, findings = read(folder, text)
    assert findings == ()
    assert vehicle is not None
    return vehicle


def faults(folder: Path, text: str) -> list[tuple[str, int, str]]:
    vehicle, findings = read(folder, text)
    assert vehicle is None
    return [(f.code, f.place.line, f.message) for f in findings]


def test_the_driver(tmp_path: Path) -> None:
    driver = sound(tmp_path, HEAD + DRIVER).driver
    assert driver is not None
    assert driver.hip == Spot(on="seat", port="hip")
    assert driver.heel == Spot(at_mm=(1120, 320, 100))
    assert driver.points == {"right-shoulder": Spot(at_mm=(1500, 450, 700))}
    foot = driver.foot
    assert foot is not None
    assert (foot.low_mm, foot.high_mm, foot.ankle_least_deg, foot.source) == (190, 230, 87, MADE_UP)
    assert foot.low_words == "a 5th percentile woman (160 mm barefoot and 30 mm of shoe)"


def test_a_percentile_that_is_not_printed_says_so(tmp_path: Path) -> None:
    """Half way between 5 and 50 on the normal curve (z = -0.8224) is the 20.54th percentile, and half of 10 mm."""
    driver = sound(tmp_path, HEAD + DRIVER.replace("5th woman", "20.5412th woman")).driver
    assert driver is not None
    assert driver.foot is not None
    assert driver.foot.low_mm == pytest.approx(165 + 30, abs=1e-3)
    assert "read between the printed 5 and 50" in driver.foot.low_words


def test_ones_own_foot(tmp_path: Path) -> None:
    text = HEAD + "driver:\n  heel: [1120, 320, 100]\n  foot: 245 mm\n"
    driver = sound(tmp_path, text + "relations:\n  r: {part: pedal.pad, keeps: in foot reach, by: 20}\n").driver
    assert driver is not None
    assert driver.foot is not None
    assert (driver.foot.low_mm, driver.foot.high_mm) == (245, 245)
    [(code, line, message)] = faults(tmp_path, text + "relations:\n  r: {part: pedal.pad, keeps: in foot reach}\n")
    assert (code, line, message) == ("bad-relation", 16, "one length of foot leaves the pad no room at all")


@pytest.mark.parametrize(
    ("was", "now", "code", "line", "words"),
    [
        ("5th woman", "0.5th woman", "bad-person", 16, "`0.5` is beyond the percentiles that are published"),
        ("5th woman", "99.5th woman", "bad-person", 16, "`99.5` is beyond"),
        ("5th woman", "250th woman", "bad-person", 16, "`250` is beyond"),
        ("5th woman", "tall woman", "bad-person", 16, "names no size of person"),
        ("from: 5th woman, to: 95th man", "from: 95th man, to: 5th woman", "bad-driver", 16, "has a longer foot than"),
        ("seat.hip", "seat.knee", "unknown-port", 13, "`seat` has no port `knee`"),
        ("seat.hip", "chair.hip", "unknown-id", 13, "there is no part `chair`"),
        ("hip: seat.hip", "hip: tank.out", "loose-driver", 13, "`tank` may be given a new home"),
        ("[1120, 320, 100]", "[1120, 320, 1 kg]", "wrong-unit", 14, "heel"),
        ("  people: {from: 5th woman, to: 95th man}\n", "", "bad-driver", 15, "a shoe without a foot"),
    ],
)
def test_a_driver_that_cannot_be(tmp_path: Path, was: str, now: str, code: str, line: int, words: str) -> None:
    assert was in DRIVER
    found = faults(tmp_path, HEAD + DRIVER.replace(was, now))
    assert [(c, n) for c, n, _ in found] == [(code, line)]
    assert words in found[0][2]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (
            "{part: pedal.pad, keeps: in foot reach}",
            Relation(id="r", part="pedal", port="pad", keeps=Keeps.FOOT_REACH, of=None, by_mm=0),
        ),
        (
            "{part: pedal.pad, keeps: in hand reach, by: 700, from: right-shoulder, why: measured}",
            Relation(
                id="r", part="pedal", port="pad", keeps=Keeps.HAND_REACH, of=None, by_mm=700,
                from_point="right-shoulder", why="measured",
            ),
        ),
        (
            "{part: tank.out, keeps: straight run, of: pedal, by: 12, along: [0, 1, 0.5], within: 10, passes: [panel]}",
            Relation(
                id="r", part="tank", port="out", keeps=Keeps.STRAIGHT_RUN, of="pedal", by_mm=12,
                along_dir=(0, 1, 0.5), within_deg=10, passes=("panel",),
            ),
        ),
        (
            "{part: tank.out, keeps: falls towards, of: pedal.pad, by: 1 in}",
            Relation(id="r", part="tank", port="out", keeps=Keeps.FALLS, of="pedal", of_port="pad", by_mm=25.4),
        ),
        ("{part: tank, keeps: level, of: pedal.pad, by: 5}",
            Relation(id="r", part="tank", keeps=Keeps.LEVEL, of="pedal", of_port="pad", by_mm=5)),
        ("{part: tank, keeps: upright, within: 5 deg}",
            Relation(id="r", part="tank", keeps=Keeps.UPRIGHT, of=None, by_mm=0, within_deg=5)),
        ("{part: tank, keeps: off the ground, by: 100, at: bump}",
            Relation(id="r", part="tank", keeps=Keeps.OFF_GROUND, of=None, by_mm=100, at_bump=True)),
        ("{part: tank, keeps: off the ground, by: 100, at: ride height}",
            Relation(id="r", part="tank", keeps=Keeps.OFF_GROUND, of=None, by_mm=100)),
    ],
)  # fmt: skip
def test_each_relation_as_written(tmp_path: Path, written: str, expected: Relation) -> None:
    vehicle = sound(tmp_path, HEAD + DRIVER + f"relations:\n  r: {written}\n")
    assert vehicle.relations == {"r": expected}
    assert vehicle.bump_mm == 60


@pytest.mark.parametrize(
    ("written", "code", "words"),
    [
        ("{part: pedal.pad, keeps: above, of: tank, by: 4}", "unknown-id", "there is no part `pedal.pad`"),
        ("{part: pedal.sole, keeps: in foot reach}", "unknown-port", "`pedal` has no port `sole`"),
        ("{part: tank, keeps: falls towards, of: pedal.sole, by: 4}", "unknown-port", "`pedal` has no port `sole`"),
        ("{part: tank, keeps: falls towards, of: tank.out, by: 4}", "self-relation", "`tank` is held against itself"),
        ("{part: tank, keeps: falls towards, by: 4}", "bad-relation", "`falls towards` needs the other part"),
        ("{part: tank, keeps: above, of: pedal}", "bad-relation", "`above` needs to say by how much"),
        ("{part: tank, keeps: in hand reach, by: 600}", "bad-relation", "`in hand reach` needs the place it starts"),
        ("{part: tank, keeps: in hand reach, by: 600, from: left-shoulder}", "no-driver", "has no point `left-should"),
        ("{part: tank, keeps: in foot reach, of: seat}", "bad-relation", "`in foot reach` has no other part"),
        ("{part: tank, keeps: above, of: pedal, by: 4, within: 5}", "bad-relation", "`above` has no use for `within`"),
        ("{part: tank, keeps: upright}", "bad-relation", "`upright` needs a limit"),
        ("{part: tank, keeps: upright, within: 200}", "out-of-range", "is not between 0 and 90"),
        (
            "{part: tank, keeps: straight run, of: seat, by: 1, within: 5}",
            "bad-relation",
            "`along` and `within` togeth",
        ),
        ("{part: tank, keeps: straight run, of: seat, by: 1, within: 5, along: [0, 0, 0]}", "bad-relation", "nowhere"),
        ("{part: tank, keeps: straight run, of: seat, by: 1, passes: [wal]}", "unknown-id", "there is no part `wal`"),
        ("{part: tank, keeps: off the ground, by: 100, at: droop}", "unknown-choice", "`droop` is not one of"),
        ("{part: tank, keeps: in reach, by: 100}", "unknown-choice", "`in reach` is not one of"),
    ],
)
def test_a_relation_that_cannot_be(tmp_path: Path, written: str, code: str, words: str) -> None:
    found = faults(tmp_path, HEAD + DRIVER + f"relations:\n  r: {written}\n")
    assert [(c, n) for c, n, _ in found] == [(code, 19)]
    assert words in found[0][2]


# ---- in a job ------------------------------------------------------------------------------------------------------

VEHICLE = HEAD + DRIVER + "relations:\n  pad: {part: pedal.pad, keeps: in foot reach}\n"
NEW = "{kind: brake-pedal, at: [905, 320, 640], solids: [{box: [40, 60, 90]}], ports: {PORT: [50, 0, -380]}, rooms: []}"
SWAP = f"knockon: 1\nname: j\nchanges:\n  - do: replace\n    part: pedal\n    with: hung\n    component: {NEW}\n"


def job_of(folder: Path, text: str) -> tuple[Job | None, list[tuple[str, int, str]]]:
    vehicle = sound(folder, VEHICLE)
    (folder / "jobs").mkdir(exist_ok=True)
    (folder / "jobs" / "j.yaml").write_text(text, encoding="utf-8")
    job, findings = load_job(folder, "j", vehicle, with_people())
    kept = [(f.code, f.place.line, f.message) for f in findings if f.code not in {"no-sessions", "joined-to-nothing"}]
    return job, kept


def test_a_job_may_name_the_parts_it_adds(tmp_path: Path) -> None:
    text = SWAP.replace("PORT", "pad") + "relations:\n  hung-up: {part: hung.pad, keeps: in foot reach, by: 5}\n"
    job, findings = job_of(tmp_path, text)
    assert findings == []
    assert job is not None
    assert job.relations == {
        "hung-up": Relation(id="hung-up", part="hung", port="pad", keeps=Keeps.FOOT_REACH, of=None, by_mm=5)
    }


def test_a_job_may_not_name_what_goes_nor_take_an_id_twice(tmp_path: Path) -> None:
    text = SWAP.replace("PORT", "pad") + "relations:\n  pad: {part: pedal, keeps: upright, within: 3}\n"
    job, findings = job_of(tmp_path, text)
    assert job is None
    assert findings == [
        ("double-id", 9, "`pad` is a relation of the vehicle already"),
        ("part-gone", 9, "`pedal` goes in this job"),
    ]


def test_a_new_part_without_the_port_of_a_relation(tmp_path: Path) -> None:
    job, findings = job_of(tmp_path, SWAP.replace("PORT", "rod"))
    assert job is None
    words = "the relation `pad` is about the port `pad` of `pedal`, which `hung` does not have"
    assert findings == [("lost-place", 7, words)]


def test_the_seat_goes_from_under_the_driver(tmp_path: Path) -> None:
    text = "knockon: 1\nname: j\nchanges:\n  - {do: remove, part: seat}\n"
    job, findings = job_of(tmp_path, text)
    assert job is None
    assert findings == [("lost-place", 4, "the driver sits by `seat`, and nothing takes its place")]


def test_no_driver_is_no_driver(tmp_path: Path) -> None:
    assert sound(tmp_path, HEAD).driver is None
    assert sound(tmp_path, HEAD + "driver: {heel: [1, 2, 3]}\n").driver == Driver(heel=Spot(at_mm=(1, 2, 3)))
