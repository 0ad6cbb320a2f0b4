"""What a hint makes of a name that is not known: kinds by the words people use, names with their words turned round."""

from __future__ import annotations

from pathlib import Path

import pytest
from shipped import catalog

from planner.files import Faults, read_document
from planner.finding.words import nearest
from planner.shelf import load_vehicle
from planner.shelf.bench import Bench

GOOD = Path(__file__).parents[1] / "data" / "good"
CATALOG = catalog()


def hint_for(name: str, sort: str) -> str:
    """The hint at a name of no thing of a sort, in a vehicle with four parts."""
    document, _ = read_document(GOOD / "vehicle.yaml")
    assert document is not None
    faults = Faults(document)
    known = {
        "part": ("wheel-rear", "steering-wheel", "fuel-tank", "header-tank"),
        "kind": tuple(CATALOG.kinds),
        "system kind": tuple(CATALOG.system_kinds),
        "link kind": tuple(CATALOG.link_kinds),
    }
    bench = Bench(catalog=CATALOG, faults=faults, units="mm", known=known)
    assert not bench.check_id(("x",), name, sort)
    (found,) = faults.findings()
    return found.hint


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("petrol", "fuel"),
        ("wiring", "low-voltage-wiring"),
        ("electrics", "low-voltage-wiring"),
        ("brakes", "hydraulic-brake"),
        ("water", "coolant"),
        ("cooling", "coolant"),
        ("hydraulic-brakes", "hydraulic-brake"),
    ],
)
def test_a_circuit_is_found_by_what_people_call_it(name: str, meant: str) -> None:
    assert hint_for(name, "system kind").startswith(f"did you mean `{meant}`")


def test_all_kinds_of_circuit_are_listed_when_nothing_is_near() -> None:
    hint = hint_for("zzz", "system kind")
    assert all(f"`{kind}`" in hint for kind in CATALOG.system_kinds)
    assert "more" not in hint


@pytest.mark.parametrize(
    ("name", "meant"), [("petrol-tank", "fuel-tank"), ("muffler", "silencer"), ("raditor", "radiator")]
)
def test_a_kind_of_part_is_found_by_other_words(name: str, meant: str) -> None:
    assert f"`{meant}`" in hint_for(name, "kind")


@pytest.mark.parametrize(
    ("name", "meant"), [("rear-wheel", "wheel-rear"), ("Wheel Rear", "wheel-rear"), ("tank_header", "header-tank")]
)
def test_a_part_is_found_with_its_words_turned_round(name: str, meant: str) -> None:
    assert hint_for(name, "part") == f"did you mean `{meant}`?"


def test_a_name_spelt_right_is_never_turned_round() -> None:
    assert nearest("wheel-rear", ["rear-wheel", "wheel-rear"]) == "wheel-rear"
    assert nearest("zzz", ["rear-wheel"]) is None


@pytest.mark.parametrize(("price", "hint"), [("46,50", "46.50"), ("46,5", "46.5"), ("46 EUR", "without the currency")])
def test_a_price_with_a_comma_says_that_it_is_the_comma(tmp_path: Path, price: str, hint: str) -> None:
    text = (GOOD / "vehicle.yaml").read_text(encoding="utf-8")
    kind = next(line for line in text.splitlines() if line.startswith("    kind: "))
    (tmp_path / "vehicle.yaml").write_text(text.replace(kind, f"{kind}\n    price: {price}", 1), encoding="utf-8")
    found = [f for f in load_vehicle(tmp_path, CATALOG)[1] if f.code == "wrong-type"]
    assert len(found) == 1
    assert hint in found[0].hint
    assert ("comma" in found[0].message) == ("," in price)
