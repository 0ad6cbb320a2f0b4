"""How a plan is told: lateness, trouble, open questions, cautions, checkpoints."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from cli.shed import JOB, JOB_ID, VEHICLE, catalog_at_hand, first_packing, run, shed_files, write_project
from rich.console import Console
from worked_once import worked_once

from planner.cli.show_dates import loose_words
from planner.cli.show_heads import late_days, show_dark, show_questions, show_trouble, trouble_of
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Knockons, Proof
from planner.model.job import Job
from planner.model.plan import Chain, Plan, Slot, Step, Strip


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand(), worked_once():
        yield


def told(folder: Path, *options: str, job: str = JOB) -> str:
    ended = run("plan", write_project(folder, shed_files(job=job)), JOB_ID, "--from", "2027-01-09", "--quick", *options)
    assert ended.code == 0, ended.err
    return ended.out


def plan_ending(day: date | None, trouble: tuple[str, ...] = (), strip_trouble: tuple[str, ...] = ()) -> Plan:
    finish = None if day is None else datetime(day.year, day.month, day.day, 16, tzinfo=UTC)
    strip = Strip(proof=Proof.NONE, steps=(), cost=0, bound=0, trouble=strip_trouble)
    return Plan(
        strip=strip, sessions=(), slots=(), why=(), order_by={}, arrives={}, finish=finish, work_min=0, trouble=trouble
    )


def printed(show: object, *arguments: object) -> list[str]:
    stream = io.StringIO()
    show(Console(file=stream, width=200), *arguments)  # type: ignore[operator]
    return stream.getvalue().splitlines()


@pytest.mark.parametrize(
    ("finish", "wanted", "late"),
    [
        (date(2027, 1, 12), date(2027, 1, 10), 2),
        (date(2027, 1, 10), date(2027, 1, 10), 0),
        (date(2027, 1, 3), date(2027, 1, 10), 0),
        (date(2027, 1, 12), None, None),
        (None, date(2027, 1, 10), None),
    ],
)
def test_days_late_are_counted_from_the_day_to_meet(finish: date | None, wanted: date | None, late: int | None) -> None:
    assert late_days(Job(id="j", name="j", changes=(), finish_by=wanted), plan_ending(finish)) == late


def test_a_missed_day_is_told_under_the_headline_and_in_json(tmp_path: Path) -> None:
    late = JOB.replace("finish_by: 2027-12-31", "finish_by: 2027-01-10")
    text = " ".join(told(tmp_path, job=late).split())
    assert re.search(r"finishes \d+ days after the day to meet, Sun 10 Jan 2027 ", text)
    plan = json.loads(told(tmp_path, "--json", job=late))
    assert plan["late_days"] == (date.fromisoformat(plan["finish"][:10]) - date(2027, 1, 10)).days > 0


def test_a_day_that_is_met_is_not_spoken_of(tmp_path: Path) -> None:
    assert "day to meet" not in told(tmp_path)
    assert json.loads(told(tmp_path, "--json"))["late_days"] == 0


def test_the_same_trouble_is_told_once_and_only_the_first_of_much() -> None:
    assert trouble_of(plan_ending(None, ("b", "a"), ("a", "b"))) == ("a", "b")
    lines = printed(show_trouble, plan_ending(None, tuple(f"reason {n}" for n in range(11))))
    assert lines == [*(f"cannot be planned: reason {n}" for n in range(8)), "and 3 more of the kind"]


def test_open_questions_stand_above_the_steps() -> None:
    def knockons(number: int) -> Knockons:
        cause = Cause(kind=CauseKind.DOUBT, source="", text="it is doubtful")
        effects = tuple(
            Effect(id=f"m:{n}", kind=EffectKind.MEASURED, subject="x", text=f"question {n}", causes=(cause,))
            for n in range(number)
        )
        return Knockons(
            effects=effects, homes={}, after={}, links_after={}, access={}, cut_rooms={}, hot_near={}, bare={},
            limits={}, proof=Proof.PROVED,
        )  # fmt: skip

    assert printed(show_questions, knockons(0)) == []
    head = "Open questions, to be settled before metal is cut:"
    assert printed(show_questions, knockons(12)) == [head, *(f"  - question {n}" for n in range(12))]
    assert printed(show_questions, knockons(14))[-2:] == ["  - question 11", "  and 2 more, see `knockon moves`"]


def test_each_caution_is_told_once_on_a_line_of_its_own(tmp_path: Path) -> None:
    marks = re.split(r"\n(?=! )", told(tmp_path))
    cautions = [re.split(r"\n(?! *[a-z])", mark)[0] for mark in marks[1:]]
    assert len(cautions) > 10
    assert len(set(cautions)) == len(cautions)
    assert not any("take care" in c for c in cautions)


def test_the_last_list_says_what_each_checkpoint_holds_back(tmp_path: Path) -> None:
    text = told(tmp_path)
    listed = text[text.index("Checkpoints: each measured") :]
    assert re.search(r"^\[ \] Nothing left loose.*\(first start, moving,\s+road\)$", listed, re.MULTILINE)
    assert "common practice" not in listed
    assert "To buy (order by)" in text
    plan = json.loads(told(tmp_path, "--json"))
    assert all(check["source"] for check in plan["checkpoints"].values())
    assert len(re.findall(r"^\[ \] ", listed, re.MULTILINE)) == len(plan["checkpoints"])


def test_about_something_unknown_is_a_slip_of_the_pen(tmp_path: Path) -> None:
    shed = write_project(tmp_path, shed_files())
    with first_packing():
        ended = run("plan", shed, JOB_ID, "--about", "heder-tank")
        assert (ended.code, ended.out) == (2, "")
        assert "nothing in the plan is called `heder-tank`" in ended.err
        assert "did you mean `header-tank`?" in ended.err
        for known in ("header-tank", "slot", "cooling", "on-stands", "wiper-lever"):
            assert run("plan", shed, JOB_ID, "--about", known).code == 0, known


def test_every_reason_for_no_place_has_its_own_line(tmp_path: Path) -> None:
    job = JOB.replace("at: [690, 150, 500]", "at: [760, 150, 500]").replace("[690", "[760")
    ended = run("plan", write_project(tmp_path, shed_files(job=job)), JOB_ID)
    assert ended.code == 1
    lines = ended.err.splitlines()
    assert lines[0] == "knockon: there is no place for all of it:"
    assert all(line.startswith("  - ") for line in lines[1:-1])
    assert len(lines) >= 3
    assert " | " not in ended.err


def test_a_step_in_parts_counts_once_and_slips_only_when_all_its_parts_can() -> None:
    """Off, sand in two parts, on, off again: four steps; two days are 2880 min."""
    moment = datetime(2027, 1, 9, 9, tzinfo=UTC)
    off, sand = Step(ref="seat", on=False), Step(ref="sand")
    steps = [(off, 1), (sand, 1), (Step(ref="seat", on=True), 1), (sand, 2), (off, 1)]
    slots = tuple(Slot(step=s, session=0, start=moment, end=moment, part=p) for s, p in steps)
    plan = replace(plan_ending(date(2027, 1, 9)), slots=slots)
    chain = Chain(ties=(), float_min=(2880, 2880, 0, 0, 2880))
    assert loose_words(plan, chain).startswith("2 of 4 steps can slip")
    assert loose_words(plan, replace(chain, float_min=(0, 2880, 0, 2880, 0))).startswith("1 of 4 steps can slip")
    tight = loose_words(plan, replace(chain, float_min=(0, 95, 20, 95, 0)))
    assert tight == "no step can slip by a day without a later finish, and none by more than 1 h 35 min"


def test_why_says_what_can_slip_by_how_much_and_what_is_held_up_then(tmp_path: Path) -> None:
    """Every step of the plan stands once in the table: those that cannot slip as well."""
    with first_packing():
        ended = run("plan", write_project(tmp_path, shed_files()), JOB_ID, "--from", "2027-01-01", "--short", "--why")
        plan = json.loads(run("plan", tmp_path, JOB_ID, "--from", "2027-01-01", "--json").out)
    steps = [step for session in plan["sessions"] for step in session["steps"]]
    told = ended.out.split("What can slip without a later finish day")[1]
    rows = re.findall(r"(?m)^ *(?:not at all|[0-9]+ \w+(?: [0-9]+ min)?)  steps? ([0-9, -]+[0-9])", told)
    spans = [part.split("-") for row in rows for part in row.split(", ")]
    numbers = [n for first, *last in spans for n in range(int(first), int((last or [first])[0]) + 1)]
    assert sorted(numbers) == sorted({s["number"] for s in steps})
    assert len(numbers) == len(steps)
    assert re.search(r"until [0-9]+ .* is held up|until the finish day is full", told)


def test_about_a_thing_that_is_only_named_says_where(tmp_path: Path) -> None:
    """The bulkhead is drilled and stays: no step handles it, steps name it. What no step names is said to be so."""
    vehicle = VEHICLE.replace(
        "  fuse-box:\n",
        "  bulkhead-lamp: {kind: fuse-box, at: [2000, 0, 700], solids: [{box: [9, 9, 9]}]}\n  fuse-box:\n",
    )
    folder = write_project(tmp_path, shed_files(vehicle=vehicle))
    with first_packing():
        named = run("plan", folder, JOB_ID, "--from", "2027-01-01", "--about", "bulkhead").out
        silent = run("plan", folder, JOB_ID, "--from", "2027-01-01", "--about", "bulkhead-lamp").out
    assert "no step of the plan handles `bulkhead`\nit is named in" in named
    assert re.search(r"(?m)^ *[0-9]+  S(?:at|un) .*", named.split("it is named in")[1])
    assert "handles `bulkhead-lamp`, and none names it" in silent


def test_the_finish_hangs_on_steps_by_the_numbers_agreed(tmp_path: Path) -> None:
    folder = write_project(tmp_path, shed_files())
    when = ["--from", "2027-01-09", "--quick"]
    assert run("plan", folder, JOB_ID, *when, "--agree").code == 0
    assert run("done", "1", "2", "--in", folder, "--at", "2027-01-09T12:00").code == 0
    plan = json.loads(run("plan", folder, JOB_ID, *when, "--json").out)
    ends = [step for session in plan["sessions"] for step in session["steps"]]
    assert plan["chain"][-1]["step"] in {s["number"] for s in ends}
    last = {s["number"]: s["title"] for s in ends}[plan["chain"][-1]["step"]]
    assert last.startswith("Road test")
    printed_chain = run("plan", folder, JOB_ID, *when).out.split("What the finish hangs on")[1]
    assert re.search(rf"^ *{plan['chain'][-1]['step']} .*Road test", printed_chain, re.MULTILINE)
    assert plan["chain"][-1]["step"] > len(ends)


def test_what_a_wish_costs_is_told_on_asking(tmp_path: Path) -> None:
    wishes = JOB + "\nleave_in: {on-stands: 25 min}\n"
    text = told(tmp_path / "why", "--why", job=wishes)
    assert "What your wishes cost" in text
    assert "25 min each time" in text
    data = json.loads(told(tmp_path / "json", "--why", "--json", job=wishes))["wishes"]
    assert [(w["feature"], w["price_hand_min"]) for w in data] == [("state:on-stands", 25)]
    assert "What your wishes cost" not in told(tmp_path / "short", job=wishes)


@pytest.mark.parametrize(
    ("begins", "dark"),
    [
        (datetime(2027, 2, 16, 19, 30, tzinfo=UTC), True),
        (datetime(2027, 4, 10, 16, 55, tzinfo=UTC), False),
        (datetime(2026, 12, 12, 16, 0, tzinfo=UTC), True),
        (datetime(2026, 12, 12, 15, 59, tzinfo=UTC), False),
        (datetime(2027, 6, 5, 7, 30, tzinfo=UTC), True),
    ],
)
def test_a_road_test_at_an_hour_that_may_be_dark_is_told(begins: datetime, dark: bool) -> None:
    """Common practice, no published source: no first drive in the dark."""
    slot = Slot(step=Step(ref="road-test"), session=0, start=begins, end=begins)
    plan = replace(plan_ending(begins.date()), slots=(slot,))
    told_ = " ".join(printed(show_dark, plan))
    assert ("The road test would begin" in told_) is dark
    assert f"{begins:%H:%M}" in told_ or not dark
    assert "road test" not in " ".join(printed(show_dark, replace(plan, slots=())))
