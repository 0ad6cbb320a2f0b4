"""What a run of tests begins and ends with: a folder its processes share, and a rest from throwing things away."""

import gc
import os
import shutil
import tempfile
from collections.abc import Generator

import pytest
from one_run import FOLDER


def pytest_configure(config: pytest.Config) -> None:
    """The first process makes the folder; those it starts find its name in their environment."""
    if not hasattr(config, "workerinput"):
        os.environ[FOLDER] = tempfile.mkdtemp(prefix="knockon-tests-")


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Generator[None, object, object]:
    """Some thousand tests come to stay: looking for what can be thrown away would take a third of the time."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.collect()
        gc.freeze()
        gc.enable()


def pytest_unconfigure(config: pytest.Config) -> None:
    """What ends with the process is looked through once more."""
    gc.unfreeze()
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(FOLDER), ignore_errors=True)
