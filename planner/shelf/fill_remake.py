"""What a part must be when it is made anew in another shape."""

from __future__ import annotations

from planner.files import KeyPath
from planner.files.schema_vehicle import ComponentFile
from planner.model.vehicle import Freedom, Remake
from planner.shelf.bench import Bench

LARGEST_MM3 = 1e9
"""A cubic metre."""


def fill_remake(file: ComponentFile, path: KeyPath, bench: Bench) -> Remake | None:
    """Fill in what a new shape must hold; None when the part is not made anew."""
    said = file.may_be_remade
    if said is None:
        return None
    here = (*path, "may_be_remade")
    if not 0 < said.volume <= LARGEST_MM3:
        message = f"a volume of `{said.volume / 1e6:g} l` is not believable"
        bench.faults.error("absurd-volume", (*here, "volume"), message, "check the unit: a bare number is litres")
    if file.freedom is Freedom.STAYS or file.motion is not None:
        why = "it moves in use" if file.motion is not None else "its freedom is `stays`"
        bench.faults.error("cannot-be-remade", here, f"it may be made anew, but {why}", "leave one of the two out")
    least = (0.0, 0.0, 0.0)
    if said.least is not None:
        x, y, z = (bench.size((*here, "least", i), size) for i, size in enumerate(said.least))
        least = (x, y, z)
    thick = bench.allowance((*here, "thick"), said.thick, 0.0)
    return Remake(volume_mm3=said.volume, least_mm=least, thick_mm=thick)
