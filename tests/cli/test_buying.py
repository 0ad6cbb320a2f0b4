"""What has to be bought and nobody has priced: on every list, with how to say what is missing."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import JOB, JOB_ID, VEHICLE, catalog_at_hand, first_packing, run, shed_files, write_project
from worked_once import worked_once

HOSE = "material for header fill hose"
QUICK = ("--quick", "--from", "2027-01-01")


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), first_packing(), worked_once():
        yield


def bought(folder: Path) -> dict[str, dict[str, object]]:
    told = json.loads(run("plan", folder, JOB_ID, "--json", *QUICK).out)
    return {str(b["what"]).split(":")[0]: b for b in told["buy"]}


def row(out: str, what: str) -> str:
    return next(" ".join(line.split()) for line in out.splitlines() if line.startswith(what))


def test_a_hose_made_anew_that_nobody_priced_is_on_the_list_and_says_so(tmp_path: Path) -> None:
    """The tank moves for the new cylinder, and its hose is cut anew: as long as `moves --runs` says."""
    folder = write_project(tmp_path, shed_files())
    cut = next(line for line in run("moves", folder, JOB_ID, "--runs").out.splitlines() if line.startswith("  - cut "))
    out = run("plan", folder, JOB_ID, *QUICK).out
    hose = row(out, HOSE)
    assert hose.endswith("of coolant hose lead not given")
    assert hose.split(": ")[1].split(" of ")[0] in cut
    assert "at hand" not in out[out.index("To buy") : out.index("Lead not given")]
    assert "Lead not given" in out
    assert "1 of them without a price" in out
    assert "header-fill-hose." in out
    paper = run("export", folder, JOB_ID, "--as", "md", "--limit", "1", "--from", "2027-01-01", "-o", "-").out
    assert "lead not given" in paper
    assert "1 of them without a price" in paper


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("    lead: 6 days\n    price: 12\n", "12.00 GBP 6 days by"),
        ("    lead: 0 days\n", "at hand"),
    ],
)
def test_what_the_hint_says_to_write_is_taken(tmp_path: Path, said: str, told: str) -> None:
    text = VEHICLE.replace("    slack: 60\n", f"    slack: 60\n{said}")
    out = run("plan", write_project(tmp_path, shed_files(vehicle=text)), JOB_ID, *QUICK).out
    assert told in row(out, HOSE)
    assert "Lead not given" not in out


def test_a_purchase_for_it_takes_its_place(tmp_path: Path) -> None:
    hose = "  hose: {what: 1 m of hose, price: 9, lead: 2 days, for: header-fill-hose}\n"
    text = JOB.replace("purchases:\n", f"purchases:\n{hose}")
    found = bought(write_project(tmp_path, shed_files(job=text)))
    assert HOSE not in found
    assert found["1 m of hose"]["lead_days"] == 2


def test_every_list_has_the_same_things(tmp_path: Path) -> None:
    found = bought(write_project(tmp_path, shed_files()))
    goods = {what: b for what, b in found.items() if not b["used_up"]}
    assert any(what.startswith("brake fluid of the grade") for what in found.keys() - goods.keys())
    assert {what: (b["price"], b["lead_days"], b["lead_told"]) for what, b in goods.items()} == {
        "rear cylinder": (46, 9, True),
        "brake fluid 1 l": (12, 3, True),
        HOSE: (0, 0, False),
    }


def test_replan_asks_for_parcels_that_were_not_ordered_and_not_for_what_is_planned_as_at_hand(tmp_path: Path) -> None:
    folder = write_project(tmp_path, shed_files())
    assert run("plan", folder, JOB_ID, *QUICK, "--short", "--agree").code == 0
    out = run("replan", folder, "--at", "2027-01-29T09:00").out
    late = [line for line in out.splitlines() if "not recorded as ordered" in line]
    assert any("rear cylinder" in line for line in late)
    assert not any("header fill hose" in line for line in late)
