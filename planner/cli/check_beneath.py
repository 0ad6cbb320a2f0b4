"""Parts that hang under the floor and may, as described, be worked on with the vehicle on its wheels."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from planner.finding import Finding
    from planner.model.catalog import Catalog
    from planner.model.vehicle import Vehicle


def vehicle_beneath(project: Path, vehicle: Vehicle, catalog: Catalog) -> list[Finding]:
    """Each as a warning with its place and with what to write; none where the file says itself what it needs."""
    from planner.files import read_document
    from planner.finding import Finding, Severity
    from planner.knockon import hung_beneath
    from planner.units import format_length

    found = hung_beneath(vehicle, catalog)
    document = read_document(project / "vehicle.yaml")[0] if found else None
    if document is None:
        return []
    told = []
    for one in found:
        if ("components", one.part, "needs") in document.keys:
            continue
        part, host = vehicle.components[one.part], vehicle.components[one.host]
        off = format_length(one.off_ground_mm, vehicle.units)
        state = catalog.conditions[one.state].name
        told.append(
            Finding(
                code="worked-on-beneath",
                severity=Severity.WARNING,
                message=f"{part.name} hangs under {host.name}, {off} above the ground, and is not said to need the "
                f"vehicle {state}",
                place=document.place(("components", one.part), key=True),
                hint=f"write `needs: [{', '.join((one.state, *part.needs))}]`; or `needs: [{', '.join(part.needs)}]` "
                "with a remark, where it is reached from above",
            )
        )
    return told
