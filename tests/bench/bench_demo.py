"""The demo's own times: `python tests/bench/bench_demo.py` prints a table; each command is a cold process."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
CAR = "projects/trials-car"
COMMANDS = (
    ("--help", ["--help"]),
    ("check", ["check", CAR]),
    ("moves, main job", ["moves", CAR, "hung-pedals"]),
    ("plan, main job", ["plan", CAR, "hung-pedals"]),
    ("plan, second job", ["plan", CAR, "battery-aft"]),
    ("moves, one part", ["moves", CAR, "washer-bottle", "--by", "0 100 0"]),
)
RUNS = 5


def seconds(arguments: list[str]) -> list[float]:
    """Wall-clock of cold runs [s], first discarded (disk cache)."""
    times = []
    for _ in range(RUNS + 1):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "planner", *arguments],
            cwd=ROOT,
            env={**os.environ, "COLUMNS": "80"},
            stdout=subprocess.DEVNULL,
            check=True,
        )
        times.append(time.perf_counter() - start)
    return times[1:]


def main() -> None:
    """Print the table."""
    print(f"{'command':22} {'median s':>9} {'worst s':>9}")
    with tempfile.TemporaryDirectory() as folder:
        for name, arguments in (*COMMANDS, ("demo", ["demo", folder])):
            times = seconds(arguments)
            print(f"{name:22} {statistics.median(times):9.2f} {max(times):9.2f}")


if __name__ == "__main__":
    main()
