"""Writing a text file whole or not at all."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path


def write_whole(path: Path, text: str) -> None:
    """Put ``text`` in place of a file in one step, so that no reader and no power cut sees half of it.

    Line ends are written as they are in ``text``. Who may read the file stays as it was. A link is followed: what it
    points to is replaced.

    Raises
    ------
    OSError
        The folder or the file cannot be written; the file is as it was.
    """
    path = path.resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    # Two commands at once must not write into one part.
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("w", encoding="utf-8", newline="") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        with suppress(FileNotFoundError):
            part.chmod(stat.S_IMODE(path.stat().st_mode))
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
