"""What to do about a link that runs through a part: lead it round, or say that it goes through a hole there."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.model.catalog import Catalog
    from planner.model.vehicle import Component, Link


def may_be_passed(host: Component, link: Link, catalog: Catalog) -> bool:
    """Whether a link can go through a part: sheet, frame and trim have holes made in them for pipes, hoses and wires.

    Nobody leads one through a tank, an engine mount or a wheel; a rod, shaft or belt goes through what it works in.
    """
    from planner.model.runs import RunSort

    kind = catalog.link_kinds.get(link.kind)
    led = kind is not None and kind.run in {RunSort.PIPE, RunSort.HOSE, RunSort.CABLE, RunSort.LOOM}
    return not led or bool({host.kind, host.group} & {*catalog.drilled_hosts, *_ALSO})


_ALSO = ("trim",)
"""Passed as well, by a cut."""


def through_hint(host: Component, link: Link, catalog: Catalog) -> str:
    """What to write where a link runs through a part."""
    lead = f"move its run: measure the points it goes by again and give them under `via` of `{link.id}`"
    if not may_be_passed(host, link, catalog):
        return f"{lead}; nothing is led through {host.name}"
    return f"{lead}; if it does go through a hole there or is clipped to it, name `{host.id}` under `passes`"
