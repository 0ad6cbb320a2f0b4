"""`knockon sums` as its user sees it: the table, what is missing, the caution, JSON, one thing alone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import catalog_at_hand, run
from cli.test_lever_write import JOB, VEHICLE, whole

FIGURES = """\
figures:
  weight: {mass: 700 kg, wheelbase: 2300, ahead_of_rear: 1100 +/- 20, height: 500 +/- 30, grip: 0.8}
  brakes:
    front:
      {system: front-brakes, kind: disc, bore: 48, pistons: 2, travel: 0.3, radius: 110, friction: 0.38,
       tyre_radius: 300, pipe_volume: 20 ml, hose_swell: {volume: 0.3 ml, at: 70 bar}, iron: 4 kg}
"""


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand():
        yield


@pytest.fixture
def project(tmp_path: Path) -> Path:
    text = whole().replace("kind: brake-master-cylinder\n", "kind: brake-master-cylinder\n    bore: 19.05\n")
    (tmp_path / "vehicle.yaml").write_text(text + FIGURES, encoding="utf-8")
    return tmp_path


def lines(project: Path, *more: str) -> dict[str, dict]:
    ended = run("sums", project, *more, "--json")
    assert ended.code == 0, ended.err
    return {x["id"]: x for x in json.loads(ended.out)["sums"]}


def test_the_table_says_value_limit_verdict_and_caution(project: Path) -> None:
    ended = run("sums", project)
    assert ended.code == 0, ended.err
    words = " ".join(ended.out.split())
    for part in ("value limit margin verdict", "Taken for granted:", "Not covered:", "From:", "not an approval"):
        assert part in words
    # By hand: arms of 354.3 and 70.2 mm, 5.05 to 1 at rest; pedals without a servo are built from 5 to 7.
    assert "5.00 to 7.00" in words
    assert "C close" in words
    assert "give `stroke` of `cylinder`" in words
    assert words.count("`stroke` of `cylinder`") == 1, "what is missing is asked for once"


def test_every_line_fits_eighty_columns(project: Path) -> None:
    assert max(len(line) for line in run("sums", project).out.splitlines()) <= 80


@pytest.mark.parametrize("width", [30, 44, 60, 79, 80, 83, 120])
def test_a_verdict_is_whole_in_a_terminal_of_any_width(
    project: Path, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    """As many of each verdict as the same data has; wrapped, but never cut."""
    monkeypatch.setenv("COLUMNS", str(width))
    verdicts = [x["verdict"] for x in lines(project).values()]
    assert "not known" in verdicts
    out = run("sums", project).out
    sums = out[: out.index("Limits\n")]
    words = " ".join(sums.split())
    assert words.count("? not known") == verdicts.count("not known")
    assert words.count("C close") == verdicts.count("close")
    assert max(len(line) for line in sums.splitlines()) <= width


def test_json_carries_limits_doubt_and_what_is_missing(project: Path) -> None:
    found = lines(project)
    ratio = found["rod.ratio"]
    assert (ratio["low"], ratio["high"]) == (5, 7)
    assert ratio["least"] < ratio["value"] < ratio["most"]
    assert ratio["margin"] == pytest.approx(min(ratio["value"] - 5, 7 - ratio["value"]))
    assert found["rod.fluid"]["missing"] == ["`stroke` of `cylinder`"]
    assert found["rod.fluid"]["value"] is None
    told = json.loads(run("sums", project, "--json").out)
    assert told["missing"]["`stroke` of `cylinder`"] == ["rod.stroke", "rod.fluid", "rod.travel", "rod.reserve"]


def test_one_thing_alone(project: Path) -> None:
    assert {x["about"] for x in lines(project, "--about", "pedal").values()} == {"rod"}
    assert {x["about"] for x in lines(project, "--about", "brakes").values()} == {"brakes"}
    ended = run("sums", project, "--about", "wheel")
    assert ended.code == 2
    assert "no sum is about `wheel`" in ended.err


def test_a_job_is_summed_as_it_will_be(tmp_path: Path) -> None:
    (tmp_path / "vehicle.yaml").write_text(VEHICLE + FIGURES, encoding="utf-8")
    (tmp_path / "jobs").mkdir()
    job = JOB.replace("kind: brake-master-cylinder\n", "kind: brake-master-cylinder\n      bore: 3/4 in\n")
    slot = "  - {do: cut, id: slot, host: bulkhead, box: [6, 60, 60], at: [830, 300, 525]}\n"
    (tmp_path / "jobs" / "hang.yaml").write_text(job + slot, encoding="utf-8")
    assert "rod.ratio" not in lines(tmp_path)
    found = lines(tmp_path, "hang")
    assert found["rod.pressure"]["value"] > 0
    assert found["slot.along"]["verdict"] == "fine"
    assert "the hole is 60 x 60 mm" in found["slot.along"]["note"]


def test_a_vehicle_with_nothing_to_sum(tmp_path: Path) -> None:
    (tmp_path / "vehicle.yaml").write_text(VEHICLE, encoding="utf-8")
    ended = run("sums", tmp_path)
    assert ended.code == 1
    assert "nothing is described that a sum could be made of" in ended.err
