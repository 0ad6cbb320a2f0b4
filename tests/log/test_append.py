"""Lines added to a log: whole, in order, kept; by many at once, on a full disk, after a crash at any byte."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from planner.finding import has_errors
from planner.log.append import LogFaultyError, append_after
from planner.log.read import DEEPEST, LARGEST_BYTES, read_log

AT = "2026-05-02T09:00:00"
WRITER = """
import sys
from pathlib import Path
from planner.log.append import append_after
path, name = Path(sys.argv[1]), sys.argv[2]
for i in range(int(sys.argv[3])):
    note = lambda found: [{"sort": "note", "text": f"{name} {i} of {len(found)}"}]
    append_after(path, note, at="2026-05-02T09:00:00")
"""
FULL = """
import resource, signal, sys
from pathlib import Path
from planner.log.append import append_after
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
path = Path(sys.argv[1])
resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + int(sys.argv[2]),) * 2)
try:
    append_after(path, lambda found: [{"sort": "note", "text": "y" * 400}], at="2026-05-02T09:00:00")
except OSError as error:
    print(error.strerror)
"""


def put(path: Path, *texts: str) -> tuple[int, ...]:
    return append_after(path, lambda _: [{"sort": "note", "text": t} for t in texts], at=AT)


def texts(path: Path) -> list[str]:
    entries, findings = read_log(path)
    assert not has_errors(findings), findings
    return [e["text"] for e in entries]


def test_lines_get_numbers_and_a_moment(tmp_path: Path) -> None:
    path = tmp_path / "a.log.jsonl"
    assert put(path, "one", "two") == (1, 2)
    assert put(path, "three") == (3,)
    entries, findings = read_log(path)
    assert findings == ()
    assert [(e["v"], e["n"], e["at"], e["text"]) for e in entries] == [
        (1, 1, AT, "one"),
        (1, 2, AT, "two"),
        (1, 3, AT, "three"),
    ]


def test_what_is_decided_sees_what_is_there_and_may_say_no(tmp_path: Path) -> None:
    path = tmp_path / "a.log.jsonl"
    put(path, "one")

    def no(found: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
        raise KeyError(len(found))

    before = path.read_bytes()
    with pytest.raises(KeyError, match="1"):
        append_after(path, no, at=AT)
    assert path.read_bytes() == before
    assert append_after(path, lambda _: [], at=AT) == ()
    assert path.read_bytes() == before


@pytest.mark.parametrize("each", [25, pytest.param(200, marks=pytest.mark.slow)])
def test_eight_writers_at_once_lose_nothing(tmp_path: Path, each: int) -> None:
    path = tmp_path / "a.log.jsonl"
    writers = [subprocess.Popen([sys.executable, "-c", WRITER, str(path), f"w{i}", str(each)]) for i in range(8)]
    assert [w.wait() for w in writers] == [0] * 8
    found = texts(path)
    assert len(found) == 8 * each
    # Each saw everything that was written before it, so nobody decided on an old log.
    assert [int(t.rsplit(" ", 1)[1]) for t in found] == list(range(8 * each))
    for i in range(8):
        own = [int(t.split()[1]) for t in found if t.startswith(f"w{i} ")]
        assert own == list(range(each))


def test_a_crash_at_any_byte_of_a_line_leaves_the_rest(tmp_path: Path) -> None:
    path = tmp_path / "a.log.jsonl"
    put(path, "one", "two, with ü")
    whole = path.read_bytes()
    start = whole.index(b"\n") + 1
    for cut in range(start, len(whole)):
        path.write_bytes(whole[:cut])
        put(path, "three")
        entries, findings = read_log(path)
        assert not has_errors(findings), cut
        told = [e["text"] for e in entries]
        # The line counts when all of it but its end is there: nobody was told, and it is true.
        assert told == (["one", "two, with ü", "three"] if cut == len(whole) - 1 else ["one", "three"])
        assert len(findings) == (0 if cut in {start, len(whole) - 1} else 1)
        assert path.read_bytes().startswith(whole[:cut])


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
@pytest.mark.parametrize("room", [0, 1, 100, 430])
def test_a_full_disk_leaves_the_log_as_it_was(tmp_path: Path, room: int) -> None:
    path = tmp_path / "a.log.jsonl"
    put(path, "one")
    before = path.read_bytes()
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(path), str(room)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "File too large"
    assert path.read_bytes() == before
    put(path, "two")
    assert texts(path) == ["one", "two"]


def test_a_write_in_pieces_is_finished(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.log.jsonl"
    real = os.write
    monkeypatch.setattr(os, "write", lambda descriptor, data: real(descriptor, data[:3]))
    put(path, "one", "two")
    monkeypatch.undo()
    assert texts(path) == ["one", "two"]


@pytest.mark.parametrize("text", ["\x1b[31mred", "two\nlines", "\ud800", "a\u202eb", "\x00"])
def test_texts_that_act_on_a_terminal_are_written_without_it(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.log.jsonl"
    put(path, text)
    (found,) = texts(path)
    assert found.isprintable()
    assert path.read_bytes().count(b"\n") == 1


LINE = {"v": 1, "n": 2, "at": AT, "sort": "note"}


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (b'{"v": 1, "n": 2, "te', "log-torn"),
        (b"\xff\xfe\x00", "log-torn"),
        (b"[1, 2]", "log-torn"),
        (b'{"n": 2}', "log-torn"),
        (b'{"v": 1, "n": true}', "log-torn"),
        (b'{"v": 1, "n": 2, "n": 3}', "log-torn"),
        (b'{"v": 1, "n": 2, "x": NaN}', "log-torn"),
        (b'{"v": 1, "n": 2, "x": Infinity}', "log-torn"),
        (b'{"v": 1, "n": ' + b"9" * 5000 + b"}", "log-torn"),
        (b"[" * 100_000, "log-torn"),
        (b'{"v":1,"n":2,"x":' + b"[" * (DEEPEST + 1) + b"]" * (DEEPEST + 1) + b"}", "log-torn"),
        (b'{"v": 2, "n": 2}', "log-version"),
        (b'{"v": 1, "n": 4}', "log-lost"),
        (b'{"v": 1, "n": 1}', "log-number"),
        (b'{"v": 1, "n": -3}', "log-number"),
        (json.dumps({**LINE, "text": "\x1b[2J"}).encode(), "log-text"),
        (json.dumps({**LINE, "text": "\ud800"}).encode(), "log-text"),
        (json.dumps({**LINE, "took_min": 10**40}).encode(), "log-text"),
    ],
)
def test_a_hostile_line_is_told_with_its_place(tmp_path: Path, line: bytes, code: str) -> None:
    path = tmp_path / "a.log.jsonl"
    put(path, "one")
    path.write_bytes(path.read_bytes() + line + b"\n")
    entries, findings = read_log(path)
    assert [f.code for f in findings][:1] == [code]
    assert (findings[0].place.file, findings[0].place.line) == (path.as_posix(), 2)
    assert findings[0].place.column >= 1
    assert entries[0]["text"] == "one"
    assert all(f.message.isprintable() for f in findings)
    if has_errors(findings):
        before = path.read_bytes()
        with pytest.raises(LogFaultyError):
            put(path, "three")
        assert path.read_bytes() == before


def test_what_is_no_plain_file_is_told_and_left_alone(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.write_text("mine")
    link, folder, pipe, huge = (tmp_path / n for n in ("link", "folder", "pipe", "huge"))
    link.symlink_to(outside)
    folder.mkdir()
    os.mkfifo(pipe)
    with huge.open("wb") as stream:
        stream.truncate(LARGEST_BYTES + 1)
    for path, code in ((link, "not-a-file"), (folder, None), (pipe, "not-a-file"), (huge, "too-large")):
        entries, findings = read_log(path)
        assert entries == ()
        assert has_errors(findings)
        assert code is None or findings[0].code == code
        with pytest.raises(LogFaultyError):
            put(path, "x")
    assert outside.read_text() == "mine"
    assert read_log(tmp_path / "nothing") == ((), ())


@pytest.mark.slow
def test_a_thousand_kills_lose_no_line_that_was_acknowledged() -> None:
    script = Path(__file__).parents[1] / "bench" / "kill_log.py"
    done = subprocess.run([sys.executable, str(script), "1000"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert " 0 lost" in done.stdout
