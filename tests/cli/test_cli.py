"""The whole command: exit codes, what it prints for people and for programs, and what it leaves alone."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import (
    JOB,
    JOB_ID,
    VEHICLE,
    Ended,
    catalog_at_hand,
    first_packing,
    read_project,
    run,
    shed_files,
    write_project,
)
from worked_once import worked_once

from planner.finding.pages import codes
from planner.shelf import projects_folder

ROOT = Path(__file__).parents[2]
TRIALS = projects_folder() / "trials-car"
FIRST_DAY = ("--from", "2026-12-01", "--quick")
BRANCHES = re.compile(r"[│├└─]")


@pytest.fixture(autouse=True)
def quick_and_plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    monkeypatch.delenv("KNOCKON_DEBUG", raising=False)
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return write_project(tmp_path / "shed", shed_files())


def with_job(folder: Path, old: str, new: str) -> Path:
    assert old in JOB
    return write_project(folder, shed_files(job=JOB.replace(old, new)))


def words(text: str) -> str:
    """The text without line breaks, branches of the tree and runs of blanks."""
    return " ".join(BRANCHES.sub(" ", text).split())


def command(*arguments: str | Path, **env: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "planner", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, **env},
        capture_output=True,
        check=False,
    )


# ---- exit codes ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "arguments",
    [
        ["check"],
        ["moves", JOB_ID],
        ["moves", JOB_ID, "--every"],
        ["moves", "fuse-box", "--by", "0 -40 0"],
        ["moves", "fuse-box", "--by", "0, -1 1/2 in, 0"],
        ["moves", "fuse-box", "--to", "730 -200 560"],
        ["moves", "fuse-box", "--grow", "0 10 0"],
        ["moves", "fuse-box", "--off"],
        ["plan", JOB_ID, *FIRST_DAY],
        ["plan", JOB_ID, "--short", *FIRST_DAY],
        ["plan", JOB_ID, "--about", "header-tank", *FIRST_DAY],
    ],
    ids=" ".join,
)
def test_a_good_call_ends_with_0_and_says_something(shed: Path, arguments: list[str]) -> None:
    ended = run(arguments[0], shed, *arguments[1:])
    assert ended.code == 0, ended.err
    assert ended.out.strip()
    assert not ended.err


@pytest.mark.parametrize(
    "arguments",
    [["schema"], ["schema", "job"], ["explain"], ["explain", "unknown-id"], ["explain", "[unknown-id]"], ["--version"]],
    ids=" ".join,
)
def test_a_good_call_without_a_project(arguments: list[str]) -> None:
    ended = run(*arguments)
    assert ended.code == 0, ended.err
    assert ended.out.strip()


@pytest.mark.parametrize("verb", ["check", "moves", "plan", "schema", "explain", "demo"])
def test_every_verb_has_help(verb: str) -> None:
    for flag in ("--help", "-h"):
        ended = run(verb, flag)
        assert ended.code == 0
        assert "Usage: knockon" in ended.out


@pytest.mark.parametrize(
    "arguments",
    [
        ["frobnicate"],
        ["check"],
        ["check", "SHED", "--nonsense"],
        ["moves", "SHED"],
        ["moves", "SHED", "fuse-box"],
        ["moves", "SHED", "fuse-box", "--off", "--by", "0 0 1"],
        ["moves", "SHED", "fuse-box", "--by", "0 0"],
        ["moves", "SHED", "fuse-box", "--by", "0 0 furlong"],
        ["moves", "SHED", "fuse-box", "--by", "nan 0 0"],
        ["moves", "SHED", "fuse-box", "--to", ""],
        ["moves", "SHED", "fuse-bux", "--off"],
        ["moves", "SHED", JOB_ID, "--off"],
        ["plan", "SHED"],
        ["plan", "SHED", JOB_ID, "--from", "someday"],
        ["plan", "SHED", JOB_ID, "--limit", "soon"],
        ["schema", "boat"],
        ["explain", "no-such-code"],
    ],
    ids=" ".join,
)
def test_a_wrong_command_line_ends_with_2_and_plain_words(shed: Path, arguments: list[str]) -> None:
    ended = run(*[str(shed) if a == "SHED" else a for a in arguments])
    assert ended.code == 2, ended.out
    assert ended.err.strip()


@pytest.mark.parametrize("verb", ["check", "moves", "plan"])
def test_faults_in_the_vehicle_end_with_1(tmp_path: Path, verb: str) -> None:
    project = write_project(
        tmp_path, shed_files(vehicle=VEHICLE.replace("mounted_on: bulkhead", "mounted_on: hull", 1))
    )
    ended = run(verb, project, *([] if verb == "check" else [JOB_ID]))
    assert ended.code == 1
    assert re.search(r"vehicle\.yaml:\d+:\d+: error: .*`hull`", words(ended.out + ended.err))


@pytest.mark.parametrize("verb", ["check", "moves", "plan"])
def test_faults_in_the_job_end_with_1(tmp_path: Path, verb: str) -> None:
    project = with_job(tmp_path, "part: wiper-lever", "part: wiper-leaver")
    ended = run(verb, project, *([] if verb == "check" else [JOB_ID]))
    assert ended.code == 1
    assert "did you mean `wiper-lever`?" in ended.out + ended.err


def test_no_place_for_a_part_ends_with_1_and_names_it(tmp_path: Path) -> None:
    bare = VEHICLE[: VEHICLE.index("spaces:")] + VEHICLE[VEHICLE.index("relations:") :]
    project = write_project(tmp_path, shed_files(vehicle=bare))
    for verb in ("moves", "plan"):
        ended = run(verb, project, JOB_ID)
        assert ended.code == 1
        assert "header tank: rear cylinder overlaps it by 26.7 mm" in words(ended.out + ended.err)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('from: "09:00", to: "13:00"', 'from: "09:00", to: "09:20"', "cannot be planned"),
        ("  - {every: sunday", "  # {every: sunday", "2 pairs of hands"),
        ("lead: 9 days", "lead: 3650 days", "cannot be planned"),
        ("on-stands]", "on-stands]\n    fitted: [rear-cylinder]", "cannot all hold"),
    ],
    ids=["short sessions", "one pair of hands", "late part", "order in a ring"],
)
def test_work_that_cannot_be_planned_ends_with_1_and_says_why(tmp_path: Path, old: str, new: str, told: str) -> None:
    project = with_job(tmp_path, old, new)
    if new.endswith('"09:20"'):
        project = write_project(tmp_path, shed_files(job=JOB.replace(old, new).replace('to: "18:00"', 'to: "14:20"')))
    ended = run("plan", project, JOB_ID, *FIRST_DAY)
    assert ended.code == 1, ended.out
    assert told in words(ended.out + ended.err)


def test_a_missing_project_or_file_is_told_by_name(tmp_path: Path) -> None:
    for project in (tmp_path / "nowhere", tmp_path):
        for verb in ("check", "moves", "plan"):
            ended = run(verb, project, *([] if verb == "check" else [JOB_ID]))
            assert ended.code in {1, 3}
            assert project.name in words(ended.out + ended.err)


@pytest.mark.skipif(os.geteuid() == 0, reason="root reads everything")
def test_a_file_that_may_not_be_read_is_told(shed: Path) -> None:
    (shed / "vehicle.yaml").chmod(0)
    assert run("check", shed).code in {1, 3}


# ---- --json --------------------------------------------------------------------------------------------------------


def test_json_of_check_holds_the_findings_of_the_text(tmp_path: Path) -> None:
    project = with_job(tmp_path, "part: wiper-lever", "part: wiper-leaver")
    told = json.loads(run("check", project, "--json").out)
    text = words(run("check", project).out)
    assert told["schema"] == 1
    assert told["findings"]
    for finding in told["findings"]:
        assert f":{finding['line']}:{finding['column']}: {finding['severity']}: {finding['message']}" in text


@pytest.mark.parametrize(("project", "job"), [("shed", JOB_ID), ("trials", "battery-aft"), ("trials", "hung-pedals")])
def test_json_of_moves_holds_the_effects_of_the_text(shed: Path, project: str, job: str) -> None:
    folder = {"shed": shed, "trials": TRIALS}[project]
    told = json.loads(run("moves", folder, job, "--json").out)
    text = words(run("moves", folder, job, "--every").out)
    assert told["schema"] == 1
    assert told["effects"]
    ids = {effect["id"] for effect in told["effects"]}
    for effect in told["effects"]:
        assert words(effect["text"]) in text
        assert {c["source"] for c in effect["causes"]} - {None} <= ids


def test_every_line_of_the_tree_is_an_effect_told_once(shed: Path) -> None:
    told = json.loads(run("moves", shed, JOB_ID, "--json").out)
    tree = words(run("moves", shed, JOB_ID).out)
    for effect in told["effects"]:
        if effect["kind"] in {"moves", "remade"}:
            assert tree.count(effect["text"]) == 1


@pytest.mark.parametrize(("project", "job"), [("shed", JOB_ID), ("trials", "battery-aft")])
def test_json_of_plan_holds_the_steps_of_the_text(
    shed: Path, project: str, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # In a narrow terminal the names of purchases go on under the columns beside them.
    monkeypatch.setenv("COLUMNS", "160")
    folder = {"shed": shed, "trials": TRIALS}[project]
    told = json.loads(run("plan", folder, job, "--json", *FIRST_DAY).out)
    text = words(run("plan", folder, job, *FIRST_DAY).out)
    assert told["schema"] == 1
    assert told["checker"] == []
    steps = [step for session in told["sessions"] for step in session["steps"]]
    assert [step["number"] for step in steps] == list(range(1, len(steps) + 1))
    assert f"{len(steps)} steps" in text
    for step in steps:
        start = step["start"][11:16]
        hands = f" x{step['hands']}" if step["hands"] > 1 else ""
        assert f"{step['number']} {start} {step['minutes']} min{hands} {words(step['title'])}" in text
    for checkpoint in told["checkpoints"].values():
        assert words(checkpoint["title"]) in text
    for buy in told["buy"]:
        assert words(buy["what"]) in text


def test_json_of_an_answer_that_is_none(tmp_path: Path) -> None:
    bare = VEHICLE[: VEHICLE.index("spaces:")] + VEHICLE[VEHICLE.index("relations:") :]
    ended = run("moves", write_project(tmp_path, shed_files(vehicle=bare)), JOB_ID, "--json")
    told = json.loads(ended.out)
    assert ended.code == 1
    assert told["proof"] == "no answer"
    assert told["trouble"]


@pytest.mark.parametrize("which", ["vehicle", "job"])
def test_the_schema_is_json(which: str) -> None:
    assert json.loads(run("schema", which).out)["properties"]


def test_every_finding_code_has_its_page() -> None:
    listed = run("explain").out
    for code in codes():
        assert code in listed
        assert run("explain", code).out.startswith(f"{code}: ")


# ---- the terminal --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("arguments", [["moves", "SHED", JOB_ID], ["explain"], ["schema"]], ids=" ".join)
def test_a_reader_that_stops_early_is_no_fault(shed: Path, arguments: list[str]) -> None:
    told = [str(shed) if a == "SHED" else a for a in arguments]
    with subprocess.Popen(
        [sys.executable, "-m", "planner", *told], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        err = process.stderr.read()
    assert err == b""
    assert process.returncode in {0, 141, -13}


@pytest.mark.parametrize("columns", ["40", "80", "120", "200", "1", "nonsense"])
@pytest.mark.parametrize("verb", ["check", "moves", "plan"])
def test_any_width_holds_the_same_words(shed: Path, monkeypatch: pytest.MonkeyPatch, columns: str, verb: str) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    # How good the plan is makes nothing of how wide it is printed.
    ended = run(verb, shed, *([] if verb == "check" else [JOB_ID]), *(["--quick"] if verb == "plan" else []))
    assert ended.code == 0
    if columns in {"40", "80", "120", "200"} and verb == "moves":
        assert "header tank moves 2.6 mm rearwards" in words(ended.out)
        assert max(map(len, ended.out.split("\n"))) <= int(columns)


def test_no_escape_codes_where_nobody_looks_and_none_where_none_are_wanted(
    shed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = command("moves", shed, JOB_ID)
    assert done.returncode == 0
    assert b"\x1b" not in done.stdout + done.stderr
    for env in ({"NO_COLOR": "1", "TERM": "xterm-256color"}, {"TERM": "dumb"}):
        with monkeypatch.context() as for_once:
            for name, value in env.items():
                for_once.setenv(name, value)
            ended = run("moves", shed, JOB_ID)
        assert ended.code == 0
        assert ended.out.encode() == done.stdout
        assert "\x1b" not in ended.out + ended.err


@pytest.mark.parametrize(
    "name", ["\\e[31mred", "\\x1b]0;title\\x07", "a\\nb", "\\u202eabc", "\\x9b31m", "\\0", "a\\rb", "\\u2028x"]
)
def test_codes_that_steer_a_terminal_do_not_reach_it(tmp_path: Path, name: str) -> None:
    for old in ("name: Shed special", "name: A second brake cylinder", "title: Paint the slot", "why: it fills"):
        key = old.partition(":")[0]
        files = {n: c.replace(old.encode(), f'{key}: "{name}" #'.encode()) for n, c in shed_files().items()}
        if old.startswith("why"):
            files = {n: c.replace(b'" # and vents by gravity}', b'"}') for n, c in files.items()}
        project = write_project(tmp_path / key, files)
        for verb in ("check", "moves", "plan"):
            with first_packing():
                ended = run(verb, project, *_words(verb))
            assert ended.code in {0, 1}
            steering = {c for c in ended.out + ended.err if unicodedata.category(c) in {"Cc", "Cf", "Zl", "Zp"}}
            assert steering <= {"\n"}


def _words(verb: str) -> list[str]:
    """What a verb is asked about; a plan is asked for in a hurry, for it is not looked at."""
    return [] if verb == "check" else [JOB_ID, *(["--quick"] if verb == "plan" else [])]


def test_markup_in_a_name_is_printed_as_it_stands(tmp_path: Path) -> None:
    files = shed_files(vehicle=VEHICLE.replace("name: Shed special", 'name: "[bold]Shed[/] [/nope] :car:"'))
    ended = run("moves", write_project(tmp_path, files), JOB_ID)
    assert ended.code == 0
    assert "[bold]Shed[/] [/nope] :car:" in words(ended.out)


# ---- hints ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (["moves", "fuse-bos", "--off"], "`fuse-box`"),
        (["moves", "second-cilinder"], f"`{JOB_ID}`"),
        (["plan", "second-cilinder"], f"`{JOB_ID}`"),
    ],
    ids=["part", "job to moves", "job to plan"],
)
def test_a_misspelt_name_is_answered_with_the_nearest(shed: Path, arguments: list[str], hint: str) -> None:
    ended = run(arguments[0], shed, *arguments[1:])
    assert ended.code in {1, 2}
    assert "did you mean" in words(ended.err)
    assert hint in ended.err


def test_a_misspelt_code_is_answered_with_the_nearest() -> None:
    assert "did you mean `unknown-id`?" in run("explain", "unknwon-id").err


# ---- the same twice, and what is left alone --------------------------------------------------------------------------


@pytest.mark.parametrize("verb", ["moves", "plan"])
def test_the_same_is_printed_twice_byte_for_byte(verb: str) -> None:
    arguments = [verb, TRIALS, "hung-pedals", *((*FIRST_DAY, "--limit", "4") if verb == "plan" else ())]
    # Here sets lie as this process has them, there as that seed has them.
    first, second = run(*arguments), command(*arguments, PYTHONHASHSEED="2")
    assert (first.code, second.returncode) == (0, 0)
    assert len(first.out) > 1000
    assert first.out.encode() == second.stdout


def test_a_path_with_blanks_and_accents(tmp_path: Path) -> None:
    project = write_project(tmp_path / "Mémés Käfer (très vieux) 車", shed_files())
    for verb in ("check", "moves", "plan"):
        assert run(verb, project, *_words(verb)).code == 0
    done = command("plan", project, JOB_ID, "--quick", LC_ALL="C")
    assert done.returncode == 0, done.stderr


def test_reading_verbs_write_nothing(shed: Path) -> None:
    before = read_project(shed)
    for path in (*shed.rglob("*"), shed):
        path.chmod(0o555 if path.is_dir() else 0o444)
    ended: list[Ended] = [run("check", shed), run("moves", shed, JOB_ID), run("plan", shed, JOB_ID, "--quick")]
    for path in (shed, *shed.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    assert [e.code for e in ended] == [0, 0, 0]
    assert read_project(shed) == before


def test_demo_copies_everything_and_leaves_a_changed_copy_alone(tmp_path: Path) -> None:
    assert run("demo", tmp_path / "try out").code == 0
    copy = tmp_path / "try out" / "trials-car"
    assert read_project(copy) == read_project(TRIALS)
    mine = copy / "vehicle.yaml"
    mine.write_text(mine.read_text(encoding="utf-8").replace("Clarty trials", "My own trials"), encoding="utf-8")
    changed = read_project(copy)
    again = run("demo", tmp_path / "try out")
    assert again.code == 0
    assert "My own trials two-seater" in again.out
    assert read_project(copy) == changed


def test_demo_into_something_that_is_no_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    ended = run("demo", tmp_path / "file")
    assert ended.code == 3
    assert "file" in ended.err
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


def test_demo_beside_a_half_copy_is_told(tmp_path: Path) -> None:
    shutil.copytree(TRIALS / "jobs", tmp_path / "trials-car" / "jobs")
    ended = run("demo", tmp_path)
    assert ended.code in {1, 3}
    assert "vehicle.yaml" in ended.out + ended.err
