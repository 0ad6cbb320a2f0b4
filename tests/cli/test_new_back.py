"""`knockon new`: going back a question, and the questions that only turn up at times."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from cli.new_trial import ANSWERS, piped, typed
from cli.shed import read_project, shed_files, write_project

from planner.cli.new_asking import BackError, Question, Talk, WrongAnswerError
from planner.cli.new_lines import Lines
from planner.cli.new_talked import talked

LINES = [line for line in ANSWERS.splitlines() if not line.startswith("#")]
HEAD = LINES[: LINES.index("bulkhead")]
"""What is answered before the first part."""


def with_steps_back(lines: list[str], seed: int) -> list[str]:
    """The same answers by someone who goes back some questions now and then, and answers those once more."""
    rng = random.Random(seed)
    told: list[str] = []
    for at, line in enumerate(lines):
        back = rng.choice((0, 0, 0, 1, 2, 4))
        back = min(back, at)
        told += ["back"] * back + lines[at - back : at] + [line]
    return told


def test_whoever_goes_back_and_answers_the_same_makes_the_same_vehicle(tmp_path: Path) -> None:
    straight = typed("\n".join([*LINES, ""]), "new", tmp_path / "a" / "car")
    there_and_back = with_steps_back(LINES, 7)
    assert there_and_back.count("back") > 40
    done = typed("\n".join([*there_and_back, ""]), "new", tmp_path / "b" / "car")
    assert (straight.code, done.code, done.err) == (0, 0, "")
    for name, text in read_project(tmp_path / "a" / "car").items():
        other = (tmp_path / "b" / "car" / name).read_bytes()
        assert other.replace(bytes(tmp_path / "b"), b"") == text.replace(bytes(tmp_path / "a"), b"")


def test_the_old_answer_is_offered_and_enter_takes_it(tmp_path: Path) -> None:
    answers = [*HEAD, "battery", "", "", "175 x 240 x 190", "back", "back", "rail right", "", "bottom 640 0 80"]
    done = typed("\n".join([*answers, "", "", "", ""]), "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    assert "size [175 x 240 x 190]: mounted on [rail left]: size [175 x 240 x 190]: " in done.out
    text = (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")
    assert "mounted_on: rail-right" in text
    assert "box: [175, 240, 190]" in text


def test_what_is_about_something_else_by_now_is_not_offered(tmp_path: Path) -> None:
    # The name, the size and the place were a battery's.
    answers = [*HEAD, "battery", "spare", "", "175 x 240 x 190", "back", "back", "back", "back", "horn"]
    done = typed("\n".join(answers) + "\n", "new", tmp_path / "car")
    assert "called [spare]" in done.out
    assert done.out.rindex("called [horn]: ") > done.out.rindex("called [spare]: ")


def test_before_the_first_question_there_is_none(tmp_path: Path) -> None:
    done = typed("back\nShed\nback\nbarn\n", "new", tmp_path / "car")
    assert "there is no question before this one" in done.out
    assert "name of the vehicle [Shed]: " in done.out
    assert "# answers so far" in done.out
    assert "\nbarn\n" in done.out


def test_what_was_told_before_a_question_is_told_again_with_it(tmp_path: Path) -> None:
    """Who goes back to a remark or a list of kinds has to see what it is about."""
    answers = [*LINES[: LINES.index("allow")], "leave", "back", "allow"]
    done = typed("\n".join(answers) + "\n", "new", tmp_path / "car")
    assert done.out.count("! gearbox: bulkhead overlaps it by 160 mm") == 2
    assert done.out.count("leave, retype or allow [leave]: ") == 2
    done = typed("\n".join([*HEAD, "tank", "2", "back", "1"]) + "\n", "new", tmp_path / "car")
    assert done.out.count("    1  fuel tank\n    2  header tank\n") == 2


def test_a_slip_in_a_size_is_asked_for_again_by_retype(tmp_path: Path) -> None:
    at = LINES.index("allow")
    answers = [*LINES[:at], "retype", "", "front 570 0 400", "allow", *LINES[at + 1 :], ""]
    done = typed("\n".join(answers), "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    assert "size [420 x 190 x 220]: where [front 570 0 130]: " in done.out
    assert "at: [570, 0, 400]" in (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("verb", ["part", "link", "space"])
def test_every_way_of_adding_goes_back(verb: str, tmp_path: Path) -> None:
    answers = {
        "part": ["battery", "spare", "bulkhead", "170 x 240 x 190", "left bottom 300 -400 0"],
        "link": ["heater hose", "radiator.top", "bulkhead", "hose", "19", "straight", "leave"],
        "space": ["bulkhead", "space", "60 x 300 x 150", "rear bottom 759 -300 200", "rearwards", "any"],
    }[verb]
    straight = write_project(tmp_path / "a", shed_files())
    crooked = write_project(tmp_path / "b", shed_files())
    done = typed("\n".join(answers) + "\n", "new", verb, straight)
    assert (done.code, done.err) == (0, "")
    # One step back after each answer but the last, which is given again.
    told = [each for line in answers[:-1] for each in (line, "back", line)] + answers[-1:]
    done = typed("\n".join(told) + "\n", "new", verb, crooked)
    assert (done.code, done.err) == (0, "")
    assert read_project(straight) == read_project(crooked)


def test_a_job_goes_back(tmp_path: Path) -> None:
    shed = write_project(tmp_path / "shed", shed_files())
    words = "remove\nback\nmove\nradiator\nback\nheader tank\n0 40 0\nback\n0 50 0\nsat 09:00-13:00\n"
    done = typed(words, "new", "job", shed, "tank over")
    assert (done.code, done.err) == (0, "")
    text = (shed / "jobs" / "tank-over.yaml").read_text(encoding="utf-8")
    assert "{do: move, part: header-tank, by: [0, 50, 0]}" in text


def test_what_came_with_an_answer_that_was_refused_goes_with_it(tmp_path: Path) -> None:
    """A battery brings a circuit; the job with it could not be, and the one made in its place has none."""
    shed = write_project(tmp_path / "shed", shed_files())
    before = (shed / "vehicle.yaml").read_bytes()
    battery = "add\nbattery\n\nbulkhead\n9 x 9 x 9\n0 0 900\nsat 9-13; sat 10-14\n"
    done = typed(f"{battery}remove\nfuse box\nsat 09:00-13:00\n", "new", "job", shed, "less weight")
    assert (done.code, done.err) == (0, "")
    assert "what is to be done [add]: " in done.out
    assert (shed / "vehicle.yaml").read_bytes() == before
    assert "{do: remove, part: fuse-box}" in (shed / "jobs" / "less-weight.yaml").read_text(encoding="utf-8")


def test_back_in_a_script_is_the_same(tmp_path: Path) -> None:
    done = piped("Shed\nback\nBarn\n" + "\n" * 12, "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    assert "name: Barn\n" in (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")


def test_one_enter_too_many_does_not_end_the_parts(tmp_path: Path) -> None:
    answers = [*HEAD, "", "", "no_such_thing", "horn", "", "", "", "", "", "", ""]
    done = typed("\n".join([*answers, ""]), "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    assert "no part yet: end all the same [no]: " in done.out
    assert "  horn:" in (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")
    done = typed("\n".join([*HEAD, "", "yes", "", "", ""]), "new", tmp_path / "other")
    assert (done.code, done.err) == (0, "")


def test_enter_after_a_part_ends_them_unasked(tmp_path: Path) -> None:
    done = typed("\n".join([*HEAD, "horn", "", "", "", "", "", "", ""]) + "\n", "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    assert "no part yet" not in done.out


def numbers(talk: Talk) -> list[int]:
    """Two numbers, the second of which the first must not exceed."""

    def read(text: str) -> int:
        if not text.isdigit():
            raise WrongAnswerError(f"{text} is no number", "write digits")
        return int(text)

    low = talk.ask(Question(words="low", read=read, default="1", help="low"))
    high = talk.ask(Question(words="high", read=read, default="9", help="high"))
    if high < low:
        raise BackError(0, "  once more")
    return [low, high]


def test_answers_may_be_taken_back_by_the_questions_themselves(capsys: pytest.CaptureFixture[str]) -> None:
    assert talked(Talk(Lines(["7", "3", "2", "3"], "here"), person=False), numbers) == [2, 3]
    assert "  once more\nlow [1]: 2\n" in capsys.readouterr().out


def test_an_answer_that_does_not_fit_any_more_is_asked_for_in_sight() -> None:
    """What an answer was about may have gone from the disk while someone went back."""
    allowed = {"7", "8", "9", "back"}
    asked: list[str] = []

    def questions(talk: Talk) -> list[str]:
        def read(text: str) -> str:
            asked.append(text)
            if text not in allowed:
                raise WrongAnswerError("gone")
            return text

        first = talk.ask(Question(words="first", read=read, default="", help=""))
        second = talk.ask(Question(words="second", read=read, default="", help=""))
        allowed.discard("7")
        third = talk.ask(Question(words="third", read=read, default="", help=""))
        return [first, second, third]

    talk = Talk(Lines(["7", "8", "back", "9", "9", "9"], "here"), person=False)
    assert talked(talk, questions) == ["9", "9", "9"]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20, 32))
def test_many_ways_there_and_back(seed: int, tmp_path: Path) -> None:
    done = typed("\n".join([*with_steps_back(LINES, seed), ""]), "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    straight = typed("\n".join([*LINES, ""]), "new", tmp_path / "other" / "car")
    assert straight.code == 0
    one = (tmp_path / "car" / "vehicle.yaml").read_bytes().replace(bytes(tmp_path / "car"), b"")
    other = (tmp_path / "other" / "car" / "vehicle.yaml").read_bytes().replace(bytes(tmp_path / "other" / "car"), b"")
    assert one == other
