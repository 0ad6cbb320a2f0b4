"""Lines as people type them: the folder by option, three lengths without quotes, minutes with their unit."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import JOB_ID, agreed_project, catalog_at_hand, run
from worked_once import worked_once


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job whose plan is agreed, nothing done."""
    with catalog_at_hand():
        return agreed_project(tmp_path_factory.mktemp("typed") / "shed")


@pytest.mark.parametrize(
    "line",
    [
        ("--in", "{}"),
        ("--in={}",),
        ("--in", "{}", JOB_ID),
        ("{}", "--in", "{}"),
        ("{}", "--in", "{}/", "--job", JOB_ID),
        ("{}", "--job", JOB_ID),
        ("--job", JOB_ID, "{}"),
    ],
)
def test_the_folder_and_the_job_may_be_options_of_every_verb(agreed: Path, line: tuple[str, ...]) -> None:
    words = [w.format(agreed) for w in line]
    for verb in ("next", "status"):
        ended, plain_ended = run(verb, *words, "--json"), run(verb, agreed, JOB_ID, "--json")
        assert (ended.code, ended.err) == (0, "")
        assert ended.out == plain_ended.out


def test_check_and_plan_take_the_folder_too(agreed: Path) -> None:
    assert run("check", "--in", agreed).out == run("check", agreed).out
    about = ("--quick", "--from", "2027-01-01", "--about", "wiper-lever")
    assert run("plan", "--in", agreed, JOB_ID, *about).out == run("plan", agreed, JOB_ID, *about).out != ""


def test_two_different_folders_are_refused(agreed: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(agreed, tmp_path / "other"))
    ended = run("next", other, "--in", agreed)
    assert ended.code != 0
    assert "there is no job" in ended.err


def test_three_lengths_need_no_quotes(agreed: Path) -> None:
    typed = run("moves", agreed, "wiper-lever", "--by", "0", "-40", "0", "--json")
    assert typed.code == 0, typed.err
    assert typed.out == run("moves", agreed, "wiper-lever", "--by", "0 -40 0", "--json").out
    two = run("moves", agreed, "wiper-lever", "--by", "0", "-40")
    assert two.code == 2
    assert "--by '0 -40 0'" in two.err


def test_a_name_of_several_words_is_shown_in_quotes(agreed: Path) -> None:
    ended = run("moves", agreed, "wiper", "lever", "--off")
    assert ended.code == 2
    assert "'wiper lever'" in ended.err


@pytest.mark.parametrize(("text", "minutes"), [("25", 25), ("25min", 25), ("25 min", 25), ("1 h 20 min", 80)])
def test_minutes_may_carry_their_unit(agreed: Path, tmp_path: Path, text: str, minutes: int) -> None:
    folder = Path(shutil.copytree(agreed, tmp_path / "shed"))
    assert run("done", "1", "--took", text, "--in", folder).code == 0
    line = json.loads((folder / f"jobs/{JOB_ID}.log.jsonl").read_text().splitlines()[-1])
    assert line["took_min"] == minutes


@pytest.mark.parametrize("text", ["soon", "0", "-5", "25 mm", "0 min"])
def test_what_is_no_time_is_refused(agreed: Path, text: str) -> None:
    assert run("done", "1", f"--took={text}", "--in", agreed).code == 2


def test_paper_is_taken_in_capitals_as_it_is_written_on_the_packet(agreed: Path) -> None:
    ended = run("book", agreed, JOB_ID, "--paper", "A4", "--limit", "1", "--from", "2027-01-01", "-o", "-")
    assert "is not one of" not in ended.err
    assert ended.code != 2
