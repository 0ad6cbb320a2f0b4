"""The sheets of one session, read back by an independent parser and held against the plan and the whole book."""

from __future__ import annotations

import shutil
from functools import lru_cache
from pathlib import Path

import pytest
from book.reading import XHTML, Read, having, texts_of, words
from book.worked import answer, facts_of, print_of, project
from shed import catalog_at_hand, run
from worked_once import worked_once

from planner.book import making, session_page
from planner.export.plan_words import DEFER, asked_of, checks_of, piece_of
from planner.model.steps import step_keys

JOB = "battery-aft"


@lru_cache(maxsize=64)
def sheets(number: int) -> Read:
    return Read(session_page(facts_of(JOB), number))


def worked() -> list[int]:
    """Sessions with work in them."""
    return sorted({s.session for s in answer(JOB).plan.slots})


def test_every_session_has_its_own_steps_and_checks_and_no_others() -> None:
    found = answer(JOB)
    keys = step_keys(found.plan.slots)
    for number, session in enumerate(worked(), start=1):
        mine = [n for n, s in enumerate(found.plan.slots) if s.session == session]
        read = sheets(number)
        assert [e.get("data-tick") for e in having(read.root, "tick")] == [keys[n] for n in mine]
        checks = {c for n in mine for c in checks_of(piece_of(found.work, found.plan.slots[n].step))}
        shown = [b for e in having(read.root, "sheet-check") for b in having(e, "blanks")]
        assert {b.get("data-check") for b in shown} == checks
        assert {b.get("data-key") for b in shown} <= {keys[n] for n in mine}
        text = words(read.root)
        assert DEFER in text
        assert f"{len(found.work.checkpoints)} checkpoints" in text
        for n in mine:
            for caution in piece_of(found.work, found.plan.slots[n].step).cautions:
                assert caution in text


def test_how_the_vehicle_stands_is_what_the_steps_before_have_left() -> None:
    found = answer(JOB)
    for number, session in enumerate(worked(), start=1):
        before = [s.step for s in found.plan.slots if s.session < session]
        (told,) = [t for t in texts_of(sheets(number).root, "p") if t.startswith("As it begins: ")]
        for feature in found.work.features.values():
            if feature.id.startswith("state:"):
                turns = [s.on for s in before if s.ref == feature.id]
                assert (feature.name in told) is (turns[-1] if turns else feature.start)


def test_the_making_sheets_of_all_sessions_are_those_of_the_book_but_levers() -> None:
    whole = {words(e.find(f"{XHTML}h3")) for e in having(Read(print_of(JOB)).root, "make")}
    each = {words(e.find(f"{XHTML}h3")) for n in range(1, len(worked()) + 1) for e in having(sheets(n).root, "make")}
    assert each
    assert each <= whole
    assert {name for name in whole - each if "through its travel" not in name} == set()


def test_questions_that_hold_a_session_back_stand_first_with_the_steps_that_wait() -> None:
    """Counted over from the work list: a step that shapes what a question is about waits for its answer."""
    found = answer(JOB)
    asked = asked_of(found.job, found.knockons)
    assert asked
    shaping = {"drilling", "cutting", "bending", "welding", "routing"}
    told: set[str] = set()
    for number, session in enumerate(worked(), start=1):
        waits: dict[str, list[str]] = {}
        for n, slot in enumerate(found.plan.slots):
            piece = found.work.tasks.get(slot.step.ref) if slot.session == session else None
            if piece is None or piece.work.value not in shaping or piece.checkpoint is not None:
                continue
            for question in asked:
                if piece.id.split(".")[0] in question.about:
                    waits.setdefault(question.text, []).append(str(found.number(n)))
        tables = having(having(sheets(number).root, "cover")[0], "fill")
        rows = [r for t in tables for r in t.iter(f"{XHTML}tr") if r.find(f"{XHTML}td") is not None]
        cells = [(words(r.find(f"{XHTML}th")), words(r.find(f"{XHTML}td"))) for r in rows]
        assert len(cells) == len(waits)
        for text, steps in waits.items():
            assert any(text in what and held == ", ".join(steps) for what, held in cells)
        told |= set(waits)
    assert told


def test_only_the_making_sheets_of_the_session_are_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []
    real = making.link_sheet_of
    monkeypatch.setattr(making, "link_sheet_of", lambda f, k: drawn.append(k.name) or real(f, k))
    every = [{words(e.find(f"{XHTML}h3")) for e in having(sheets(n).root, "make")} for n in range(1, len(worked()) + 1)]
    number, most = max(enumerate(every, start=1), key=lambda each: len(each[1]))
    session_page(facts_of(JOB), number)
    assert drawn
    assert len(drawn) == len(set(drawn))
    assert set(drawn) <= most


def test_what_a_step_is_warned_of_besides_comes_before_what_is_said_of_all_such_work() -> None:
    """Words of catalog/settings.yaml: taking anything off has the first, and what is electric the second as well."""
    for_all, for_some = "Photograph before undoing", "Earth off first and on last"
    both = 0
    for number in range(1, len(worked()) + 1):
        for step in sheets(number).steps:
            text = words(step)
            if for_all in text and for_some in text:
                both += 1
                again = " ".join(words(e) for e in having(step, "again"))
                if (for_all in again) == (for_some in again):
                    assert text.index(for_some) < text.index(for_all)
    assert both


def test_references_stay_inside_and_ticks_are_kept_with_those_of_the_book() -> None:
    book = Read(print_of(JOB))
    for number in (1, len(worked())):
        root = sheets(number).root
        ids = [e.get("id") for e in root.iter() if e.get("id")]
        assert len(ids) == len(set(ids))
        assert {e.get("href") for e in root.iter() if e.get("href")} <= {f"#{i}" for i in ids}
        (body,) = root.iter(f"{XHTML}body")
        (kept,) = book.root.iter(f"{XHTML}body")
        assert body.get("data-book") == kept.get("data-book")


@catalog_at_hand()
@worked_once()
def test_one_session_goes_into_a_file_of_its_own_and_one_that_is_not_there_is_told(tmp_path: Path) -> None:
    there = tmp_path / "car"
    shutil.copytree(project("battery-aft"), there, ignore=shutil.ignore_patterns("out"))
    done = run("book", there, "battery-aft", "--session", "2", "--limit", "1")
    assert done.code == 0
    assert "Sheets of session 2 of" in (there / "out" / "battery-aft.session-2.html").read_text()
    done = run("book", there, "battery-aft", "--session", "99", "--limit", "1")
    assert done.code == 2
    assert "there is no session 99: what is left has" in done.err
    assert [p.name for p in (there / "out").iterdir()] == ["battery-aft.session-2.html"]


@pytest.mark.parametrize("number", [0, -1])
def test_sessions_are_counted_from_one(number: int) -> None:
    with pytest.raises(IndexError):
        session_page(facts_of(JOB), number)
