"""Where the catalog and the worked projects are, in a checkout, an editable install and a wheel alike."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def catalog_folder() -> Path:
    """Folder of the catalog that belongs to this package.

    Raises
    ------
    FileNotFoundError
        When there is none; the message names both places that were tried.
    """
    return _shipped("catalog")


def projects_folder() -> Path:
    """Folder of the worked projects that belong to this package.

    Raises
    ------
    FileNotFoundError
        When there is none; the message names both places that were tried.
    """
    return _shipped("projects")


def _shipped(name: str, package: Path | None = None) -> Path:
    """``name`` inside the package (a wheel), else beside the package in a checkout.

    An editable install leaves a dead copy in site-packages too: nothing is ever looked up there.
    """
    home = package or Path(str(files("planner")))
    inside = home / f"_{name}"
    if inside.is_dir():
        return inside
    beside = home.parent / name
    if beside.is_dir() and (home.parent / "pyproject.toml").is_file():
        return beside
    raise FileNotFoundError(f"no {name} found: neither {inside} nor {beside} (beside a pyproject.toml) is a folder")
