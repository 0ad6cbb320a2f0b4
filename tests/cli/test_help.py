"""Help texts: headings for a newcomer, and no sentence cut short."""

from __future__ import annotations

import pytest
from cli.shed import run

from planner.cli.verbs import IN_ORDER


@pytest.mark.parametrize("columns", [60, 80, 132])
@pytest.mark.parametrize("verb", [(), ("new",)])
def test_no_sentence_of_a_list_is_cut(verb: tuple[str, ...], columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    told = run(*verb, "--help").out
    assert "..." not in told.split("\n", 1)[1]
    assert "\u2026" not in told
    assert max(len(line) for line in told.splitlines()) <= columns
    joined = " ".join(told.split())
    for name in IN_ORDER if not verb else ("vehicle", "part", "link", "space", "job"):
        # The first paragraph of the verb's own help stands in the list whole.
        own = run(*verb, name, "--help").out.split("\n\n", 2)[1]
        assert " ".join(own.split()) in joined


def test_a_newcomer_is_told_where_to_start() -> None:
    told = run("--help").out
    assert told.index("Start here:") < told.index("\n  demo ") < told.index("\n  new ") < told.index("\n  plan ")
