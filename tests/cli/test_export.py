"""`knockon export` on a small project."""

from __future__ import annotations

import csv
import io
import json
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import JOB, JOB_ID, catalog_at_hand, first_packing, run, shed_files, write_project
from icalendar import Calendar

from planner.cli.export import Form
from planner.export import EXPORTERS
from planner.files import write_whole


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Path]:
    """The first packing is plan enough here: what is tried is how it is written down."""
    with catalog_at_hand(), first_packing():
        yield write_project(tmp_path, shed_files())


def test_every_form_can_be_asked_for() -> None:
    assert {form.value for form in Form} == set(EXPORTERS)


def test_a_calendar_goes_into_the_project(project: Path) -> None:
    ended = run("export", project, JOB_ID, "--as", "ics", "--from", "2027-01-09")
    assert ended.code == 0, ended.err
    path = project / "out" / f"{JOB_ID}.ics"
    assert str(path) in ended.out
    raw = path.read_bytes()
    assert b"\r\r" not in raw
    assert raw.startswith(b"BEGIN:VCALENDAR\r\n")
    data = json.loads(run("plan", project, JOB_ID, "--json", "--from", "2027-01-09").out)
    worked = [s for s in data["sessions"] if s["steps"]]
    events = Calendar.from_ical(raw).walk("VEVENT")
    assert [e["DTSTART"].dt.date().isoformat() for e in events] == [s["day"] for s in worked]
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_stdout_and_json_as_plan_says_it(project: Path) -> None:
    ended = run("export", project, JOB_ID, "--as", "json", "-o", "-", "--from", "2027-01-09")
    assert ended.code == 0, ended.err
    assert json.loads(ended.out) == json.loads(run("plan", project, JOB_ID, "--json", "--from", "2027-01-09").out)
    assert not (project / "out").exists()


def test_a_named_file_and_every_checkpoint_in_it(project: Path, tmp_path: Path) -> None:
    data = json.loads(run("plan", project, JOB_ID, "--json", "--from", "2027-01-09").out)
    titles = [c["title"] for c in data["checkpoints"].values()]
    assert titles
    page, sheet = tmp_path / "a" / "plan.md", tmp_path / "plan.csv"
    for form, path in (("md", page), ("csv", sheet)):
        ended = run("export", project, JOB_ID, "--as", form, "-o", path, "--from", "2027-01-09", "--odds")
        assert ended.code == 0, ended.err
    text = page.read_text(encoding="utf-8")
    assert "How likely the dates are" in text
    rows = list(csv.DictReader(io.StringIO(sheet.read_text(encoding="utf-8"), newline="")))
    assert len([r for r in rows if r["number"]]) == sum(len(s["steps"]) for s in data["sessions"])
    for title in titles:
        assert any(title in r["checkpoints"] for r in rows)
        assert title in text


def test_no_plan_no_file(tmp_path: Path) -> None:
    short = JOB.replace('to: "13:00"', 'to: "09:20"').replace('to: "18:00"', 'to: "14:20"')
    project = write_project(tmp_path, shed_files(job=short))
    with catalog_at_hand(), first_packing():
        ended = run("export", project, JOB_ID, "--as", "ics", "--from", "2027-01-09")
    assert ended.code == 1
    assert "there is no plan to write down" in ended.err
    assert "longer than any session leaves" in ended.err
    assert not (project / "out").exists()


def test_an_unknown_option_is_a_slip(project: Path) -> None:
    assert run("export", project, JOB_ID, "--as", "ics", "--option", "none-such").code == 2


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "plan.csv"
    path.write_text("old", encoding="utf-8")
    path.chmod(0o640)

    def fails(*_: object) -> None:
        raise OSError(28, "no space left")

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", fails)
        with pytest.raises(OSError, match="no space"):
            write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    write_whole(path, "new\r\n")
    assert path.read_bytes() == b"new\r\n"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["plan.csv"]


def test_an_unknown_form_is_a_slip(project: Path) -> None:
    assert run("export", project, JOB_ID, "--as", "pdf").code == 2
