"""Sizes measured in the middle of a job, and questions settled there: what waits, what is told, what leads on.

The job puts `rear-cylinder`, 138 mm long, before the bulkhead, which may not move. Its middle cannot be at x = 730: by
hand it would end at 799, and the bulkhead's front face is at 759: 40 mm too far. A longer one would have room: its rear
face is on the bulkhead and stays there.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import JOB_ID, Ended, agreed_project, catalog_at_hand, fine, first_packing, run
from worked_once import worked_once

from planner.cli.differing import differences
from planner.cli.logbook import log_book
from planner.log import open_keys, piece_of_key
from planner.model.words import Work
from planner.model.work import Task, WorkList

TOO_FAR = ("rear-cylinder.at.x", "730 mm")
QUESTION = "header-tank~rear-cylinder"
AT = ("--at", "2027-01-09T09:30")
IRREVOCABLE = {Work.DRILLING, Work.CUTTING, Work.BENDING, Work.WELDING, Work.ROUTING}
"""Nobody undrills a hole; a hose or a cable is cut to length. Common practice, no published source."""


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "2000")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with catalog_at_hand():
        return agreed_project(tmp_path_factory.mktemp("agreed") / "shed")


@pytest.fixture
def shed(agreed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed, tmp_path / "shed"))


def measured(folder: Path, name: str, value: str) -> str:
    return fine(run("record", "size", name, value, "--sure", "--in", folder, *AT))


def told_first(folder: Path) -> None:
    """The check that comes before metal is cut, which no word passes over."""
    fine(run("record", "check", "change-told", "yes", "--by", "AB", "--in", folder))


def waiting_for(folder: Path, words: str) -> set[str]:
    """Keys of the steps that wait for something with these words in it."""
    steps = json.loads(fine(run("next", folder, "-n", "300", "--json")))["steps"]
    return {s["key"] for s in steps if any(words in told for told in s["waits_for"])}


def keys_with(folder: Path, works: set[Work], thing: str = "") -> set[str]:
    """Open steps of some kinds of work, on one thing or on any, that are no checks."""
    book = log_book(folder)
    pieces = {k: piece_of_key(book.plan(), k) for k in open_keys(book.plan(), book.standing)}
    tasks = {k: p for k, p in pieces.items() if p is not None and k in book.plan().work.tasks}
    works_on = {k: p.work for k, p in tasks.items() if getattr(p, "checkpoint", None) is None}
    return {k for k, work in works_on.items() if work in works and (not thing or k.split(".")[0] == thing)}


def test_a_size_that_leaves_no_place_is_told_at_once_with_what_overlaps_and_what_leads_on(shed: Path) -> None:
    told = measured(shed, *TOO_FAR)
    assert "STOP: rear-cylinder.at.x, measured as 730 mm on Sat 9 Jan 2027, leaves no place" in told
    assert "bulkhead takes 40 mm of its room" in told
    for way in (f"knockon moves {shed}", f"knockon replan {shed} {JOB_ID} --agree", "knockon record size", "undo 2"):
        assert way in told


def test_until_then_nothing_is_marked_cut_or_made_and_all_verbs_say_so(shed: Path) -> None:
    before = waiting_for(shed, "STOP")
    measured(shed, *TOO_FAR)
    held = waiting_for(shed, "STOP: rear-cylinder.at.x as measured leaves no place")
    assert not before
    assert held >= keys_with(shed, IRREVOCABLE | {Work.MARKING})
    assert not held & keys_with(shed, {Work.MEASURING, Work.TESTING, Work.TRIAL_FIT})
    for verb in ("next", "status"):
        assert "STOP: rear-cylinder.at.x, measured as 730 mm" in fine(run(verb, shed))
        assert "leaves no place" in json.loads(fine(run(verb, shed, "--json")))["stop"]
    for key in sorted(keys_with(shed, {Work.CUTTING})):
        ended = run("done", str(log_book(shed).plan().named[key]), "--in", shed)
        assert ended.code == 1
        assert "STOP" in ended.err


@pytest.mark.parametrize("verb", ["moves", "draw", "sums", "plan"])
def test_a_verb_that_reads_the_files_takes_the_sizes_of_the_log_in_and_says_where_they_come_from(
    verb: str, shed: Path
) -> None:
    with first_packing():
        assert "as measured" not in run(verb, shed, JOB_ID).err
        measured(shed, *TOO_FAR)
        ended = run(verb, shed, JOB_ID)
    told = "with 1 size as measured, from"
    assert f"{told} {shed}/jobs/{JOB_ID}.log.jsonl: rear-cylinder.at.x = 730 mm" in ended.err
    assert ended.code == 1


def test_taken_back_the_work_goes_on_and_a_size_left_alone_is_looked_at_anew(shed: Path) -> None:
    measured(shed, *TOO_FAR)
    measured(shed, "header-tank.at.y", "150 +/- 1 mm")
    assert "leaves no place" in fine(run("next", shed))
    told = fine(run("undo", "2", "--in", shed))
    assert "STOP: the agreed plan was not looked at with the sizes that the log has now" in told
    assert waiting_for(shed, "STOP")
    fine(run("undo", "3", "--in", shed))
    assert not waiting_for(shed, "STOP")
    assert "STOP" not in fine(run("next", shed)) + fine(run("status", shed))


def test_the_last_size_taken_back_leaves_what_was_found_with_those_before_it(shed: Path) -> None:
    assert "The agreed plan still holds" in measured(shed, "header-tank.box.y", "160 +/- 1 mm")
    measured(shed, *TOO_FAR)
    fine(run("undo", "--in", shed))
    assert not waiting_for(shed, "STOP")


def test_a_size_that_changes_nothing_holds_nothing_back_and_can_be_agreed_to(shed: Path) -> None:
    """Written without that line a size in the log shut the road for ever, since the plan that holds is not new."""
    assert "The agreed plan still holds" in measured(shed, "header-tank.box.y", "160 +/- 1 mm")
    assert not waiting_for(shed, "STOP")
    assert "not in the agreed plan" in fine_or_shut(run("status", shed, "--road", "--json"))
    with first_packing():
        fine(run("replan", shed, JOB_ID, *AT, "--agree"))
    assert "not in the agreed plan" not in fine_or_shut(run("status", shed, "--road", "--json"))
    assert log_book(shed).plan().sizes == {"header-tank.box.y": "160 +/- 1 mm"}


def fine_or_shut(ended: Ended) -> str:
    assert ended.code in {0, 1}, ended.err
    return ended.out


def test_another_reason_for_the_same_work_holds_nothing_back(shed: Path) -> None:
    """The tank moves for the cylinder; from 1 mm higher it moves 1 mm less, to the same place."""
    assert "The agreed plan still holds" in measured(shed, "header-tank.at.z", "561 mm")


def test_a_size_with_which_other_work_is_to_be_done_holds_it_until_it_is_planned(shed: Path) -> None:
    """The tank 40 mm lower goes back to where another hose serves: by hand, its file has it at z = 560 mm."""
    told = measured(shed, "header-tank.at.z", "520 mm")
    assert "the agreed plan does not hold" in told
    assert "no longer to be done: " in told
    assert waiting_for(shed, "STOP")
    with first_packing():
        fine(run("replan", shed, JOB_ID, *AT, "--agree"))
    assert not waiting_for(shed, "STOP")


def test_a_size_in_the_log_of_before_holds_until_somebody_looks(shed: Path) -> None:
    """Lines of earlier versions do not say what came of them."""
    path = shed / f"jobs/{JOB_ID}.log.jsonl"
    line = {"v": 1, "n": 2, "at": "2027-01-09T10:00:00", "sort": "size", "size": "header-tank.at.z", "value": "561 mm"}
    path.write_text(path.read_text() + json.dumps(line) + "\n")
    assert "STOP: the agreed plan was not looked at" in run("next", shed).out


# ---- open questions


def test_an_open_question_holds_what_cuts_or_drills_for_what_it_is_about_and_nothing_else(shed: Path) -> None:
    held = waiting_for(shed, "open question")
    shaped = keys_with(shed, IRREVOCABLE, "header-tank") | keys_with(shed, IRREVOCABLE, "rear-cylinder")
    assert held == shaped
    assert shaped
    assert "(2 steps wait for that)" in fine(run("next", shed))
    assert f"{QUESTION}: the gap between header tank and rear cylinder" in fine(run("status", shed))
    assert fine(run("plan", shed, JOB_ID, "--quick")).count(f"! first settle {QUESTION}") == len(shaped)


@pytest.mark.parametrize("word", [QUESTION, "rear-cylinder", "gap header tank"])
def test_a_question_is_settled_by_its_name_by_what_it_is_about_or_by_its_words(word: str, shed: Path) -> None:
    told = fine(run("record", "settled", word, "12 mm, with the card", "--in", shed))
    assert "settled: the gap between header tank and rear cylinder is to be measured: 12 mm, with the card" in told
    assert not waiting_for(shed, "open question")
    assert "12 mm, with the card" in fine(run("status", shed))
    assert json.loads(fine(run("status", shed, "--json")))["questions"] == []
    fine(run("undo", "--in", shed))
    assert waiting_for(shed, "open question")


def test_an_answer_taken_back_tells_what_was_done_because_of_it(shed: Path) -> None:
    key = min(waiting_for(shed, "open question"))
    fine(run("record", "settled", QUESTION, "12 mm, with the card", "--in", shed))
    told_first(shed)
    fine(run("done", str(log_book(shed).plan().named[key]), "--in", shed, "--anyway", "the shop was open"))
    piece = piece_of_key(log_book(shed).plan(), key)
    assert piece is not None
    told = fine(run("undo", "2", "--in", shed))
    assert "! done after it, and needed it: " in told
    assert piece.title in told


def test_a_changed_file_is_agreed_to_as_it_reads_now_and_what_it_asks_anew_is_told(shed: Path) -> None:
    fine(run("record", "settled", QUESTION, "12 mm, with the card", "--in", shed))
    job, vehicle = shed / "jobs" / f"{JOB_ID}.yaml", shed / "vehicle.yaml"
    job.write_text(job.read_text() + "# nothing but a word\n")
    assert "was changed after the plan was agreed" in fine(run("next", shed))
    told = fine(run("replan", shed, JOB_ID, *AT, "--agree"))
    assert f"`jobs/{JOB_ID}.yaml` as it reads now counts once that is agreed" in told
    assert "open again" not in told
    assert "was changed after the plan was agreed" not in fine(run("next", shed))
    assert "nothing is changed" in fine(run("replan", shed, JOB_ID, *AT, "--agree"))
    # Less sure than when it was settled: another question.
    vehicle.write_text(vehicle.read_text().replace("[70, 160, 5 1/4 in]", "[70, 160 +/- 5, 5 1/4 in]"))
    told = run("replan", shed, JOB_ID, *AT).out
    assert "open again: the gap between header tank and rear cylinder is to be measured" in told
    assert "settled it by `12 mm, with the card`" in told


def test_a_settled_question_is_in_no_plan_any_more(shed: Path) -> None:
    fine(run("record", "settled", QUESTION, "12 mm, with the card", "--in", shed))
    told = fine(run("plan", shed, JOB_ID, "--quick"))
    assert "first settle" not in told
    assert "the gap between header tank and rear cylinder" not in told


def test_a_question_that_is_none_and_an_answer_without_words_are_refused(shed: Path) -> None:
    ended = run("record", "settled", "gearbox", "it fits", "--in", shed)
    assert ended.code == 2
    assert QUESTION in ended.err
    assert run("record", "settled", QUESTION, " ", "--in", shed).code == 2
    assert len((shed / f"jobs/{JOB_ID}.log.jsonl").read_text().splitlines()) == 1


def test_the_owner_may_pass_it_with_his_own_words(shed: Path) -> None:
    key = min(waiting_for(shed, "open question"))
    number = str(log_book(shed).plan().named[key])
    assert run("done", number, "--in", shed).code == 1
    told_first(shed)
    fine(run("done", number, "--in", shed, "--anyway", "there is a hand's breadth of air"))
    assert "a hand's breadth of air" in fine(run("status", shed, "--log"))


def test_sizes_that_leave_no_doubt_settle_it_as_long_as_they_count(shed: Path) -> None:
    """The gap is 5.4 mm where 5 is to be kept, in doubt by the tank's own sizes alone: measured, it is 5.4 for sure."""
    for name, value in (("box.x", "70 +/- 0.1"), ("box.y", "160 +/- 0.1"), ("box.z", "133.35 +/- 0.1")):
        told = measured(shed, f"header-tank.{name}", value)
    assert "no open question any more: the gap between header tank and rear cylinder" in told
    assert not waiting_for(shed, "open question")
    fine(run("undo", "--in", shed))
    assert waiting_for(shed, "open question")


def test_an_answer_is_to_what_was_asked_another_gap_is_open_again(shed: Path) -> None:
    """The wall in front of the same two parts is another matter once the tank goes elsewhere."""
    fine(run("record", "settled", QUESTION, "yes, room enough", "--in", shed))
    path = shed / "vehicle.yaml"
    path.write_text(path.read_text().replace("at: [28.4 in, 150, 560 +/- 5]", "at: [28.4 in, 150, 560 +/- 9]"))
    path.write_text(path.read_text().replace("[70, 160, 5 1/4 in]", "[70, 160 +/- 5, 5 1/4 in]"))
    with first_packing():
        fine(run("replan", shed, JOB_ID, *AT, "--agree", "--anew"))
    assert waiting_for(shed, "open question")


def test_measure_ranks_what_is_left_to_be_measured(shed: Path) -> None:
    """A size that is sure by the log is no more among those in doubt."""
    before = json.loads(fine(run("measure", shed, JOB_ID, "--json")))["idle"]
    measured(shed, "header-tank.box.x", "70 +/- 0 mm")
    ended = run("measure", shed, JOB_ID, "--json")
    assert json.loads(fine(ended))["idle"] == before - 1
    assert "with 1 size as measured" in ended.err


# ---- what can be so, and what does not matter


def test_a_size_left_of_the_centre_is_a_value_with_quotes_or_without(shed: Path) -> None:
    for words in (["-151 mm +/- 1"], ["-151", "mm", "+/-", "1"]):
        told = fine(run("record", "size", "fuse-box.at.y", *words, "--in", shed, *AT))
        assert "measured: fuse-box.at.y is -151 mm +/- 1" in told
    assert "No such option: --sur" in run("record", "size", "fuse-box.at.y", "-151", "--sur", "--in", shed).err


@pytest.mark.parametrize(
    ("name", "value", "off"), [("fuse-box.at.y", "150", "300 mm"), ("header-tank.at.z", "56", "504 mm")]
)
def test_a_size_far_from_what_the_file_says_is_asked_about(name: str, value: str, off: str, shed: Path) -> None:
    """The file has -150 and 560: by hand 150 is 300 off, on the other side of the centre, and 56 is 504 off."""
    ended = run("record", "size", name, value, "--in", shed, *AT)
    assert ended.code == 2
    assert f"that is {off} from what the file says" in ended.err
    assert "--sure" in ended.err
    assert len(log_book(shed).entries) == 1
    fine(run("record", "size", name, value, "--sure", "--in", shed, *AT))


def test_the_same_far_size_measured_again_is_not_asked_about_twice(shed: Path) -> None:
    fine(run("record", "size", "header-tank.at.z", "700", "--sure", "--in", shed, *AT))
    fine(run("record", "size", "header-tank.at.z", "702", "--in", shed, *AT))


@pytest.mark.parametrize(
    ("answer", "code"),
    [
        ("3 mm", 1),
        ("they touch, 3 mm into it", 1),
        ("4,9 mm", 1),
        ("5.5 +/- 1 mm", 1),
        ("3/16 in", 1),
        ("12 mm above, 4 mm below", 1),
        ("room enough", 2),
        ("it overlaps by 8 mm", 2),
        ("no", 2),
        ("5 mm", 0),
        ("1/4 in", 0),
        ("7", 0),
        ("yes, room enough", 0),
    ],
)
def test_an_answer_to_a_gap_is_held_to_what_is_to_be_kept(answer: str, code: int, shed: Path) -> None:
    """5 mm are to be kept between the two, as the question says; 3/16 in is 4.76 mm, 1/4 in 6.35 mm."""
    ended = run("record", "settled", QUESTION, answer, "--in", shed, *AT)
    assert ended.code == code, ended.err
    assert bool(waiting_for(shed, "open question")) == bool(code)
    if code == 1:
        assert "is less than the 5 mm to be kept: the question stays open" in ended.err
        assert "make room" in ended.err


def test_a_size_that_leaves_no_place_begins_with_the_part_it_is_of(shed: Path) -> None:
    told = measured(shed, *TOO_FAR)
    stop = told.partition("STOP: ")[2].partition("\n")[0]
    assert "leaves no place: rear cylinder" in stop
    assert "bulkhead" in stop


def _run_of(legs: str, clips: str, cut: str, minutes: int = 20) -> WorkList:
    notes = (
        f"cut {cut}, 40 mm spare at each end in it",
        f"corner to corner from the first end: {legs}",
        f"clips at {clips}",
    )
    task = Task(id="cable.2", title="Crimp the lugs on cable", work=Work.ROUTING, minutes=minutes, notes=notes)
    return WorkList(features={}, tasks={task.id: task}, checkpoints={}, buys={})


AGREED_RUN = ("68 mm right, then 190 mm forwards", "60 mm, 282 mm", "1090 mm")


@pytest.mark.parametrize(
    ("legs", "clips", "cut", "told"),
    [
        ("68 mm right, then 191 mm forwards", "60 mm, 282 mm", "1090 mm", ""),
        ("68 mm right, then 194 mm forwards", "60 mm, 283 mm", "1090 mm", ""),
        ("68 mm right, then 195 mm forwards", "60 mm, 282 mm", "1090 mm", "one leg 190 mm, now 195 mm"),
        ("68 mm left, then 190 mm forwards", "60 mm, 282 mm", "1090 mm", "its way is another"),
        ("68 mm right, then 190 mm forwards", "60 mm, 282 mm, 300 mm", "1090 mm", "its way is another"),
        ("68 mm right, then 190 mm forwards", "60 mm, 282 mm", "1091 mm", "cut 1090 mm, now 1091 mm"),
    ],
)
def test_a_run_that_differs_within_the_doubt_is_told_and_no_reason_to_stop(
    legs: str, clips: str, cut: str, told: str
) -> None:
    """4 mm is how sure the sizes are; a cut of another length is another piece, by however little."""
    matters, slight = differences(_run_of(*AGREED_RUN), _run_of(legs, clips, cut), 4.0)
    assert bool(matters) == bool(told)
    assert bool(slight) == (not told)
    assert told in "".join(matters)


def test_other_minutes_are_other_work_however_alike_the_run() -> None:
    matters, _ = differences(_run_of(*AGREED_RUN), _run_of(*AGREED_RUN, minutes=30), 4.0)
    assert matters == ["otherwise than agreed: Crimp the lugs on cable (20 min, now 30 min)"]


def test_names_with_spaces_are_told_to_be_quoted_and_a_reading_needs_no_quotes(shed: Path) -> None:
    ended = run("record", "ordered", "rear", "cylinder", "--in", shed)
    assert ended.code == 2
    assert 'names with spaces in quotes, such as "rear cylinder"' in ended.err
    told = run("record", "check", "1", "0,0", "V", "--by", "AB", "--in", shed)
    assert "step `1` makes no check" in told.err


def test_a_part_that_is_off_and_may_stay_by_honest_sizes_goes_back(shed: Path) -> None:
    """The cylinder is elsewhere, so the tank need not move; the lever is where the tank was to go, so it must not.

    By hand: the tank was to span y = -30 to 130, the lever is moved from 30 to -10; where it is the tank begins at 70.
    """
    steps = {k: str(n) for k, n in log_book(shed).plan().named.items()}
    for key in ("header-fill-hose:off#1", "header-tank:off#1"):
        fine(run("done", steps[key], "--in", shed, "--anyway", "it was in the way", *AT))
    sizes = {"rear-cylinder.at.y": "400", "wiper-lever.at.x": "720", "wiper-lever.at.y": "30"}
    for name, value in {"rear-cylinder.cylinder.length": "20 mm", **sizes}.items():
        measured(shed, name, value)
    job = shed / f"jobs/{JOB_ID}.yaml"
    # Else it would be off for the paint as well, and go back after that.
    job.write_text(job.read_text().replace("    off: [header-tank]\n", ""))
    with first_packing():
        fine(run("replan", shed, JOB_ID, *AT, "--agree"))
    left = open_keys(log_book(shed).plan(), log_book(shed).standing)
    assert {"header-tank:on#1", "header-fill-hose:on#1"} <= set(left)
    assert not [k for k in left if k.startswith("header-tank@new")]
    checks = {k for k in left if k.startswith("check.coolant")}
    assert checks
    for key in ("header-tank.off", "header-fill-hose.off", "header-tank:on#1", "header-fill-hose:on#1"):
        if key in left:
            number = str(log_book(shed).plan().named[key])
            fine(run("done", number, "--in", shed, "--anyway", "it is light", *AT))
    with first_packing():
        fine(run("replan", shed, JOB_ID, *AT, "--agree", "--anew"))
    after = set(open_keys(log_book(shed).plan(), log_book(shed).standing))
    assert checks <= after
    assert not {"header-tank:on#1", "header-tank:off#2"} & after


def test_a_replan_that_cannot_go_on_names_the_sizes_that_were_measured_since(shed: Path) -> None:
    """The same sizes, but the tank is in its new home already, where by them the lever is."""
    steps = {k: str(n) for k, n in log_book(shed).plan().named.items()}
    fine(run("record", "check", "change-told", "yes", "--by", "AB", "--in", shed, *AT))
    for key in ("header-fill-hose:off#1", "header-tank:off#1", "header-tank@new:on#1"):
        fine(run("done", steps[key], "--in", shed, "--anyway", "it was in the way", *AT))
    sizes = {"rear-cylinder.at.y": "400", "wiper-lever.at.x": "720", "wiper-lever.at.y": "30"}
    for name, value in {"rear-cylinder.cylinder.length": "20 mm", **sizes}.items():
        measured(shed, name, value)
    ended = run("replan", shed, JOB_ID, *AT, "--agree")
    assert ended.code == 1
    assert "wiper-lever.at.y as measured, 30 (line " in ended.err
    last = log_book(shed).entries[-1].n
    assert f"take back what was measured wrong: knockon undo {last - 3}" in ended.err
    assert f"knockon undo {last} --in {shed}" in ended.err


@pytest.mark.parametrize(("now", "stops"), [("26 mm away", False), ("22 mm away", True)])
def test_how_far_away_a_thing_is_that_is_looked_for_by_hand_is_no_reason_to_stop(now: str, stops: bool) -> None:
    """4 mm is how sure the sizes are; the hole and the drill are the same either way."""
    words = "Drill 8 mm holes has near it: battery ({}, as long as it is there)"
    lists = []
    for away in ("27 mm away", now):
        task = Task(id="b.8", title="Drill", work=Work.DRILLING, minutes=9, cautions=(words.format(away),))
        lists.append(WorkList(features={}, tasks={task.id: task}, checkpoints={}, buys={}))
    matters, slight = differences(*lists, 4.0)
    told = f"27 mm away, now {now}"
    assert told in "".join(matters if stops else slight)
    assert not (slight if stops else matters)


def test_a_hole_of_another_size_is_another_hole_by_however_little() -> None:
    one, two = (
        WorkList(
            features={},
            tasks={"b.8": Task(id="b.8", title=f"Drill {mm} mm holes", work=Work.DRILLING, minutes=9)},
            checkpoints={},
            buys={},
        )
        for mm in (8, 9)
    )
    matters, slight = differences(one, two, 4.0)
    assert matters
    assert not slight
