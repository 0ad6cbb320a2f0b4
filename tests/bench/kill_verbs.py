"""Kill the verbs that write while they are at work, and count what was lost or left half-written.

Run with the number of kills and, after it, the number of kills of `replan --agree`. Whatever a command told before it
was killed has to be in the log; every file of the project has to read; nothing else may have changed.
"""

from __future__ import annotations

import random
import re
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "cli"), str(Path(__file__).parents[1])]

from shed import JOB_ID, run, shed_files, write_project  # noqa: E402

from planner.finding import has_errors  # noqa: E402
from planner.log import read_agreed, read_log  # noqa: E402

QUICK = (["done"], ["undo"], ["record", "note", "seen"], ["record", "kept", "wiper-lever", "tin 4"])
TOLD = re.compile(r"^ {0,3}(?P<n>[0-9]+)  ", re.MULTILINE)


def killed(arguments: list[str], after_s: float) -> str:
    """What a command had told when it was killed; what it told in the end when it was quicker."""
    child = subprocess.Popen(
        [sys.executable, "-m", "planner", *arguments], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    time.sleep(after_s)
    child.send_signal(signal.SIGKILL)
    told, _ = child.communicate()
    return told


def replan(project: Path) -> list[str]:
    """A plan made anew and agreed."""
    return ["replan", str(project), "--agree", "--anew", "--limit", "0.5", "--at", "2027-01-02T10:00"]


def timed(project: Path, arguments: list[str]) -> float:
    """How long a command takes when nobody kills it [s]: the kills come about the time it writes."""
    begun = time.monotonic()
    subprocess.run([sys.executable, "-m", "planner", *arguments], capture_output=True, check=True, cwd=project)
    return time.monotonic() - begun


def faults(project: Path, files: dict[str, bytes], told: str) -> list[str]:
    """What is wrong with the project after a kill."""
    path = project / "jobs" / f"{JOB_ID}.log.jsonl"
    entries, findings = read_log(path)
    said = [f.message for f in findings] if has_errors(findings) else []
    numbers = {e["n"] for e in entries}
    said += [f"line {n} was told and is not there" for n in map(int, TOLD.findall(told)) if n not in numbers]
    said += [f"{name} has changed" for name, data in files.items() if (project / name).read_bytes() != data]
    for entry in entries:
        if entry["sort"] == "agreed":
            read_agreed(project / "jobs" / f"{JOB_ID}.plans", entry["plan"])
    return said


def main(kills: int, plans: int) -> int:
    """Gives the number of faults."""
    rng = random.Random(11)
    files = shed_files()
    wrong: list[str] = []
    lines = 0
    with tempfile.TemporaryDirectory() as folder:
        project = write_project(Path(folder) / "shed", files)
        run("plan", project, JOB_ID, "--quick", "--from", "2027-01-01", "--agree")
        whole_s = [timed(project, ["record", "note", "seen", "--in", str(project)]), timed(project, replan(project))]
        for kill in range(kills + plans):
            planning = kill >= kills
            verb = replan(project) if planning else [*rng.choice(QUICK), "--in", str(project)]
            told = killed(verb, (0.6 + rng.random()) * whole_s[planning])
            lines += len(TOLD.findall(told))
            wrong += faults(project, files, told)
        torn = read_log(project / "jobs" / f"{JOB_ID}.log.jsonl")[1]
        left = [p.name for p in (project / "jobs").rglob("*.part")]
    print(f"{kills} kills, {plans} of replan; {lines} lines told, {len(wrong)} faults, {len(torn)} torn pieces told")
    print(f"half-written part files left beside the whole ones: {len(left)}")
    for line in wrong[:10]:
        print(line)
    return len(wrong)


if __name__ == "__main__":
    sys.exit(1 if main(*(int(a) for a in sys.argv[1:3])) else 0)
