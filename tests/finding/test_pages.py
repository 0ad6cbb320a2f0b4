"""Every code that the program can tell has a page, and every page belongs to a code."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import planner
from planner.finding.pages import codes, page

SOURCE = Path(planner.__file__).parent
TELLERS = {"error", "warn", "refuse", "fault", "error_at", "_whole", "_fault", "Finding", "Told"}
SLUG = re.compile(r"[a-z]+(-[a-z]+)+")


def told_codes() -> dict[str, str]:
    """Code -> file, for every code given to something that makes a finding."""
    found: dict[str, str] = {}
    for path in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for text in (
                c.value for part in code_parts(node, path) for c in ast.walk(part) if isinstance(c, ast.Constant)
            ):
                if isinstance(text, str) and SLUG.fullmatch(text):
                    found.setdefault(text, path.name)
    return found


def code_parts(node: ast.AST, path: Path) -> list[ast.expr]:
    """The parts of ``node`` in which a code may stand."""
    if isinstance(node, ast.Call):
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        return [k.value for k in node.keywords if k.arg == "code"] + (node.args[:2] if name in TELLERS else [])
    if isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id == "code" for t in node.targets):
        return [node.value]
    if isinstance(node, ast.Return) and isinstance(node.value, ast.Tuple) and path.name == "sentences.py":
        return node.value.elts[:1]
    return []


def constants() -> set[str]:
    """Every text in the source outside the pages."""
    paths = [p for p in SOURCE.rglob("*.py") if not p.name.startswith("pages")]
    nodes = (n for p in paths for n in ast.walk(ast.parse(p.read_text(encoding="utf-8"))))
    return {n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def test_every_code_that_is_told_has_a_page() -> None:
    told = told_codes()
    assert len(told) > 60
    assert {code: file for code, file in told.items() if page(code) is None} == {}


def test_every_page_belongs_to_a_code() -> None:
    assert sorted(set(codes()) - constants()) == []


def test_every_page_says_why_and_what_to_do() -> None:
    for code in codes():
        entry = page(code)
        assert entry is not None
        assert entry.title == entry.title.strip()
        assert entry.why.endswith(".")
        assert entry.fix.endswith(".")
        assert bool(entry.before) <= bool(entry.after)


def test_an_unknown_code_has_no_page() -> None:
    assert page("no-such-code") is None
