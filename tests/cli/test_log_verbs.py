"""`plan --agree`, `next`, `done`, `record`, `undo`, `status` and `replan` on a small project, in one process."""

from __future__ import annotations

import json
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import (
    JOB_ID,
    agreed_project,
    catalog_at_hand,
    fine,
    isolating,
    run,
    shed_files,
    work_up_to,
    write_project,
)
from worked_once import worked_once

LOG = f"jobs/{JOB_ID}.log.jsonl"
BEGIN = "2027-01-09T09:15"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project whose plan is agreed."""
    with catalog_at_hand():
        return agreed_project(tmp_path_factory.mktemp("agreed") / "shed")


@pytest.fixture
def shed(agreed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed, tmp_path / "shed"))


def lines(folder: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in (folder / LOG).read_text().splitlines()]


def step_with(folder: Path, words: str) -> int:
    """Number of the first step whose title has some words in it."""
    steps = json.loads(fine(run("next", folder, "-n", "200", "--json")))["steps"]
    return int(next(s["number"] for s in steps if words in s["title"]))


def test_the_first_line_says_which_plan_was_agreed(shed: Path) -> None:
    (line,) = lines(shed)
    assert line["sort"] == "agreed"
    assert (shed / f"jobs/{JOB_ID}.plans" / f"{line['plan']}.json").is_file()


def test_a_step_is_done_by_its_number_or_by_none(shed: Path) -> None:
    assert "then: knockon done 1" in fine(run("next", shed, "--at", BEGIN))
    fine(run("done", "--in", shed, "--took", "40", "--at", "2027-01-09T09:55"))
    fine(run("done", "2", "--in", shed))
    first, second = lines(shed)[1:]
    assert (first["took_min"], first["at"]) == (40, "2027-01-09T09:55:00")
    assert "took_min" not in second
    assert "2 steps done" in fine(run("next", shed))


def test_what_waits_for_another_step_is_refused_and_nothing_is_written(shed: Path) -> None:
    late = step_with(shed, "Cut slot in")
    before = (shed / LOG).read_bytes()
    ended = run("done", str(late), "--in", shed)
    assert ended.code == 1
    assert "waits for" in ended.err
    assert (shed / LOG).read_bytes() == before
    assert run("done", "999", "--in", shed).code == 2
    assert run("done", "4-2", "--in", shed).code == 2
    assert (shed / LOG).read_bytes() == before


def test_out_of_order_wants_a_reason_and_never_goes_past_a_checkpoint(shed: Path) -> None:
    fine(run("done", "2", "--anyway", "a doubler was at hand", "--in", shed))
    assert lines(shed)[-1]["sort"] == "note"
    road = step_with(shed, "Road test")
    ended = run("done", str(road), "--anyway", "it drives", "--in", shed)
    assert ended.code == 1
    assert "never passed over" in ended.err


def test_a_check_made_with_a_step_holds_back_what_is_done_in_that_state(shed: Path) -> None:
    isolate = step_with(shed, "Switch everything off")
    fine(run("done", work_up_to(shed, isolate), "--in", shed))
    assert "battery-dead" in run("next", shed).out
    drill = step_with(shed, "Drill the ends")
    ended = run("done", str(drill), "--in", shed)
    assert ended.code == 1
    assert "CHECK Battery proved off" in ended.err
    assert "signed by somebody" in run("record", "check", "battery-dead", "0 yes", "--in", shed).err
    failing = fine(run("record", "check", "battery-dead", "12.6", "--by", "AB", "--in", shed))
    assert "failed" in failing
    assert run("done", str(drill), "--in", shed).code == 1
    fine(run("record", "check", "battery-dead", "0 yes", "--in", shed))
    assert lines(shed)[-1]["by"] == "AB"
    fine(run("record", "check", "change-told", "yes", "--by", "AB", "--in", shed))
    fine(run("done", str(drill), "--in", shed))


@pytest.mark.parametrize("reading", ["12,6 kV", "lots", "", "1e400", "nan", "-" * 5000])
def test_a_reading_that_is_none_is_refused(shed: Path, reading: str) -> None:
    fine(run("done", isolating(shed), "--in", shed))
    before = (shed / LOG).read_bytes()
    ended = run("record", "check", "battery-dead", "--by", "AB", "--in", shed, "--", reading)
    assert ended.code in {1, 2}
    assert "Traceback" not in ended.err
    assert (shed / LOG).read_bytes() == before


def test_undo_takes_back_and_undo_of_undo_brings_back(shed: Path) -> None:
    fine(run("done", "1", "--in", shed))
    assert "does not count any more" in fine(run("undo", "--in", shed))
    assert "0 steps done" in fine(run("next", shed))
    assert "counts again" in fine(run("undo", "3", "--in", shed))
    assert "1 step done" in fine(run("next", shed))
    assert len(lines(shed)) == 4
    assert run("undo", "77", "--in", shed).code == 2


def test_the_road_is_shut_until_everything_is_done(shed: Path) -> None:
    fine(run("done", "1", "--in", shed))
    ended = run("status", shed, "--road")
    assert ended.code == 1
    assert ended.out.count(": NO") == 3
    told = json.loads(fine(run("status", shed, "--json")))
    assert not told["road"]["moving"]["free"]


def test_planning_again_changes_nothing_when_nothing_has(shed: Path) -> None:
    before = (shed / LOG).read_bytes()
    assert "still holds" in fine(run("replan", shed, "--at", "2027-01-02T10:00"))
    fine(run("record", "ordered", "fluid", "--due", "2027-01-08", "--in", shed))
    fine(run("record", "ordered", "rear-cylinder", "--in", shed, "--at", "2027-01-02T20:00"))
    assert lines(shed)[-1]["due"] == "2027-01-11"
    fine(run("done", "1", "--at", "2027-01-09T09:40", "--in", shed))
    assert "still holds" in fine(run("replan", shed, "--at", "2027-01-09T09:40"))
    assert (shed / LOG).read_bytes().startswith(before)


def test_a_lost_day_moves_steps_and_they_keep_their_numbers(shed: Path) -> None:
    named = {s["key"]: s["number"] for s in json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]}
    fine(run("record", "lost", "2027-01-09", "--in", shed, "--at", "2027-01-08T20:00"))
    ended = run("replan", shed, "--limit", "1", "--at", "2027-01-08T20:00", "--agree")
    out = fine(ended)
    assert "no work on Sat 9 Jan 2027" in out
    assert "becomes" in out
    steps = json.loads(fine(run("next", shed, "-n", "200", "--json")))["steps"]
    assert {s["key"]: s["number"] for s in steps} == named
    assert all(not s["planned"].startswith("2027-01-09") for s in steps)
    assert [e["sort"] for e in lines(shed)] == ["agreed", "lost", "agreed"]


def test_work_found_and_a_part_broken_come_into_the_plan(shed: Path) -> None:
    fine(
        run(
            "record",
            "found",
            "Move the loom clip",
            "--minutes",
            "25",
            "--off",
            "fuse-box",
            "--before",
            "slot",
            "--in",
            shed,
        )
    )
    fine(run("record", "broken", "wiper-lever", "bent", "--minutes", "45", "--in", shed))
    out = fine(run("replan", shed, "--limit", "1", "--at", "2027-01-08T20:00", "--agree"))
    assert "new: " in out
    titles = [s["title"] for s in json.loads(run("next", shed, "-n", "200", "--json").out)["steps"]]
    assert "Move the loom clip" in titles
    assert any("fuse box off" in t for t in titles)
    assert any(t.startswith("Mend, make or buy again: wiper-lever") for t in titles)
    assert run("record", "broken", "wiper-leaver", "bent", "--in", shed).code == 2


def test_a_plan_that_was_lost_or_changed_is_told_and_can_be_made_anew(shed: Path) -> None:
    (plan,) = (shed / f"jobs/{JOB_ID}.plans").glob("*.json")
    plan.write_text(plan.read_text().replace("Paint the slot", "Paint nothing"))
    ended = run("next", shed)
    assert ended.code == 1
    assert "changed after it was agreed" in ended.err
    plan.unlink()
    assert "is not there" in run("done", "1", "--in", shed).err
    fine(run("replan", shed, "--limit", "1", "--at", "2027-01-02T10:00", "--agree"))
    assert "to go" in fine(run("next", shed))


def test_no_agreed_plan_is_said_with_what_to_do(tmp_path: Path) -> None:
    folder = write_project(tmp_path / "shed", shed_files())
    for verb in (["next", folder], ["done", "--in", folder], ["status", folder], ["replan", folder]):
        ended = run(*verb)
        assert ended.code == 1
        assert "--agree" in ended.err
    assert run("next", folder, "../../etc/passwd").code == 1
    assert run("next", tmp_path / "nowhere").code in {1, 2, 3}


def test_ticks_of_the_book_are_taken_as_far_as_they_hold(shed: Path, tmp_path: Path) -> None:
    steps = json.loads(fine(run("next", shed, "-n", "200", "--json")))["steps"]
    first = [
        {"v": 1, "tick": s["key"], "at": "2027-01-09T10:00"}
        for s in steps
        if str(s["number"]) in isolating(shed).split(",")
    ]
    value = {"v": 1, "value": "battery-dead", "text": "0 yes", "by": "AB", "at": "2027-01-09T10:05"}
    road = {"v": 1, "tick": steps[-1]["key"], "at": "2027-01-09T10:06"}
    file = tmp_path / "ticks.txt"
    file.write_text("\n".join(json.dumps(e) for e in [road, value, *first]))
    ended = run("record", "ticks", file, "--in", shed)
    assert ended.code == 1
    assert "not taken" in ended.err
    assert [e["sort"] for e in lines(shed)] == ["agreed", *["done"] * len(first), "signed"]
    assert lines(shed)[1]["at"] == "2027-01-09T10:00:00"
    file.write_text('{"v": 1, "tick": 7}')
    assert run("record", "ticks", file, "--in", shed).code == 1
    assert len(lines(shed)) == len(first) + 2


def test_a_log_that_is_a_link_or_a_pipe_is_told_and_never_followed(shed: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside.jsonl"
    outside.write_bytes((shed / LOG).read_bytes())
    (shed / LOG).unlink()
    (shed / LOG).symlink_to(outside)
    for verb in (["next", shed], ["done", "--in", shed], ["undo", "--in", shed], ["record", "note", "x", "--in", shed]):
        ended = run(*verb)
        assert ended.code == 1
        assert "links are not followed" in ended.err
    assert len(outside.read_text().splitlines()) == 1


def test_the_agreed_plan_is_named_by_its_digest_alone(shed: Path) -> None:
    (line,) = lines(shed)
    for plan in ("../../../etc/passwd", "/etc/passwd", "", "a" * 5000, "\x1b[2J"):
        (shed / LOG).write_text(json.dumps({**line, "plan": plan}) + "\n")
        ended = run("next", shed)
        assert ended.code == 1
        assert ended.err.isprintable() or "\n" in ended.err
        assert "\x1b" not in ended.err


def test_what_is_written_in_hand_writing_does_not_act_on_the_terminal(shed: Path) -> None:
    fine(run("record", "note", "\x1b[31mrust\x07 under\nthe tray", "--in", shed))
    told = fine(run("status", shed, "--log"))
    assert "rust under the tray" in told.replace("[31m", "")
    assert "\x1b" not in told


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ({"sort": "extra", "day": "2027-01-12", "start": "18:00:00+01:00", "end": "20:00:00+01:00"}, "time zone"),
        ({"sort": "done", "key": "slot.1", "guess_min": 25, "work": "cutting", "pace": 0, "took_min": 5}, "`pace`: 0"),
        ({"sort": "lost", "day": "soon"}, "`day`: 'soon' is no date"),
    ],
)
def test_a_line_that_cannot_be_is_told_with_its_place_by_every_verb(
    shed: Path, line: dict[str, object], told: str
) -> None:
    with (shed / LOG).open("a", encoding="utf-8") as log:
        log.write(json.dumps({"v": 1, "n": 2, "at": f"{BEGIN}:00", **line}) + "\n")
    before = (shed / LOG).read_bytes()
    for words in (
        ["next"],
        ["status"],
        ["status", "--pace"],
        ["replan"],
        ["adopt"],
        ["plan", JOB_ID],
        ["book", JOB_ID],
    ):
        ended = run(words[0], shed, *words[1:])
        assert (ended.code, ended.out) == (1, ""), words
        assert f"{LOG}:2:1: error: " in ended.err
        assert told in ended.err
    for words in (["done"], ["undo"], ["record", "note", "rust"]):
        assert run(*words, "--in", shed).code == 1
    assert (shed / LOG).read_bytes() == before


def test_no_verb_writes_a_line_that_it_would_not_read(shed: Path, tmp_path: Path) -> None:
    fine(run("done", isolating(shed), "--in", shed))
    before = (shed / LOG).read_bytes()
    tick = {"v": 1, "at": "0007-01-01T10:00", "value": "battery-dead", "text": "0 yes", "by": "AB"}
    (tmp_path / "ticks").write_text(json.dumps(tick))
    assert run("record", "ticks", tmp_path / "ticks", "--in", shed).code != 0
    ended = run("record", "ordered", "rear-cylinder", "--in", shed, "--at", "2150-12-31T10:00")
    assert ended.code == 2
    assert "the year 2151" in ended.err
    assert (shed / LOG).read_bytes() == before
    fine(run("next", shed))


def test_words_that_the_tool_prints_are_understood(shed: Path) -> None:
    fine(run("done", isolating(shed), "--in", shed))
    assert {e["sort"] for e in lines(shed)} == {"agreed", "done"}
    fine(run("record", "check", "Battery proved off", "0 yes", "--by", "AB", "--in", shed))
    assert lines(shed)[-1]["checkpoint"] == "battery-dead"
    fine(run("record", "broken", "wiper lever", "bent", "--in", shed))
    assert lines(shed)[-1]["part"] == "wiper-lever"
    assert "says whether the plan still holds" in fine(run("undo", "--in", shed))


def test_a_failure_is_of_something_that_was_tried(shed: Path) -> None:
    late = step_with(shed, "Trial fit")
    ended = run("record", "failed", str(late), "too tight", "--in", shed)
    assert ended.code == 1
    assert "cannot have been tried" in ended.err


def wiper_tried(folder: Path) -> int:
    """Do what comes before the trial fit of the wiper lever, and the trial; gives its number."""
    isolate, trial = step_with(folder, "Switch everything off"), step_with(folder, "Trial fit wiper lever")
    fine(run("done", work_up_to(folder, isolate), "--in", folder))
    fine(run("record", "check", "change-told", "yes", "--by", "AB", "--in", folder))
    fine(run("record", "check", "battery-dead", "0 yes", "--by", "AB", "--in", folder))
    titles = ("Drill the ends and corners of slot", *(f"{verb} wiper lever" for verb in ("Take", "Offer", "Drill for")))
    ahead = [step_with(folder, t) for t in (*titles, "Close the holes wiper lever left", "Fit wiper lever in")]
    fine(run("done", ",".join(map(str, (*ahead, trial))), "--in", folder))
    return trial


def test_a_trial_that_fails_says_what_stays_done_and_the_command_that_has_it_done_again(shed: Path) -> None:
    """By their titles these made the lever's place: its holes marked, its holes drilled."""
    mark, drill = step_with(shed, "Offer wiper lever up"), step_with(shed, "Drill for wiper lever")
    trial = wiper_tried(shed)
    out = fine(run("record", "failed", str(trial), "rubs on the rim's edge", "--in", shed))
    done = {s["number"] for s in json.loads(fine(run("next", shed, "-n", "200", "--json")))["steps"]}
    assert drill in done
    assert mark not in done
    assert f"to be done again: {drill} Drill for wiper lever" in out
    assert f"stays done:\n  - {mark} Offer wiper lever up" in out
    first, second = next(line for line in out.splitlines() if "&&" in line).strip().split(" && ")
    for command in (first, second):
        told = fine(run(*shlex.split(command)[1:]))
    assert "stays done" not in told
    open_ = {s["number"] for s in json.loads(fine(run("next", shed, "-n", "200", "--json")))["steps"]}
    assert {mark, drill, trial} <= open_
    assert lines(shed)[-1]["why"] == "rubs on the rim's edge"


def test_work_to_be_done_again_is_named_by_numbers_commas_and_ranges(shed: Path) -> None:
    mark = step_with(shed, "Offer wiper lever up")
    trial = wiper_tried(shed)
    before = (shed / LOG).read_bytes()
    for words in (f"{trial + 1}-{trial + 3}", "998-999"):
        assert run("record", "failed", str(trial), "rubs", "--redo", words, "--in", shed).code == 2
    assert (shed / LOG).read_bytes() == before
    fine(run("record", "failed", str(trial), "rubs", "--redo", f"1,{mark}-{trial - 2}", "--in", shed))
    redo = lines(shed)[-1]["redo"]
    assert redo[:3] == ["slot.1", "wiper-lever.1", "wiper-lever.2"]  # type: ignore[index]


def test_a_part_that_is_fitted_and_put_elsewhere_by_the_file_is_told(shed: Path) -> None:
    wiper_tried(shed)
    when = ["--limit", "1", "--at", "2027-01-10T09:00"]
    assert "no step moves it" not in fine(run("replan", shed, *when))
    job = shed / f"jobs/{JOB_ID}.yaml"
    job.write_text(job.read_text().replace("by: [0, -40, 0]", "by: [0, -44, 0]"))
    told = fine(run("replan", shed, *when))
    assert "wiper lever is fitted, and the files put it 4 mm left by now: no step moves it" in told
    assert "record failed TRIAL WHY" in told


def test_what_was_done_to_a_thing_after_work_that_is_done_again_is_done_again_as_well(shed: Path) -> None:
    """A slot marked anew is drilled, cut and filed anew: what was done on the old line is no more."""
    trial = wiper_tried(shed)
    done = [str(e["key"]) for e in lines(shed) if e["sort"] == "done" and str(e["key"]).startswith("slot.")]
    assert len(done) > 2
    told = fine(run("record", "failed", str(trial), "rubs", "--redo", "1", "--in", shed))
    assert lines(shed)[-1]["redo"] == done
    assert "what of it is good as it is: knockon record needless STEP WHY" in told
    # A new slot leaves the lever that rubs as it is.
    plan = fine(run("plan", shed, JOB_ID, "--limit", "1", "--from", "2027-01-09"))
    assert "Put right what failed: Trial fit wiper lever" in plan


def test_what_is_taken_back_names_the_steps_that_were_done_because_of_it(shed: Path) -> None:
    """The battery is isolated before anything is drilled: of what is done it is the drilling that needed it."""
    trial = wiper_tried(shed)
    isolated = next(e["n"] for e in lines(shed) if str(e.get("key", "")).startswith("state:battery"))
    told = fine(run("undo", str(isolated), "--in", shed))
    (needed,) = [line for line in told.splitlines() if "needed it" in line]
    assert "Drill the ends and corners of slot" in needed
    assert "Mark slot" not in needed
    assert lines(shed)[-1]["cancels"] == isolated
    last = fine(run("undo", "--in", shed))
    assert f"done: {trial} " in last
    assert "needed it" not in last


def test_a_line_that_was_said_twice_is_taken_back_without_a_warning(shed: Path) -> None:
    fine(run("record", "arrived", "fluid", "rear-cylinder", "--in", shed))
    fine(run("record", "arrived", "fluid", "--in", shed))
    assert "needed it" not in fine(run("undo", "2", "--in", shed))


def test_steps_that_are_done_are_not_done_again_in_silence(shed: Path) -> None:
    fine(run("done", "1-2", "--in", shed))
    ended = run("done", "1-2", "--in", shed)
    assert ended.code == 2
    assert "done already" in ended.err
    assert run("record", "failed", "1-2", "too long", "--in", shed).code == 2


def test_a_book_is_of_the_plan_that_was_agreed(shed: Path) -> None:
    fine(run("record", "lost", "2027-01-09", "--in", shed, "--at", "2027-01-08T20:00"))
    ended = run("export", shed, JOB_ID, "--as", "csv", "--from", "2027-01-08", "--limit", "1", "-o", "-")
    assert ended.code == 1
    assert "no other was agreed" in ended.err
