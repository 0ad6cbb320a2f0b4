"""From files to the model: defaults, resolved names, and what only the whole file can tell."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.finding import Finding
from planner.model.job import Add, AddLink, Cut, Move, Remove, TakeOff
from planner.model.shapes import Box, Cylinder, Direction, Outline, Pose, Tube, Turn
from planner.model.vehicle import End, Freedom, Vehicle
from planner.shelf.extents import extent_mm
from planner.shelf.load import list_jobs, load_job, load_vehicle
from planner.shelf.outline_faults import crossing

GOOD = Path(__file__).parents[1] / "data" / "good"
HEAD = "knockon: 1\nname: small\nunits: mm\nzero: {x: a, y: b, z: c}\nground: 0\n"


def good_vehicle() -> Vehicle:
    vehicle, findings = load_vehicle(GOOD, small_catalog())
    assert findings == ()
    assert vehicle is not None
    return vehicle


def vehicle_of(folder: Path, text: str) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    (folder / "vehicle.yaml").write_text(text, encoding="utf-8")
    return load_vehicle(folder, small_catalog())


def test_what_the_file_says_stands() -> None:
    pedal = good_vehicle().components["brake-pedal"]
    assert pedal.pose == Pose(at_mm=(905, -320, 640))
    box, bar, tube, plate = pedal.solids
    assert box == Box(size_mm=(40, 60, 12), pose=Pose(at_mm=(0, 0, -250), turn_deg=(0, 20, 0)), doubt_mm=2)
    assert isinstance(bar, Cylinder)
    assert (bar.across_mm, bar.along) == (22.2, "x")
    assert bar.length_mm == pytest.approx(5.5 * 25.4)
    assert isinstance(tube, Tube)
    assert tube.through_mm == ((0, 0, 0), (0, 0, 100))
    assert isinstance(plate, Outline)
    assert (plate.points_mm, plate.thick_mm, plate.along) == (((0, 0), (100, 0), (0, 80)), 3, "y")
    assert (pedal.mounted_on, pedal.freedom, pedal.hands) == ("bulkhead", Freedom.MOVES, 1)
    assert (pedal.off_min, pedal.on_min, pedal.make_min, pedal.lead_days) == (20, 30, 180, 9)
    assert pedal.turns_deg == ((0, 0, 0), (0, 0, 90))
    assert pedal.motion == Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=18)
    assert pedal.way_out == (Direction.UP, Direction.FORWARDS)
    assert [room.name for room in pedal.rooms] == ["foot", "spanner swing"]
    assert pedal.ports_mm == {"rod": (10, 0, -40)}


def test_what_it_does_not_say_comes_from_the_kind() -> None:
    vehicle = good_vehicle()
    tank, cylinder = vehicle.components["header-tank"], vehicle.components["master-cylinder"]
    assert (tank.name, tank.group, tank.freedom, tank.off_min) == ("header tank", "cooling", Freedom.MOVES, 9)
    assert tank.rides
    assert not vehicle.components["chassis"].rides
    assert (cylinder.off_min, cylinder.on_min, cylinder.group) == (30, 40, "brakes")
    rod = vehicle.links["brake-rod"]
    assert (rod.slack_mm, rod.adjust_mm, rod.across_mm, rod.remake_min, rod.adjust_min) == (7, 3, 8, 17, 19)
    assert (rod.tools, rod.needs, rod.ends) == (
        ("pliers",),
        ("on-stands",),
        (End(component="brake-pedal", port="rod"), End(component="master-cylinder")),
    )


def test_doubt_is_the_values_own_or_else_the_files() -> None:
    vehicle = good_vehicle()
    assert vehicle.components["brake-pedal"].position_doubt_mm == 5
    assert vehicle.components["chassis"].position_doubt_mm == 2
    assert vehicle.components["chassis"].solids[0].doubt_mm == 2


def test_a_blank_make_is_bought_and_not_the_kinds(tmp_path: Path) -> None:
    part = "components:\n  p: {{kind: brake-pedal, at: [0, 0, 0], solids: [{{box: [9, 9, 9]}}]{make}}}\n"
    made, _ = vehicle_of(tmp_path, HEAD + part.format(make=""))
    bought, _ = vehicle_of(tmp_path, HEAD + part.format(make=", make: null"))
    assert made is not None
    assert bought is not None
    assert made.components["p"].make_min == 200
    assert bought.components["p"].make_min is None


def test_an_inch_file_is_read_in_inches(tmp_path: Path) -> None:
    text = HEAD.replace("units: mm", "units: inch")
    text += "components:\n  p: {kind: panel, at: [10, 0, 1 1/4], solids: [{box: [1/8, 24, 10 mm]}]}\n"
    vehicle, findings = vehicle_of(tmp_path, text)
    assert findings == ()
    assert vehicle is not None
    assert vehicle.components["p"].pose.at_mm == pytest.approx((254, 0, 31.75))
    box = vehicle.components["p"].solids[0]
    assert isinstance(box, Box)
    assert box.size_mm == pytest.approx((3.175, 609.6, 10))


def test_the_job_is_filled() -> None:
    job, findings = load_job(GOOD, "hung-pedals", good_vehicle(), small_catalog())
    assert findings == ()
    assert job is not None
    assert [type(change) for change in job.changes] == [Remove, Add, Move, TakeOff, Cut, AddLink]
    move, cut = job.changes[2], job.changes[4]
    assert isinstance(move, Move)
    assert move.to.at_mm == (820, 240, 760)
    assert isinstance(cut, Cut)
    assert (cut.welded, cut.hole) == (True, Box(size_mm=(4, 120, 60), pose=Pose(at_mm=(900, -300, 640))))
    assert (job.id, job.start, job.currency, job.pace) == ("hung-pedals", date(2026, 12, 5), "GBP", {"welding": 1.5})
    assert [(r.weekday, r.start, r.end) for r in job.repeating] == [(5, time(9), time(13))]
    assert [(s.day, s.minutes, s.hands) for s in job.sessions] == [(date(2026, 12, 12), 180, 2)]
    assert [(t.id, t.minutes, t.lag_min, t.after) for t in job.tasks] == [("paint-slot", 40, 720, ("bulkhead-slot",))]
    assert job.purchases[0].for_part == "pedal-box"


def test_a_broken_part_does_not_hide_what_is_wrong_elsewhere(tmp_path: Path) -> None:
    text = HEAD.replace("name: small", "nme: small") + (
        "components:\n"
        "  one: {kind: panel, at: [0, 0], solids: [{box: [9, 9, 9]}]}\n"
        "  two: {kind: panel, at: [0, 0, 0], solids: [{box: [9, 9, 9]}], mounted_on: one}\n"
        "  three: {kind: panel, at: [0, 0, 0], solids: [{box: [9, 9, 9]}], mounted_on: onne}\n"
        "links:\n  l: {kind: rod, from: one.any, to: three.none}\n"
    )
    vehicle, findings = vehicle_of(tmp_path, text)
    assert vehicle is None
    assert [(f.place.line, f.code) for f in findings] == [
        (2, "unknown-key"),
        (7, "wrong-count"),
        (9, "unknown-id"),
        (11, "unknown-port"),
    ]


def test_a_ring_of_three_is_named_once(tmp_path: Path) -> None:
    part = "  {0}: {{kind: panel, at: [0, 0, 0], solids: [{{box: [9, 9, 9]}}], mounted_on: {1}}}\n"
    ring = "".join(part.format(a, b) for a, b in (("a", "b"), ("b", "c"), ("c", "a"), ("d", "a")))
    _, findings = vehicle_of(tmp_path, HEAD + "components:\n" + ring)
    assert [f.message for f in findings] == ["mounted in a ring: `a` on `b` on `c` on `a`"]


@pytest.mark.parametrize(
    ("points", "faults"),
    [
        ("[[0, 0], [10, 0], [10, 10], [0, 10]]", 0),
        ("[[0, 0], [10, 0], [10, 10], [5, 5], [0, 10]]", 0),
        ("[[0, 0], [10, 10], [10, 0], [0, 10]]", 1),
        ("[[0, 0], [10, 0], [20, 0]]", 1),
        ("[[0, 0], [10, 0], [10, 0], [0, 10]]", 1),
        ("[[0, 0], [10, 0], [0, 10], [0, 0]]", 1),
        ("[[0, 0], [10, 0], [10, 10], [10, -5]]", 1),
        ("[[0, 0], [10, 0], [10, 5], [5, 0], [0, 5]]", 1),
    ],
)
def test_outlines(tmp_path: Path, points: str, faults: int) -> None:
    text = f"components:\n  p: {{kind: panel, at: [0, 0, 0], solids: [{{outline: {{points: {points}, thick: 2}}}}]}}\n"
    _, findings = vehicle_of(tmp_path, HEAD + text)
    assert [f.code for f in findings] == ["bad-solid"] * faults


def test_a_tube_with_a_point_twice(tmp_path: Path) -> None:
    tube = "tube: {across: 9, through: [[0, 0, 0], [0, 0, 0], [0, 0, 5]]}"
    text = f"components:\n  p: {{kind: panel, at: [0, 0, 0], solids: [{{{tube}}}]}}\n"
    _, findings = vehicle_of(tmp_path, HEAD + text)
    assert [f.message for f in findings] == ["points 1 and 2 of `through` are the same"]


def test_a_square_corner_is_no_crossing() -> None:
    assert crossing([(0, 0), (10, 0), (10, 10), (0, 10)]) is None
    assert crossing([(0, 0), (10, 10), (10, 0), (0, 10)]) == (0, 2)


def test_the_extent_of_a_turned_part() -> None:
    # A 100 x 10 x 10 block turned by 90 degrees about z lies along y; one by 45 degrees spans (100 + 10) / sqrt 2.
    turned = Box(size_mm=(100, 10, 10), pose=Pose(at_mm=(0, 50, 0), turn_deg=(0, 0, 90)))
    assert extent_mm([turned]) == pytest.approx(100)
    slanted = Box(size_mm=(100, 10, 10), pose=Pose(turn_deg=(0, 0, 45)))
    assert extent_mm([slanted]) == pytest.approx(110 / 2**0.5)
    assert extent_mm([turned, Box(size_mm=(10, 10, 10), pose=Pose(at_mm=(0, 0, 300)))]) == pytest.approx(310)


def test_jobs_are_listed_by_name(tmp_path: Path) -> None:
    assert list_jobs(GOOD) == ("hung-pedals",)
    assert list_jobs(tmp_path) == ()


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("hung-pedal", "no-job"),
        ("", "no-job"),
        ("Hung Pedals", "no-job"),
        ("a\0b.yaml", "no-job"),
        ("../vehicle.yaml", "outside-project"),
        ("../../secret.yaml", "outside-project"),
        ("jobs/../../secret.yaml", "outside-project"),
        ("/etc/passwd.yaml", "outside-project"),
        ("jobs/absent.yaml", "no-job"),
    ],
)
def test_a_job_name_never_leads_out_of_the_project(name: str, code: str) -> None:
    job, findings = load_job(GOOD, name, good_vehicle(), small_catalog())
    assert job is None
    assert [f.code for f in findings] == [code]


@pytest.mark.parametrize("name", ["hung-pedals.yaml", "jobs/hung-pedals.yaml", str(GOOD / "jobs" / "hung-pedals.yaml")])
def test_a_job_may_be_named_by_its_file(name: str) -> None:
    job, _ = load_job(GOOD, name, good_vehicle(), small_catalog())
    assert job is not None


def test_a_link_out_of_the_project_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret.yaml").write_text("knockon: 1\n", encoding="utf-8")
    project = tmp_path / "project"
    (project / "jobs").mkdir(parents=True)
    (project / "jobs" / "sly.yaml").symlink_to(tmp_path / "secret.yaml")
    _, findings = load_job(project, "sly", good_vehicle(), small_catalog())
    assert [f.code for f in findings] == ["outside-project"]
    (project / "vehicle.yaml").symlink_to(tmp_path / "secret.yaml")
    _, findings = load_vehicle(project, small_catalog())
    assert [f.code for f in findings] == ["outside-project"]


def test_what_is_no_project(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "absent", GOOD / "vehicle.yaml"):
        vehicle, findings = load_vehicle(path, small_catalog())
        assert vehicle is None
        assert [f.code for f in findings] == ["no-project"]


def test_a_vehicle_needs_parts(tmp_path: Path) -> None:
    _, findings = vehicle_of(tmp_path, HEAD + "components:\n")
    assert [(f.place.line, f.code) for f in findings] == [(6, "no-parts")]


def test_what_a_part_takes_away_is_said_where_it_is_counted_on(tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    text = (
        "knockon: 1\nname: j\nchanges:\n"
        "  - {do: remove, part: header-tank}\n"
        "  - {do: move, part: header-tank, by: [0, 9, 0]}\n"
        "  - {do: cut, id: hole, host: header-tank, box: [9, 9, 9]}\n"
        "  - {do: link, part: pipe, link: {kind: rod, from: header-tank, to: bulkhead}}\n"
        'sessions: [{every: sunday, from: "09:00", to: "10:00"}]\n'
    )
    (tmp_path / "jobs" / "j.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "vehicle.yaml").write_bytes((GOOD / "vehicle.yaml").read_bytes())
    _, findings = load_job(tmp_path, "j", good_vehicle(), small_catalog())
    assert [(f.place.line, f.code) for f in findings] == [(5, "part-gone"), (6, "part-gone"), (7, "part-gone")]
