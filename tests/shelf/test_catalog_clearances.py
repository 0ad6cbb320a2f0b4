"""Clearances of the catalog: sourced, about things there are, and what must be kept from what is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner.knockon.clearances import KeepBook
from planner.model.shapes import Pose
from planner.model.vehicle import Component, End, Freedom, Link
from planner.shelf.folders import catalog_folder
from planner.shelf.read import load_catalog

CATALOG, FINDINGS = load_catalog()
HEAD = "knockon: 1\nkinds:\n  tank: {group: fuel, freedom: moves, largest_mm: 500, source: s}\nclearances:\n"
RULE = "  rule: {one: [fuel], other: [hot], keep_mm: 50, why: it boils, source: starting guess}\n"


def told(folder: Path, text: str) -> list[str]:
    (folder / "all.yaml").write_text(text, encoding="utf-8")
    found = [f for f in load_catalog(folder)[1] if f.code not in {"no-fallback", "missing-key"}]
    return [f"{f.place.line} {f.code} {f.message} | {f.hint}" for f in found]


def test_a_sound_rule(tmp_path: Path) -> None:
    assert told(tmp_path, HEAD + RULE) == []
    rule = load_catalog(tmp_path)[0].clearances["rule"]
    assert (rule.one, rule.other, rule.keep_mm, rule.why) == (("fuel",), ("hot",), 50, "it boils")


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (", source: starting guess", "", "unsourced-number `rule` has numbers but no `source`"),
        ("source: starting guess", "source: ' '", "unsourced-number `rule` has numbers but no `source`"),
        (
            "[fuel]",
            "[feul]",
            "unknown-name no kind, link kind, group or property is called `feul` | did you mean `fuel`?",
        ),
        ("[hot]", "[tank, hott]", "unknown-name no kind, link kind, group or property is called `hott`"),
        ("keep_mm: 50", "keep_mm: 0", "out-of-range"),
        ("keep_mm: 50", "keep_mm: 5000", "out-of-range"),
        ("[hot]", "[]", "wrong-count"),
        ("why: it boils, ", "", "missing-key"),
    ],
)
def test_an_unsound_rule_is_refused(tmp_path: Path, old: str, new: str, fault: str) -> None:
    assert old in RULE
    (tmp_path / "all.yaml").write_text(HEAD + RULE.replace(old, new), encoding="utf-8")
    found = [f"{f.code} {f.message} | {f.hint}" for f in load_catalog(tmp_path)[1] if f.place.line == 5]
    assert any(text.startswith(fault) for text in found), found


def test_every_source_owns_up() -> None:
    assert FINDINGS == ()
    assert len(CATALOG.clearances) >= 12
    vague = re.compile(r"^(starting guess|common practice, no published source|UN Regulation \d+, [\d.]+ \()")
    assert [r.id for r in CATALOG.clearances.values() if not vague.match(r.source)] == []
    published = [r for r in CATALOG.clearances.values() if r.source.startswith("UN Regulation")]
    assert [r.id for r in published if "value from memory" not in r.source] == []


def thing(kind: str) -> Component | Link:
    if kind in CATALOG.kinds:
        k = CATALOG.kinds[kind]
        return Component(id=kind, kind=kind, name=kind, group=k.group, pose=Pose(), solids=(), freedom=Freedom.STAYS)
    return Link(id=kind, kind=kind, name=kind, group=CATALOG.link_kinds[kind].group, ends=(End(component="a"),) * 2)


@pytest.mark.parametrize(
    ("one", "other", "least_mm"),
    [
        ("fuel-pipe", "exhaust-pipe", 50),
        ("fuel-hose", "exhaust-manifold", 50),
        ("fuel-tank", "silencer", 50),
        ("fuel-hose", "brake-drum", 10),
        ("brake-pipe", "exhaust-pipe", 25),
        ("brake-hose", "exhaust-manifold", 25),
        ("brake-hose", "road-wheel", 10),
        ("brake-pipe", "propshaft", 10),
        ("brake-hose", "tie-rod", 10),
        ("brake-pipe", "belt", 10),
        ("brake-pipe", "cooling-fan", 10),
        ("loom-branch", "exhaust-pipe", 25),
        ("wire", "exhaust-manifold", 25),
        ("wire", "engine", 5),
        ("fuel-pipe", "battery", 25),
        ("fuel-tank", "battery", 25),
        ("fuel-hose", "battery-cable", 25),
        ("clutch-cable", "exhaust-pipe", 25),
        ("throttle-cable", "silencer", 25),
        ("coolant-hose", "exhaust-manifold", 15),
        ("heater-hose", "cooling-fan", 10),
        ("coolant-hose", "belt", 10),
        ("throttle-pedal", "bulkhead", 5),
        ("throttle-rod", "bracket", 5),
        ("drag-link", "chassis-rail", 10),
        ("steering-shaft", "bracket", 10),
        ("washer-bottle", "exhaust-manifold", 25),
        ("brake-reservoir", "exhaust-pipe", 25),
    ],
)
def test_what_must_be_kept_apart_is(one: str, other: str, least_mm: float) -> None:
    """The pairs every workshop keeps apart: common practice, no published source; the least is ours."""
    keep = KeepBook(CATALOG).rule(thing(one), thing(other))
    assert keep is not None
    assert keep.keep_mm >= least_mm


@pytest.mark.parametrize(
    ("one", "other"), [("fuse-box", "bracket"), ("wire", "wire"), ("seat", "floor"), ("horn", "dynamo")]
)
def test_what_may_be_side_by_side_has_no_rule(one: str, other: str) -> None:
    assert KeepBook(CATALOG).rule(thing(one), thing(other)) is None


def test_the_file_says_that_it_makes_nothing_safe() -> None:
    text = (catalog_folder() / "clearances.yaml").read_text(encoding="utf-8")
    assert "No rule here makes a vehicle safe" in text
