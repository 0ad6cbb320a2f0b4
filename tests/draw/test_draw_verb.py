"""The verb: where it writes, what it prints and how it ends."""

from pathlib import Path

import pytest
import shed


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return shed.write_project(tmp_path / "shed", shed.shed_files())


def test_it_writes_into_the_project_and_says_where(project: Path) -> None:
    with shed.catalog_at_hand():
        plain, job = shed.run("draw", project), shed.run("draw", project, shed.JOB_ID)
    assert (plain.code, job.code) == (0, 0), plain.err + job.err
    for ended, name in ((plain, "vehicle"), (job, shed.JOB_ID)):
        path = project / "out" / f"{name}.svg"
        assert str(path) in ended.out
        assert path.read_text(encoding="utf-8").startswith("<svg ")
    assert sorted(p.name for p in (project / "out").iterdir()) == [
        f"{shed.JOB_ID}.detail.svg",
        f"{shed.JOB_ID}.svg",
        "vehicle.svg",
    ]
    assert str(project / "out" / f"{shed.JOB_ID}.detail.svg") in job.out


def test_it_writes_where_it_is_told_or_to_stdout(project: Path, tmp_path: Path) -> None:
    told = tmp_path / "new folder" / "a.svg"
    with shed.catalog_at_hand():
        assert shed.run("draw", project, "-o", told).code == 0
        piped = shed.run("draw", project, "-o", "-")
    assert piped.out == told.read_text(encoding="utf-8")
    assert not (project / "out").exists()


def test_the_list_is_printed_and_nothing_written(project: Path) -> None:
    before = shed.read_project(project)
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, shed.JOB_ID, "--list")
    assert ended.code == 0
    assert "wiper lever (wiper-lever)" in ended.out
    assert shed.read_project(project) == before


def test_it_ends_as_other_verbs_do(project: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with shed.catalog_at_hand():
        assert shed.run("draw", tmp_path / "nowhere").code == shed.run("moves", tmp_path / "nowhere", "x").code == 1
        assert shed.run("draw", project, "no-such-job").code == shed.run("plan", project, "no-such-job").code
        assert shed.run("draw", project, "--list", "-o", "x.svg").code == 2
        assert shed.run("draw", project, "-o", tmp_path / "file" / "x.svg").code == 3


def test_a_job_without_an_answer_ends_with_a_fault(tmp_path: Path) -> None:
    # The new cylinder is put right through the radiator, which may only come off and go back.
    job = shed.JOB.replace("at: [690, 150, 500]", "at: [80, 0, 250]")
    project = shed.write_project(tmp_path / "shed", shed.shed_files(job=job))
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, shed.JOB_ID)
    assert ended.code == 1
    assert "nothing to draw" in ended.err
    assert not (project / "out").exists()


def test_a_closer_look_is_written_beside_and_named_after_its_part(project: Path) -> None:
    with shed.catalog_at_hand():
        plain = shed.run("draw", project, "--near", "fuse-box")
        job = shed.run("draw", project, shed.JOB_ID, "--near", "header-tank", "--reach", "2 in")
    assert (plain.code, job.code) == (0, 0), plain.err + job.err
    names = ["second-cylinder.near-header-tank.svg", "vehicle.near-fuse-box.svg"]
    assert sorted(p.name for p in (project / "out").iterdir()) == names
    assert f"{project / 'out' / names[0]}" in job.out
    assert "50.8 mm round header tank" in (project / "out" / names[0]).read_text(encoding="utf-8")
    assert "150 mm round fuse box" in (project / "out" / names[1]).read_text(encoding="utf-8")


def test_the_reach_is_in_the_owners_units(tmp_path: Path) -> None:
    text = """\
knockon: 1
name: Inch special
units: inch
doubt: 1/8
zero: {x: front axle, y: centre line, z: top of the chassis rails}
ground: -12
components:
  bulkhead:
    kind: bulkhead
    at: [30, 0, 16]
    solids: [{box: [1/16, 43 1/4, 20 1/2]}]
  fuse-box:
    kind: fuse-box
    at: [28 3/4, -6, 22]
    solids: [{box: [2, 4 3/4, 3 1/8]}]
    mounted_on: bulkhead
"""
    project = shed.write_project(tmp_path / "shed", {"vehicle.yaml": text.encode()})
    with shed.catalog_at_hand():
        bare = shed.run("draw", project, "--near", "fuse-box", "--reach", "3", "-o", "-")
        none = shed.run("draw", project, "--near", "fuse-box", "-o", "-")
    assert "3 in round fuse box" in bare.out, bare.err
    assert "6 in round fuse box" in none.out, none.err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--near", "fuse-bx"), "there is no part or link `fuse-bx`; near to it: `fuse-box`"),
        (("--near", "header tnk"), "near to it: `header-tank`"),
        (("--near", "zzz"), "there is no part or link `zzz`"),
        (("--near", ""), "there is no part or link ``"),
        (("--reach", "30"), "say which with --near"),
        (("--near", "fuse-box", "--reach", "-5"), "--reach"),
        (("--near", "fuse-box", "--reach", "0"), "--reach 0 is no use"),
        (("--near", "fuse-box", "--reach", "3 furlong"), "--reach"),
        (("--near", "fuse-box", "--reach", "40 m"), "--reach 40 m is no use"),
    ],
)
def test_what_cannot_be_drawn_near_is_told_in_a_line_and_nothing_written(
    project: Path, arguments: tuple[str, ...], said: str
) -> None:
    before = shed.read_project(project)
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, *arguments)
    lines = [line for line in ended.err.splitlines() if not line.startswith("hint: ")]
    assert ended.code == 2
    assert len(lines) == 1
    assert said in lines[0]
    assert shed.read_project(project) == before


def test_a_closer_look_of_an_earlier_run_is_named_as_such(project: Path) -> None:
    with shed.catalog_at_hand():
        shed.run("draw", project, shed.JOB_ID)
        # A job that only moves a lever a little is in nobody's way.
        job = shed.JOB[: shed.JOB.index("changes:")] + "changes:\n  - {do: move, part: wiper-lever, by: [0, -40, 0]}\n"
        (project / "jobs" / f"{shed.JOB_ID}.yaml").write_text(job, encoding="utf-8")
        ended = shed.run("draw", project, shed.JOB_ID)
    assert ended.code == 0, ended.err
    assert "second-cylinder.detail.svg is of an earlier run" in ended.out


def test_one_file_named_is_one_sheet_written(project: Path, tmp_path: Path) -> None:
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, shed.JOB_ID, "-o", tmp_path / "a" / "b.svg")
    assert ended.code == 0
    assert len(ended.out.splitlines()) == 1
    assert [p.name for p in (tmp_path / "a").iterdir()] == ["b.svg"]


def test_faults_of_the_vehicle_are_on_its_drawing(tmp_path: Path) -> None:
    text = shed.VEHICLE.replace("at: [730, -150, 560]", "at: [730, 60, 560]")
    project = shed.write_project(tmp_path / "shed", shed.shed_files(vehicle=text))
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, "--list")
    # Half of the fuse box is 60 wide, half of the tank 80, 90 mm between their middles.
    assert "clash: header tank and fuse box, " in ended.out or "clash: fuse box and header tank, " in ended.out
