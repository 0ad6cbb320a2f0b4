"""`adopt`: the vehicle's file describes what the job built, with every comment kept, or it stays as it was."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from shed import catalog, catalog_at_hand, run
from worked_once import worked_once

from planner.cli.logbook import log_path
from planner.files import write_whole
from planner.knockon import find_knockons
from planner.log import append_after, keep_agreed
from planner.model.catalog import Work
from planner.model.plan import NOTHING_LEFT
from planner.model.shapes import Cylinder
from planner.model.standing import Agreed, Question
from planner.model.work import Task, WorkList
from planner.shelf import load_job, load_vehicle
from planner.shelf.built import Built, differences

CARS = Path(__file__).parents[2] / "projects"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


def car(
    folder: Path, job: str, *, option: str | None = None, tasks: dict[str, Task] | None = None, name: str = "trials-car"
) -> Path:
    """A copy of a shipped project on which a job with nothing left to do was agreed."""
    project = Path(shutil.copytree(CARS / name, folder / name, ignore=shutil.ignore_patterns("out", "*.jsonl")))
    agree(project, job, option=option, tasks=tasks)
    return project


def agree(
    project: Path,
    job: str,
    *,
    option: str | None = None,
    tasks: dict[str, Task] | None = None,
    asked: tuple[Question, ...] = (),
) -> None:
    """A plan of a job with nothing left to do, agreed."""
    agreed = Agreed(
        made=date(2026, 12, 1),
        project=project.name,
        job=job,
        option=option,
        inputs={},
        pace={},
        homes={},
        work=WorkList(features={}, tasks=tasks or {}, checkpoints={}, buys={}),
        plan=NOTHING_LEFT,
        keys=(),
        named={},
        asked=asked,
    )
    digest = keep_agreed(project / "jobs" / f"{job}.plans", agreed)
    line = {"sort": "agreed", "plan": digest}
    append_after(log_path(project, job), lambda _: [line], at="2026-12-01T09:00:00")


def comments(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip().startswith("#")]


@pytest.mark.parametrize(
    ("job", "option"),
    [
        ("header-tank", "let-in"),
        pytest.param("battery-aft", None, marks=pytest.mark.slow),
        pytest.param("header-tank", "bought", marks=pytest.mark.slow),
        pytest.param("hung-pedals", None, marks=pytest.mark.slow),
    ],
)
def test_the_file_reads_as_what_was_planned(tmp_path: Path, job: str, option: str | None) -> None:
    project = car(tmp_path, job, option=option)
    before = (project / "vehicle.yaml").read_text()
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    found, _ = load_job(project, job, vehicle, catalog())
    assert found is not None
    planned = find_knockons(vehicle, found if option is None else found.taking(option), catalog())
    ended = run("adopt", project, job, "--yes")
    assert ended.code == 0, ended.err
    after = (project / "vehicle.yaml").read_text()
    built, _ = load_vehicle(project, catalog())
    assert built is not None
    assert built.components.keys() == planned.after.keys()
    assert built.links.keys() == planned.links_after.keys()
    for name, part in planned.after.items():
        for a, b in zip(built.components[name].pose.at_mm, part.pose.at_mm, strict=True):
            assert abs(a - b) <= 0.05, name
        assert built.components[name].mounted_on == part.mounted_on
    assert comments(after) == comments(before)
    if "`knockon check` will say" not in ended.out:
        assert run("check", project).code == 0
    log = [json.loads(line) for line in log_path(project, job).read_text().splitlines()]
    assert [e["sort"] for e in log] == ["agreed", "adopted"]
    assert "nothing to do" in run("adopt", project, job, "--yes").out
    assert (project / "vehicle.yaml").read_text() == after
    planning = run("plan", project, job)
    assert planning.code == 1
    assert "was adopted on" in planning.err


BENCH = """\
knockon: 1
name: Bench
units: mm
zero: {x: the plate, y: its middle, z: the floor}
ground: -200
systems: {brakes: {kind: hydraulic-brake}}
components:
  plate: {kind: bulkhead, at: [0, 0, 500], solids: [{box: [20, 1000, 1000]}]}
  from-here:
    {kind: brake-union, at: [-60, -300, 500], solids: [{box: [99, 30, 30]}], mounted_on: plate, ports: {a: [0, 15, 0]}}
  to-there:
    {kind: brake-union, at: [-60, 300, 500], solids: [{box: [99, 30, 30]}], mounted_on: plate, ports: {b: [0, -15, 0]}}
  box: {kind: control-box, at: [-70, 0, 500], solids: [{box: [120, 60, 200]}], mounted_on: plate, freedom: stays}
"""
STRAIGHT_ACROSS = """\
knockon: 1
name: A pipe
changes:
  - {do: link, part: pipe, link: {kind: brake-pipe, from: from-here.a, to: to-there.b, system: brakes%s}}
"""


WIRE = """
links:
  lead: {kind: wire, from: from-here.a, to: to-there.b}
"""
LOWERED = """\
knockon: 1
name: One end lower
changes:
  - {do: move, part: from-here, by: [0, 0, -150]}
"""


def test_how_a_wire_was_led_on_the_vehicle_is_asked_for_where_the_file_cannot_know_it(tmp_path: Path) -> None:
    """Over the box at z = 650; with one end at 500 the straight leg is at 575 in the middle, the box ends at 600."""
    project = tmp_path / "bench"
    (project / "jobs").mkdir(parents=True)
    (project / "vehicle.yaml").write_text(
        BENCH.replace("300, 500], solids: [{box: [99", "300, 650], solids: [{box: [99") + WIRE
    )
    (project / "jobs" / "lower.yaml").write_text(LOWERED)
    agree(project, "lower")
    ended = run("adopt", project, "lower")
    assert ended.code == 0, ended.err
    assert "`knockon check` will say: lead runs through box" in ended.out
    assert "how `lead` was led on the vehicle nobody told: measure the points it goes by and give them under `via`" in (
        " ".join(ended.out.split())
    )


def test_a_run_told_in_points_when_it_was_settled_is_written(tmp_path: Path) -> None:
    project = tmp_path / "bench"
    (project / "jobs").mkdir(parents=True)
    high = BENCH.replace("300, 500], solids: [{box: [99", "300, 650], solids: [{box: [99")
    (project / "vehicle.yaml").write_text(high + WIRE)
    (project / "jobs" / "lower.yaml").write_text(LOWERED)
    wire = Question(id="lead", text="the run of lead is to be found on the vehicle", about=("lead",))
    other = Question(id="box~lead", text="the gap between box and lead is to be measured", about=("box", "lead"))
    agree(project, "lower", asked=(wire, other))
    place = ("--in", project, "--job", "lower")
    vague = run("record", "settled", "lead", "tried with wire, clear", *place)
    assert "the file will have it straight from end to end" in vague.out
    told = run("record", "settled", "Lead", "by -60 0 700; -60 20 700", *place)
    assert (told.code, "writes them under its `via`" in told.out) == (0, True)
    ended = run("adopt", project, "lower", "--yes")
    assert ended.code == 0, ended.err
    built, _ = load_vehicle(project, catalog())
    assert built is not None
    assert built.links["lead"].via_mm == ((-60.0, 0.0, 700.0), (-60.0, 20.0, 700.0))


def test_a_whole_name_wins_over_words_of_another_question(tmp_path: Path) -> None:
    project = tmp_path / "bench"
    (project / "jobs").mkdir(parents=True)
    (project / "vehicle.yaml").write_text(BENCH + WIRE)
    (project / "jobs" / "lower.yaml").write_text(LOWERED)
    first = Question(
        id="main-pipe", text="the run drawn for main pipe is not clear: 4.8 mm across", about=("main-pipe",)
    )
    second = Question(id="cross-pipe", text="the run drawn for cross pipe is not clear", about=("cross-pipe",))
    agree(project, "lower", asked=(first, second))
    place = ("--in", project, "--job", "lower")
    assert run("record", "settled", "cross pipe", "by -60 0 700", *place).code == 0
    assert run("record", "settled", "main", "by -60 0 700", *place).code == 0


@pytest.mark.parametrize(
    ("drawn", "as_drawn"),
    [("", False), (", via: [[-70, 0, 500]]", False), (", via: [[-300, 0, 500]]", True)],
    ids=["straight through the box", "by a point inside it", "round it"],
)
def test_a_new_link_is_written_by_the_run_it_is_made_by(tmp_path: Path, drawn: str, *, as_drawn: bool) -> None:
    project = tmp_path / "bench"
    (project / "jobs").mkdir(parents=True)
    (project / "vehicle.yaml").write_text(BENCH)
    (project / "jobs" / "pipe.yaml").write_text(STRAIGHT_ACROSS % drawn)
    agree(project, "pipe")
    planned = json.loads(run("moves", project, "pipe", "--json").out)["runs"]["pipe"]
    ended = run("adopt", project, "pipe", "--yes")
    assert ended.code == 0, ended.err
    built, _ = load_vehicle(project, catalog())
    assert built is not None
    via = built.links["pipe"].via_mm
    assert [pytest.approx(p, abs=0.06) for p in via] == planned["points_mm"][1:-1]
    assert (via == ((-300.0, 0.0, 500.0),)) is as_drawn
    assert planned["laid"] == ("drawn" if as_drawn else "instead")
    assert "`knockon check` will say" not in ended.out
    assert run("check", project).code == 0


BOUGHT = """\
knockon: 1
name: A union
changes:
  - do: add
    part: third
    component:
      kind: brake-union
      at: [-60, 480, 500]
      solids: [{box: [30, 30, 1 1/4 in]}]
      mounted_on: plate
      mass: 80 g
      price: 12
      lead: 6 days
"""


def test_what_is_written_reads_as_its_owner_would_write_it(tmp_path: Path) -> None:
    """No quotes about sizes, bare numbers in the file's own unit, and nothing of how a part is bought."""
    project = tmp_path / "bench"
    (project / "jobs").mkdir(parents=True)
    (project / "vehicle.yaml").write_text(BENCH)
    (project / "jobs" / "union.yaml").write_text(BOUGHT)
    agree(project, "union")
    for name, value in (("from-here.at.z", "499"), ("to-there.at.z", "501 mm"), ("box.at.y", "2 mm +/- 1 mm")):
        line = {"sort": "size", "size": name, "value": value}
        append_after(log_path(project, "union"), lambda _, line=line: [line], at="2026-12-02T09:00:00")
    ended = run("adopt", project, "union", "--yes", "--early", "measured at the bench")
    assert ended.code == 0, ended.err
    text = (project / "vehicle.yaml").read_text()
    assert '"' not in text.replace(BENCH, "")
    added = text.split("  third:")[1].splitlines()
    assert "    solids: [{box: [30, 30, 1 1/4 in]}]" in added
    assert "    mass: 80 g" in added
    assert not any(key in line for line in added for key in ("price", "lead"))
    assert "300, 499]" in text
    assert "300, 501]" in text
    assert "[-70, 2 mm +/- 1 mm, 500]" in text


def test_a_link_led_another_way_than_planned_is_a_difference() -> None:
    vehicle, _ = load_vehicle(CARS / "trials-car", catalog())
    assert vehicle is not None
    name, link = next((i, k) for i, k in vehicle.links.items() if k.via_mm)
    x, y, z = link.via_mm[0]
    other = replace(link, via_mm=((x, y, z + 1.0), *link.via_mm[1:]))
    built = Built(parts=vehicle.components, links={**vehicle.links, name: other}, runs={})
    assert differences(vehicle, built) == [f"link `{name}` is led another way than it was to be"]


@pytest.mark.slow
def test_without_a_yes_nothing_is_written(tmp_path: Path) -> None:
    project = car(tmp_path, "battery-aft")
    before = (project / "vehicle.yaml").read_bytes()
    ended = run("adopt", project)
    assert "nothing is written yet" in ended.out
    assert "+  battery-box:" in ended.out
    told = json.loads(run("adopt", project, "--json").out)
    assert told["difference"] in ended.out
    assert (project / "vehicle.yaml").read_bytes() == before
    assert len(log_path(project, "battery-aft").read_text().splitlines()) == 1


@pytest.mark.slow
def test_a_measured_size_goes_into_the_file(tmp_path: Path) -> None:
    project = car(tmp_path, "battery-aft")
    size = {"sort": "size", "size": "header-tank.at.z", "value": "646 mm +/- 1 mm"}
    append_after(log_path(project, "battery-aft"), lambda _: [size], at="2026-12-02T09:00:00")
    # No plan has looked at it: that is said, and the reason is kept.
    refused = run("adopt", project, "--yes")
    assert refused.code == 1
    assert "header-tank.at.z is 646 mm +/- 1 mm (not in the agreed plan: replan)" in refused.err
    ended = run("adopt", project, "--yes", "--early", "it hangs as it hung")
    assert ended.code == 0, ended.err
    assert "646 mm +/- 1 mm" in (project / "vehicle.yaml").read_text()


def test_sizes_are_compared_whatever_the_solid() -> None:
    vehicle, _ = load_vehicle(CARS / "trials-car", catalog())
    assert vehicle is not None
    round_parts = [p for p in vehicle.components.values() if any(isinstance(s, Cylinder) for s in p.solids)]
    part = round_parts[0]
    fatter = tuple(replace(s, across_mm=s.across_mm + 1.0) if isinstance(s, Cylinder) else s for s in part.solids)
    built = Built(parts={**vehicle.components, part.id: replace(part, solids=fatter)}, links=vehicle.links, runs={})
    assert differences(vehicle, built) == [f"part `{part.id}` has another size than it was to have"]
    assert differences(vehicle, built, frozenset({part.id})) == []


def test_open_work_is_refused_without_a_reason_and_told_with_one(tmp_path: Path) -> None:
    task = Task(id="weigh", title="Weigh it", work=Work.PLANNING, minutes=20)
    project = car(tmp_path, "header-tank", option="let-in", tasks={"weigh": task})
    ended = run("adopt", project, "--yes")
    assert ended.code == 1
    assert "Weigh it" in ended.err
    ended = run("adopt", project, "--yes", "--early", "it drives already")
    assert ended.code == 0, ended.err
    last = json.loads(log_path(project, "header-tank").read_text().splitlines()[-1])
    assert last["why"] == "it drives already"
    assert "STOP: 1 thing is open on the vehicle" in run("next", project).out
    assert "Weigh it" in (project / "vehicle.yaml").read_text()


def test_a_wrong_edit_would_be_seen() -> None:
    """What is compared before writing tells a part that is elsewhere, missing, or on something else."""
    vehicle, _ = load_vehicle(CARS / "trials-car", catalog())
    assert vehicle is not None
    job, _ = load_job(CARS / "trials-car", "battery-aft", vehicle, catalog())
    assert job is not None
    planned = find_knockons(vehicle, job, catalog())
    built = Built(parts=planned.after, links=planned.links_after, runs={})
    said = differences(vehicle, built)
    assert any("battery-box" in line for line in said)
    assert any(line.startswith("part `battery` is at") for line in said)
    assert any("battery-live" in line for line in said)


def test_a_crash_between_the_line_and_the_file_is_taken_up_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    project = car(tmp_path, "header-tank", option="let-in")
    before = (project / "vehicle.yaml").read_bytes()

    def pulled(path: Path, text: str) -> None:
        if path.name == "vehicle.yaml":
            raise KeyboardInterrupt
        write_whole(path, text)

    with monkeypatch.context() as there:
        there.setattr("planner.files.write_whole", pulled)
        assert run("adopt", project, "--yes").code == 130
    assert (project / "vehicle.yaml").read_bytes() == before
    ended = run("adopt", project, "--yes")
    assert ended.code == 0, ended.err
    assert (project / "vehicle.yaml").read_bytes() != before
    assert "nothing to do" in run("adopt", project).out


def test_an_adoption_taken_back_puts_the_file_back_or_takes_nothing_back(tmp_path: Path) -> None:
    project = car(tmp_path, "header-tank", option="let-in")
    path, log = project / "vehicle.yaml", log_path(project, "header-tank")
    before = path.read_bytes()
    assert run("adopt", project, "--yes").code == 0
    after = path.read_bytes()
    path.write_bytes(after + b"# mine\n")
    lines = log.read_text()
    for undo in (("undo", "--in", project), ("undo", 2, "--in", project)):
        refused = run(*undo)
        assert refused.code == 1
        assert "it was changed since" in refused.err
        assert "put the file back as it was before line 2" in refused.err
    assert (path.read_bytes(), log.read_text()) == (after + b"# mine\n", lines)
    path.write_bytes(after)
    undone = run("undo", "--in", project)
    assert undone.code == 0, undone.err
    assert "is as it was before it was adopted" in undone.out
    assert path.read_bytes() == before
    # Adopted once more, with the text from before it lost: nothing is taken back either.
    assert run("adopt", project, "--yes").code == 0
    [kept] = log.parent.glob("*.plans/vehicle-*.yaml")
    kept.unlink()
    refused = run("undo", "--in", project)
    assert refused.code == 1
    assert "version control or a backup" in refused.err
    assert path.read_bytes() == after


def test_without_an_agreed_plan_it_says_so(tmp_path: Path) -> None:
    project = car(tmp_path, "battery-aft")
    log_path(project, "battery-aft").unlink()
    ended = run("adopt", project, "battery-aft", "--yes")
    assert ended.code == 1
    assert "no plan has been agreed" in ended.err


def test_a_changed_file_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    project = car(tmp_path, "battery-aft")
    path = project / "vehicle.yaml"

    def meddle(*_: object) -> bool:
        path.write_text(path.read_text() + "# mine\n")
        return True

    monkeypatch.setattr("planner.cli.adopting._asked", meddle)
    ended = run("adopt", project)
    assert ended.code == 1
    assert "changed meanwhile" in ended.err
    assert path.read_text().endswith("# mine\n")
    assert len(log_path(project, "battery-aft").read_text().splitlines()) == 1
