"""The README's sessions: each fenced block that begins with `$ knockon` is what the command prints.

Run as a script it writes the present output into the README. A line `[...]` in a block stands for any number of
lines; the script keeps the blocks as long as it finds them by keeping each `[...]` between the same neighbours.

Commands about `my-car` write: they are run one after the other, as they stand, on a copy of the shipped project.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
BLOCK = re.compile(r"^```text\n(\$ knockon [^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
GAP = "[...]"


STORY = "my-car"


def output_of(command: str, folder: Path = ROOT) -> list[str]:
    """Lines the command prints in an 80-column terminal without colour, run in the project's top folder."""
    words = shlex.split(command.removeprefix("$ "))
    done = subprocess.run(
        [sys.executable, "-m", "planner", *words[1:]],
        cwd=folder,
        env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1", "TERM": "dumb"},
        capture_output=True,
        text=True,
        check=False,
    )
    return (done.stdout + done.stderr).rstrip("\n").split("\n")


def sessions() -> list[tuple[str, list[str]]]:
    """Every command of the README with the lines told under it."""
    text = README.read_text(encoding="utf-8")
    return [(m[1], m[2].rstrip("\n").split("\n")) for m in BLOCK.finditer(text)]


def is_of_story(command: str) -> bool:
    """Whether a command is about the copy that is written to."""
    return STORY in command.split()


def story_folder(folder: Path) -> Path:
    """A folder with the copy in it."""
    shutil.copytree(
        ROOT / "projects" / "trials-car", folder / STORY, ignore=shutil.ignore_patterns("out", "*.log.jsonl")
    )
    return folder


def agrees(told: list[str], real: list[str]) -> bool:
    """Whether the told lines are the real ones, gaps allowed where they are marked."""
    pattern = "\n".join(".*" if line == GAP else re.escape(line) for line in told)
    return re.fullmatch(pattern, "\n".join(real), re.DOTALL) is not None


def main() -> None:
    """Write every block anew: lines between gaps are kept by their number from the start or the end of the output."""
    text = README.read_text(encoding="utf-8")
    scratch = story_folder(Path(tempfile.mkdtemp()))

    def renewed(match: re.Match[str]) -> str:
        real = output_of(match[1], scratch if is_of_story(match[1]) else ROOT)
        told = match[2].rstrip("\n").split("\n")
        if GAP in told:
            first = told.index(GAP)
            last = len(told) - 1 - told[::-1].index(GAP)
            tail = len(told) - 1 - last
            if first + tail < len(real):
                real = [*real[:first], GAP, *(real[len(real) - tail :] if tail else [])]
        return "```text\n" + match[1] + "\n" + "\n".join(real) + "\n```"

    README.write_text(BLOCK.sub(renewed, text), encoding="utf-8")
    shutil.rmtree(scratch)


if __name__ == "__main__":
    main()
