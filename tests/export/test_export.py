"""Exports read back by independent readers: a calendar parser, a Markdown parser, csv and json."""

from __future__ import annotations

import csv
import io
import json
import unicodedata
from dataclasses import replace
from datetime import date, datetime

import pytest
from export.nasty import DAY, FORMULA, ICS, LONG, NEXT, answer, without_plan
from icalendar import Calendar
from markdown_it import MarkdownIt

from planner.export import EXPORTERS, plan_json
from planner.export.ics_out import escaped, folded
from planner.export.plan_words import DEFER, warnings_of
from planner.model.answer import Answer


def calendar(of: Answer) -> Calendar:
    read = Calendar.from_ical(EXPORTERS["ics"].write(of))
    assert isinstance(read, Calendar)
    assert read.errors == []
    return read


def events(of: Answer) -> list:
    return list(calendar(of).walk("VEVENT"))


def rows(of: Answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(EXPORTERS["csv"].write(of), newline=""), strict=True))


def html(of: Answer) -> str:
    return MarkdownIt("commonmark").enable("table").render(EXPORTERS["md"].write(of))


@pytest.mark.parametrize("name", sorted(EXPORTERS))
def test_no_control_character_comes_through(name: str) -> None:
    text = EXPORTERS[name].write(answer())
    assert {c for c in text if unicodedata.category(c) == "Cc"} <= {"\r", "\n"}
    assert not set(text) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
    assert "owned" in text


@pytest.mark.parametrize("name", sorted(EXPORTERS))
def test_every_checkpoint_is_in_every_export(name: str) -> None:
    text = EXPORTERS[name].write(answer()).replace("\r\n ", "")
    for title in ("Seat bolts torqued", "Seat rocked by hand", "Nobody's checkpoint"):
        assert title in text
    assert text.count("47 to 52 N m") >= 3
    text = EXPORTERS[name].write(without_plan()).replace("\r\n ", "")
    for title in ("Seat bolts torqued", "Seat rocked by hand", "Nobody's checkpoint"):
        assert title in text


@pytest.mark.parametrize("name", sorted(EXPORTERS))
def test_cautions_are_in_every_export(name: str) -> None:
    text = EXPORTERS[name].write(answer()).replace("\r\n ", "").replace("\\", "")
    assert "It is heavy, two people" in text
    assert "Never under an unpropped car" in text


def test_what_it_is_not_is_said_in_pages_and_calendars() -> None:
    assert DEFER.replace("'", "&#x27;") in html(answer()).replace("'", "&#x27;")
    assert all(DEFER in str(e["DESCRIPTION"]) for e in events(answer()))
    assert DEFER in str(events(without_plan())[0]["DESCRIPTION"])


@pytest.mark.parametrize("name", sorted(EXPORTERS))
def test_same_answer_same_bytes(name: str) -> None:
    assert EXPORTERS[name].write(answer()) == EXPORTERS[name].write(answer())
    assert EXPORTERS[name].name == name
    assert EXPORTERS[name].suffix == f".{name}"


def test_one_event_a_session_in_local_time() -> None:
    found = events(answer())
    assert [(e["DTSTART"].dt, e["DTEND"].dt) for e in found] == [
        (datetime(2026, 12, 5, 9), datetime(2026, 12, 5, 11)),  # noqa: DTZ001  # floating local time
        (datetime(2026, 12, 6, 14), datetime(2026, 12, 6, 16, 30)),  # noqa: DTZ001
    ]
    assert str(found[0]["SUMMARY"]) == "Seat; slot: 2 steps"
    assert str(found[1]["SUMMARY"]) == "Seat; slot: 3 steps, 2 to check"
    text = str(found[1]["DESCRIPTION"])
    assert "3. 14:15" in text
    assert "(part 2 of 2)" in text
    assert "[ ] CHECK Seat bolts torqued: torque at each bolt. Limit: 47 to 52 N m." in text
    assert "Until it is passed: not on the road; engine not started. A loose seat kills" in text
    assert {str(e["DTSTAMP"].to_ical(), "utf-8") for e in found} == {"20261201T000000Z"}
    assert {p for e in found for p in e} == {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION"}


def test_a_text_cannot_end_an_event() -> None:
    """The nasty title has commas, semicolons, a backslash and a line that reads like the end of the event."""
    assert len(events(answer())) == 2
    assert calendar(answer()).walk("VALARM") == []
    text = str(events(answer())[1]["DESCRIPTION"])
    assert " ".join(ICS.split()) in text


def test_lines_of_a_calendar_are_folded_at_75_octets() -> None:
    raw = EXPORTERS["ics"].write(answer()).encode()
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    for line in raw.split(b"\r\n"):
        line.decode()
    assert " ".join(LONG.split()) in str(events(answer())[0]["DESCRIPTION"])
    for letters in range(70, 80):
        line = "x" * letters + "ß" * 80
        assert folded(line).replace("\r\n ", "") == line


def test_events_are_known_again() -> None:
    one, moved = answer(), answer()
    slots = moved.plan.slots
    moved = replace(moved, plan=replace(moved.plan, slots=slots[:-1], why=moved.plan.why[:-1]), today=date(2026, 12, 2))
    assert [str(e["UID"]) for e in events(one)] == [str(e["UID"]) for e in events(moved)]
    assert len({str(e["UID"]) for e in events(one)}) == 2
    other = replace(one, job=replace(one.job, id="other"))
    assert not {str(e["UID"]) for e in events(one)} & {str(e["UID"]) for e in events(other)}


def test_two_sessions_that_begin_together_are_two_events() -> None:
    one = answer()
    first = one.plan.sessions[0]
    twice = replace(one, plan=replace(one.plan, sessions=(first, replace(first, hands=1))))
    assert len({str(e["UID"]) for e in events(twice)}) == 2


def test_a_calendar_says_why_there_is_no_plan() -> None:
    (event,) = events(without_plan())
    assert event["DTSTART"].dt == date(2026, 12, 1)
    assert "Cannot be planned: the seat cannot come off" in str(event["DESCRIPTION"])


def test_escaping_of_calendar_text() -> None:
    assert escaped("a,b;c\\d\ne") == "a\\,b\\;c\\\\d e"


def test_a_spreadsheet_has_one_row_a_slot_and_runs_nothing() -> None:
    found = rows(answer())
    assert [r["number"] for r in found] == ["1", "2", "3", "4", "5", ""]
    assert [(r["session"], r["start"], r["end"], r["minutes"], r["part"]) for r in found[:3]] == [
        ("1", "09:15", "09:35", "20", "1"),
        ("1", "09:35", "11:00", "85", "1"),
        ("2", "14:15", "14:30", "15", "2"),
    ]
    for row in found:
        for cell in row.values():
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert found[1]["title"].startswith(f"'{FORMULA}")
    assert found[1]["why"] == "'-1+1"
    assert found[4]["ref"] == "'@look"
    assert (found[5]["does"], found[5]["title"]) == ("checkpoint", "Nobody's checkpoint")
    raw = EXPORTERS["csv"].write(answer())
    assert raw.count("\r\n") == raw.count("\n") == 7


def test_a_page_has_a_box_for_every_step_and_check() -> None:
    text = EXPORTERS["md"].write(answer())
    assert text.count("\n- [ ] **") == 5
    assert text.count("  - [ ] **CHECK**") == 2
    assert "## Sat 5 Dec 2026, 09:00 to 11:00, 2 pairs of hands" in text
    assert "Finishes 1 day after the day to meet, Sat 5 Dec 2026." in text
    assert "half of 100 simulated jobs are done by Sun 6 Dec 2026" in text
    assert "step 5, " in text


def test_a_page_is_not_broken_by_what_stands_in_it() -> None:
    page = html(answer())
    assert "<script" not in page
    assert "<a " not in page
    assert "<img" not in page
    assert "<code" not in page
    assert page.count("<table>") == 2
    assert page.count("<h1>") == 1
    # Questions, two sessions, buying list, checkpoints, chain and chances.
    assert page.count("<h2>") == 7
    # Every cell of a row is there although a text has a bar in it.
    for row in page.split("<tr>")[1:]:
        assert row.count("<td>") + row.count("<th>") in {6, 8}
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; [link](javascript:x) ![i](y) | `code` # * _" in page


def test_a_page_without_a_plan_says_so() -> None:
    text = EXPORTERS["md"].write(without_plan())
    assert "**Cannot be planned: the seat cannot come off**" in text
    assert "Nobody's checkpoint" in text


def test_a_wrong_plan_is_called_wrong() -> None:
    wrong = replace(answer(), violations=("slot 2 overlaps slot 1",))
    for name in ("md", "ics"):
        text = EXPORTERS[name].write(wrong).replace("\r\n ", "")
        assert "THIS PLAN IS WRONG" in text
        assert "slot 2 overlaps slot 1" in text
        assert "no fault found" not in text
    assert json.loads(EXPORTERS["json"].write(wrong))["checker"] == ["slot 2 overlaps slot 1"]


def test_what_the_finish_hangs_on_goes_by_the_numbers_of_the_steps() -> None:
    """A plan of which a part is done goes by the numbers agreed: here every step's place and thirty."""
    agreed = replace(answer(), numbers=tuple(31 + n for n in range(len(answer().plan.slots))))
    data = json.loads(EXPORTERS["json"].write(agreed))
    assert [(c["step"], c["after_step"]) for c in data["chain"]] == [(35, 34)]
    assert "step 35, " in EXPORTERS["md"].write(agreed)


def test_json_has_it_all() -> None:
    data = json.loads(EXPORTERS["json"].write(answer()))
    assert data == plan_json(answer())
    steps = [s for session in data["sessions"] for s in session["steps"]]
    assert [(s["number"], s["part"], s["parts"], s["minutes"], s["float_min"]) for s in steps] == [
        (1, 1, 1, 20, 0), (2, 1, 2, 85, 5), (3, 2, 2, 15, 5), (4, 1, 1, 20, 0), (5, 1, 1, 10, 0),
    ]  # fmt: skip
    assert data["finish_proof"] == "proved least"
    assert data["earliest"] == NEXT.isoformat()
    assert data["late_days"] == (NEXT - DAY).days
    assert data["frontier"] == [{"strip_hand_min": 80, "finish": "2026-12-06", "sessions": 2, "proved": True}]
    assert data["chain"] == [{"step": 5, "held_by": "step", "text": "comes after `it`", "after_step": 4}]
    assert data["odds"]["done_by"][0] == {"day": "2026-12-06", "share": 0.75}
    assert data["odds"]["p95"] is None
    assert json.loads(EXPORTERS["json"].write(without_plan()))["chain"] is None


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("a overlaps b by 3 mm", "c is 2 mm under d"),
            "2 faults (`knockon check`): a overlaps b by 3 mm; c is 2 mm un",
        ),
        (
            tuple(f"fault {n}" for n in range(6)),
            "6 faults (`knockon check`): fault 0; fault 1; fault 2; fault 3; and 2 more.",
        ),
        ((), "0 faults"),
    ],
)
def test_faults_of_the_vehicle_as_it_stands_are_named(words: tuple[str, ...], told: str) -> None:
    warned = warnings_of(replace(answer(), faults=len(words), fault_words=words))
    assert any(told in line and line.endswith("It is taken as it is.") for line in warned) is bool(words)
