"""What keeps the road shut: a job done to its end by its own verbs, and then everything that should shut it again."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from shed import JOB_ID, agreed_project, catalog, catalog_at_hand, run
from worked_once import worked_once

from planner.cli.logbook import LogBook, log_book
from planner.log import open_keys, unsigned
from planner.model.steps import step_of_key
from planner.model.work import Task, Toggle

LATE = "2027-02-05T10:00"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


def reading(book: LogBook, check: str) -> str:
    """A reading that passes."""
    point = book.plan().work.checkpoints[check]
    if point.low is None and point.high is None:
        return "yes"
    return f"{point.low if point.low is not None else point.high} yes"


def at_once(book: LogBook, keys: Sequence[str]) -> list[str]:
    """The steps that one `done` can say: up to the next that is itself a check, or with which one is made."""
    found: list[str] = []
    for key in keys:
        piece = book.plan().work.find(step_of_key(key))
        is_check = isinstance(piece, Task) and piece.checkpoint is not None
        if found and is_check:
            break
        found.append(key)
        if is_check or (isinstance(piece, Toggle) and piece.checks):
            break
    return found


def work_on(folder: Path, upto: int = 1000) -> None:
    """Do the steps in their order, each check signed as it comes."""
    when = ["--in", folder, "--at", "2027-02-04T10:00"]
    while upto:
        book = log_book(folder)
        keys = at_once(book, open_keys(book.plan(), book.standing)[:upto])
        if not keys:
            return
        upto -= len(keys)
        numbers = ",".join(str(book.plan().named[k]) for k in keys)
        task = book.plan().work.find(step_of_key(keys[0]))
        if isinstance(task, Task) and task.checkpoint is not None:
            ended = run("record", "check", numbers, reading(book, task.checkpoint), "--by", "AB", *when)
        else:
            ended = run("done", numbers, *when)
        assert ended.code == 0, ended.err
        if isinstance(last := book.plan().work.find(step_of_key(keys[-1])), Toggle) and last.checks:
            after = log_book(folder)
            for check in unsigned(after.plan(), after.standing):
                assert run("record", "check", check, reading(after, check), "--by", "AB", *when).code == 0


@pytest.fixture(scope="module")
def half(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job with its first 33 steps done: parts are off and the vehicle is on stands."""
    with catalog_at_hand():
        folder = agreed_project(tmp_path_factory.mktemp("road") / "shed")
        for question in log_book(folder).plan().asked:
            assert run("record", "settled", question.id, "yes, room enough", "--in", folder).code == 0
        work_on(folder, 33)
    return folder


@pytest.fixture(scope="module")
def finished(half: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same job done to its end."""
    folder = Path(shutil.copytree(half, tmp_path_factory.mktemp("finished") / "shed"))
    with catalog_at_hand():
        work_on(folder)
    return folder


def copied(folder: Path, to: Path) -> Path:
    return Path(shutil.copytree(folder, to / "shed"))


def is_shut(folder: Path) -> bool:
    return run("status", folder, "--road").code == 1


def test_a_job_done_to_its_end_frees_the_road(finished: Path, half: Path) -> None:
    assert is_shut(half)
    assert not is_shut(finished)


def told_before_moving(folder: Path) -> str:
    """What is told under the first use, between its head and the next one's."""
    out = run("status", folder, "--road").out
    return out[out.index("Under its own power") : out.index("On a quiet road")]


def for_the_road_alone() -> set[str]:
    """Titles of the checks whose rule in the catalog blocks the road and nothing else."""
    return {r.title for r in catalog().rules.values() if [b.value for b in r.blocks] == ["road"]}


def test_a_check_that_only_the_road_asks_for_is_told_with_the_road(half: Path) -> None:
    alone = for_the_road_alone()
    told = told_before_moving(half)
    found = json.loads(run("status", half, "--json").out)["road"]
    before = [o["text"].removeprefix("CHECK ") for o in found["moving"]["open"]]
    waiting = [t for t in before if t in alone]
    assert waiting
    assert not [t for t in alone if t in told]
    assert f"{len(waiting)} checks that only the road asks for" in told
    assert f"NO, {len(before)} things stand between" in told
    assert [o["text"].removeprefix("CHECK ") for o in found["moving"]["open"] if o["road_only"]] == waiting
    assert set(waiting) <= {o["text"].removeprefix("CHECK ") for o in found["testing"]["open"]}


def test_a_check_for_the_road_alone_still_shuts_what_the_plan_has_after_it(finished: Path, tmp_path: Path) -> None:
    folder = copied(finished, tmp_path)
    signed = log_book(folder).standing.signed["bulkhead-sealed"].n
    assert run("undo", str(signed), "--in", folder).code == 0
    told = told_before_moving(folder)
    assert "Under its own power: NO, 1 thing stands between" in told
    assert "1 check that only the road asks for, made before it by the plan: told below" in told
    assert "CHECK Bulkhead sealed again" in run("status", folder, "--road").out
    assert is_shut(folder)


@pytest.mark.parametrize(
    "words",
    [
        ["broken", "rear-cylinder", "leaks"],
        ["broken", "wiper-lever", "cracked"],
        ["found", "weld the crack", "--before", "rear-cylinder"],
        ["size", "header-tank.at.z", "559 mm"],
        ["check", "brake-leak", "3"],
        ["check", "brake-leak", "all wet", "--failed", "it drips"],
    ],
)
def test_what_is_found_broken_measured_or_failed_shuts_it_at_once(
    finished: Path, tmp_path: Path, words: list[str]
) -> None:
    folder = copied(finished, tmp_path)
    ended = run("record", *words, "--in", folder, "--at", LATE)
    assert ended.code == 0, ended.err
    assert is_shut(folder)


def test_a_check_that_failed_and_was_then_passed_is_over(finished: Path, tmp_path: Path) -> None:
    folder = copied(finished, tmp_path)
    for words in ("20 no", "2 yes"):
        told = ["record", "check", "brake-pedal-holds", words, "--by", "AB", "--nothing-else"]
        assert run(*told, "--in", folder, "--at", LATE).code == 0
    plan = run("plan", folder, JOB_ID, "--limit", "1", "--from", "2027-02-06")
    assert plan.code == 0, plan.err
    assert "Put right" not in plan.out
    assert "Check: Pedal holds" not in plan.out.split("What the finish hangs on")[0]
    # The road test was made after the check that failed: it alone is made again.
    assert is_shut(folder)
    work_on(folder)
    assert not is_shut(folder)


def test_work_undone_and_done_late_takes_the_tests_after_it_along(finished: Path, tmp_path: Path) -> None:
    folder = copied(finished, tmp_path)
    book = log_book(folder)
    work = book.plan().work
    plain = [k for k in book.standing.done if k in work.tasks and work.tasks[k].checkpoint is None]
    for key in plain[:6]:
        shutil.rmtree(folder)
        copied(finished, tmp_path)
        assert run("undo", str(book.standing.done[key].n), "--in", folder).code == 0
        assert is_shut(folder)
        run("done", key, "--in", folder, "--at", LATE)
        later = [t.id for t in work.tasks.values() if t.checkpoint is not None and key in {a.task for a in t.after}]
        assert not later or is_shut(folder), key


@pytest.mark.slow
def test_a_plan_for_a_broken_part_has_every_test_that_is_open_again(finished: Path, tmp_path: Path) -> None:
    folder = copied(finished, tmp_path)
    run("record", "broken", "wiper-lever", "cracked", "--minutes", "30", "--in", folder, "--at", LATE)
    ended = run("replan", folder, "--limit", "1", "--at", "2027-02-06T09:00", "--agree")
    assert ended.code == 0, ended.err
    told = run("next", folder, "-n", "50").out
    assert "not in the plan" not in told
    agreed = max(e.n for e in log_book(folder).entries)
    assert run("undo", str(agreed), "--in", folder).code == 0
    assert is_shut(folder)
    assert run("undo", str(agreed + 1), "--in", folder).code == 0
    work_on(folder)
    assert not is_shut(folder)


def test_a_job_file_that_forgets_what_was_done_is_not_planned(half: Path, tmp_path: Path) -> None:
    folder = copied(half, tmp_path)
    (folder / "jobs" / f"{JOB_ID}.yaml").write_text(
        "knockon: 1\nname: less\nstart: 2027-01-09\nchanges: [{do: move, part: wiper-lever, by: [0, -40, 0]}]\n"
        'sessions: [{every: saturday, from: "09:00", to: "18:00", hands: 2}]\n'
    )
    before = (folder / f"jobs/{JOB_ID}.log.jsonl").read_bytes()
    ended = run("replan", folder, "--limit", "1", "--at", LATE, "--agree")
    assert ended.code == 1
    assert "on stands: yes" in ended.err
    assert (folder / f"jobs/{JOB_ID}.log.jsonl").read_bytes() == before
    assert is_shut(folder)


@pytest.mark.parametrize(
    "words",
    [
        ["check", "brake-leak", "--not-applicable", "   "],
        ["check", "brake-leak", "--failed", " "],
        ["ordered", "fluid", "--due", "9999-12-31"],
        ["note", "x", "--at", "0001-01-01T00:00"],
        ["lost", "9999-12-31"],
    ],
)
def test_blank_reasons_and_days_out_of_time_are_refused(finished: Path, tmp_path: Path, words: list[str]) -> None:
    folder = copied(finished, tmp_path)
    before = (folder / f"jobs/{JOB_ID}.log.jsonl").read_bytes()
    ended = run("record", *words, "--in", folder)
    assert ended.code == 2
    assert (folder / f"jobs/{JOB_ID}.log.jsonl").read_bytes() == before


def test_a_tick_signs_nothing_that_was_signed_since_nor_without_a_name(finished: Path, tmp_path: Path) -> None:
    folder = copied(finished, tmp_path)
    assert run("record", "check", "brake-leak", "2", "--nothing-else", "--in", folder, "--at", LATE).code == 0
    file = tmp_path / "ticks"
    for at, by in (("2027-01-01T10:00", "AB"), ("2027-02-06T10:00", "  ")):
        file.write_text(json.dumps({"v": 1, "at": at, "value": "brake-leak", "text": "0", "by": by}))
        assert run("record", "ticks", file, "--in", folder).code == 1
        assert is_shut(folder)


def test_a_job_in_the_middle_of_another_one_holds_the_vehicle_back(finished: Path, half: Path, tmp_path: Path) -> None:
    """A car with its brakes apart for one job is not driven to prove another (common practice, no published source)."""
    folder = copied(finished, tmp_path)
    for ending in (".yaml", ".log.jsonl"):
        shutil.copy(half / "jobs" / f"{JOB_ID}{ending}", folder / "jobs" / f"other{ending}")
    shutil.copytree(half / "jobs" / f"{JOB_ID}.plans", folder / "jobs" / "other.plans")
    both = ("--in", folder, "--job", JOB_ID)
    told = run("status", folder, JOB_ID, "--road")
    assert told.code == 1
    assert "! the job `other` is begun on this vehicle too: " in told.out
    book = log_book(folder, JOB_ID)
    last = book.plan().named["road-test"]
    assert run("undo", str(book.standing.done["road-test"].n), *both).code == 0
    refused = run("done", str(last), *both, "--at", "2027-02-04T10:00")
    assert refused.code != 0
    assert "waits: the job `other` is begun on this vehicle too" in refused.err
