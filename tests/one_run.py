"""What takes long is worked out once a run: the processes that share its tests hand it on in a folder of the run."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import TypeVar

T = TypeVar("T")
FOLDER = "KNOCKON_TESTS_FOLDER"
"""In the environment: names the folder, which is made with the run and goes with it."""


def once_a_run(name: str, work: Callable[[], T]) -> T:
    """What ``work`` gives, or what another process of this run got by that name."""
    if FOLDER not in os.environ:
        return work()
    path = Path(os.environ[FOLDER]) / name
    if path.exists():
        return pickle.loads(path.read_bytes())  # type: ignore[no-any-return]  # noqa: S301  # our own, of this run
    found = work()
    with NamedTemporaryFile(dir=path.parent, delete=False) as file:
        file.write(pickle.dumps(found))
    Path(file.name).replace(path)
    return found
