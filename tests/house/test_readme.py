"""What the README shows is what the command prints."""

import json
import re
import shlex
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from house.readme_session import README, ROOT, agrees, is_of_story, output_of, sessions, story_folder
from shed import catalog_at_hand, run
from worked_once import worked_once

SESSIONS = [s for s in sessions() if not is_of_story(s[0])]
STORY = [s for s in sessions() if is_of_story(s[0])]
WRITTEN = datetime(2026, 11, 27)  # noqa: DTZ001  # sessions are wall clock


@pytest.fixture(autouse=True)
def narrow_and_plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The terminal of ``output_of``; the command runs in this process, and what many blocks ask is worked out once.

    It is the day on which the blocks were written, before the jobs begin, whatever day it is.
    """
    for name, value in {"COLUMNS": "80", "NO_COLOR": "1", "TERM": "dumb"}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr("planner.cli.plan.now_or", lambda day: day or WRITTEN)
    monkeypatch.setattr("planner.cli.compare.first_day", lambda day: (day or WRITTEN).date())
    monkeypatch.chdir(ROOT)
    with catalog_at_hand(), worked_once():
        yield


def told_here(command: str) -> list[str]:
    """What ``output_of`` gives, told by the command within this process in the folder we are in."""
    ended = run(*shlex.split(command.removeprefix("$ "))[1:])
    return (ended.out + ended.err).rstrip("\n").split("\n")


def test_the_readme_has_a_session_for_each_reading_verb() -> None:
    verbs = {command.split()[2] for command, _ in SESSIONS}
    assert {"check", "moves", "plan", "explain"} <= verbs


@pytest.mark.parametrize(("command", "told"), SESSIONS, ids=[c for c, _ in SESSIONS])
def test_the_output_is_real(command: str, told: list[str]) -> None:
    assert agrees(told, told_here(command))


def test_the_output_in_a_process_of_its_own_is_the_same() -> None:
    command, told = SESSIONS[0]
    real = output_of(command)
    assert real == told_here(command)
    assert agrees(told, real)


def test_the_story_of_a_job_is_real(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(story_folder(tmp_path))
    assert {command.split()[2] for command, _ in STORY} >= {
        "plan",
        "next",
        "done",
        "record",
        "replan",
        "status",
        "adopt",
    }
    for command, told in STORY:
        real = told_here(command)
        assert agrees(told, real), (command, real)


def test_a_wrong_line_is_seen() -> None:
    assert not agrees(["one", "[...]", "three"], ["one", "two", "four"])
    assert agrees(["one", "[...]", "three"], ["one", "two", "three"])


def test_the_two_commands_are_the_ones_ci_runs() -> None:
    text = README.read_text(encoding="utf-8")
    ci = (README.parent / ".ci" / "run").read_text(encoding="utf-8")
    first = "python3 -m venv .venv && .venv/bin/pip install -q -e '.[dev]' && .venv/bin/knockon demo"
    assert first in text
    assert first in ci
    assert "\n.venv/bin/pytest -q\n" in text
    assert "\n.venv/bin/pytest -q\n" in ci


FILES = re.compile(r"^```yaml\n# (\S+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
"""A block of YAML whose first line names its file."""
CHANGES = {"add", "remove", "replace", "move", "take-off", "grow", "cut", "link"}


def small_vehicle(folder: Path) -> Path:
    """The README's small vehicle and its jobs, as files."""
    for name, text in FILES.findall(README.read_text(encoding="utf-8")):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_every_block_of_yaml_names_its_file() -> None:
    text = README.read_text(encoding="utf-8")
    assert text.count("```yaml\n") == len(FILES.findall(text)) == 3


def test_the_small_vehicle_is_complete_and_possible(tmp_path: Path) -> None:
    done = run("check", small_vehicle(tmp_path), "--json")
    assert (done.code, done.err) == (0, "")
    assert json.loads(done.out)["findings"] == []


def test_the_jobs_of_the_small_vehicle_show_each_kind_of_change(tmp_path: Path) -> None:
    jobs = [p.read_text(encoding="utf-8") for p in (small_vehicle(tmp_path) / "jobs").iterdir()]
    assert set(re.findall(r"\bdo: ([a-z-]+)", "\n".join(jobs))) == CHANGES


@pytest.mark.parametrize("hurry", [["--quick"], pytest.param([], marks=pytest.mark.slow)], ids=["quick", "well"])
@pytest.mark.parametrize("job", ["second-cylinder", "wide-radiator"])
def test_the_jobs_of_the_small_vehicle_can_be_planned(job: str, hurry: list[str], tmp_path: Path) -> None:
    done = run("plan", small_vehicle(tmp_path), job, "--from", "2027-01-09", "--json", *hurry)
    plan = json.loads(done.out)
    assert (done.code, plan["trouble"], plan["checker"], plan["faults_at_start"]) == (0, [], [], 0)
    assert plan["sessions"]
