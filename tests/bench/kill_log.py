"""Kill a process that adds to a log, again and again, and count what was lost: run with the number of kills.

Each child adds lines and prints the number of every line that it was told is written. Whatever was printed has to
be in the log afterwards, and the log has to read without an error.
"""

from __future__ import annotations

import json
import os
import random
import select
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from planner.finding import has_errors
from planner.log.read import read_log

CHILD = """
import sys
from pathlib import Path
from planner.log.append import append_after
path, name = Path(sys.argv[1]), sys.argv[2]
for i in range(10**6):
    text = f"{name} {i} " + "x" * (i % 7 * 500)
    (n,) = append_after(path, lambda found: [{"sort": "note", "text": text}], at="2026-05-02T09:00:00")
    print(n, text.split("x")[0].strip(), flush=True)
"""


def kill_once(path: Path, rng: random.Random, name: str) -> list[tuple[int, str]]:
    """One child killed after a random while; gives what it was told is written."""
    child = subprocess.Popen([sys.executable, "-c", CHILD, str(path), name], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    # The first line says that it is at work: from there on any moment may be its last.
    select.select([child.stdout], [], [], 30)
    time.sleep(rng.random() * 0.02)
    os.kill(child.pid, signal.SIGKILL)
    told, _ = child.communicate()
    acknowledged = [line for line in told.splitlines(keepends=True) if line.endswith("\n")]
    return [(int(line.split()[0]), line.split(" ", 1)[1].strip()) for line in acknowledged]


def main(kills: int) -> int:
    """Gives how many acknowledged lines are not there."""
    rng = random.Random(7)
    lost = acknowledged = torn = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.log.jsonl"
        promised: dict[int, str] = {}
        for kill in range(kills):
            promised.update(kill_once(path, rng, f"child-{kill}"))
            if kill % 50 == 49:
                # A new file now and then: making it is the other moment at which something could be lost.
                lost, acknowledged, torn = (
                    a + b for a, b in zip((lost, acknowledged, torn), checked(path, promised), strict=True)
                )
                path.unlink()
                promised = {}
        if promised:
            lost, acknowledged, torn = (
                a + b for a, b in zip((lost, acknowledged, torn), checked(path, promised), strict=True)
            )
    print(f"{kills} kills, {acknowledged} acknowledged lines, {lost} lost, {torn} torn pieces told")
    return lost


def checked(path: Path, promised: dict[int, str]) -> tuple[int, int, int]:
    """Lines lost, lines acknowledged, torn pieces."""
    entries, findings = read_log(path)
    if has_errors(findings):
        print(json.dumps([f.message for f in findings]))
        return len(promised), len(promised), 0
    there = {e["n"]: str(e["text"]).split("x")[0].strip() for e in entries}
    lost = sum(there.get(n) != text for n, text in promised.items())
    return lost, len(promised), len(findings)


if __name__ == "__main__":
    sys.exit(1 if main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000) else 0)
