"""From files to the model: defaults, resolved names, and what only the whole file can tell."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.finding import Finding
from planner.model.job import Add, AddLink, Cut, Move, Remove, TakeOff
from planner.model.legs import StatedWay
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
    assert pedal.way_out == (StatedWay(direction=Direction.UP), StatedWay(direction=Direction.FORWARDS))
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


def test_a_job_takes_the_currency_of_its_vehicle(tmp_path: Path) -> None:
    for said, expected in (("GBP", "GBP"), (None, "EUR")):
        vehicle = replace(good_vehicle(), currency=said)
        text = (GOOD / "jobs" / "hung-pedals.yaml").read_text(encoding="utf-8")
        (tmp_path / "jobs").mkdir(exist_ok=True)
        (tmp_path / "jobs" / "plain.yaml").write_text(text.replace("currency: GBP\n", ""), encoding="utf-8")
        job, findings = load_job(tmp_path, "plain", vehicle, small_catalog())
        assert findings == ()
        assert job is not None
        assert job.currency == expected


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
    assert list_jobs(GOOD) == ("choices", "hung-pedals")
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


JOB = 'knockon: 1\nname: j\nsessions: [{every: sunday, from: "09:00", to: "10:00"}]\n'
BOX = "solids: [{box: [9, 9, 9]}]"


def job_codes(folder: Path, text: str, vehicle_text: str | None = None) -> list[tuple[str, int]]:
    """Code and line of every finding about a job on the good vehicle, or on one of its own."""
    (folder / "jobs").mkdir(exist_ok=True)
    (folder / "jobs" / "j.yaml").write_text(JOB + text, encoding="utf-8")
    vehicle = good_vehicle() if vehicle_text is None else vehicle_of(folder, vehicle_text)[0]
    assert vehicle is not None
    if vehicle_text is None:
        (folder / "vehicle.yaml").write_bytes((GOOD / "vehicle.yaml").read_bytes())
    _, findings = load_job(folder, "j", vehicle, small_catalog())
    return [(f.code, f.place.line) for f in findings]


@pytest.mark.parametrize(
    ("change", "codes"),
    [
        ("{do: move, part: header-tank, by: [0, 0.4, 0]}", ["bad-move"]),
        ("{do: move, part: header-tank, by: [0.3, 0.3, 0.3]}", []),
        ("{do: move, part: header-tank, by: [0, 0.4, 0], turn: [0, 0, 2]}", []),
        ("{do: move, part: header-tank, to: [820, 200, 759.6]}", ["bad-move"]),
    ],
)
def test_a_move_within_any_doubt_is_none(tmp_path: Path, change: str, codes: list[str]) -> None:
    assert job_codes(tmp_path, f"changes:\n  - {change}\n") == [(code, 5) for code in codes]


def test_an_own_task_cannot_have_a_part_off_that_never_comes_off(tmp_path: Path) -> None:
    task = "tasks:\n  t: {title: t, takes: 9, off: [brake-pedal,\n    chassis,\n    header-tank]}\n"
    assert job_codes(tmp_path, task) == [("never-comes-off", 6), ("rides-along", 7)]
    moved = "changes:\n  - {do: move, part: header-tank, by: [9, 0, 0]}\n  - {do: grow, part: chassis, by: [9, 0, 0]}\n"
    assert job_codes(tmp_path, task + moved) == [("no-minutes", 10)]


def test_a_rider_is_led_to_what_comes_off(tmp_path: Path) -> None:
    tanks = "components:\n  frame: {kind: brake-pedal, at: [0, 0, 0], " + BOX + "}\n"
    for name, host in (("one", "frame"), ("two", "one")):
        tanks += f"  {name}: {{kind: tank, at: [0, 0, 0], {BOX}, mounted_on: {host}}}\n"
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "j.yaml").write_text(JOB + "changes: [{do: take-off, part: two}]\n", encoding="utf-8")
    vehicle, _ = vehicle_of(tmp_path, HEAD + tanks)
    assert vehicle is not None
    _, findings = load_job(tmp_path, "j", vehicle, small_catalog())
    assert [f.hint for f in findings] == ["name `frame`, or give `two` `rides: false` in the vehicle"]


@pytest.mark.parametrize(
    ("more", "change", "codes"),
    [
        ("", "take-off", ["no-minutes"]),
        ("", "remove", ["no-minutes"]),
        (", off: 5", "remove", []),
        (", on: 5", "remove", []),
        (", rides: true, mounted_on: base", "remove", []),
    ],
)
def test_a_part_without_minutes(tmp_path: Path, more: str, change: str, codes: list[str]) -> None:
    text = f"components:\n  base: {{kind: frame, at: [0, 0, 0], {BOX}}}\n"
    text += f"  flap: {{kind: panel, freedom: comes off, at: [0, 0, 0], {BOX}{more}}}\n"
    told = job_codes(tmp_path, f"changes: [{{do: {change}, part: flap}}]\n", HEAD + text)
    assert [code for code, _ in told] == codes


def test_a_nought_where_the_kind_has_minutes_is_meant(tmp_path: Path) -> None:
    text = f"components:\n  foot: {{kind: brake-pedal, at: [0, 0, 0], {BOX}, off: 0, on: 0}}\n"
    assert job_codes(tmp_path, "changes: [{do: remove, part: foot}]\n", HEAD + text) == []


@pytest.mark.parametrize(
    ("ports", "more", "codes"),
    [
        ("{out: [0, 0, 0]}", "", []),
        ("{}", "", ["lost-port"]),
        ("{}", "  - {do: remove, part: front-brake-pipe}\n", []),
        (
            "{out: [0, 0, 0]}",
            "  - {do: remove, part: front-brake-pipe}\n  - {do: remove, part: brake-rod}\n",
            ["alone"],
        ),
        ("{}", "  - {do: link, part: l, link: {kind: rod, from: chassis, to: wet}}\n", ["lost-port"]),
    ],
)
def test_what_joins_a_part_that_takes_over(tmp_path: Path, ports: str, more: str, codes: list[str]) -> None:
    part = f"{{kind: wheel-cylinder, at: [0, 0, 0], {BOX}, systems: [front-brakes], ports: {ports}}}"
    text = f"changes:\n  - {{do: replace, part: master-cylinder, with: wet, component: {part}}}\n" + more
    told = [code for code, _ in job_codes(tmp_path, text)]
    assert told == ["joined-to-nothing" if code == "alone" else code for code in codes]


def test_a_new_wet_part_that_a_new_link_joins(tmp_path: Path) -> None:
    part = f"{{kind: wheel-cylinder, at: [0, 0, 0], {BOX}, systems: [front-brakes], ports: {{in: [0, 0, 0]}}}}"
    text = f"changes:\n  - {{do: add, part: wet, component: {part}}}\n"
    assert job_codes(tmp_path, text) == [("joined-to-nothing", 5)]
    pipe = "  - {do: link, part: p, link: {kind: brake-pipe, from: chassis, to: wet.in, system: front-brakes}}\n"
    assert job_codes(tmp_path, text + pipe) == []


@pytest.mark.parametrize(
    ("link", "code"),
    [
        ("kind: throttle-cable", "no-circuit"),
        ("kind: throttle-cable, system: pedal-cable", None),
        ("kind: throttle-cable, system: choke-cable", None),
        ("kind: throttle-cable, system: front-brakes", "no-circuit"),
        ("kind: throttle-cable, system: misspelt", "unknown-kind"),
        ("kind: throttle-cable, system: absent", "unknown-id"),
        ("kind: brake-pipe", None),
    ],
)
def test_a_link_in_no_circuit(tmp_path: Path, link: str, code: str | None) -> None:
    kind = "throttel-linkage" if code == "unknown-kind" else "throttle-linkage"
    text = (
        f"systems: {{pedal-cable: {{kind: throttle-linkage}}, choke-cable: {{kind: choke}}, misspelt: {{kind: {kind}}},"
        " front-brakes: {kind: hydraulic-brake}}\n"
        f"components: {{a: {{kind: panel, at: [0, 0, 0], {BOX}}}, b: {{kind: panel, at: [90, 0, 0], {BOX}}}}}\n"
        f"links: {{l: {{from: a, to: b, {link}}}}}\n"
    )
    _, findings = vehicle_of(tmp_path, HEAD + text)
    assert [f.code for f in findings] == ([] if code is None else [code])


@pytest.mark.parametrize(
    ("systems", "codes"),
    [
        ("[]", ["no-circuit"]),
        ("[front-brakes]", []),
        ("[handy]", ["no-circuit"]),
        ("[front-brakse]", ["unknown-id"]),
        ("[handy, front-brakse]", ["unknown-id"]),
    ],
)
def test_a_wet_part_in_no_circuit(tmp_path: Path, systems: str, codes: list[str]) -> None:
    text = (
        "systems: {front-brakes: {kind: hydraulic-brake}, handy: {kind: handbrake}}\n"
        f"components: {{a: {{kind: wheel-cylinder, at: [0, 0, 0], {BOX}, systems: {systems}}}}}\n"
    )
    _, findings = vehicle_of(tmp_path, HEAD + text)
    assert [f.code for f in findings] == codes


@pytest.mark.parametrize(
    ("swing", "told"), [("0", []), ("180", []), ("-5", ["out-of-range"]), ("181", ["out-of-range"])]
)
def test_how_far_a_link_may_swing(tmp_path: Path, swing: str, told: list[str]) -> None:
    text = (
        f"components: {{a: {{kind: panel, at: [0, 0, 0], {BOX}}}, b: {{kind: panel, at: [90, 0, 0], {BOX}}}}}\n"
        f"links: {{l: {{from: a, to: b, kind: rod, swing: {swing}}}}}\n"
    )
    vehicle, findings = vehicle_of(tmp_path, HEAD + text)
    assert [f.code for f in findings] == told
    assert told or (vehicle is not None and vehicle.links["l"].swing_deg == float(swing))


@pytest.mark.parametrize("axis", ["[0, 0, 0]", "0", "w"])
def test_an_axis_is_one_of_the_three(tmp_path: Path, axis: str) -> None:
    for motion in (
        f"turns: {{about: [0, 0, 0], axis: {axis}, from: 0, to: 9}}",
        f"slides: {{along: {axis}, from: 0, to: 9}}",
    ):
        text = f"components: {{a: {{kind: panel, at: [0, 0, 0], {BOX}, motion: {{{motion}}}}}}}\n"
        vehicle, findings = vehicle_of(tmp_path, HEAD + text)
        assert vehicle is None
        assert [f.code for f in findings] == ["unknown-choice"]
