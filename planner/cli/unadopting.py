"""An adoption taken back: the vehicle's file is put back as it was before, or the line stays."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from shlex import quote

from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook, vehicle_digest
from planner.log import digest_of
from planner.model.log import AdoptedLine


def kept_copy(book: LogBook, digest: str) -> Path:
    """Where the text of the vehicle's file from before an adoption is kept, by its digest."""
    return book.plans / f"vehicle-{digest}.yaml"


def keep_copy(book: LogBook, text: str) -> None:
    """Keep a text of the vehicle's file beside the plans of the job."""
    from planner.files import write_whole

    write_whole(kept_copy(book, digest_of(text)), text)


def put_back(book: LogBook, lines: Collection[int]) -> Path | None:
    """Put the vehicle's file back as it was before an adoption that is among the lines taken back; gives it if so.

    The file first, then the line: while the file is as before, the line that says adopted counts for nothing.

    Raises
    ------
    Stop
        The file was changed since, or what it was before is not kept: nothing is written then.
    """
    from planner.files import write_whole

    adopted = [e for e in book.standing.entries if isinstance(e, AdoptedLine) and e.n in lines]
    now = vehicle_digest(book.project)
    if not adopted or now == adopted[0].before:
        return None
    line, path = adopted[0], book.project / "vehicle.yaml"
    kept = _text_of(kept_copy(book, line.before), line.before)
    if now == line.after and kept is not None:
        write_whole(path, kept)
        return path
    found = "your version control or a backup" if kept is None else kept_copy(book, line.before).as_posix()
    changed = "" if now == line.after else ", and it was changed since: what was changed would be lost"
    raise Stop(
        Exit.FAULTS,
        f"line {line.n} brought {path} up to what `{book.job}` built{changed}; nothing is taken back",
        f"put the file back as it was before line {line.n} ({found} has it), then: {undo_words(book, line.n)}",
    )


def can_put_back(book: LogBook, line: AdoptedLine) -> bool:
    """Whether taking the line back would put the file back by itself."""
    unchanged = vehicle_digest(book.project) == line.after
    return unchanged and _text_of(kept_copy(book, line.before), line.before) is not None


def undo_words(book: LogBook, line: int) -> str:
    """What takes a line of the log back, as it is typed."""
    return f"knockon undo {line} --in {quote(str(book.project))} --job {book.job}"


def _text_of(path: Path, digest: str) -> str | None:
    if not path.is_file():
        return None
    text = path.read_bytes().decode("utf-8", "replace")
    return text if digest_of(text) == digest else None
