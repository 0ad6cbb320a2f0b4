"""What would not be read back is not acknowledged: a line too long, a log grown too large."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.log import append, read
from planner.log.append import LogFaultyError, append_after
from planner.log.read import LONGEST_BYTES, read_log

AT = "2026-05-02T09:00:00"


def put(path: Path, *texts: str) -> tuple[int, ...]:
    return append_after(path, lambda _: [{"sort": "note", "text": t} for t in texts], at=AT)


def test_a_line_that_would_not_count_is_refused_and_its_number_is_free(tmp_path: Path) -> None:
    path = tmp_path / "a.log.jsonl"
    put(path, "one")
    before = path.read_bytes()
    with pytest.raises(LogFaultyError) as refused:
        put(path, "two", "y" * LONGEST_BYTES)
    assert [f.code for f in refused.value.findings] == ["too-large"]
    assert path.read_bytes() == before
    assert put(path, "three") == (2,)
    assert [e["text"] for e in read_log(path)[0]] == ["one", "three"]


def test_the_longest_line_that_is_kept_is_read_back(tmp_path: Path) -> None:
    path = tmp_path / "a.log.jsonl"
    put(path, "")
    # The line ends in a newline that the reader does not count; one byte less than may be read is kept at the least.
    room = LONGEST_BYTES - path.stat().st_size
    assert put(path, "y" * room) == (2,)
    entries, findings = read_log(path)
    assert findings == ()
    assert len(entries[1]["text"]) == room


def test_a_log_never_grows_beyond_what_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(append, "LARGEST_BYTES", 500)
    monkeypatch.setattr(read, "LARGEST_BYTES", 500)
    path = tmp_path / "a.log.jsonl"
    refused = 0
    for _ in range(20):
        try:
            put(path, "some words")
        except LogFaultyError:
            refused += 1
    assert 0 < refused < 20
    assert path.stat().st_size <= 500
    assert len(read_log(path)[0]) == 20 - refused
