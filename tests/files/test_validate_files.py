"""Holding data against the schemas: every fault at once, one finding each, in our own words."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

import pytest

from planner.files import Document, JobFile, Parts, VehicleFile, parse_text, read_document, validate_parts
from planner.files.schema_text import json_schema
from planner.finding import Finding

M = TypeVar("M", VehicleFile, JobFile)
DATA = Path(__file__).parents[1] / "data"

MANY = """\
knockon: 1
nme: foo
units: mm
ground:
components:
  Bad Id:
    kind: x
    at: [1, 2]
    solids:
      - bx: [1, 2, 3]
      - {box: [1, 2, 3 kg], tube: {across: 3, through: 5}}
      - {}
    off: 3 kgs
    hands: 12
    freedom: moved
    rides: yes
    name: 5
    rooms: [{name: a, needed: never, side: up}]
links: {a: 5}
spaces: []
relations:
"""


def validate(
    document: Document, model: type[M], context: Mapping[str, Any] | None = None
) -> tuple[M | None, tuple[Finding, ...]]:
    """A file read whole or not at all."""
    value, findings, left_out = validate_parts(document, model, context, Parts(sections={}, stand_ins={}))
    return (None if left_out else value), findings


def test_every_fault_is_told_at_once_and_once() -> None:
    document, none = parse_text(MANY, "x.yaml")
    assert none == ()
    assert document is not None
    value, findings = validate(document, VehicleFile, {"bare": "mm"})
    assert value is None
    told = [(f.place.line, f.place.column, f.code) for f in findings]
    assert told == [
        (2, 1, "unknown-key"),
        (4, 1, "empty-value"),
        (6, 3, "bad-id"),
        (8, 9, "wrong-count"),
        (10, 9, "unknown-key"),
        (11, 22, "wrong-unit"),
        (11, 56, "wrong-type"),
        (12, 9, "no-shape"),
        (13, 10, "wrong-unit"),
        (14, 12, "out-of-range"),
        (15, 14, "unknown-choice"),
        (16, 12, "wrong-type"),
        (17, 11, "wrong-type"),
        (18, 31, "unknown-choice"),
        (19, 12, "wrong-type"),
        (20, 9, "wrong-type"),
    ]


def test_findings_are_in_our_own_words() -> None:
    document, _ = parse_text(MANY, "x.yaml")
    assert document is not None
    _, findings = validate(document, VehicleFile, {"bare": "mm"})
    for finding in findings:
        for word in ("Input", "input", "pydantic", "valid ", "validation", "dictionary", "str ", "Field"):
            assert word not in finding.message
        assert finding.message[0] == "`" or finding.message[0].islower()
        assert not finding.message.endswith(".")


def test_a_missing_key_and_its_misspelling_are_one_fault() -> None:
    document, _ = parse_text("knockon: 1\nname: a\nunits: mm\ngruond: 5\n", "x.yaml")
    assert document is not None
    _, findings = validate(document, VehicleFile)
    assert [(f.code, f.message, f.hint) for f in findings] == [
        ("unknown-key", "unknown key `gruond`", "did you mean `ground`?")
    ]


@pytest.mark.parametrize("text", ["5", "[1, 2]", "just words", "~"])
def test_a_file_that_is_no_block_of_keys(text: str) -> None:
    document, _ = parse_text(text, "x.yaml")
    assert document is not None
    value, findings = validate(document, JobFile)
    assert value is None
    assert [f.code for f in findings] == ["wrong-type"]


def test_bare_numbers_are_in_the_unit_given() -> None:
    document, _ = parse_text("knockon: 1\nname: a\nunits: inch\nground: -9\n", "x.yaml")
    assert document is not None
    file, findings = validate(document, VehicleFile, {"bare": "inch"})
    assert findings == ()
    assert file is not None
    assert file.ground.mm == pytest.approx(-9 * 25.4)


def test_null_is_for_make_only_and_a_blank_section_is_no_fault() -> None:
    text = (
        "knockon: 1\nname: a\nunits: mm\nground: 0\nlinks:\n"
        "components:\n  a: {kind: x, at: [0, 0, 0], solids: [{box: [1, 1, 1]}], make: null}\n"
    )
    document, _ = parse_text(text, "x.yaml")
    assert document is not None
    file, findings = validate(document, VehicleFile)
    assert findings == ()
    assert file is not None
    assert "make" in file.components["a"].model_fields_set


@pytest.mark.parametrize(
    ("which", "path"), [("vehicle", "vehicle.yaml"), ("job", "jobs/hung-pedals.yaml"), ("job", "jobs/choices.yaml")]
)
def test_the_schema_names_every_key_of_the_good_files(which: str, path: str) -> None:
    schema = json_schema(which)  # type: ignore[arg-type]
    text = json.dumps(schema)
    assert schema["$schema"].endswith("2020-12/schema")
    assert "prefixItems" not in text
    assert str(Path.cwd()) not in text
    assert "/home" not in text
    document, _ = read_document(DATA / "good" / path)
    assert document is not None
    assert isinstance(document.data, dict)
    assert set(document.data) <= set(schema["properties"])
    assert schema["additionalProperties"] is False
    assert all(entry.get("description") for entry in schema["properties"].values())


def test_only_make_may_be_null_in_the_schema() -> None:
    entries = json_schema("vehicle")["$defs"]["ComponentFile"]["properties"]
    assert [name for name, entry in entries.items() if "null" in json.dumps(entry)] == ["make"]


def test_a_blank_item_of_a_list_is_one_fault_and_moves_no_place() -> None:
    head = "knockon: 1\nname: a\nunits: mm\nground: 0\ncomponents:\n"
    text = head + "  a:\n    kind: x\n    at:\n      - 1\n      -\n      - 3 kg\n"
    document, _ = parse_text(text + "    solids: [{box: [1, 1, 1]}]\n", "x.yaml")
    assert document is not None
    _, findings = validate(document, VehicleFile)
    assert [(f.place.line, f.code) for f in findings] == [(10, "empty-value"), (11, "wrong-unit")]
