"""A terminal that is closed in the middle of the questions: the answers are in a file."""

from __future__ import annotations

import os
import select
import signal
import sys
import time
from pathlib import Path

import pytest

from planner.shelf import projects_folder

pty = pytest.importorskip("pty")

ANSWERS = ["Shed", "mm", "3400 x 1450 x 1250"]


def at_a_terminal(folder: Path) -> tuple[int, int]:
    """The command at a terminal of its own: its process, and our end of the terminal."""
    process, ours = pty.fork()
    if process == 0:
        os.chdir(folder)
        os.environ["PYTHONPATH"] = str(projects_folder().parent)
        os.execv(sys.executable, [sys.executable, "-m", "planner", "new", "car"])  # noqa: S606
    return process, ours


def read_until(ours: int, words: str, *, ending: int | None = None) -> str:
    """What is printed up to some words; a process to be ended is told so again as long as it says nothing.

    A signal that comes between a prompt and the wait for its answer is heard with the next one only.
    """
    told = b""
    silent = 0
    while words.encode() not in told:
        if not select.select([ours], [], [], 2.0)[0]:
            silent += 1
            assert silent < 20, told
            if ending is not None:
                os.kill(ending, signal.SIGTERM)
            continue
        told += os.read(ours, 4096)
    return told.decode()


def answered(folder: Path) -> tuple[int, int]:
    """The command, with its first questions answered."""
    process, ours = at_a_terminal(folder)
    for answer, question in zip(ANSWERS, ("name of the vehicle [", "units [", "over all ["), strict=True):
        read_until(ours, question)
        os.write(ours, f"{answer}\n".encode())
    read_until(ours, "ahead of the front axle [")
    return process, ours


def ended(process: int) -> int:
    """How it ended; a child that does not end within 20 s is killed."""
    for _ in range(400):
        found, status = os.waitpid(process, os.WNOHANG)
        if found:
            return status
        time.sleep(0.05)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    pytest.fail("it goes on without a terminal")


def test_a_terminal_that_is_closed_leaves_the_answers_in_a_file(tmp_path: Path) -> None:
    (tmp_path / "answers-so-far-1.txt").write_text("mine\n", encoding="utf-8")
    process, ours = answered(tmp_path)
    os.close(ours)
    assert ended(process) != 0
    kept = (tmp_path / "answers-so-far-2.txt").read_text(encoding="utf-8").splitlines()
    assert (kept[0].startswith("# answers so far"), kept[1:]) == (True, ANSWERS)
    assert (tmp_path / "answers-so-far-1.txt").read_text(encoding="utf-8") == "mine\n"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["answers-so-far-1.txt", "answers-so-far-2.txt"]


def test_a_command_that_is_ended_from_outside_prints_them(tmp_path: Path) -> None:
    process, ours = answered(tmp_path)
    os.kill(process, signal.SIGTERM)
    told = read_until(ours, "nothing is written", ending=process)
    assert "\r\n".join(ANSWERS) in told[told.index("# answers so far") :]
    assert os.waitstatus_to_exitcode(ended(process)) == 130
    os.close(ours)
    assert list(tmp_path.iterdir()) == []
