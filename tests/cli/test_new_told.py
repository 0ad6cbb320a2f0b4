"""What questions say: of slips in a size, of why a gap is wanted, of sides, hosts and names."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.new_trial import ANSWERS, piped, typed
from cli.shed import catalog, shed_files, write_project

from planner.cli.new_asking import WrongAnswerError
from planner.cli.new_choice import one_of
from planner.model.shapes import Vec
from planner.shelf import load_vehicle
from planner.shelf.believed_sizes import see_part, see_whole
from planner.units import UnitError

LINES = [line for line in ANSWERS.splitlines() if not line.startswith("#")]
HEAD = LINES[: LINES.index("bulkhead")]


def told(*answers: str, folder: Path) -> str:
    """What is told of answers at the first part, on one line."""
    return " ".join(typed("\n".join([*HEAD, *answers]) + "\n", "new", folder / "car").out.split())


# The largest are those of Directive 96/53/EC, Annex I, the others of vehicles everybody knows; values from memory.
@pytest.mark.parametrize(
    "size_mm",
    [(18_750, 2_550, 4_000), (12_000, 2_550, 4_000), (3_050, 1_410, 1_350), (2_000, 750, 1_100), (1_500, 1_000, 500)],
)
def test_vehicles_that_there_are_are_believed(size_mm: Vec) -> None:
    see_whole(size_mm, "mm")


@pytest.mark.parametrize(
    ("size_mm", "wrong"),
    [
        ((20, 9_000, 480), "a length of 20 mm: a vehicle is believed from 1000 mm to 20000 mm"),
        ((350, 150, 130), "a length of 350 mm"),
        ((35_000, 1_500, 1_300), "a length of 35000 mm"),
        ((3_500, 15_000, 1_300), "a width of 15000 mm: a vehicle is believed from 300 mm to 4000 mm"),
        ((3_500, 1_500, 13), "a height of 13 mm: a vehicle is believed from 300 mm to 5000 mm"),
    ],
)
def test_slips_of_the_unit_are_not(size_mm: Vec, wrong: str) -> None:
    with pytest.raises(UnitError) as caught:
        see_whole(size_mm, "mm")
    assert caught.value.message.startswith(wrong)
    assert " x ".join(f"{mm} mm" for mm in size_mm) in caught.value.hint


def test_limits_are_told_in_the_files_unit() -> None:
    # 1000 and 20000 mm are 39.37 and 787.40 in: to the nearest 32nd within 0.005 in, else to hundredths.
    with pytest.raises(UnitError) as caught:
        see_whole((254.0, 1_500.0, 1_300.0), "inch")
    assert caught.value.message == "a length of 10 in: a vehicle is believed from 39 3/8 in to 787 13/32 in"


@pytest.mark.parametrize(
    ("size_mm", "wrong"),
    [
        ((20, 9_000, 480), "a bulkhead `9000 mm` long: the largest believed is `2000 mm`"),
        ((0.02, 900, 480), "a bulkhead `0 mm` thin: the thinnest believed is `0.2 mm`"),
    ],
)
def test_a_part_that_cannot_be_is_refused(size_mm: Vec, wrong: str) -> None:
    largest_mm = catalog().kinds["bulkhead"].largest_mm
    with pytest.raises(UnitError) as caught:
        see_part(size_mm, "mm", what="bulkhead", largest_mm=largest_mm, whole_mm=(3_400, 1_450, 1_250))
    assert caught.value.message == wrong


def test_a_part_may_stick_out_a_little_but_not_be_longer_by_far() -> None:
    whole_mm = (3_400.0, 1_450.0, 1_250.0)
    see_part((100, 2_400, 100), "mm", what="rail", largest_mm=6_000, whole_mm=whole_mm)
    with pytest.raises(UnitError, match="side to side: the vehicle over all is `1450 mm` side to side"):
        see_part((100, 2_500, 100), "mm", what="rail", largest_mm=6_000, whole_mm=whole_mm)
    see_part((100, 2_500, 100), "mm", what="rail", largest_mm=6_000, whole_mm=None)


def test_a_slip_in_a_size_is_told_at_once_and_asked_again(tmp_path: Path) -> None:
    done = typed("\n".join(["", "", "2 x 900 x 48 cm", "", *[""] * 6, "yes", "", ""]) + "\n", "new", tmp_path / "a")
    assert (done.code, done.err) == (0, "")
    assert "it was read as 20 mm x 9000 mm x 480 mm" in " ".join(done.out.split())
    out = told("bulkhead", "", "", "2 x 900 x 48 cm", "2 x 900 x 480", "bottom 760 0 80", folder=tmp_path)
    assert "a bulkhead `9000 mm` long: the largest believed is `2000 mm`" in out
    assert "where [not measured]: part 4" in out


def test_a_box_for_parts_is_held_against_the_vehicle(tmp_path: Path) -> None:
    done = piped("\n".join([*LINES[: LINES.index("150 x 900 x 160")], "15 x 9000 x 160"]), "new", tmp_path / "car")
    assert (done.code, "a mounting space `9000 mm` side to side" in done.err) == (2, True)


def test_who_is_refused_twice_is_told_how_to_go_back(tmp_path: Path) -> None:
    assert "`back` goes to" not in told("battery", "", "", "9 x", folder=tmp_path)
    assert "`back` goes to the question before" in told("battery", "", "", "9 x", "9 y", folder=tmp_path)


def test_a_gap_is_wanted_for_a_reason(tmp_path: Path) -> None:
    # The catalog keeps 15 mm clear round a fuel tank and 30 mm round a silencer; between them its rule wants 100 mm.
    kinds, rule = catalog().kinds, catalog().clearances["fuel-from-exhaust"]
    assert (kinds["fuel-tank"].keep_clear_mm, kinds["silencer"].keep_clear_mm, rule.keep_mm) == (15, 30, 100)
    assert kinds["silencer"].source.endswith("; common practice, no published source (clearances)")
    assert rule.source.startswith("UN Regulation 67, 17.4.5 (")
    tank = ["petrol tank", "", "rail left", "350 x 700 x 250", "bottom 2500 0 90"]
    out = told(*tank, folder=tmp_path)
    assert "is to be kept the catalog keeps 15 mm clear round a fuel tank (common practice) leave" in out
    # The tank ends at x 2675.
    silencer = ["silencer", "", "rail left", "300 x 100 x 100", "front 2680 0 250"]
    out = told(*tank, "leave", *silencer, folder=tmp_path).rpartition("30 mm is to be kept ")[2]
    because = f"100 mm between these two: {rule.why} (UN Regulation 67, 17.4.5)"
    assert out.startswith(f"the catalog keeps 30 mm clear round a silencer (common practice); {because} leave")


def test_what_the_file_keeps_clear_is_not_put_down_to_the_catalog(tmp_path: Path) -> None:
    vehicle = shed_files()["vehicle.yaml"].decode().replace("keep_clear: 0\n", "keep_clear: 30\n")
    shed = write_project(tmp_path / "shed", shed_files(vehicle))
    # The lever stands at y -400, z 560 to 660 and is 12 across: 20 mm beside it.
    done = typed("bracket\n\nbulkhead\n20 x 20 x 20\nleft 790 -374 600\nleave\n", "new", "part", shed)
    assert (done.code, done.err) == (0, "")
    assert "the file keeps 30 mm clear round wiper lever" in " ".join(done.out.split())


def test_each_answer_to_a_remark_says_what_it_does(tmp_path: Path) -> None:
    out = told(*LINES[len(HEAD) : LINES.index("allow")], "?", folder=tmp_path)
    for words in ("leave: stays as typed", "retype: size and place are asked", "allow: it is like that on the vehicle"):
        assert words in out
    assert "it makes nothing safer" in out


def test_allow_is_never_taken_by_enter_alone(tmp_path: Path) -> None:
    """Not even by someone who allowed it before, went back and has another size by now."""
    at = LINES.index("allow")
    done = typed("\n".join([*LINES[:at], "allow", "back", "back", "", ""]) + "\n" * 8, "new", tmp_path / "car")
    assert (done.code, done.err) == (0, "")
    assert "leave, retype or allow [allow]" not in done.out
    vehicle, _ = load_vehicle(tmp_path / "car", catalog())
    assert vehicle is not None
    assert vehicle.components["gearbox"].touches == ()


def test_a_side_that_is_none_is_answered_with_all_sides(tmp_path: Path) -> None:
    read = one_of(("rail-left", "rail-right", "bulkhead"), "part")
    with pytest.raises(WrongAnswerError) as caught:
        read("rail middle")
    assert caught.value.hint == "did you mean `rail-left` or `rail-right`?"
    with pytest.raises(WrongAnswerError) as caught:
        read("bulkhaed")
    assert caught.value.hint == "did you mean `bulkhead`?"
    many = one_of([f"rail-{n}" for n in range(30)], "part")
    with pytest.raises(WrongAnswerError) as caught:
        many("rail middle")
    assert caught.value.hint.endswith("and 18 more?")
    assert "`rail-left` or `rail-right`" in told("horn", "", "rail middle", folder=tmp_path)


def test_one_host_is_enough(tmp_path: Path) -> None:
    out = told("horn", "", "?", "rail left, rail right", folder=tmp_path)
    assert "one is enough, the one that carries most of it" in out
    assert "one part is wanted here; the one that carries most of it" in out


@pytest.mark.parametrize("where", ["V-twin", "left V-twin 3", "xyz"])
def test_what_was_typed_is_quoted_whole(where: str, tmp_path: Path) -> None:
    out = told("horn", "", "", "60 x 60 x 60", where, folder=tmp_path)
    assert f"in `{where}`" in out


def test_whose_name_the_vehicle_gets_is_told(tmp_path: Path) -> None:
    done = typed("", "new", tmp_path / "barn-find")
    assert "in brackets the name of its folder\nname of the vehicle [Barn find]: " in done.out
    done = typed("", "new", tmp_path / ("x" * 90))
    assert "of its folder" not in done.out
    assert "name of the vehicle [my special]: " in done.out
