"""Every verb on logs with lines that nobody would write: an answer or a finding with its place, never a crash."""

from __future__ import annotations

import json
import shutil
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any

import pytest
from shed import JOB_ID, catalog_at_hand, first_packing, run, shed_files, write_project
from test_sound import BROKEN, DONE, EXTRA, FOUND, LOST, NOON, ORDERED, spoilt

LOG = f"jobs/{JOB_ID}.log.jsonl"
LINES: tuple[dict[str, Any], ...] = (
    DONE | {"key": "slot.1"},
    DONE | {"key": "slot.2", "pace": 1.5},
    {"sort": "skipped", "key": "wiper-lever.4", "why": "none left"},
    {"sort": "signed", "checkpoint": "brake-leak", "key": "check.brake-leak", "verdict": "failed", "limit": "none",
     "text": "3", "value": 3.0, "by": "AB", "why": "drips", "redo": ["slot.1"]},
    {"sort": "failed", "key": "wiper-lever.3", "why": "rubs", "redo": ["wiper-lever.2"]},
    FOUND | {"before": ["rear-cylinder"], "off": ["fuse-box"], "hands": 2},
    BROKEN | {"part": "wiper-lever", "lead_days": 3, "price": 4.0},
    {"sort": "arrived", "buy": "fluid"},
    ORDERED,
    LOST,
    EXTRA | {"hands": 2},
    {"sort": "size", "size": "header-tank.at.z", "value": "561 mm +/- 1 mm"},
    {"sort": "kept", "of": "wiper-lever", "where": "tin"},
    {"sort": "note", "text": "rust", "of": "wiper-lever"},
    {"sort": "undo", "cancels": 2},
    {"sort": "adopted", "before": "a", "after": "b", "why": "sold"},
)  # fmt: skip
READING = (["next"], ["next", "--json"], ["status"], ["status", "--road"], ["status", "--pace"], ["status", "--log"],
           ["status", "--json"], ["adopt"], ["replan", "--at", "2027-01-09T09:00"],
           ["plan", JOB_ID, "--from", "2027-01-09"], ["book", JOB_ID, "--from", "2027-01-09", "-o", "-"])  # fmt: skip
WRITING = (["done"], ["undo"], ["record", "note", "x"], ["record", "arrived", "fluid"],
           ["record", "check", "brake-leak", "--failed", "x", "--by", "AB"])  # fmt: skip


def told_or_refused(folder: Path, seed: int) -> Counter[int]:
    """How the verbs end on one random log."""
    rng = Random(seed)
    agreed = (folder / LOG).read_text(encoding="utf-8").splitlines()[0]
    lines = [agreed]
    for n in range(2, 2 + rng.randint(1, 5)):
        line = {"v": 1, "n": n, "at": NOON, **rng.choice(LINES)}
        lines.append(json.dumps(spoilt(rng, line) if rng.random() < 0.5 else line))
    text = "\n".join(lines) + "\n"
    codes: Counter[int] = Counter()
    for words in (*READING, *WRITING):
        (folder / LOG).write_text(text, encoding="utf-8")
        ended = run(words[0], folder, *words[1:]) if words in READING else run(*words, "--in", folder)
        assert ended.code in {0, 1, 2}, (seed, words, ended.err)
        codes[ended.code] += 1
    (folder / LOG).write_text(f"{agreed}\n", encoding="utf-8")
    return codes


@pytest.mark.slow
def test_no_log_brings_a_verb_down(tmp_path: Path) -> None:
    folder = write_project(tmp_path / "shed", shed_files())
    with catalog_at_hand(), first_packing():
        assert run("plan", folder, JOB_ID, "--from", "2027-01-01", "--short", "--agree").code == 0
        codes: Counter[int] = Counter()
        for seed in range(60):
            codes += told_or_refused(folder, seed)
            shutil.rmtree(folder / "out", ignore_errors=True)
    assert min(codes[0], codes[1]) > 60
