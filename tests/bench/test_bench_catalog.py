"""Processor time to read and check the shipped catalog."""

from __future__ import annotations

import time

import pytest

from planner.shelf.read import load_catalog


@pytest.mark.bench
def test_the_catalog_is_read_in_a_quarter_of_a_second() -> None:
    def once() -> float:
        start = time.process_time()
        load_catalog()
        return time.process_time() - start

    assert min(once() for _ in range(5)) < 0.25
