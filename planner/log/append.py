"""Lines added to a log, under a lock, whole and on the disk before anybody is told that they are written."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from planner.finding import Finding, Place, Severity, has_errors
from planner.log.read import (
    LARGEST_BYTES,
    LONGEST_BYTES,
    SCHEMA,
    UnreadableLogError,
    open_log,
    parse_log,
    safe_text,
    whole_of,
)

Decide = Callable[[Sequence[dict[str, Any]]], Sequence[Mapping[str, Any]]]


class LogFaultyError(ValueError):
    """The log has errors, and nothing is added to it; ``findings`` say which."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        super().__init__(findings[0].message)
        self.findings = tuple(findings)


def append_after(path: Path, decide: Decide, *, at: str) -> tuple[int, ...]:
    """Add lines that are decided on as the log stands at that moment.

    Parameters
    ----------
    path : Path
        The log; it is made when it is not there, its folder is not.
    decide : callable of entries to new entries
        Asked under the lock with every line that counts as whole; what it raises leaves the log as it was.
    at : str
        The moment the lines are given that have none of their own (ISO 8601, wall clock).

    Returns
    -------
    tuple of int
        The numbers the lines were given. They are on the disk when this returns. Of several lines each says as its
        ``batch`` which was the first.

    Raises
    ------
    LogFaultyError
        The log has errors, or would be too large to be read again; it is as it was.
    OSError
        It cannot be written; the log is as it was.
    """
    with _locked(path) as descriptor:
        data = whole_of(descriptor)
        entries, findings = parse_log(data, path.as_posix())
        if has_errors(findings):
            raise LogFaultyError([f for f in findings if has_errors([f])])
        first = entries[-1]["n"] + 1 if entries else 1
        decided = decide(entries)
        shared = {"batch": first} if len(decided) > 1 else {}
        lines = [_line(first + i, at, {**entry, **shared}) for i, entry in enumerate(decided)]
        if lines:
            # What a crash left without an end becomes a line of its own, which the reader tells.
            torn = b"\n" if data and not data.endswith(b"\n") else b""
            _refuse_unreadable(path, lines, len(data) + len(torn))
            _put(descriptor, torn + b"".join(lines), len(data))
            if not data:
                _keep_folder(path.parent)
        return tuple(range(first, first + len(lines)))


def _refuse_unreadable(path: Path, lines: Sequence[bytes], size: int) -> None:
    """Say no to what the reader would not take back: an acknowledged line must count."""
    longest, whole = max(map(len, lines)), size + sum(map(len, lines))
    if longest > LONGEST_BYTES:
        told, hint = f"a line of {longest} bytes, at most {LONGEST_BYTES} are kept", "say it in fewer words"
    elif whole > LARGEST_BYTES:
        told, hint = (
            f"the log would have {whole} bytes, at most {LARGEST_BYTES} are read",
            "see what was written into it",
        )
    else:
        return
    place = Place(path.as_posix())
    raise LogFaultyError([Finding(code="too-large", severity=Severity.ERROR, message=told, place=place, hint=hint)])


def _line(n: int, at: str, entry: Mapping[str, Any]) -> bytes:
    data = {"v": SCHEMA, "n": n, "at": at, **entry}
    return json.dumps(_safe(data), ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode() + b"\n"


def _safe(value: Any) -> Any:  # noqa: ANN401  # plain data of any shape
    if isinstance(value, str):
        return safe_text(value)
    if isinstance(value, Mapping):
        return {safe_text(k): _safe(v) for k, v in value.items()}
    return [_safe(v) for v in value] if isinstance(value, list | tuple) else value


def _put(descriptor: int, data: bytes, size: int) -> None:
    """Write at the end, or put the file back to its old size."""
    try:
        written = 0
        while written < len(data):
            written += os.write(descriptor, data[written:])
        os.fsync(descriptor)
    except BaseException:
        os.ftruncate(descriptor, size)
        os.fsync(descriptor)
        raise


def _keep_folder(folder: Path) -> None:
    """Have the name of a new file on the disk as well, where the system can."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


@contextmanager
def _locked(path: Path) -> Iterator[int]:
    """The log open for adding to and locked against every other command."""
    try:
        descriptor = open_log(path, os.O_RDWR | os.O_CREAT | os.O_APPEND)
    except UnreadableLogError as error:
        raise LogFaultyError([error.finding]) from error
    try:
        _lock(descriptor)
        yield descriptor
    finally:
        # Closing gives the lock back.
        os.close(descriptor)


if sys.platform == "win32":
    import msvcrt

    def _lock(descriptor: int) -> None:
        """Wait for the lock; the system gives up after ten tries of a second each."""
        os.lseek(descriptor, 0, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_LOCK, 1)

else:
    import fcntl

    def _lock(descriptor: int) -> None:
        """Wait for the lock in the row of those that wait; a command that dies gives it back."""
        fcntl.flock(descriptor, fcntl.LOCK_EX)
