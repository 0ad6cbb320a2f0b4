"""What the README shows is what the command prints."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from house.readme_session import README, ROOT, agrees, is_of_story, output_of, sessions, story_folder

SESSIONS = [s for s in sessions() if not is_of_story(s[0])]
STORY = [s for s in sessions() if is_of_story(s[0])]


def test_the_readme_has_a_session_for_each_reading_verb() -> None:
    verbs = {command.split()[2] for command, _ in SESSIONS}
    assert {"check", "moves", "plan", "explain"} <= verbs


@pytest.mark.parametrize(("command", "told"), SESSIONS, ids=[c for c, _ in SESSIONS])
def test_the_output_is_real(command: str, told: list[str]) -> None:
    assert agrees(told, output_of(command))


def test_the_story_of_a_job_is_real(tmp_path: Path) -> None:
    folder = story_folder(tmp_path)
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
        real = output_of(command, folder)
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


def ended(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "planner", *words], cwd=ROOT, capture_output=True, text=True, check=False
    )


def test_every_block_of_yaml_names_its_file() -> None:
    text = README.read_text(encoding="utf-8")
    assert text.count("```yaml\n") == len(FILES.findall(text)) == 3


def test_the_small_vehicle_is_complete_and_possible(tmp_path: Path) -> None:
    done = ended("check", str(small_vehicle(tmp_path)), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["findings"] == []


def test_the_jobs_of_the_small_vehicle_show_each_kind_of_change(tmp_path: Path) -> None:
    jobs = [p.read_text(encoding="utf-8") for p in (small_vehicle(tmp_path) / "jobs").iterdir()]
    assert set(re.findall(r"\bdo: ([a-z-]+)", "\n".join(jobs))) == CHANGES


@pytest.mark.parametrize("job", ["second-cylinder", "wide-radiator"])
def test_the_jobs_of_the_small_vehicle_can_be_planned(job: str, tmp_path: Path) -> None:
    done = ended("plan", str(small_vehicle(tmp_path)), job, "--from", "2027-01-09", "--json")
    plan = json.loads(done.stdout)
    assert (done.returncode, plan["trouble"], plan["checker"], plan["faults_at_start"]) == (0, [], [], 0)
    assert plan["sessions"]
