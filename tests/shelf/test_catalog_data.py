"""What the catalog holds: enough of it, believable, and every number with its source."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from planner.finding import Finding
from planner.model.catalog import Work
from planner.model.vehicle import Freedom, RoomNeed
from planner.shelf.folders import catalog_folder
from planner.shelf.read import load_catalog

CATALOG, FINDINGS = load_catalog()
PUBLISHED = re.compile(r"CFR|UK MOT|HSE|IAPWS|Formula Student|UN R13|UN Regulation")
OWNED = re.compile(r"starting guess|common practice, no published source")
TABLES: dict[str, Mapping[str, Any]] = {
    "kinds": CATALOG.kinds,
    "links": CATALOG.link_kinds,
    "systems": CATALOG.system_kinds,
    "conditions": CATALOG.conditions,
    "templates": CATALOG.templates,
    "checkpoints": CATALOG.rules,
    "clearances": CATALOG.clearances,
    "spreads": CATALOG.spreads,
}


def test_the_shipped_catalog_has_no_finding() -> None:
    assert FINDINGS == ()


def test_there_is_enough_of_everything() -> None:
    assert len(CATALOG.kinds) >= 85
    assert len(CATALOG.link_kinds) >= 26
    assert len(CATALOG.system_kinds) >= 12
    assert len(CATALOG.rules) >= 40
    groups = Counter(k.group for k in CATALOG.kinds.values())
    wanted = (
        "brakes clutch throttle cooling steering fuel exhaust electrics transmission suspension body structure seats"
    )
    assert {g: n for g in wanted.split() if (n := groups[g]) < 4} == {}


LINKS = (
    "brake-pipe brake-hose clutch-pipe clutch-cable throttle-cable throttle-rod choke-cable coolant-hose heater-hose "
    "overflow-hose fuel-pipe fuel-hose wire loom-branch battery-cable earth-strap speedometer-cable handbrake-cable "
    "steering-shaft propshaft drive-shaft gear-rod exhaust-pipe vacuum-hose belt tie-rod "
    "gear-cable bonnet-cable heater-cable breather-hose intake-hose air-duct washer-hose oil-pipe fuel-vent"
)


def test_every_usual_link_is_known() -> None:
    assert set(LINKS.split()) <= set(CATALOG.link_kinds)


@pytest.mark.parametrize("section", TABLES)
def test_every_source_is_a_publication_or_owns_up(section: str) -> None:
    vague = [i for i, e in TABLES[section].items() if not (PUBLISHED.search(e.source) or OWNED.search(e.source))]
    assert vague == []


def test_minutes_are_owned_as_guesses() -> None:
    timed = [e for e in (*CATALOG.kinds.values(), *CATALOG.link_kinds.values()) if e.off_min or e.on_min]
    assert len(timed) > 100
    assert [e.id for e in timed if "starting guess" not in e.source] == []


def test_a_number_without_a_publication_says_whether_it_is_guessed_or_remembered() -> None:
    """Nought and "ten out of ten" are no measures; every other limit is published, or says what it is worth."""
    worth = re.compile(r"starting guess|from memory|trade text|as the .*maker gives it|\(5 %\)")
    doubtful = []
    for rule in CATALOG.rules.values():
        numbers = [n for n in (rule.low, rule.high) if n]
        if numbers and rule.unit != "times out of 10" and not PUBLISHED.search(rule.source):
            doubtful += [rule.id] if not worth.search(rule.source) else []
    # 0.1 V is the last digit of a cheap meter, not a limit.
    assert doubtful == ["battery-dead"]


def test_what_carries_the_vehicle_stays() -> None:
    fixed = [
        "chassis",
        "chassis-rail",
        "crossmember",
        "bulkhead",
        "firewall",
        "floor",
        "tunnel",
        "scuttle",
        "engine",
        "gearbox",
    ]
    assert {i: CATALOG.kinds[i].freedom for i in fixed} == dict.fromkeys(fixed, Freedom.STAYS)


def test_what_can_come_off_takes_time() -> None:
    free = [k.id for k in CATALOG.kinds.values() if k.freedom is not Freedom.STAYS and not (k.off_min and k.on_min)]
    assert free == []


def test_home_builders_parts_have_a_making_time() -> None:
    made = ["bracket", "brake-pedal", "clutch-pedal", "header-tank", "panel", "mounting-plate", "pedal-box", "shelf"]
    assert [i for i in made if not CATALOG.kinds[i].make_min] == []


def test_fluid_caps_keep_their_room() -> None:
    capped = [
        "brake-master-cylinder",
        "clutch-master-cylinder",
        "brake-reservoir",
        "clutch-reservoir",
        "header-tank",
        "radiator",
    ]
    for kind in capped:
        room = CATALOG.kinds[kind].rooms[0]
        assert (room.needed, str(room.side)) == (RoomNeed.ALWAYS, "up")
        assert room.depth_mm >= 80


def test_links_are_believable() -> None:
    for link in CATALOG.link_kinds.values():
        assert link.remake_min > 0
        assert (link.adjust_min > 0) == (link.adjust_mm > 0), link.id
        if link.rigid and link.id.endswith("pipe") and link.group in {"brakes", "clutch", "fuel"}:
            # least bend of hard pipe about three outside diameters: common practice, no published source
            assert link.bend_radius_mm == pytest.approx(3 * link.across_mm, abs=0.5)


def test_every_kind_of_work_has_a_standing_caution() -> None:
    assert {w.value for w in Work} <= set(CATALOG.cautions)
    groups = {k.group for k in CATALOG.kinds.values()} | {r.group for r in CATALOG.rules.values()}
    assert groups <= set(CATALOG.cautions)


def copied(folder: Path) -> Path:
    """A copy of the shipped catalog to spoil."""
    for path in catalog_folder().glob("*.yaml"):
        (folder / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    return folder


def found(folder: Path) -> list[tuple[str, int, str]]:
    findings: tuple[Finding, ...] = load_catalog(folder)[1]
    return [(f.code, f.place.line, Path(f.place.file).name) for f in findings]


SOURCED = ["kinds-brakes", "links", "systems", "conditions", "templates", "checkpoints", "settings"]


@pytest.mark.parametrize("name", SOURCED)
@pytest.mark.parametrize("left", ["", "source: ''", "source: '  '"])
def test_an_entry_that_loses_its_source_is_refused(tmp_path: Path, name: str, left: str) -> None:
    path = copied(tmp_path) / f"{name}.yaml"
    lines = path.read_text(encoding="utf-8").split("\n")
    at = next(i for i, line in enumerate(lines) if line.lstrip().startswith("source:"))
    indent = len(lines[at]) - len(lines[at].lstrip())
    lines[at] = " " * indent + (left or "# none")
    path.write_text("\n".join(lines), encoding="utf-8")
    entry = max(i for i in range(at) if re.fullmatch(rf" {{{indent - 2}}}[a-z_-]+:", lines[i]))
    assert found(tmp_path) == [("unsourced-number", entry + 1, path.name)]
