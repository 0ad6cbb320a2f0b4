"""Whatever is done to the files of a good project, the command ends with an answer or with findings, never with a bug.

One example is one mutated pair of files, run through `check`, `moves` and, for the small project, `plan`.
"""

from __future__ import annotations

import re
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from cli.shed import JOB, JOB_ID, VEHICLE, Ended, catalog_at_hand, read_project, run, shed_files, write_project
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.shelf import projects_folder

ENDINGS = {0, 1, 2, 3}
LONGEST_S = 20.0
TRIALS = projects_folder() / "trials-car"
TRIALS_JOB = "battery-aft"
TRIALS_FILES = {
    "vehicle.yaml": (TRIALS / "vehicle.yaml").read_bytes(),
    f"jobs/{TRIALS_JOB}.yaml": (TRIALS / "jobs" / f"{TRIALS_JOB}.yaml").read_bytes(),
}

NUMBER = re.compile(rb"(?<![\w.-])-?\d+(?:\.\d+)?")
UNIT = re.compile(rb"\b(?:mm|in|inch|min|h|days|kg|swg)\b")
WORD = re.compile(
    rb"[a-z][a-z0-9]*(?:-[a-z0-9]+)+|\b(?:bulkhead|radiator|cooling|coolant|slot|stays|moves|rail-left)\b"
)
NUMBERS = [
    *(b"0", b"-0", b"-1", b"1", b"2", b"0.001", b"1e-9", b"1e9", b"-1e9", b"1e308", b"-1e308", b"1e400", b".nan"),
    *(b".inf", b"-.inf", b"nan", b"1/0", b"1/3", b"9" * 30, b"3600", b"100000", b"-360", b"720", b"0x10", b"1_000"),
    *(b"true", b"null", b'""', b"[]", b"{}", b"[1, 2]", b"1 2 3", b"5 +/- 500", b"5 +/- -5", b"5 +/- 0", b"1:30"),
]
UNITS = [b"mm", b"in", b"thou", b"swg", b"min", b"h", b"days", b"kg", b"lb", b"furlong", b"", b"km", b"m"]
SNIPPETS = [
    *(b"[", b"]", b"{", b"}", b":", b"-", b"#", b"'", b'"', b"&a ", b"*a", b"!t", b"<<: ", b"~", b"|", b">", b"? "),
    *(b"---\n", b"...\n", b"'': ", b" ", b"\t", b"\n", b"\r", b"- ", b": ", b"\x00", b"\x1b[31m", b"\xff"),
    *(b"\xe2\x80\xae", b"\xc2\x85", b"\xe7\x8c\xab", b"\xf0\x9f\x94\xa7", b"\xef\xbb\xbf", b"\xed\xa0\x80", b"[bold]"),
    b"x" * 300,
]
SCALES = [-1.0, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0]
FIELDS = [
    *(b"freedom: stays", b"freedom: moves", b"freedom: may go", b"freedom: comes off", b"rides: true", b"hands: 3"),
    *(
        b"off: 2 h",
        b"on: 0 min",
        b"keep_clear: 60",
        b"mounted_on: header-tank",
        b"mounted_on: radiator",
        b"lead: 9 days",
    ),
    *(
        b"rooms: []",
        b"turn: [0, 0, 30]",
        b"touches: [bulkhead]",
        b"needs: [on-stands]",
        b"way_out: [down]",
        b"make: 3 h",
    ),
]
KIND = re.compile(rb"^( +)kind: \S+$", re.MULTILINE)
EDITS = ["drop", "double", "swap", "replace", "number", "number", "unit", "word", "word", "snippet", "bytes", "cut"]


def edited(data: bytes, words: Sequence[bytes], draw: st.DrawFn) -> bytes:
    """One edit of ``data``: of its lines, numbers, units, ids or bytes."""
    edit = draw(st.sampled_from([*EDITS, "indent", "value"]))
    targets = {"number": (NUMBER, NUMBERS), "unit": (UNIT, UNITS), "word": (WORD, words)}
    if edit in targets:
        pattern, others = targets[edit]
        spots = list(pattern.finditer(data))
        if not spots:
            return data
        spot = draw(st.sampled_from(spots))
        return data[: spot.start()] + draw(st.sampled_from(others)) + data[spot.end() :]
    if edit in ("snippet", "bytes", "cut"):
        at = draw(st.integers(0, len(data)))
        if edit == "cut":
            return data[:at] + data[at + draw(st.integers(1, 40)) :]
        return data[:at] + draw(st.sampled_from(SNIPPETS) if edit == "snippet" else st.binary(max_size=3)) + data[at:]
    lines = data.split(b"\n")
    at, other = draw(st.integers(0, len(lines) - 1)), draw(st.integers(0, len(lines) - 1))
    if edit == "drop":
        del lines[at : at + draw(st.integers(1, 4))]
    elif edit == "double":
        lines.insert(other, lines[at])
    elif edit == "swap":
        lines[at], lines[other] = lines[other], lines[at]
    elif edit == "replace":
        lines[at] = lines[other]
    elif edit == "indent":
        lines[at] = b" " * draw(st.integers(1, 6)) + lines[at] if draw(st.booleans()) else lines[at].lstrip()
    else:
        lines[at] = lines[at].partition(b":")[0] + b":" + lines[other].partition(b":")[2]
    return b"\n".join(lines)


def nudged(data: bytes, words: Sequence[bytes], draw: st.DrawFn) -> bytes:
    """One edit of ``data`` that a reader can often still make sense of: a number, a field, an id."""
    edit = draw(st.sampled_from(["scale", "scale", "field", "field", "word"]))
    pattern = {"scale": NUMBER, "field": KIND, "word": WORD}[edit]
    spot = draw(st.sampled_from(list(pattern.finditer(data)) or [None]))
    if spot is None:
        return data
    if edit == "scale":
        new = f"{float(spot[0]) * draw(st.sampled_from(SCALES)):g}".encode()
    elif edit == "field":
        new = spot[0] + b"\n" + spot[1] + draw(st.sampled_from(FIELDS))
    else:
        new = draw(st.sampled_from(words))
    return data[: spot.start()] + new + data[spot.end() :]


@st.composite
def mutated(draw: st.DrawFn, files: dict[str, bytes]) -> dict[str, bytes]:
    """``files`` after one to four edits; in two examples of three they are such that many still make sense."""
    words = sorted({w for data in files.values() for w in WORD.findall(data)})
    edit = draw(st.sampled_from([edited, nudged, nudged]))
    done = dict(files)
    for _ in range(draw(st.integers(1, 4 if edit is edited else 2))):
        name = draw(st.sampled_from(sorted(done)))
        done[name] = edit(done[name], words, draw)
    return done


def ends_well(project: Path, *arguments: str) -> Ended:
    """Run one verb on ``project`` and hold its ending against what any ending must be."""
    before = read_project(project)
    start = time.monotonic()
    ended = run(arguments[0], project, *arguments[1:])
    took_s = time.monotonic() - start
    told = ended.out + ended.err
    assert ended.code in ENDINGS, told[-2000:]
    assert "Traceback" not in told
    assert "THIS PLAN IS WRONG" not in told
    assert told.strip(), f"{arguments} ended with {ended.code} and said nothing"
    assert "\x1b" not in told, "a terminal's escape code got through"
    assert took_s < LONGEST_S, f"{arguments} took {took_s:.1f} s"
    assert read_project(project) == before
    return ended


def run_all(files: dict[str, bytes], verbs: Sequence[Sequence[str]], seen: Counter[tuple[str, int]]) -> None:
    with tempfile.TemporaryDirectory() as name, catalog_at_hand():
        project = write_project(Path(name), files)
        for verb in verbs:
            seen[verb[0], ends_well(project, *verb).code] += 1


SMALL_VERBS = (("check",), ("moves", JOB_ID), ("plan", JOB_ID, "--limit", "0.5"))
TRIALS_VERBS = (("check",), ("moves", TRIALS_JOB))
QUICK = settings(deadline=None, suppress_health_check=list(HealthCheck), max_examples=85)
SEEN: Counter[tuple[str, int]] = Counter()


@pytest.fixture(scope="module", autouse=True)
def endings_told() -> Iterator[None]:
    """How often each verb ended with each code; `pytest -s` shows it."""
    SEEN.clear()
    yield
    print(f"\nendings (verb, code): {dict(sorted(SEEN.items()))}")


@QUICK
@given(mutated(shed_files()))
def test_a_mutated_small_project_ends_well(files: dict[str, bytes]) -> None:
    run_all(files, SMALL_VERBS, SEEN)


@settings(QUICK, max_examples=15)
@given(mutated(TRIALS_FILES))
def test_a_mutated_trials_car_ends_well(files: dict[str, bytes]) -> None:
    run_all(files, TRIALS_VERBS, SEEN)


@pytest.mark.slow
@settings(QUICK, max_examples=800)
@given(mutated(shed_files()))
def test_many_mutated_small_projects_end_well(files: dict[str, bytes]) -> None:
    run_all(files, SMALL_VERBS, SEEN)


@pytest.mark.slow
@settings(QUICK, max_examples=200)
@given(mutated(TRIALS_FILES))
def test_many_mutated_trials_cars_end_well(files: dict[str, bytes]) -> None:
    run_all(files, TRIALS_VERBS, SEEN)


@pytest.mark.parametrize(
    "taken", ["rear-brakes", "cooling", "on-stands", "battery-isolated", "first-start", "road-test"]
)
@pytest.mark.parametrize("thing", ["header-fill-hose", "rear-cylinder", "slot", "paint-slot", "wiper-lever"])
def test_one_id_for_two_things_ends_well(tmp_path: Path, thing: str, taken: str) -> None:
    """Ids of systems, catalog conditions and the last steps of every plan, given to something else as well."""
    other = re.compile(rf"(?<![\w-]){thing}(?![\w-])")
    project = write_project(tmp_path, shed_files(other.sub(taken, VEHICLE), other.sub(taken, JOB)))
    with catalog_at_hand():
        ended = ends_well(project, "plan", JOB_ID, "--limit", "1", "--from", "2027-01-01")
    assert ended.code == 0 or ": error: " in ended.err
    assert ended.code == 1 or other.sub(taken, "Paint the slot") in " ".join(ended.out.split())
