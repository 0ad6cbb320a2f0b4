"""Whatever is done to good files, loading them ends with findings or success, never with an exception."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_catalog import small_catalog

from planner.finding import Finding, has_errors, sort_findings
from planner.finding.pages import page
from planner.shelf.load import load_job, load_vehicle

GOOD = Path(__file__).parents[1] / "data" / "good"
VEHICLE = (GOOD / "vehicle.yaml").read_bytes()
JOB = (GOOD / "jobs" / "hung-pedals.yaml").read_bytes()
CHOICES = (GOOD / "jobs" / "choices.yaml").read_bytes()
CATALOG = small_catalog()

SNIPPETS = st.sampled_from(
    [
        *(b"[", b"]", b"{", b"}", b":", b"-", b"#", b"'", b'"', b"&a", b"*a", b"!t", b"<<:", b"~", b"|", b">", b"?"),
        *(b"---", b"...", b"'':"),
        *(b" ", b"\t", b"\n", b"\r", b"- ", b"? ", b": ", b"\x00", b"\x1b", b"\xff", b"\xe2\x80\xae", b"\xc2\x85"),
        *(b"null", b"-1", b"0", b"1e999", b"5 kg", b"1/0", b"6 m", b"yes", b"2026-02-30", b"9" * 26, b"x" * 50),
        *(b"brake-pedal", b"bulkhead", b"pedal-box", b"header-tank"),
    ]
)


def mutate(data: bytes, draw: st.DrawFn) -> bytes:
    """A few random edits of ``data``: of its lines, its words and its bytes."""
    for _ in range(draw(st.integers(1, 4))):
        lines = data.split(b"\n")
        at = draw(st.integers(0, len(lines) - 1))
        other = draw(st.integers(0, len(lines) - 1))
        edit = draw(st.sampled_from(["drop", "double", "replace", "swap", "insert", "bytes", "cut", "value", "indent"]))
        if edit == "drop":
            del lines[at]
        elif edit == "double":
            lines.insert(at, lines[at])
        elif edit == "replace":
            lines[at] = lines[other]
        elif edit == "swap":
            lines[at], lines[other] = lines[other], lines[at]
        elif edit == "indent":
            lines[at] = b" " * draw(st.integers(1, 4)) + lines[at]
        elif edit == "value":
            key, colon, _ = lines[at].partition(b":")
            _, _, value = lines[other].partition(b":")
            lines[at] = key + colon + (value if draw(st.booleans()) else b" " + draw(SNIPPETS))
        data = b"\n".join(lines)
        if edit in ("insert", "bytes", "cut"):
            spot = draw(st.integers(0, len(data)))
            if edit == "cut":
                data = data[:spot] + data[spot + draw(st.integers(1, 30)) :]
            else:
                extra = draw(SNIPPETS) if edit == "insert" else draw(st.binary(min_size=1, max_size=3))
                data = data[:spot] + extra + data[spot:]
    return data


@st.composite
def mutated(draw: st.DrawFn, data: bytes) -> bytes:
    return mutate(data, draw)


def check_findings(value: object, findings: tuple[Finding, ...]) -> None:
    assert (value is None) == has_errors(findings)
    assert findings == sort_findings(findings)
    places = [(f.place, f.message) for f in findings]
    assert len(places) == len(set(places))
    for finding in findings:
        assert page(finding.code) is not None
        assert finding.message.isprintable()
        assert finding.hint.isprintable()


def load_mutated(vehicle_bytes: bytes, job_bytes: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        project = Path(folder)
        (project / "jobs").mkdir()
        (project / "jobs" / "job.yaml").write_bytes(job_bytes)
        (project / "vehicle.yaml").write_bytes(vehicle_bytes)
        vehicle, findings = load_vehicle(project, CATALOG)
        check_findings(vehicle, findings)
        if vehicle is None:
            (project / "vehicle.yaml").write_bytes(VEHICLE)
            vehicle, _ = load_vehicle(project, CATALOG)
        assert vehicle is not None
        job, findings = load_job(project, "job", vehicle, CATALOG)
        check_findings(job, findings)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(mutated(CHOICES))
def test_mutated_wishes_and_options_give_findings_or_succeed(job: bytes) -> None:
    load_mutated(VEHICLE, job)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(mutated(VEHICLE), mutated(JOB))
def test_mutated_files_give_findings_or_succeed(vehicle: bytes, job: bytes) -> None:
    load_mutated(vehicle, job)


@pytest.mark.slow
@settings(max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(mutated(VEHICLE), st.one_of(mutated(JOB), mutated(CHOICES)))
def test_many_mutated_files_give_findings_or_succeed(vehicle: bytes, job: bytes) -> None:
    load_mutated(vehicle, job)
