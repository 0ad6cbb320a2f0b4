"""Which program this is: plans that were agreed outlive it."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

SHORT = 16
"""Letters of a digest that tell one program from another."""


@cache
def program_digest() -> str:
    """Digest of this program: of its code and of its catalog."""
    import planner
    from planner.shelf.folders import catalog_folder

    folders = {Path(planner.__file__).parent: "*.py", catalog_folder(): "*.yaml"}
    whole = hashlib.sha256()
    for folder, pattern in folders.items():
        for path in sorted(folder.rglob(pattern)):
            whole.update(path.relative_to(folder).as_posix().encode() + b"\0")
            whole.update(path.read_bytes() + b"\0")
    return whole.hexdigest()[:SHORT]
