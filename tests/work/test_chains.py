"""A drive chain: set by its adjuster or made anew, looked at before the vehicle moves, hands off while it can turn."""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import demands, first_of, link, part, scuttle, shelf, worked

from planner.model.job import Move
from planner.model.vehicle import System, Vehicle


def chained() -> Vehicle:
    """Two sprockets 500 mm apart on the bulkhead, far from all else, and their chain."""
    v = scuttle()
    drive = part("sprocket", "drive", (60, -800, 200), systems=("chain",), ports_mm={"rim": (0, 0, 0)})
    driven = part("sprocket", "driven", (60, -800, 700), systems=("chain",), ports_mm={"rim": (0, 0, 0)})
    chain = link("drive-chain", "chain", "drive.rim", "driven.rim", system="chain")
    return replace(
        v,
        components=v.components | {"drive": drive, "driven": driven},
        links=v.links | {"chain": chain},
        systems=v.systems | {"chain": System(id="chain", kind="chain-drive", name="chain")},
    )


@pytest.mark.parametrize(("down_mm", "task"), [(15.0, "chain.adj1"), (60.0, "chain.4")])
def test_a_chain_is_set_within_its_adjuster_and_bought_anew_beyond_it(down_mm: float, task: str) -> None:
    v = chained()
    pose = v.components["drive"].pose
    to = replace(pose, at_mm=(pose.at_mm[0], pose.at_mm[1], pose.at_mm[2] - down_mm))
    work, _ = worked(v, Move(part="drive", to=to))
    assert shelf().link_kinds["drive-chain"].adjust_mm == 20
    assert any("Fingers never between chain and sprocket" in c for c in work.tasks[task].cautions)
    dead = demands(work.tasks[task], "state:battery-isolated")
    assert dead is not None
    assert dead.on
    assert task in first_of(work, "check.chain-slack")
    point = work.checkpoints["chain-slack"]
    assert {"moving", "road"} <= set(point.blocks)
    # Common practice, no published source: 20 to 30 mm up and down where it is tightest.
    assert (point.low, point.high) == (20, 30)
