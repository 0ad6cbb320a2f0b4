"""Reading text: plain data with places, and a finding for everything that is not plain."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
import yaml

from planner.files import parse_text, read_document
from planner.files.read import DEEPEST, Loader
from planner.finding import Place

LOADERS = [yaml.SafeLoader, *([yaml.CSafeLoader] if yaml.__with_libyaml__ else [])]
both = pytest.mark.parametrize("loader", LOADERS)


def codes(text: str, loader: Loader | None = None) -> list[tuple[str, int, int]]:
    _, findings = parse_text(text, "x.yaml", loader=loader)
    return [(f.code, f.place.line, f.place.column) for f in findings]


@both
def test_only_plain_values_exist(loader: Loader) -> None:
    text = "a: [1, 2.5, -3, yes, 012, 1:30, 2026-02-30, 1e400, .inf, 0x10, 1_000, '5', ~, null, true, False, .5]\n"
    document, findings = parse_text(text, "x.yaml", loader=loader)
    assert findings == ()
    assert document is not None
    expected = [1, 2.5, -3, "yes", "012", "1:30", "2026-02-30", "1e400", ".inf", "0x10", "1_000", "5"]
    assert isinstance(document.data, dict)
    assert document.data == {"a": [*expected, None, None, True, False, 0.5]}
    values = document.data["a"]
    assert isinstance(values, list)
    assert [type(v) for v in values[:3]] == [int, float, int]


@both
def test_places_count_characters_not_bytes(loader: Loader) -> None:
    text = "näme: é\nparts:\n  tank: {at: [1, 🚗 x, 3]}\n"
    document, _ = parse_text(text, "x.yaml", loader=loader)
    assert document is not None
    path = ("parts", "tank", "at", 2)
    assert document.place(path) == Place("x.yaml", 3, 23)
    span = document.values[path]
    assert text[span.start : span.end] == "3"
    assert document.place(("parts", "tank"), key=True) == Place("x.yaml", 3, 3)


def test_the_place_of_what_is_not_written_is_its_nearest_ancestor() -> None:
    document, _ = parse_text("parts:\n  tank: {at: 1}\n", "x.yaml")
    assert document is not None
    assert document.place(("parts", "tank", "kind")) == Place("x.yaml", 2, 3)
    assert document.place(("nothing", "here")) == Place("x.yaml", 1, 1)


@both
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("a: &x 1\nb: *x\n", [("yaml-alias", 1, 4), ("yaml-alias", 2, 4)]),
        ("a: 1\nb: 2\na: 3\n", [("double-key", 3, 1)]),
        ("a: {b: 1, b: 2}\n", [("double-key", 1, 11)]),
        ("<<: {a: 1}\n", [("yaml-merge", 1, 1)]),
        ("a: !thing 1\n", [("yaml-tag", 1, 4)]),
        ("a: !!python/object/apply:os.system [ls]\n", [("yaml-tag", 1, 4)]),
        ("a: 1\n---\nb: 2\n", [("yaml-documents", 2, 1)]),
        ("? [1, 2]\n: 3\n", [("bad-key", 1, 3)]),
        ("? {a: {b: 1}}\n: {c: d}\ne: 1\n", [("bad-key", 1, 3)]),
        ("'': 3\n", [("bad-key", 1, 1)]),
        ('a: "\\e[31mred"\n', [("control-character", 1, 4)]),
        ("a: \x1b[31mred\n", [("control-character", 1, 4)]),
        ("a: 1\nb: x\u202ey\n", [("control-character", 2, 5)]),
        ("a: 1\n=======\n>>>>>>> theirs\n", [("merge-conflict", 3, 1)]),
        ("# nothing but words\n", [("empty-file", 0, 0)]),
        ("a: " + "[" * DEEPEST + "]" * DEEPEST + "\n", [("too-deep", 1, 3 + DEEPEST)]),
        ("a:\n\t- b\n", [("yaml-syntax", 2, 1)]),
        ("a: 1\n b: 2\n", [("yaml-syntax", 2, 3)]),
        ("a: [1, 2\nb: 3\n", [("yaml-syntax", 2, 2)]),
        ("a: 'x\nb: 2", [("yaml-syntax", 2, 5)]),
        ("a: @x\n", [("yaml-syntax", 1, 4)]),
    ],
)
def test_what_is_not_plain_is_told_with_its_place(loader: Loader, text: str, code: list[tuple[str, int, int]]) -> None:
    assert codes(text, loader) == code


@both
def test_a_file_that_explodes_when_its_aliases_are_followed_is_refused_at_once(loader: Loader) -> None:
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    lines += [f"{b}: &{b} [{', '.join([f'*{a}'] * 9)}]" for a, b in zip("abcdefgh", "bcdefghi", strict=True)]
    found = codes("\n".join(lines), loader)
    assert {code for code, _, _ in found} == {"yaml-alias"}


@both
def test_the_reader_never_shows_the_words_of_its_library(loader: Loader) -> None:
    for text in [
        "a: [1",
        "a: {b",
        "x: ]",
        "- a\nb: 1",
        "a: |3x\n b",
        "a: !<x",
        "*",
        "&",
        "%YAML 9",
        'a: "\\q"',
        "{a: 1}}",
        "a: `b`",
    ]:
        document, findings = parse_text(text, "x.yaml", loader=loader)
        assert document is None
        assert len(findings) == 1
        assert findings[0].code in {"yaml-syntax", "bad-key"}
        assert findings[0].hint
        for word in ("token", "scalar", "mapping", "flow", "scanning", "parsing", "expected", "node"):
            assert word not in findings[0].message


def file_codes(path: Path) -> list[str]:
    document, findings = read_document(path)
    assert (document is None) == bool(findings)
    return [f.code for f in findings]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty-file"),
        (b"  \n\n", "empty-file"),
        (b"\xff\xfea\x00:\x00", "not-text"),
        (b"name: caf\xe9\n", "not-text"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not-text"),
        (b"a: 1\n" * 500_000, "too-large"),
    ],
)
def test_bytes_that_are_no_text_file(tmp_path: Path, data: bytes, code: str) -> None:
    path = tmp_path / "vehicle.yaml"
    path.write_bytes(data)
    assert file_codes(path) == [code]


def test_bad_bytes_have_a_place(tmp_path: Path) -> None:
    path = tmp_path / "vehicle.yaml"
    path.write_bytes("a: ü\nname: caf".encode() + b"\xe9\n")
    _, findings = read_document(path)
    assert (findings[0].place.line, findings[0].place.column) == (2, 10)


def test_too_many_values(tmp_path: Path) -> None:
    path = tmp_path / "vehicle.yaml"
    path.write_text("a: [" + "1," * 100_001 + "]", encoding="utf-8")
    assert file_codes(path) == ["too-many-values"]


def test_a_file_with_a_mark_at_its_start_and_foreign_line_ends_is_read(tmp_path: Path) -> None:
    path = tmp_path / "vehicle.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    document, findings = read_document(path)
    assert findings == ()
    assert document is not None
    assert document.data == {"a": 1, "b": 2}


def test_what_is_no_file(tmp_path: Path) -> None:
    assert file_codes(tmp_path) == ["not-a-file"]
    assert file_codes(tmp_path / "absent.yaml") == ["no-file"]
    assert file_codes(Path("a\0b")) == ["unreadable-file"]
    assert file_codes(tmp_path / ("x" * 300)) == ["unreadable-file"]


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="needs a user who may be refused")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    path = tmp_path / "vehicle.yaml"
    path.write_text("a: 1", encoding="utf-8")
    path.chmod(0)
    assert file_codes(path) == ["unreadable-file"]


def test_a_link_that_leads_back_to_itself(tmp_path: Path) -> None:
    path = tmp_path / "vehicle.yaml"
    path.symlink_to(path)
    assert file_codes(path) == ["unreadable-file"]
