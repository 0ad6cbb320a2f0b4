"""Kill the verbs that write while they are at work, and count what was lost or left half-written.

Run with the number of kills of `done`, `undo` and `record`, of `replan --agree` and of `adopt`. Whatever a command told
before it was killed has to be in the log; every file of the project has to read; nothing else may have changed; the
vehicle's file is byte for byte what it was or what an `adopt` that nobody killed makes of it, and a second `adopt`
finishes what a killed one began.

A command is a process forked from this one with everything loaded, so that most kills fall while it works on files and
not while Python starts.
"""

from __future__ import annotations

import os
import random
import re
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "cli"), str(Path(__file__).parents[1])]

from shed import JOB_ID, catalog_at_hand, read_project, run, shed_files, write_project  # noqa: E402

from planner.cli.main import main as command  # noqa: E402
from planner.finding import has_errors  # noqa: E402
from planner.log import read_agreed, read_log  # noqa: E402

QUICK = (["done"], ["undo"], ["record", "note", "seen"], ["record", "kept", "wiper-lever", "tin 4"])
TOLD = re.compile(r"^ {0,3}(?P<n>[0-9]+)  ", re.MULTILINE)
VEHICLE = "vehicle.yaml"
LOG = f"jobs/{JOB_ID}.log.jsonl"
ADOPT = ("adopt", "{project}", "--yes", "--early", "the rest is done on paper")
REPLAN = ("replan", "{project}", "--agree", "--anew", "--limit", "0.5", "--at", "2027-01-02T10:00")


def begun(arguments: list[str], out: Path) -> int:
    """Fork a process that runs the command and writes what it tells to ``out``; gives its number."""
    child = os.fork()
    if child:
        return child
    with out.open("w", encoding="utf-8") as told:
        os.dup2(told.fileno(), 1)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
        sys.stdout = os.fdopen(1, "w", buffering=1, encoding="utf-8")
        sys.argv = ["knockon", *arguments]
        try:
            command()
        except SystemExit as ended:
            sys.stdout.flush()
            os._exit(int(ended.code or 0))
    os._exit(0)


def killed(arguments: list[str], after_s: float, out: Path) -> tuple[str, bool]:
    """What a command had told when it was killed, and whether it was: it may have been quicker."""
    child = begun(arguments, out)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return out.read_text(encoding="utf-8"), os.WIFSIGNALED(status)


def whole(arguments: list[str], out: Path) -> float:
    """How long a command takes when nobody kills it [s]: the kills come in that time."""
    start = time.monotonic()
    _, status = os.waitpid(begun(arguments, out), 0)
    if status:
        raise SystemExit(f"{arguments} gives {status}: {out.read_text(encoding='utf-8')}")
    return time.monotonic() - start


def faults(project: Path, files: dict[str, bytes], told: str) -> list[str]:
    """What is wrong with the log, the agreed plans and the files of a project after a kill."""
    entries, findings = read_log(project / LOG)
    said = [f.message for f in findings] if has_errors(findings) else []
    numbers = {e["n"] for e in entries}
    said += [f"line {n} was told and is not there" for n in map(int, TOLD.findall(told)) if n not in numbers]
    said += [f"{name} has changed" for name, data in files.items() if (project / name).read_bytes() != data]
    for entry in entries:
        if entry["sort"] == "agreed":
            read_agreed(project / "jobs" / f"{JOB_ID}.plans", entry["plan"])
    return said


class Shed:
    """A project with an agreed plan, and what was seen while its commands were killed."""

    def __init__(self, folder: Path) -> None:
        self.rng = random.Random(11)
        self.files = shed_files()
        self.out = folder / "told.txt"
        self.project = write_project(folder / "shed", self.files)
        run("plan", self.project, JOB_ID, "--quick", "--from", "2027-01-01", "--agree")
        self.wrong: list[str] = []
        self.seen: Counter[str] = Counter()

    def kill(self, verb: str, arguments: list[str], whole_s: float) -> str:
        """Kill a command at some moment of its time, every other one about its end, where it writes."""
        from_part = self.rng.choice((0.0, 0.75))
        told, dead = killed(arguments, self.rng.uniform(from_part, 1.1) * whole_s, self.out)
        self.seen[f"{verb}: killed at work"] += dead
        self.seen[f"{verb}: ended before the kill"] += not dead
        self.seen[f"{verb}: lines told"] += len(TOLD.findall(told))
        return told

    def write_lines(self, kills: int, plans: int) -> None:
        """Kill what writes to the log."""
        place = ["--in", str(self.project)]
        replan = [a.format(project=self.project) for a in REPLAN]
        whole_s = {"replan": whole(replan, self.out)} | {a[0]: whole([*a, *place], self.out) for a in QUICK}
        for kill in range(kills + plans):
            arguments = replan if kill >= kills else [*self.rng.choice(QUICK), *place]
            told = self.kill(arguments[0], arguments, whole_s[arguments[0]])
            self.wrong += faults(self.project, self.files, told)

    def adopt(self, kills: int) -> None:
        """Kill what writes the vehicle's file; each kill finds the project as it was."""
        adopt = [a.format(project=self.project) for a in ADOPT]
        base = read_project(self.project)
        whole_s = whole(adopt, self.out)
        after = (self.project / VEHICLE).read_bytes()
        others = {n: data for n, data in self.files.items() if n != VEHICLE}
        for kill in range(kills):
            write_project(self.project, base)
            told = self.kill("adopt", adopt, whole_s)
            now = (self.project / VEHICLE).read_bytes()
            adopted = b'"adopted"' in (self.project / LOG).read_bytes()
            self.seen[f"adopt: line in the log {adopted}, file new {now == after}"] += 1
            self.wrong += faults(self.project, others, told)
            self.wrong += ["vehicle.yaml is neither the old nor the new one"] * (now not in (base[VEHICLE], after))
            self.wrong += ["vehicle.yaml is new without a line in the log"] * (now == after and not adopted)
            self.wrong += ["told as written and is not"] * ("written to" in told and not (adopted and now == after))
            if kill % 20 == 0 and now != after:
                whole(adopt, self.out)
                self.wrong += ["a second adopt gives another file"] * ((self.project / VEHICLE).read_bytes() != after)
                self.seen["adopt: finished by a second one"] += 1


def main(kills: int, plans: int, adopts: int) -> int:
    """Gives the number of faults."""
    with tempfile.TemporaryDirectory() as folder, catalog_at_hand():
        shed = Shed(Path(folder))
        shed.write_lines(kills, plans)
        shed.adopt(adopts)
        torn = read_log(shed.project / LOG)[1]
        left = [p.name for p in shed.project.rglob("*.part*")]
    for what, count in sorted(shed.seen.items()):
        print(f"{what:<56} {count:6,}")
    print(f"{kills + plans + adopts:,} kills, {len(shed.wrong)} faults, {len(torn)} torn pieces told")
    print(f"half-written part files left beside the whole ones: {len(left)}")
    for line in shed.wrong[:10]:
        print(line)
    return len(shed.wrong)


if __name__ == "__main__":
    sys.exit(1 if main(*(int(a) for a in sys.argv[1:4])) else 0)
