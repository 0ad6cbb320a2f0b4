"""A shape from an STL file of the project: read, closed, checked and in millimetres."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path, PurePosixPath

from planner.files import KeyPath
from planner.files.schema_shapes import StlFile
from planner.files.values import StlUnits
from planner.finding.words import quoted
from planner.model.shapes import Mesh, Pose, Surface
from planner.shelf.bench import FARTHEST_MM, Bench
from planner.shelf.stl_read import MOST_BYTES, Unread, triangles_in
from planner.shelf.surface_faults import SurfaceFault, surface_of
from planner.units import MM_PER_INCH

_MM = {StlUnits.MM: 1.0, StlUnits.CM: 10.0, StlUnits.M: 1000.0, StlUnits.INCH: MM_PER_INCH}
_LEAST_MM = 1.0
_VEHICLE = "vehicle.yaml"
_JOBS = "jobs"
_NOT_ASKED = Surface(
    corners_mm=((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    triangles=((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)),
)
"""Stands for a surface that has a finding, so that the rest of the file is read on."""


def fill_mesh(file: StlFile, path: KeyPath, bench: Bench, pose: Pose) -> Mesh:
    """One mesh; every fault of its file is reported at the name of the file."""
    here = (*path, "file")
    surface = _read(file, here, bench)
    return Mesh(surface=surface or _NOT_ASKED, file=file.file, pose=pose, doubt_mm=bench.doubt_mm)


def _read(file: StlFile, path: KeyPath, bench: Bench) -> Surface | None:
    found = _path_of(file.file, bench)
    if isinstance(found, Unread):
        bench.faults.error(found.code, path, found.message, found.hint)
        return None
    units = file.units or StlUnits(bench.units)
    try:
        state = found.stat()
        surface, faults = _loaded(found, _MM[units], (state.st_mtime_ns, state.st_size))
    except OSError:
        bench.faults.error("no-stl", path, f"{quoted(file.file)} cannot be read", "check who may read it")
        return None
    for fault in faults:
        _tell(fault, path, bench)
    return None if surface is None else _sized(surface, path, bench)


def _path_of(name: str, bench: Bench) -> Path | Unread:
    """The file a name stands for, within the project folder and nowhere else."""
    hint = "files of a project stay in its folder: write the way from there, such as `parts/bracket.stl`"
    outside = Unread("outside-project", f"{quoted(name)} leads out of the project folder", hint)
    pure = PurePosixPath(name)
    if pure.is_absolute() or ".." in pure.parts or "\\" in name or ":" in name or "\x00" in name:
        return outside
    folder = _folder_of(Path(bench.faults.document.file))
    try:
        found = (folder / pure).resolve()
        if not found.is_relative_to(folder.resolve()):
            return outside
        if not found.is_file():
            return Unread("no-stl", f"there is no file {quoted(name)} in the project folder", "check its name")
    except (OSError, RuntimeError, ValueError):
        return Unread("no-stl", f"{quoted(name)} cannot be looked at", "check its name")
    return found


def _folder_of(document: Path) -> Path:
    """The project folder of a file in it: a job lies one folder further down."""
    folder = document.parent
    inner = folder.name == _JOBS and not (folder / _VEHICLE).exists()
    return folder.parent if inner else folder


@lru_cache(maxsize=64)
def _loaded(
    path: Path, unit_mm: float, state: tuple[int, int]
) -> tuple[Surface | None, tuple[SurfaceFault | Unread, ...]]:
    """Read a file once for as long as its time and size (``state``) stay the same."""
    if state[1] > MOST_BYTES:
        message = f"the file has {state[1] / 1e6:.0f} MB, {MOST_BYTES / 1e6:.0f} are read"
        return None, (Unread("big-stl", message, "export it coarser, and as binary"),)
    with path.open("rb") as stream:
        places = triangles_in(stream.read(MOST_BYTES + 1))
    if isinstance(places, Unread):
        return None, (places,)
    farthest = abs(places).max() * unit_mm
    if farthest > FARTHEST_MM:
        message = f"the shape reaches {farthest / 1000.0:.4g} m from its own zero"
        return None, (Unread("absurd-size", message, "an STL file has no unit of its own: check `units`"),)
    return surface_of(places * unit_mm)


def _sized(surface: Surface, path: KeyPath, bench: Bench) -> Surface:
    longest = max(max(values) - min(values) for values in zip(*surface.corners_mm, strict=True))
    if longest < _LEAST_MM:
        message = f"the shape is only {bench.length(longest)} long"
        bench.faults.error("absurd-size", path, message, "an STL file has no unit of its own: check `units`")
    return surface


def _tell(fault: SurfaceFault | Unread, path: KeyPath, bench: Bench) -> None:
    if isinstance(fault, Unread):
        bench.faults.error(fault.code, path, fault.message, fault.hint)
        return
    where = "" if fault.at_mm is None else " at " + ", ".join(f"{v:.6g}" for v in fault.at_mm) + " mm in its own frame"
    n = fault.count
    code, message, hint = {
        "open": ("open-stl", f"the surface is open: {_so_many(n, 'loose edge')}, the first{where}", "close it"),
        "mixed": ("mixed-stl", f"neighbours are seen from opposite sides at {_so_many(n, 'edge')}, the first{where}",
                  "let the drawing program make all faces look outwards"),
        "crossed": ("crossed-stl", f"the surface goes through itself in {_so_many(n, 'triangle')}, the first{where}",
                    "join its bodies into one before it is exported, or write one file for each"),
        "crowded": ("big-stl", f"too many of its {n} triangles lie side by side to be checked", "export it coarser"),
        "hollow": ("empty-stl", "the surface encloses nothing", "give the shape a thickness"),
        "flat triangles": ("flat-stl", f"{_so_many(n, 'triangle')} without area, the first{where}",
                           "nothing is lost by it; a cleaner export has none"),
        "inside out": ("inside-out-stl", f"{_so_many(n, 'triangle')} seen from inside: turned round",
                       "check the export"),
    }[fault.kind]  # fmt: skip
    (bench.faults.warn if fault.is_mended else bench.faults.error)(code, path, message, hint)


def _so_many(count: int, thing: str) -> str:
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"
