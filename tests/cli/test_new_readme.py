"""The README's first vehicle is what the questions make of the answers that stand in it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from cli.new_trial import ANSWERS, piped
from house.readme_session import GAP, README, agrees

BLOCK = re.compile(r"^```console\n\$ knockon new car\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def test_the_session_is_real(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = BLOCK.search(README.read_text(encoding="utf-8"))
    if found is None:
        pytest.skip("the README shows no first vehicle")
    told = found[1].rstrip("\n").split("\n")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    done = piped(ANSWERS, "new", "car")
    real = [line.rstrip() for line in done.out.rstrip("\n").split("\n")]
    assert GAP in told
    assert agrees([line.rstrip() for line in told], real)
