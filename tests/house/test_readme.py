"""What the README shows is what the command prints."""

import pytest
from house.readme_session import README, agrees, output_of, sessions

SESSIONS = sessions()


def test_the_readme_has_a_session_for_each_reading_verb() -> None:
    verbs = {command.split()[2] for command, _ in SESSIONS}
    assert {"check", "moves", "plan", "explain"} <= verbs


@pytest.mark.parametrize(("command", "told"), SESSIONS, ids=[c for c, _ in SESSIONS])
def test_the_output_is_real(command: str, told: list[str]) -> None:
    assert agrees(told, output_of(command))


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
