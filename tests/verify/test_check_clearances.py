"""The checker knows the catalog's gaps: a home or a run nearer than a rule wants is told, with its own reckoning."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import catalog
from scuttle import EFFECTS, NEW_HOME, PEDAL_BOX, SOUND, VEHICLE, block, job, told, with_home

from planner.model.catalog import Catalog, ClearanceRule, Kind, LinkKind
from planner.model.job import Add
from planner.model.shapes import Pose, Slide
from planner.model.vehicle import Freedom
from planner.verify import check_homes
from planner.verify.kept import kept_mm

FUSES, BATTERY = VEHICLE.components["fuse-box"], VEHICLE.components["battery"]
WIRE = VEHICLE.links["main-wire"]


def kind(name: str, **more: object) -> Kind:
    facts = {"name": name, "group": "electrics", "freedom": Freedom.MOVES, "largest_mm": 900.0, "source": "s", **more}
    return Kind(id=name, **facts)  # type: ignore[arg-type]


def rule(one: str, other: str, keep_mm: float, name: str = "r") -> ClearanceRule:
    return ClearanceRule(id=name, one=(one,), other=(other,), keep_mm=keep_mm, why="w", source="s")


def shelf(*rules: ClearanceRule) -> Catalog:
    base = catalog()
    wire: LinkKind = replace(base.link_kinds["hose"], id="wire", moving=True)
    kinds = {**base.kinds, "fuse-box": kind("fuse-box"), "battery": kind("battery", hot=True)}
    return replace(base, kinds=kinds, link_kinds={"wire": wire}, clearances={r.id: r for r in rules})


def faults(*rules: ClearanceRule) -> tuple[str, ...]:
    """The fuse box on its shelf stands 85 mm above the battery (475 to 560)."""
    return check_homes(VEHICLE, job(), SOUND, shelf(*rules))


def test_a_home_nearer_than_a_rule_wants() -> None:
    assert faults(rule("fuse-box", "hot", 85.0)) == ()
    assert faults(rule("fuse-box", "hot", 90.0)) == (
        "`battery` and `fuse-box` are 85.00 mm apart and must keep 90 mm clear",
    )
    assert faults(rule("battery", "electrics", 90.0)) == faults(rule("fuse-box", "hot", 90.0))
    assert [f for f in faults(rule("fuse-box", "moving", 90.0)) if "apart and must" in f] == []


def test_without_the_catalog_only_what_parts_ask_for_themselves() -> None:
    assert check_homes(VEHICLE, job(), SOUND) == ()


def test_the_owners_word_on_a_pair() -> None:
    shielded = replace(FUSES, near_mm={"battery": 60.0})
    v = replace(VEHICLE, components={**VEHICLE.components, "fuse-box": shielded})
    assert check_homes(v, job(), SOUND, shelf(rule("fuse-box", "hot", 90.0))) == ()


def test_as_near_as_at_the_start_is_let_pass() -> None:
    """At the start the fuse box is 300 mm left of the battery; 20 mm farther left nothing is worse."""
    shelf_ = shelf(rule("fuse-box", "hot", 2000.0))
    farther = with_home("fuse-box", Pose(at_mm=(35, -500, 600)))
    assert [f for f in check_homes(VEHICLE, job(), farther, shelf_) if "apart and must" in f] == []
    assert any("apart and must keep 2000" in f for f in check_homes(VEHICLE, job(), SOUND, shelf_))


def test_a_run_that_a_new_part_comes_near() -> None:
    """The wire from the sensor to the battery runs 1 mm thick bar along its way; a new block stands 20 mm beside it."""
    heater = block("heater", (40, 20, 20), (67, 200, 650), kind="battery", freedom=Freedom.STAYS)
    owner = job(Add(component=PEDAL_BOX), Add(component=heater))
    answer = replace(
        SOUND,
        after={**SOUND.after, "heater": heater},
        effects=(*EFFECTS, *told(NEW=["heater"])),
    )
    with_rule = check_homes(VEHICLE, owner, answer, shelf(rule("wire", "hot", 200.0)))
    assert any(f.startswith("link `level-wire` runs") and "where 200 mm is to be kept" in f for f in with_rule)
    without = check_homes(VEHICLE, owner, answer, shelf())
    assert not any("level-wire" in f for f in without)


@pytest.mark.parametrize(
    ("one", "other", "wanted_mm"),
    [("fuse-box", "hot", 33.0), ("any", "battery", 33.0), ("electrics", "any", 33.0), ("moving", "any", 10.0)],
)
def test_names_by_which_a_rule_means_a_thing(one: str, other: str, wanted_mm: float) -> None:
    """The fuse box asks for 10 mm itself."""
    assert kept_mm(shelf(rule(one, other, 33.0)), FUSES, BATTERY) == wanted_mm
    assert kept_mm(shelf(rule(one, other, 33.0)), BATTERY, FUSES) == wanted_mm


def test_what_moves_by_its_own_motion_or_by_its_kind() -> None:
    moving = shelf(rule("moving", "battery", 33.0))
    assert kept_mm(moving, replace(FUSES, motion=Slide(along=(1, 0, 0), from_mm=0, to_mm=5)), BATTERY) == 33.0
    assert kept_mm(moving, WIRE, BATTERY) == 33.0
    assert kept_mm(None, FUSES, BATTERY) == 10.0
    assert NEW_HOME.at_mm == (35, 200, 600)
