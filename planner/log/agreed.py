"""Plans that were agreed, each in a file of its own whose name is its digest: none is ever written over."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from planner.log.frozen import MisfitError, from_plain, to_plain
from planner.model.plan import Plan
from planner.model.standing import Agreed, Standing
from planner.model.steps import step_keys, step_of_key

SCHEMA = 1
DIGEST = 16
"""Letters of a digest that make a name."""
_NAME = re.compile(f"[0-9a-f]{{{DIGEST}}}")
LARGEST_BYTES = 64_000_000


class AgreedError(ValueError):
    """The file of an agreed plan cannot be used; the message says why."""


def keys_of(plan: Plan, standing: Standing) -> tuple[str, ...]:
    """Step keys of a plan made from where a job stands."""
    parts: dict[str, int] = {}
    for key in standing.done:
        step = step_of_key(key)
        if step.on is None and key != step.ref:
            parts[step.ref] = parts.get(step.ref, 0) + 1
    return step_keys(plan.slots, standing.toggles, parts)


def numbers_for(keys: Iterable[str], known: Mapping[str, int]) -> tuple[int, ...]:
    """Give each step the number a person calls it by: the one it had, or the next that nobody ever had.

    Parameters
    ----------
    keys : iterable of str
        Step keys in the order of the plan.
    known : mapping of key to number
        Numbers given in earlier plans of the job, done steps among them.
    """
    last = max(known.values(), default=0)
    found = []
    for key in keys:
        if key in known:
            found.append(known[key])
        else:
            last += 1
            found.append(last)
    return tuple(found)


def agreed_text(agreed: Agreed) -> str:
    """The text of the file of an agreed plan."""
    return json.dumps({"v": SCHEMA, **to_plain(agreed)}, ensure_ascii=False, separators=(",", ":")) + "\n"


def keep_agreed(folder: Path, agreed: Agreed) -> str:
    """Write an agreed plan beside its job and give its digest.

    Raises
    ------
    OSError
        It cannot be written.
    """
    # Schemas come with that room, and reading a plan has to be quick.
    from planner.files import write_whole  # noqa: PLC0415

    text = agreed_text(agreed)
    digest = digest_of(text)
    path = folder / f"{digest}.json"
    if not path.is_file():
        write_whole(path, text)
    return digest


def read_agreed(folder: Path, digest: str) -> Agreed:
    """Read an agreed plan.

    Raises
    ------
    AgreedError
        It is not there, was changed since, or was written by a newer knockon.
    """
    path = folder / f"{digest}.json"
    if not _NAME.fullmatch(digest) or path.is_symlink() or not path.is_file():
        raise AgreedError(f"{digest[:DIGEST]}.json: the agreed plan is not there")
    if path.stat().st_size > LARGEST_BYTES:
        raise AgreedError(f"{path.name}: {path.stat().st_size} bytes are no plan of ours")
    try:
        text = path.read_bytes().decode("utf-8")
        data: Any = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise AgreedError(f"{path.name}: it cannot be read: {error}") from error
    if digest_of(text) != digest:
        raise AgreedError(f"{path.name}: it was changed after it was agreed")
    if not isinstance(data, dict) or data.pop("v", None) != SCHEMA:
        raise AgreedError(f"{path.name}: it was made by another version of knockon")
    try:
        return from_plain(Agreed, data)
    except MisfitError as error:
        raise AgreedError(f"{path.name}: {error}") from error


def digest_of(text: str) -> str:
    """Short name of a text, of the text alone."""
    return hashlib.sha256(text.encode()).hexdigest()[:DIGEST]
