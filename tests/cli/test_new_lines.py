"""Answers from a file or a pipe: remarks that no line foresaw, wrong lines, an early end; nothing answered is lost."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from unittest.mock import patch

import pytest
from cli.new_trial import ANSWERS, Terminal, piped, typed
from cli.shed import catalog, catalog_at_hand, read_project, run, shed_files, write_project

from planner.cli.new_sheet import Sheet, Tried
from planner.shelf import load_vehicle
from planner.shelf.fresh import Entry

LINES = [line for line in ANSWERS.splitlines() if not line.startswith("#")]
WITHOUT = [line for line in LINES if line != "allow"]
"""The answers of someone who did not foresee that anything would overlap."""
MARK = "# answers so far"


def handed_back(out: str) -> list[str]:
    """The lines that are printed to go on from."""
    return out[out.index(MARK) :].splitlines()[1:]


def test_a_remark_that_no_line_foresaw_takes_no_line(tmp_path: Path) -> None:
    done = piped("\n".join(WITHOUT), "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    assert done.out.count("leave, retype or allow [leave]: leave   (no line says otherwise)\n") == 2
    vehicle, _ = load_vehicle(tmp_path / "car", catalog())
    assert vehicle is not None
    assert vehicle.components["gearbox"].touches == ()
    assert vehicle.components["fuel-tank"].near_mm == {}
    # Nothing is hushed up: the check that follows tells of it.
    assert "gearbox" in done.out[done.out.index("written:") :]


def test_a_line_may_say_that_a_remark_stays(tmp_path: Path) -> None:
    left = piped("\n".join("leave" if line == "allow" else line for line in LINES), "new", tmp_path / "a" / "car")
    unsaid = piped("\n".join(WITHOUT), "new", tmp_path / "b" / "car")
    assert (left.code, unsaid.code) == (0, 0)
    one, other = ((tmp_path / x / "car" / "vehicle.yaml").read_bytes() for x in "ab")
    assert one.replace(bytes(tmp_path / "a"), b"") == other.replace(bytes(tmp_path / "b"), b"")


def test_at_a_terminal_a_person_answers_the_remark_that_the_file_does_not(tmp_path: Path) -> None:
    kept = tmp_path / "kept.txt"
    kept.write_text("\n".join(WITHOUT), encoding="utf-8")
    done = typed("allow\nallow\n", "new", tmp_path / "car", "--from", kept)
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(tmp_path / "car", catalog())
    assert vehicle is not None
    assert vehicle.components["gearbox"].touches == ("bulkhead",)


def test_a_wrong_line_at_a_terminal_is_put_right_by_hand(tmp_path: Path) -> None:
    at = LINES.index("60 x 420 x 340")
    kept = tmp_path / "kept.txt"
    kept.write_text("\n".join([*LINES[:at], "60 x 420", *LINES[at + 1 :]]), encoding="utf-8")
    done = typed("\n".join(LINES[at:]) + "\n", "new", tmp_path / "a" / "car", "--from", kept)
    assert (done.code, done.err) == (0, "")
    told = " ".join(done.out.split())
    fault = f"{kept}:{at + 1}: three lengths are wanted, found 2 in `60 x 420`"
    # A path breaks anywhere at the terminal's edge.
    assert "".join(fault.split()) in "".join(done.out.split())
    assert "go on by hand from here" in told
    straight = piped("\n".join(LINES), "new", tmp_path / "b" / "car")
    assert straight.code == 0
    one, other = (read_project(tmp_path / x / "car") for x in "ab")
    assert [t.replace(bytes(tmp_path / "a"), b"") for t in one.values()] == [
        t.replace(bytes(tmp_path / "b"), b"") for t in other.values()
    ]


def test_a_wrong_line_of_a_pipe_hands_back_what_was_right(tmp_path: Path) -> None:
    at = LINES.index("60 x 420 x 340")
    done = piped("\n".join([*LINES[:at], "60 x 420", *LINES[at + 1 :]]), "new", tmp_path / "car")
    assert done.code == 2
    *right, wrong = handed_back(done.out)
    assert right == LINES[:at]
    assert wrong == f"# not taken, line {at + 1}: 60 x 420"
    # The lines go on where they ended, the wrong one being a remark.
    again = piped("\n".join([*right, wrong, *LINES[at:]]), "new", tmp_path / "car")
    assert (again.code, again.err) == (0, "")


@pytest.mark.parametrize("cut", [1, 9, 30, 70, len(LINES) - 1])
def test_a_pipe_that_ends_early_hands_back_all_of_it(cut: int, tmp_path: Path) -> None:
    done = piped("\n".join(LINES[:cut]) + "\n", "new", tmp_path / "car")
    assert (done.code, "<stdin> ends where an answer is wanted" in done.err) == (2, True)
    assert handed_back(done.out) == LINES[:cut]
    assert list(tmp_path.iterdir()) == []


def test_answers_are_handed_back_by_every_way_of_adding(tmp_path: Path) -> None:
    shed = write_project(tmp_path / "shed", shed_files())
    before = read_project(shed)
    for verb, lines in (
        ("part", ["battery", "spare", "bulkhead"]),
        ("link", ["heater hose", "radiator.top"]),
        ("space", ["bulkhead"]),
    ):
        assert handed_back(piped("\n".join(lines) + "\n", "new", verb, shed).out) == lines
    assert handed_back(piped("move\nradiator\n", "new", "job", shed, "aft").out) == ["move", "radiator"]
    assert read_project(shed) == before


def test_whatever_breaks_answers_are_handed_back(tmp_path: Path) -> None:
    with patch("planner.cli.new_sheet.Sheet.tried", side_effect=RuntimeError("broken")):
        done = piped("\n".join(LINES), "new", tmp_path / "car")
    assert done.code == 70
    assert handed_back(done.out) == LINES[: LINES.index("bulkhead")]
    full = OSError(28, "No space left on device")
    with patch("planner.cli.new_sheet.Sheet.tried", side_effect=full):
        done = piped("\n".join(LINES), "new", tmp_path / "car")
    assert done.code == 3
    assert handed_back(done.out) == LINES[: LINES.index("bulkhead")]


def test_only_answers_that_were_taken_are_handed_back(tmp_path: Path) -> None:
    head = LINES[: LINES.index("bulkhead")]
    # A kind that is none, one that was none of a list, a size and a place that no battery can have, an undone part.
    wrong = ["xyzzy", "tank", "3", "battery", "", "", "9 x", "100 x 100 x 100", "0 0", "0 0 90 m", "0 0 400"]
    done = typed("\n".join([*head, *wrong, "horn", "", "", "", "", "undo"]) + "\n", "new", tmp_path / "car")
    assert handed_back(done.out) == [*head, "battery", "", "", "100 x 100 x 100", "0 0 400"]


def test_what_only_goes_together_badly_is_handed_back_as_comments(tmp_path: Path) -> None:
    shed = write_project(tmp_path / "shed", shed_files())
    answers = ["move", "radiator", "0 9 0", "sat 9-13; sat 10-14"]
    asked = ["what is to be done", "which part (move)", "how far", "when is there time"]
    as_comments = [f"# taken back, {words}: {answer}" for words, answer in zip(asked, answers, strict=True)]
    for give, code in ((piped, 2), (typed, 1)):
        done = give("\n".join(answers) + "\n", "new", "job", shed, "aft")
        assert (done.code, handed_back(done.out)[-3:]) == (code, as_comments[-3:])
        assert [line for line in handed_back(done.out) if line[0] != "#"] == []


def test_what_was_taken_back_and_not_answered_again_is_not_lost(tmp_path: Path) -> None:
    done = typed("Shed\nmm\n3400 x 1450 x 1250\nback\nback\n", "new", tmp_path / "car")
    assert handed_back(done.out) == ["Shed", "# taken back, units: mm", "# taken back, over all: 3400 x 1450 x 1250"]


def test_what_is_answered_out_of_sight_is_not_lost(tmp_path: Path) -> None:
    """Someone goes back, and the command is broken off while it works its way to the question."""
    real = Sheet.take

    def broken(self: Sheet, new: Sequence[Entry], tried: Tried) -> None:
        # The rails have been taken once; on the way back they are taken again.
        if taken:
            raise KeyboardInterrupt
        taken.append(1)
        real(self, new, tried)

    taken: list[int] = []
    head = LINES[: LINES.index("bulkhead")]
    with patch.object(Sheet, "take", broken):
        done = typed("\n".join([*head, "battery", "back"]) + "\n", "new", tmp_path / "car")
    assert done.code == 130
    assert handed_back(done.out) == [*head, "# taken back, part 3: battery"]


def test_a_line_that_begins_as_a_remark_comes_back_as_an_answer(tmp_path: Path) -> None:
    done = typed("#5 special\n", "new", tmp_path / "car")
    assert handed_back(done.out) == [" #5 special"]
    assert handed_back(piped(" #5 special\n", "new", tmp_path / "car").out) == [" #5 special"]


def test_lines_too_many_are_told_of_at_a_terminal_as_well(tmp_path: Path) -> None:
    kept = tmp_path / "kept.txt"
    kept.write_text("\n".join([*LINES, "one more"]), encoding="utf-8")
    with patch("sys.stdin", Terminal("")), catalog_at_hand():
        done = run("new", tmp_path / "car", "--from", kept)
    assert (done.code, "nothing is asked any more, found one more" in done.err) == (2, True)
    assert handed_back(done.out) == LINES


def test_a_pipe_without_end_is_left(tmp_path: Path) -> None:
    done = piped("y\n" * 100_000, "new", tmp_path / "car")
    assert done.code == 2
    assert handed_back(done.out) == ["y", "# not taken, line 2: y"]


def test_a_remark_is_made_once(tmp_path: Path) -> None:
    """What was left as it is is not told of again with the next part, from the other side."""
    done = piped("\n".join(WITHOUT), "new", tmp_path / "car")
    asked = done.out[: done.out.index("written:")]
    assert (asked.count("overlaps it"), asked.count("comes within")) == (1, 1)
