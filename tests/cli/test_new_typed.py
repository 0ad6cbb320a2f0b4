"""Sizes, places, kinds and names as they are typed. Expected values by hand: an inch is 25.4 mm exactly (1959)."""

from __future__ import annotations

import pytest
from cli.shed import catalog
from hypothesis import given
from hypothesis import strategies as st

from planner.cli.asked_change import job_for_part
from planner.cli.ending import Stop
from planner.cli.new_asking import WrongAnswerError
from planner.cli.new_choice import one_of
from planner.model.job import Move
from planner.model.shapes import Vec
from planner.shelf import load_vehicle, projects_folder
from planner.shelf.fresh import NameFaultError, called
from planner.shelf.kind_words import OTHER_WORDS, kinds_by_words
from planner.shelf.tape import Three, anchor_words, read_anchor, read_shape, read_spot, read_three
from planner.units import UnitError


def mm(three: Three) -> tuple[float, float, float]:
    return (three[0].mm, three[1].mm, three[2].mm)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("620 x 180 x 240", (620, 180, 240)),
        ("620x180x240", (620, 180, 240)),
        ("620 X 180 \u00d7 240", (620, 180, 240)),
        ("620*180*240", (620, 180, 240)),
        ("620, 180, 240", (620, 180, 240)),
        ("620; 180; 240", (620, 180, 240)),
        ("620 180 240", (620, 180, 240)),
        ("-620 0 .5", (-620, 0, 0.5)),
        ("62 x 18 x 24 cm", (620, 180, 240)),
        ("10 x 5 x 2 in", (254, 127, 50.8)),
        ("1 1/4 in x 3 in x 1/2 in", (31.75, 76.2, 12.7)),
        ("1 1/4 x 3 x 1/2 in", (31.75, 76.2, 12.7)),
        ('10" x 5" x 2"', (254, 127, 50.8)),
        ("18 swg x 410 x 685", (1.219, 410, 685)),
        ("0, 2 in, 0", (0, 50.8, 0)),
        ("x=620 y=-40 z=80", (620, -40, 80)),
        ("x 620, y -40, z 80", (620, -40, 80)),
        ("620 +/- 5, -40, 80", (620, -40, 80)),
        ("62 +/- 1 x 18 x 24 cm", (620, 180, 240)),
        ("3' 6\", 0, 1 ft", (1066.8, 0, 304.8)),
    ],
)
def test_three_lengths(text: str, expected: tuple[float, float, float]) -> None:
    assert mm(read_three(text, "mm")) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("620 x 180", "three lengths are wanted, found 2"),
        ("", "found none"),
        ("1 x 2 x 3 x 4", "found 4"),
        ("1 x x 3", "found 2"),
        ("62 cm x 18 x 24", "some lengths have a unit and some have none"),
        ("62 x 18 cm x 24", "some lengths have a unit and some have none"),
        ("18 swg x 410 x 685 in", "some lengths have a unit and some have none"),
        ("20 3/4 1/16", "not clear which numbers go together"),
        ("1,5 x 2,5 x 3,5", "three lengths are wanted"),
        ("1 x 2 x 3 kg", "measures a mass"),
        ("1/0 x 2 x 3", "divides by zero"),
        ("1 x 2 x big", "is not a length"),
    ],
)
def test_what_are_no_three_lengths_is_told(text: str, told: str) -> None:
    with pytest.raises(UnitError) as caught:
        read_three(text, "mm")
    assert told in caught.value.message


@given(st.lists(st.integers(-9999, 9999), min_size=3, max_size=3), st.sampled_from([" x ", "x", ", ", " ", ";"]))
def test_whole_numbers_are_written_as_they_are_typed(numbers: list[int], between: str) -> None:
    three = read_three(between.join(map(str, numbers)), "mm")
    assert [t.written for t in three] == numbers
    assert mm(three) == tuple(numbers)


@given(st.lists(st.integers(1, 999), min_size=3, max_size=3))
def test_bare_numbers_are_in_the_files_unit(numbers: list[int]) -> None:
    assert mm(read_three(" ".join(map(str, numbers)), "inch")) == pytest.approx([25.4 * n for n in numbers])


def test_a_doubt_stays_with_its_size() -> None:
    assert [t.written for t in read_three("62 +/- 1 x 18 x 24 cm", "mm")] == ["62 cm +/- 1 cm", "18 cm", "24 cm"]


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("60 x 420 x 340", (60, 420, 340)),
        ("round 95 x 121", (95, 95, 121)),
        ("round 95 x 121 along x", (121, 95, 95)),
        ("Round 2 x 10 in along y", (50.8, 254, 50.8)),
        ("dia 95, 121 along z", (95, 95, 121)),
        ("round 1 1/2 in x 138 mm along x", (138, 38.1, 38.1)),
    ],
)
def test_a_shape(text: str, size: tuple[float, float, float]) -> None:
    assert read_shape(text, "mm").size_mm == pytest.approx(size)


@pytest.mark.parametrize("text", ["round 95", "round 1 x 2 x 3", "round 0 x 5", "0 x 1 x 2", "1 x -1 x 2", "round"])
def test_what_is_no_shape_is_told(text: str) -> None:
    with pytest.raises(UnitError):
        read_shape(text, "mm")


@pytest.mark.parametrize(
    ("text", "anchor", "place"),
    [
        ("620 -40 80", (0, 0, 0), (620, -40, 80)),
        ("bottom 620 -40 80", (0, 0, -1), (620, -40, 80)),
        ("front left bottom 620 -40 80", (-1, -1, -1), (620, -40, 80)),
        ("Rear/right/top corner: 620, -40, 80", (1, 1, 1), (620, -40, 80)),
        ("middle of its rear face 620 -40 80", (1, 0, 0), (620, -40, 80)),
        ("left -620 -40 -80", (0, -1, 0), (-620, -40, -80)),
    ],
)
def test_a_place(text: str, anchor: tuple[int, int, int], place: tuple[float, float, float]) -> None:
    spot = read_spot(text, "mm")
    assert (spot.anchor, spot.mm) == (anchor, place)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("front rear 1 2 3", "names both front and rear"),
        ("sideways 1 2 3", "`sideways` is no side of a part"),
        ("bottom 1 2", "three lengths are wanted"),
        ("bottom", "found none"),
    ],
)
def test_what_is_no_place_is_told(text: str, told: str) -> None:
    with pytest.raises(UnitError) as caught:
        read_spot(text, "mm")
    assert told in caught.value.message


def test_points_of_a_part_have_names() -> None:
    assert anchor_words(read_anchor("left front bottom")) == "its front left bottom corner"
    assert anchor_words(read_anchor("")) == "its middle"


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("battery", "battery"),
        ("Battery", "battery"),
        ("batery", "battery"),
        ("brake master", "brake-master-cylinder"),
        ("petrol tank", "fuel-tank"),
        ("shock absorbers", "damper"),
        ("hood", "bonnet"),
        ("fuses", "fuse-box"),
        ("seats", "seat"),
        ("final drive", "differential"),
    ],
)
def test_a_kind_is_found_by_plain_words(words: str, first: str) -> None:
    assert kinds_by_words(words, catalog().kinds) == (first,)


def test_several_kinds_are_all_found() -> None:
    assert set(kinds_by_words("tank", catalog().kinds)) == {"fuel-tank", "header-tank"}
    assert kinds_by_words("steering colum", catalog().kinds)[0] == "steering-column"
    assert "brake-drum" in kinds_by_words("brake", catalog().kinds)


@pytest.mark.parametrize("words", ["", "so", "xyzzy", "\x00", "z" * 500, "keep", "rail left bottom 3"])
def test_what_is_no_kind_is_none(words: str) -> None:
    assert kinds_by_words(words, catalog().kinds) == ()


def test_every_other_word_leads_to_a_kind_of_the_catalog() -> None:
    names = {k.name for k in (*catalog().kinds.values(), *catalog().link_kinds.values())}
    assert {w for w in OTHER_WORDS.values() if w not in names} == set()
    assert {w for w in OTHER_WORDS if w in names} == set()


@given(st.text(max_size=60))
def test_any_text_makes_a_sound_id_or_a_fault(text: str) -> None:
    try:
        named = called(text, "part", {"part", "engine"})
    except NameFaultError:
        return
    assert set(named.id) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert 0 < len(named.id) <= 40
    assert named.id not in {"part", "engine"}
    assert named.id[0] != "-"


def test_names_become_ids() -> None:
    assert (called("Brass tank", "x").id, called("Brass tank", "x").name) == ("brass-tank", "Brass tank")
    assert (called("driver's seat", "x").id, called("fuse box", "x").name) == ("drivers-seat", None)
    assert called("K\u00fchler", "x").id == "kuhler"
    assert called("\u65e5\u672c", "radiator").id == "radiator"


def test_one_of_takes_what_leaves_no_doubt() -> None:
    read = one_of(("rail-left", "rail-right", "drivers-seat", "seat"), "part", none="nothing")
    assert read("Rail Left") == read("left rail") == read("rail-l") == "rail-left"
    assert read("driver's seat") == "drivers-seat"
    assert read("seat") == "seat"
    assert read("nothing") == ""
    for doubtful in ("rail", "rai", "sofa", ""):
        with pytest.raises(WrongAnswerError):
            read(doubtful)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("62,5 x 18 x 24 cm", "write decimals with a point: `62.5 x 18 x 24 cm`"),
        ("1,5 x 2,5 x 3,5", "write decimals with a point: `1.5 x 2.5 x 3.5`"),
        ("62,5 0 3,25", "write decimals with a point: `62.5 0 3.25`"),
        # Three digits behind a comma may be thousands, and without another mark a comma may part two lengths.
        ("1,000 x 2 x 3", "write them with `x` or commas between: `620 x 180 x 240`"),
        ("62,5", "write them with `x` or commas between: `620 x 180 x 240`"),
        ("1,2,3,4", "write them with `x` or commas between: `620 x 180 x 240`"),
    ],
)
def test_what_a_decimal_comma_was_meant_for_is_offered(text: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        read_three(text, "mm")
    assert caught.value.hint == hint


def test_what_is_offered_can_be_read() -> None:
    assert mm(read_three("62.5 x 18 x 24 cm", "mm")) == pytest.approx((625, 180, 240))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("V-twin", "three lengths are wanted, found none in `V-twin`"),
        ("bottom 62 x V x 3", "`V` is not a length, in `bottom 62 x V x 3`"),
        ("bottom 62 x 5 cm x 3", "in `bottom 62 x 5 cm x 3` some lengths have a unit and some have none"),
        ("bottom 1 2", "three lengths are wanted, found 2 in `bottom 1 2`"),
        ("bottom 20 3/4 1/16", "in `bottom 20 3/4 1/16` it is not clear"),
        ("rear 1 x 2 x 3 kg", "in `rear 1 x 2 x 3 kg`"),
    ],
)
def test_a_place_that_is_none_is_quoted_as_it_was_typed(text: str, told: str) -> None:
    with pytest.raises(UnitError) as caught:
        read_spot(text, "mm")
    assert told in caught.value.message


def test_a_round_part_that_is_none_is_quoted_as_it_was_typed() -> None:
    with pytest.raises(UnitError, match="found 1 in `round 95 x exhaust`"):
        read_shape("round 95 x exhaust", "mm")
    with pytest.raises(UnitError, match="in `round 95 x 3 kg`"):
        read_shape("round 95 x 3 kg", "mm")


def test_a_shift_on_the_command_line_is_typed_as_a_place_is() -> None:
    vehicle, _ = load_vehicle(projects_folder() / "trials-car", catalog())
    assert vehicle is not None

    def moved(by: str) -> Vec:
        job = job_for_part(vehicle, "battery", by=by, to=None, grow=None, off=False)
        (change,) = job.changes
        assert isinstance(change, Move)
        was = vehicle.components["battery"].pose.at_mm
        x, y, z = (round(new - old, 6) for new, old in zip(change.to.at_mm, was, strict=True))
        return (x, y, z)

    assert moved("4 x 0 x 1 in") == (101.6, 0, 25.4)
    assert moved("-40 0 25") == moved("-40, 0, 25") == moved("x=-40 y=0 z=25") == (-40, 0, 25)
    with pytest.raises(Stop) as caught:
        moved("62,5 0 3,5")
    assert caught.value.message == "--by: `5 0 3` is not a length, in `62,5 0 3,5`"
    assert "write decimals with a point: `62.5 0 3.5`; x is rearward" in caught.value.hint
