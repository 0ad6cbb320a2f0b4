"""Names for shell completion, read lightly: no room of the engine is loaded for them.

Files are skimmed line by line for the keys of a section, so a file that is just being written helps as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from runpy import run_path

import typer

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_KEY = re.compile(r"(?P<indent> +)(?P<key>[a-z0-9][a-z0-9-]{0,39}):(?:\s|$)")
LARGEST_BYTES = 2_000_000


def job_names(project: Path | None) -> list[str]:
    """Names of the jobs of a project, sorted; none where there is no project."""
    try:
        names = [p.stem for p in ((project or Path()) / "jobs").iterdir() if p.suffix == ".yaml"]
    except OSError:
        return []
    return sorted(n for n in names if _ID.fullmatch(n))


def part_names(project: Path | None) -> list[str]:
    """Ids of the parts of a project, in the order of its file."""
    return list(_keys_of((project or Path()) / "vehicle.yaml", "components"))


def kind_names() -> list[str]:
    """Ids of the catalog's kinds of part."""
    return sorted(k for path in sorted(_catalog().glob("kinds-*.yaml")) for k in _keys_of(path, "kinds"))


def link_kind_names() -> list[str]:
    """Ids of the catalog's kinds of link."""
    return sorted(_keys_of(_catalog() / "links.yaml", "links"))


def jobs(ctx: typer.Context, incomplete: str) -> list[str]:
    """Complete a job of the project that stands before it on the line."""
    return _beginning(job_names(_project_of(ctx)), incomplete)


def parts(ctx: typer.Context, incomplete: str) -> list[str]:
    """Complete a part of the project."""
    return _beginning(part_names(_project_of(ctx)), incomplete)


def jobs_and_parts(ctx: typer.Context, incomplete: str) -> list[str]:
    """Complete a job, or a part, of the project."""
    project = _project_of(ctx)
    return _beginning([*job_names(project), *part_names(project)], incomplete)


def kinds(incomplete: str) -> list[str]:
    """Complete a kind of part."""
    return _beginning(kind_names(), incomplete)


def link_kinds(incomplete: str) -> list[str]:
    """Complete a kind of link."""
    return _beginning(link_kind_names(), incomplete)


def _beginning(names: list[str], incomplete: str) -> list[str]:
    return [n for n in dict.fromkeys(names) if n.startswith(incomplete)]


def _project_of(ctx: typer.Context) -> Path | None:
    # After an option whose value is still to come, what stood before it is left in `args`.
    found = ctx.params.get("project") or next(iter(ctx.args), None)
    return Path(found) if found else None


def _catalog() -> Path:
    """The catalog's folder: the one rule for it, run from its own file, because its room loads the whole engine."""
    rule = Path(__file__).parents[1] / "shelf" / "folders.py"
    try:
        return Path(run_path(str(rule))["catalog_folder"]())
    except FileNotFoundError:
        return Path(__file__).parent / "no-catalog"


def _keys_of(path: Path, section: str) -> Iterator[str]:
    """Keys of the first level below ``section:``, which stands at the margin."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            return
        lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    except (OSError, ValueError):
        return
    inside, indent = False, 0
    for line in lines:
        if line[:1] not in {" ", "#", ""}:
            inside, indent = line.split("#")[0].rstrip() == f"{section}:", 0
            continue
        found = _KEY.match(line) if inside else None
        if found is not None:
            indent = indent or len(found["indent"])
            if len(found["indent"]) == indent:
                yield found["key"]
