"""One page for each kind of finding: why it matters and what to do."""

from __future__ import annotations

import functools

from planner.finding import (
    pages_catalog,
    pages_job,
    pages_log,
    pages_reading,
    pages_solids,
    pages_values,
    pages_vehicle,
    pages_wishes,
)
from planner.finding.page import Page


@functools.cache
def _pages() -> dict[str, Page]:
    modules = (
        pages_reading,
        pages_solids,
        pages_values,
        pages_vehicle,
        pages_job,
        pages_log,
        pages_wishes,
        pages_catalog,
    )
    return {page.code: page for module in modules for page in module.PAGES}


def page(code: str) -> Page | None:
    """Find the page of one code, or None when there is no such code."""
    return _pages().get(code)


def codes() -> tuple[str, ...]:
    """List all codes, sorted."""
    return tuple(sorted(_pages()))
