"""The catalog is found in a checkout, an editable install and a wheel alike."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.shelf import folders
from planner.shelf.folders import catalog_folder, projects_folder

CHECKOUT = Path(__file__).parents[2]


def test_in_a_checkout_both_are_beside_pyproject() -> None:
    assert catalog_folder() == CHECKOUT / "catalog"
    assert projects_folder() == CHECKOUT / "projects"
    assert list(catalog_folder().glob("*.yaml"))


def package(root: Path) -> Path:
    (root / "planner").mkdir(parents=True)
    return root / "planner"


def test_a_wheel_carries_them_inside_the_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home = package(tmp_path / "site-packages")
    (home / "_catalog").mkdir()
    (home / "_projects").mkdir()
    monkeypatch.setattr(folders, "files", lambda _: home)
    assert catalog_folder() == home / "_catalog"
    assert projects_folder() == home / "_projects"


def test_the_one_inside_wins_over_the_one_beside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home = package(tmp_path)
    (home / "_catalog").mkdir()
    (tmp_path / "catalog").mkdir()
    (tmp_path / "pyproject.toml").touch()
    monkeypatch.setattr(folders, "files", lambda _: home)
    assert catalog_folder() == home / "_catalog"


def test_a_stray_catalog_beside_an_installed_package_is_not_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = package(tmp_path)
    (tmp_path / "catalog").mkdir()
    monkeypatch.setattr(folders, "files", lambda _: home)
    with pytest.raises(FileNotFoundError) as told:
        catalog_folder()
    assert str(home / "_catalog") in str(told.value)
    assert str(tmp_path / "catalog") in str(told.value)
