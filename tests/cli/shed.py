"""A small whole project with a bit of everything, and the command run on a project within this process."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Mapping
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from unittest.mock import patch

from shipped import catalog
from worked_once import worked_once

from planner.cli.main import main
from planner.order import least_strip, pack

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.plan import Plan
    from planner.model.work import WorkList

JOB_ID = "second-cylinder"

VEHICLE = """\
knockon: 1
name: Shed special
units: mm
doubt: 3 mm
zero: {x: front axle, y: centre line, z: top of the chassis rails}
ground: -300
systems:
  cooling: {kind: coolant}
  rear-brakes: {kind: hydraulic-brake}
components:
  bulkhead:
    kind: bulkhead
    at: [760, 0, 400]
    solids: [{box: [2, 1100, 520]}]
  radiator:
    kind: radiator
    at: [80, 0, 250]
    solids: [{box: [60, 420, 340]}]
    ports: {top: [0, 150, 170]}
    systems: [cooling]
  header-tank:
    kind: header-tank
    at: [28.4 in, 150, 560 +/- 5]
    solids: [{box: [70, 160, 5 1/4 in]}]
    mounted_on: bulkhead
    ports: {out: [0, 0, -66]}
    systems: [cooling]
  fuse-box:
    kind: fuse-box
    at: [730, -150, 560]
    solids: [{box: [50, 120, 80]}]
    mounted_on: bulkhead
  wiper-lever:
    kind: bracket
    at: [790, -400, 560]
    solids: [{tube: {across: 12, through: [[0, 0, 0], [0, 0, 100]]}}]
    mounted_on: bulkhead
    keep_clear: 0
    rooms: [{name: hand, side: up, depth: 60, needed: always}]
    motion: {turns: {about: [0, 0, 0], axis: y, from: 0, to: 18}}
    off: 12 min
    mass: 0.4 kg
    tools: [1/2 in spanner]
links:
  header-fill-hose:
    kind: coolant-hose
    from: header-tank.out
    to: radiator.top
    system: cooling
    across: 1 1/4 in
    slack: 60
spaces:
  bulkhead-front: {on: bulkhead, box: [80, 900, 160], at: [719, 0, 570], step: 20, against: rearwards}
relations:
  header-above-radiator: {part: header-tank, keeps: above, of: radiator, by: 40, why: it fills and vents by gravity}
"""

JOB = """\
knockon: 1
name: A second brake cylinder
start: 2027-01-09
finish_by: 2027-12-31
hour_worth: 18
currency: GBP
changes:
  - do: add
    part: rear-cylinder
    component:
      kind: brake-master-cylinder
      at: [690, 150, 500]
      solids: [{cylinder: {across: 40, length: 138, along: x}}]
      mounted_on: bulkhead
      systems: [rear-brakes]
      ports: {out: [-69, 0, 0]}
      price: 46
      lead: 9 days
  - {do: move, part: wiper-lever, by: [0, -40, 0]}
  - {do: cut, id: slot, host: bulkhead, box: [6, 60, 60], at: [760, 300, 300], welded: true}
tasks:
  paint-slot:
    title: Paint the slot
    takes: 40 min
    after: [slot]
    before: [rear-cylinder]
    off: [header-tank]
    conditions: [on-stands]
    lag: 12 h
purchases:
  fluid: {what: brake fluid 1 l, price: 12, lead: 3 days, for: rear-cylinder}
sessions:
  - {every: saturday, from: "09:00", to: "13:00"}
  - {every: sunday, from: "14:00", to: "18:00", hands: 2}
days_off: [2027-01-16]
pace: {welding: 1.5}
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a command ended: its exit code and what it printed."""

    code: int
    out: str
    err: str


def write_project(folder: Path, files: Mapping[str, bytes]) -> Path:
    """Put ``files`` (name to content) into ``folder``; returns the folder."""
    for name, content in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    return folder


def shed_files(vehicle: str = VEHICLE, job: str = JOB) -> dict[str, bytes]:
    return {"vehicle.yaml": vehicle.encode(), f"jobs/{JOB_ID}.yaml": job.encode()}


def agreed_project(folder: Path) -> Path:
    """The shed with the first plan of its job agreed, nothing done; the catalog is to be at hand."""
    write_project(folder, shed_files())
    with worked_once():
        ended = run("plan", folder, JOB_ID, "--quick", "--from", "2027-01-01", "--short", "--agree")
    assert ended.code == 0, ended.err
    return folder


def work_up_to(folder: Path, number: int) -> str:
    """Numbers of the steps up to one, for `done`, without checks that are signed by themselves."""
    steps = json.loads(run("next", folder, "-n", "200", "--json").out)["steps"]
    early = (s for s in steps if s["number"] <= number)
    return ",".join(str(s["number"]) for s in early if not s["title"].startswith("Check: "))


def isolating(folder: Path) -> str:
    """Numbers of the steps up to the one that cuts the battery off."""
    steps = json.loads(run("next", folder, "-n", "200", "--json").out)["steps"]
    return work_up_to(folder, next(s["number"] for s in steps if "Switch everything off" in s["title"]))


def read_project(folder: Path) -> dict[str, bytes]:
    """Every file below ``folder``, by its name."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@contextmanager
def catalog_at_hand() -> Iterator[None]:
    """Read the shipped catalog once for many runs."""
    found = catalog()
    with patch("planner.cli.loading.catalog_read", lambda: found):
        yield


@contextmanager
def first_packing() -> Iterator[None]:
    """Plan by the first packing that holds, and look for no better: enough where it is told what a plan says."""

    def packed(work: WorkList, job: Job, rules: Catalog, *, today: date, **_: object) -> Plan:
        return pack(work, least_strip(work), job, rules, today=today)

    with patch("planner.order.scheduled", packed):
        yield


def run(*arguments: str | Path) -> Ended:
    """The whole command in this process; streams encode as a terminal's do, so that no surrogate slips through."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    code: int | str | None = 0
    with patch.object(sys, "argv", ["knockon", *map(str, arguments)]), redirect_stdout(out), redirect_stderr(err):
        try:
            main()
        except SystemExit as ending:
            code = ending.code
    told = [stream.buffer.getvalue().decode() for stream in (out, err)]  # type: ignore[attr-defined]
    return Ended(code=int(code or 0), out=told[0], err=told[1])


def fine(ended: Ended) -> str:
    """What a command printed that ended well."""
    assert ended.code == 0, ended.err + ended.out
    return ended.out
