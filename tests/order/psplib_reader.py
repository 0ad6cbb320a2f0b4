"""The published sample of scheduling instances, which lies beside the project."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from planner.order.project import Activity, Project

FOLDER = Path(__file__).parents[3] / "shared" / "psplib"


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """Name, the published lower bound and the best known finish; equal where the optimum is proved."""

    name: str
    low: int
    best: int

    @property
    def family(self) -> str:
        return next(f for f in ("j120", "j90", "j60", "j30") if self.name.startswith(f))


def published() -> list[Published]:
    """All instances of the sample; none where it is absent."""
    table = FOLDER / "best_known.csv"
    if not table.exists():
        return []
    with table.open(encoding="utf-8") as lines:
        return [
            Published(
                name=row["instance"].removesuffix(".sm"),
                low=int(row["lower_bound"]),
                best=int(row["best_known_makespan"]),
            )
            for row in csv.DictReader(lines)
        ]


def read(name: str) -> Project:
    """An instance with its dummy first and last job; the horizon is the sum of the durations."""
    import psplib  # noqa: PLC0415 - only where the sample and the reader are there

    instance = psplib.parse(FOLDER / f"{name}.sm", instance_format="psplib")
    before: list[dict[int, int]] = [{} for _ in instance.activities]
    for i, activity in enumerate(instance.activities):
        for k in activity.successors:
            before[k][i] = 0
    modes = [activity.modes[0] for activity in instance.activities]
    return Project(
        activities=tuple(
            Activity(duration=m.duration, uses=tuple(m.demands), before=b) for m, b in zip(modes, before, strict=True)
        ),
        capacity=tuple(r.capacity for r in instance.resources),
        horizon=sum(m.duration for m in modes),
    )
