"""What a verb says in one long line fits the terminal; for a pipe each line stays whole."""

from __future__ import annotations

import io
import signal
import sys
from pathlib import Path

import pytest

from planner.cli import terminal
from planner.cli.main import main
from planner.cli.terminal import say

LONG = "`knockon replan` plans it: " + "the weld is looked at once more before paint covers it, " * 4
COMMAND = "  knockon undo 12 --in '/a/long/way/to/the/project' --job battery-aft && knockon record failed 14 'it binds'"


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("err", [False, True])
def test_at_a_terminal_no_row_is_wider_and_no_word_is_lost(monkeypatch: pytest.MonkeyPatch, *, err: bool) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setattr(sys, "stderr" if err else "stdout", there := Terminal())
    say(f"{LONG}\n  - {LONG}\n{COMMAND}", err=err)
    rows = there.getvalue().splitlines()
    assert len(rows) > 8
    assert rows[-1] == COMMAND, "a command is there to be copied"
    assert max(len(r) for r in rows[:-1]) <= 60
    assert " ".join(" ".join(rows[:-1]).split()) == f"{LONG}- {LONG}".strip()
    under = rows[next(i for i, r in enumerate(rows) if r.startswith("  - ")) + 1 : -1]
    assert under
    assert all(r.startswith("    ") and r[4] != " " for r in under)


def test_in_a_pipe_each_line_is_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setattr(sys, "stdout", there := io.StringIO())
    say(LONG)
    assert there.getvalue() == f"{LONG}\n"


def test_an_error_is_wrapped_too(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    where = tmp_path_factory.mktemp("a-project-that-has-a-long-name-and-holds-no-vehicle-at-all")
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setattr(signal, "signal", lambda *_: None)
    monkeypatch.setattr(sys, "argv", ["knockon", "next", str(where), "a-job-with-a-name"])
    monkeypatch.setattr(sys, "stderr", there := Terminal())
    with pytest.raises(SystemExit):
        main()
    rows = there.getvalue().splitlines()
    assert rows[0].startswith("knockon:")
    assert all(len(r) <= 60 or len(r.split()) == 1 for r in rows)


def test_data_is_never_wrapped() -> None:
    """A break within a text is no JSON any more, and `say` wraps at a terminal."""
    sources = sorted(Path(terminal.__file__).parent.glob("*.py"))
    assert sources
    assert [p.name for p in sources if "say(json" in p.read_text(encoding="utf-8")] == []
