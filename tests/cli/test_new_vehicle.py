"""`knockon new FOLDER`: a vehicle by questions, whole or not at all."""

from __future__ import annotations

import os
import re
import shutil
import stat
import subprocess
import sys
from pathlib import Path
from unittest.mock import patch

import pytest
from cli.new_trial import ANSWERS, piped, typed
from cli.shed import catalog, catalog_at_hand, read_project, run

from planner.finding import has_errors
from planner.knockon import find_knockons, present_faults
from planner.model.effects import Proof
from planner.shelf import load_job, load_vehicle
from planner.space import extent_mm

JOB = "bigger-header-tank"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The newcomer's vehicle, written."""
    folder = tmp_path_factory.mktemp("shed") / "car"
    done = piped(ANSWERS, "new", folder)
    assert (done.code, done.err) == (0, "")
    assert f"written: {folder}/vehicle.yaml and {folder}/jobs/{JOB}.yaml" in done.out
    return folder


def test_what_is_written_is_sound_and_possible(made: Path) -> None:
    vehicle, findings = load_vehicle(made, catalog())
    assert findings == ()
    assert vehicle is not None
    assert present_faults(vehicle) == ()
    assert sorted(read_project(made)) == [f"jobs/{JOB}.yaml", "vehicle.yaml"]


def test_every_part_stands_where_it_was_measured(made: Path) -> None:
    # By hand from the answers: a face named before the numbers is there, half or all of the size lies beyond it.
    vehicle, _ = load_vehicle(made, catalog())
    assert vehicle is not None
    spans = {
        "rail-left": ((-450, -320, 0), (2950, -270, 80)),
        "rail-right": ((-450, 270, 0), (2950, 320, 80)),
        "bulkhead": ((759, -550, 80), (761, 550, 600)),
        "gearbox": ((570, -95, 20), (990, 95, 240)),
        "bulkhead-shelf": ((609, -450, 590), (759, 450, 592)),
        "header-tank": ((630, 65, 592), (750, 295, 722)),
        "brake-master-cylinder": ((619, 310, 435), (759, 350, 475)),
        "steering-column": ((600, 312.5, 362.5), (1300, 347.5, 397.5)),
        "drivers-seat": ((1350, 90, 90), (1850, 510, 590)),
    }
    for part, (low, high) in spans.items():
        component = vehicle.components[part]
        found = extent_mm(component.solids, component.pose)
        assert found[0] == pytest.approx(low, abs=0.1), part
        assert found[1] == pytest.approx(high, abs=0.1), part


def test_parts_are_members_of_the_circuits_that_they_open(made: Path) -> None:
    vehicle, _ = load_vehicle(made, catalog())
    assert vehicle is not None
    kinds = {i: {vehicle.systems[s].kind for s in c.systems} for i, c in vehicle.components.items()}
    assert kinds["radiator"] == kinds["header-tank"] == {"coolant"}
    assert kinds["brake-master-cylinder"] == {"hydraulic-brake"}
    assert kinds["fuel-tank"] == {"fuel"}
    assert vehicle.ground_z_mm == -220
    assert vehicle.components["gearbox"].touches == ("bulkhead",)
    assert vehicle.components["fuel-tank"].near_mm == {"rail-right": 10}


def test_the_first_job_gets_a_sensible_answer(made: Path) -> None:
    # The tank, 230 wide about y = 180, grows to y 25..335; the fuse box reaches y = 55 and has to give way.
    vehicle, _ = load_vehicle(made, catalog())
    assert vehicle is not None
    job, findings = load_job(made, JOB, vehicle, catalog())
    assert job is not None
    assert not has_errors(findings)
    found = find_knockons(vehicle, job, catalog())
    assert found.proof is Proof.PROVED
    assert "fuse-box" in {e.subject for e in found.effects}


def test_a_part_is_mounted_on_the_frame_where_nobody_says_otherwise(made: Path) -> None:
    """Whatever the last one was mounted on: a guess that is wrong is then wrong in the same way each time."""
    with catalog_at_hand():
        asked = piped("horn\n\n\n\n\n\n", "new", "part", made, "-n").out
    assert "mounted on [rail left]: " in asked
    assert "mounted_on: rail-left" in asked


def test_prices_are_in_one_currency(made: Path, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(made, tmp_path / "shed"))
    vehicle, _ = load_vehicle(folder, catalog())
    assert vehicle is not None
    # Nobody was asked: until its owner says, each job has its own.
    assert vehicle.currency is None
    for line in (folder / "jobs" / f"{JOB}.yaml").read_text(encoding="utf-8").splitlines():
        assert not re.search(r"\b(EUR|GBP|USD)\b", line), line
    text = (folder / "vehicle.yaml").read_text(encoding="utf-8")
    (folder / "vehicle.yaml").write_text(text.replace("# currency: EUR", "currency: SEK"), encoding="utf-8")
    vehicle, _ = load_vehicle(folder, catalog())
    assert vehicle is not None
    job, _ = load_job(folder, JOB, vehicle, catalog())
    assert job is not None
    assert job.currency == "SEK"


def test_the_file_is_written_for_a_person(made: Path) -> None:
    text = (made / "vehicle.yaml").read_text(encoding="utf-8")
    assert "  header-tank:\n    kind: header-tank " in text
    assert "    at: [690, 180, 592]                   # its bottom face, in the middle\n" in text
    assert "    on: bulkhead-shelf\n" in text
    assert max(len(line) for line in text.splitlines()) <= 120


def test_answers_of_a_file_and_of_a_pipe_make_the_same_vehicle(made: Path, tmp_path: Path) -> None:
    answers = tmp_path / "answers.txt"
    answers.write_text(ANSWERS, encoding="utf-8")
    with catalog_at_hand():
        done = run("new", tmp_path / "car", "--from", answers)
    assert done.code == 0
    for name, content in read_project(made).items():
        assert (tmp_path / "car" / name).read_bytes().replace(bytes(tmp_path), b"") == content.replace(
            bytes(made.parent), b""
        )


def test_a_dry_run_prints_the_file_and_writes_nothing(made: Path, tmp_path: Path) -> None:
    done = piped(ANSWERS, "new", tmp_path / "car", "-n")
    assert done.code == 0
    assert "  header-tank:\n    kind: header-tank " in done.out
    assert not (tmp_path / "car").exists()
    assert made.exists()


def test_enter_alone_makes_a_chassis(tmp_path: Path) -> None:
    done = piped("\n" * 20, "new", tmp_path / "car")
    assert done.code == 0
    vehicle, findings = load_vehicle(tmp_path / "car", catalog())
    assert findings == ()
    assert vehicle is not None
    assert list(vehicle.components) == ["rail-left", "rail-right"]


def test_what_was_not_measured_is_a_guess_with_its_doubt(tmp_path: Path) -> None:
    piped("\n" * 8 + "battery\n" + "\n" * 12, "new", tmp_path / "car")
    vehicle, findings = load_vehicle(tmp_path / "car", catalog())
    assert not has_errors(findings)
    assert vehicle is not None
    battery = vehicle.components["battery"]
    assert battery.position_doubt_mm == 50
    # A third of the catalog's largest battery, a fifth of it in doubt.
    assert battery.solids[0].size_mm == pytest.approx([catalog().kinds["battery"].largest_mm / 3] * 3)  # type: ignore[union-attr]
    assert battery.solids[0].doubt_mm == pytest.approx(30)
    assert "# not measured yet" in (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")


def test_inches_stay_inches(tmp_path: Path) -> None:
    answers = "Tin can\ninch\n138 x 59 x 51\n20\n8\n1/8\nfloor\n1/16\nbattery\n\n\n6 7/8 x 9 1/2 x 7 1/2 in\n"
    answers += "bottom left 20 3/4 1/16\n"
    done = piped(answers + "\n\n\n", "new", tmp_path / "car")
    assert (done.code, "it is not clear which numbers go together" in done.err) == (2, True)
    done = piped(answers.replace("20 3/4 1/16", "20 3/4, 2, 1/16") + "\n\n\n", "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(tmp_path / "car", catalog())
    assert vehicle is not None
    assert vehicle.units == "inch"
    battery = vehicle.components["battery"]
    low, high = extent_mm(battery.solids, battery.pose)
    # 25.4 mm to the inch: x is the middle, y the left face, z the underside.
    assert low == pytest.approx([(20.75 - 6.875 / 2) * 25.4, 2 * 25.4, 25.4 / 16], abs=0.01)
    assert high == pytest.approx([(20.75 + 6.875 / 2) * 25.4, 11.5 * 25.4, (7.5 + 1 / 16) * 25.4], abs=0.01)
    assert "at: [20 3/4, 2, 1/16]" in (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8").replace('"', "")


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ("2 x 1100", "three lengths are wanted, found 2"),
        ("2 x 1100 x 520 furlongs", "`1100 furlongs` is longer than a kilometre"),
        ("2 x 1100 x 520 kg", "measures a mass"),
        ("-2 x 1100 x 520", "a size must be more than 0"),
        ("2 x 2200 x 520", "the largest believed is `2000 mm`"),
        ("9" * 401, "400 are allowed"),
        ("2 x 1\x1b[31m x 3", "cannot be seen"),
    ],
)
def test_a_person_is_told_what_is_wrong_and_asked_again(wrong: str, told: str, tmp_path: Path) -> None:
    lines = [line for line in ANSWERS.splitlines() if not line.startswith("#")]
    size = lines.index("2 x 1100 x 520")
    done = typed("\n".join([*lines[:size], wrong, *lines[size:18], *[""] * 9]), "new", tmp_path / "car")
    assert told in " ".join(done.out.split())
    assert (done.code, done.err) == (0, "")
    assert "box: [2, 1100, 520]" in (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")


def test_a_wrong_line_of_a_script_ends_it_with_its_number(tmp_path: Path) -> None:
    number = ANSWERS.splitlines().index("2 x 1100 x 520") + 1
    done = piped(ANSWERS.replace("2 x 1100 x 520", "2 x 1100"), "new", tmp_path / "car")
    assert done.code == 2
    assert f"<stdin>:{number}: three lengths are wanted, found 2 in `2 x 1100`" in done.err
    assert not (tmp_path / "car").exists()


def test_lines_that_nobody_asked_for_are_refused(tmp_path: Path) -> None:
    done = piped(ANSWERS + "one more\n", "new", tmp_path / "car")
    assert done.code == 2
    assert "nothing is asked any more, found one more" in done.err
    assert not (tmp_path / "car").exists()


def test_a_place_outside_the_vehicle_is_refused_with_its_limits(tmp_path: Path) -> None:
    done = piped(ANSWERS.replace("bottom 2500 0 90", "bottom 25000 0 90"), "new", tmp_path / "car")
    assert done.code == 2
    assert "from x 24825 mm to 25175 mm; the vehicle goes from -450 mm to 2950 mm" in done.err


def test_help_and_examples_are_shown(tmp_path: Path) -> None:
    done = typed("?\nTin can\n?\n", "new", tmp_path / "car")
    assert "    Clarty trials two-seater\n" in done.out
    assert "    inch\n" in done.out


def test_several_kinds_are_offered_by_number(tmp_path: Path) -> None:
    done = piped("\n" * 8 + "tank\n2\n\n\n\n\n\n\n\n\n", "new", tmp_path / "car")
    assert "    1  fuel tank\n    2  header tank\n" in done.out
    assert "header-tank:" in (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")


def test_the_last_part_can_be_taken_out_again(tmp_path: Path) -> None:
    done = piped("\n" * 8 + "radiator\n\n\n60 x 420 x 340\n\nundo\n\n\n\n", "new", tmp_path / "car")
    assert done.code == 0
    assert "  radiator is taken out again" in done.out
    text = (tmp_path / "car" / "vehicle.yaml").read_text(encoding="utf-8")
    assert "radiator" not in text
    assert "coolant" not in text


def test_a_person_who_stops_gets_the_answers_back(tmp_path: Path) -> None:
    first = [line for line in ANSWERS.splitlines() if not line.startswith("#")][:20]
    done = typed("\n".join(first) + "\n", "new", tmp_path / "car")
    assert done.code == 1
    assert "stopped: nothing is written" in done.err
    assert not (tmp_path / "car").exists()
    kept = tmp_path / "kept.txt"
    kept.write_text(done.out[done.out.index("# answers so far") :], encoding="utf-8")
    rest = [line for line in ANSWERS.splitlines() if not line.startswith("#")][20:]
    done = typed("\n".join(rest) + "\n", "new", tmp_path / "car", "--from", kept)
    assert done.code == 0
    assert (tmp_path / "car" / "jobs" / f"{JOB}.yaml").is_file()


def test_ctrl_c_leaves_nothing(tmp_path: Path) -> None:
    with patch("builtins.input", side_effect=KeyboardInterrupt):
        done = typed("", "new", tmp_path / "car")
    assert (done.code, "nothing is written" in done.err) == (130, True)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("cut", range(0, len(ANSWERS.splitlines()), 16))
def test_answers_that_end_anywhere_leave_nothing(cut: int, tmp_path: Path) -> None:
    done = piped("\n".join(ANSWERS.splitlines()[:cut]), "new", tmp_path / "car")
    assert done.code == 2
    assert "ends where an answer is wanted" in done.err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_with_a_vehicle_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "vehicle.yaml").write_text("mine\n", encoding="utf-8")
    done = piped(ANSWERS, "new", tmp_path)
    assert (done.code, done.out) == (2, "")
    assert "is there already: nothing is changed" in done.err
    assert read_project(tmp_path) == {"vehicle.yaml": b"mine\n"}


def test_a_link_to_nowhere_is_a_vehicle_too(tmp_path: Path) -> None:
    (tmp_path / "vehicle.yaml").symlink_to(tmp_path / "gone")
    assert piped(ANSWERS, "new", tmp_path).code == 2
    assert not (tmp_path / "gone").exists()


def test_a_vehicle_that_came_meanwhile_is_left_alone(tmp_path: Path) -> None:
    def meanwhile(*_: object) -> None:
        (tmp_path / "vehicle.yaml").write_text("mine\n", encoding="utf-8")

    with patch("planner.cli.new_asking.Talk.see_end", meanwhile):
        done = piped(ANSWERS, "new", tmp_path)
    assert done.code == 3
    assert "header-tank:" in done.err
    assert read_project(tmp_path) == {"vehicle.yaml": b"mine\n"}


@pytest.mark.parametrize("name", ["a\nb", "CON", "nul.txt", "dot.", "q?", "\x07"])
def test_a_folder_that_some_system_cannot_keep_is_refused(name: str, tmp_path: Path) -> None:
    done = piped(ANSWERS, "new", tmp_path / name)
    assert (done.code, done.out) == (2, "")
    assert "no folder" in done.err
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_way_is_told(tmp_path: Path) -> None:
    (tmp_path / "car").write_text("a file", encoding="utf-8")
    done = piped(ANSWERS, "new", tmp_path / "car")
    assert (done.code, "is a file, not a folder" in done.err) == (3, True)
    done = piped(ANSWERS, "new", tmp_path / "car" / "below")
    assert (done.code, "is a file, not a folder" in done.err) == (3, True)


def test_a_folder_that_cannot_be_written_in_is_told_before_any_question(tmp_path: Path) -> None:
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    try:
        # Whoever runs the tests as root may write anywhere; what the system says of others is put in its place.
        with patch("os.access", lambda *_: False):
            done = piped(ANSWERS, "new", tmp_path / "car")
    finally:
        tmp_path.chmod(stat.S_IRWXU)
    assert (done.code, done.out) == (3, "")
    assert "nothing can be written in" in done.err


def test_a_disk_that_is_full_at_the_end_loses_no_answer(tmp_path: Path) -> None:
    full = OSError(28, "No space left on device")
    with patch("planner.files.write.os.fsync", side_effect=full):
        done = piped(ANSWERS, "new", tmp_path / "car")
    assert done.code == 3
    assert "cannot be written: no space left on device" in done.err
    assert "  header-tank:\n    kind: header-tank " in done.out
    assert read_project(tmp_path) == {}


KILLED = """
import os, signal, sys
import planner.files.write as w
from pathlib import Path
real = os.fsync
def fsync(fd):
    os.kill(os.getpid(), signal.SIGKILL)
w.os.fsync = fsync
sys.argv = ["knockon", "new", sys.argv[1]]
from planner.cli.main import main
main()
"""


def test_a_kill_while_writing_leaves_no_vehicle(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(tmp_path / "car")],
        input="\n" * 20,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "COLUMNS": "80"},
    )
    assert done.returncode == -9
    assert not (tmp_path / "car" / "vehicle.yaml").exists()


def test_a_folder_called_as_a_verb_is_named_with_a_dot(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    done = piped("\n" * 20, "new", "part")
    assert (done.code, "knockon new ./part" in done.err) == (2, True)
    done = piped("\n" * 20, "new", "./part")
    assert (done.code, (tmp_path / "part" / "vehicle.yaml").is_file()) == (0, True)


@pytest.mark.slow
def test_the_first_job_can_be_planned(made: Path) -> None:
    with catalog_at_hand():
        done = run("plan", made, JOB, "--from", "2027-01-09", "--quick", "--short")
    assert (done.code, done.err) == (0, "")
    assert "no fault found" in " ".join(done.out.split())
