"""The sums of the hydraulic clutch: how far its slave cylinder goes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.model.figures import Figures
from planner.model.vehicle import Component
from planner.sums.doubtful import Known, Values
from planner.sums.hydraulics import CHAIN_BASIS, bore_area_mm2
from planner.sums.lever_lines import FREE_MM, lever_from, needs_of, stroke_of
from planner.sums.levers_there import LeverThere
from planner.sums.lines import Asked

SLAVE_KIND = "clutch-slave-cylinder"


def clutch_lines(
    there: LeverThere, figures: Figures | None, parts: Mapping[str, Component], known: Known
) -> Iterator[Asked]:
    """How far the slave cylinder goes for the lever's travel."""
    systems = set(parts[there.cylinder].systems)
    slave = next((p for p in parts.values() if p.kind == SLAVE_KIND and systems & set(p.systems)), None)
    if slave is None:
        return
    known.note(f"{slave.id}.bore", slave.bore_mm, f"`bore` of `{slave.id}`")
    release = None if figures is None else figures.clutch.release_mm
    known.note("clutch.release", release, "`release` of `figures.clutch`")
    known.note(f"{slave.id}.stroke", slave.stroke_mm, f"`stroke` of `{slave.id}`")
    own, other = f"{there.cylinder}.bore", f"{slave.id}.bore"

    def goes(v: Values) -> float:
        usable = min(stroke_of(lever_from(there, v)), v[f"{there.cylinder}.stroke"]) - FREE_MM[1]
        return usable * bore_area_mm2(v[own]) / bore_area_mm2(v[other])

    yield Asked(
        id=f"{there.link}.slave",
        about=there.link,
        title=f"way of `{slave.id}`",
        unit="mm",
        needs=(*needs_of(there), own, f"{there.cylinder}.stroke", other, "clutch.release", f"{slave.id}.stroke"),
        work=goes,
        low=lambda v: v["clutch.release"],
        high=lambda v: v[f"{slave.id}.stroke"],
        limit="from what clears the clutch to the slave's own stroke",
        basis=CHAIN_BASIS,
    )
