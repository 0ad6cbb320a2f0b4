"""The direction of imports between rooms, as DEVELOPERS.md draws it."""

import ast
from pathlib import Path

import pytest

import planner

ROOMS = (
    ("cli",),
    ("book",),
    ("export",),
    ("draw",),
    ("verify",),
    ("order",),
    ("work",),
    ("knockon",),
    ("sums",),
    ("space",),
    ("shelf",),
    ("log",),
    ("files",),
    ("units",),
    ("finding",),
    ("model",),
)
LEVEL = {room: n for n, level in enumerate(ROOMS) for room in level}
ONLY_IN = {
    "pydantic": {"files", "shelf", "log"},
    "pint": {"units"},
    "ortools": {"order", "knockon"},
    "fcl": {"space"},
    "manifold3d": {"space"},
    "rich": {"cli"},
    "typer": {"cli"},
    "yaml": {"files"},
    "graphviz": {"draw"},
    "jinja2": {"book"},
    "markupsafe": {"book"},
    "segno": {"book"},
}
CHOOSING = ("planner.knockon.homes", "planner.knockon.homes_model", "planner.knockon.options", "planner.order")
SOURCE = Path(planner.__file__).parent


def imports(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative imports hide the direction"
            found.append(node.module or "")
    return found


def modules() -> list[tuple[str, Path]]:
    return [
        (path.relative_to(SOURCE).parts[0], path)
        for path in sorted(SOURCE.rglob("*.py"))
        if path.relative_to(SOURCE).parts[0] in LEVEL
    ]


def faults(room: str, path: Path) -> list[str]:
    told = []
    for name in imports(path):
        parts = name.split(".")
        if parts[0] == "planner" and len(parts) > 1 and parts[1] != room and LEVEL[parts[1]] <= LEVEL[room]:
            told.append(f"{path.name} in {room}/ imports {name}, which lies beside or above it")
        if parts[0] in ONLY_IN and room not in ONLY_IN[parts[0]]:
            told.append(f"{path.name} in {room}/ imports {parts[0]}, which belongs in {sorted(ONLY_IN[parts[0]])}")
        if room == "verify" and name.startswith((*CHOOSING, "planner.knockon")):
            told.append(f"{path.name} in verify/ imports {name}: the checker shares no code with what it checks")
    return told


@pytest.mark.parametrize("room", sorted({room for room, _ in modules()}))
def test_imports_run_downwards(room: str) -> None:
    assert [f for r, path in modules() if r == room for f in faults(r, path)] == []


def test_a_wrong_import_is_seen(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.py"
    wrong.write_text("import pint\nfrom planner.cli import main\nfrom planner.order import pack\n", encoding="utf-8")
    assert len(faults("space", wrong)) == 3
    assert len(faults("verify", wrong)) == 3


def test_no_room_is_a_drawer_of_odds_and_ends() -> None:
    names = {path.name for _, path in modules()}
    assert not names & {"utils.py", "helpers.py", "common.py", "misc.py"}


@pytest.mark.parametrize("path", [p for _, p in modules()], ids=lambda p: f"{p.parent.name}/{p.name}")
def test_files_and_functions_stay_small(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 450
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            assert node.end_lineno is not None
            assert node.end_lineno - node.lineno + 1 <= 50 + len((ast.get_docstring(node) or "").splitlines()), (
                node.name
            )
