"""When there is no answer: the set of demands named cannot hold together, and without any one of them the rest can."""

from __future__ import annotations

from dataclasses import replace
from itertools import count

import pytest
from brute_demands import DemandBrute
from garage import box, catalog, job, link, mover, part, space, vehicle, wall
from random_vehicles import random_case
from workshop import shelf

from planner.knockon import find_knockons
from planner.knockon.asked import asked_by
from planner.knockon.conflicts import rules_for
from planner.knockon.demand_core import DemandModel, smallest_core
from planner.knockon.demands import Chances
from planner.knockon.homes import HomeSearch
from planner.knockon.impossible import impossible
from planner.model.effects import Held, Proof
from planner.model.job import Add, Change, Cut, Grow, Move
from planner.model.shapes import Direction, Pose
from planner.model.vehicle import Component, Freedom, Keeps, Relation, Room, RoomNeed, Space, Vehicle

CUBE = (100.0, 100.0, 100.0)
DEFAULT, ALL = 45, 100


def core_is_smallest(seed: int) -> int | None:
    """How many demands are named in a case without answer; None for a case that has one, or is impossible at once."""
    v, j = random_case(seed)
    asked = asked_by(v, j)
    rules = rules_for(v, asked)
    search = HomeSearch(asked, rules, catalog(), j.hour_worth)
    stuck = () if impossible(v, asked, rules) else search.run(60.0).stuck
    if not stuck:
        return None
    chances = Chances(search, stuck)
    assert not chances.too_many, f"case {seed}"
    brute = DemandBrute(v, j, catalog(), stuck=stuck, on_grid_alone=chances.on_grid_alone)
    core = [(d.sort.value, d.subjects) for d in smallest_core(DemandModel(chances))]
    assert core, f"case {seed}"
    assert not brute.can_hold(core), f"case {seed}: {core} can hold together"
    for demand in core:
        assert brute.can_hold([d for d in core if d != demand]), f"case {seed}: {demand} is not needed in {core}"
    return len(core)


def carries(seed: int) -> bool:
    """Whether a stuck part of a case carries something."""
    v, j = random_case(seed)
    asked = asked_by(v, j)
    stuck = HomeSearch(asked, rules_for(v, asked), catalog(), j.hour_worth).run(60.0).stuck
    brute = DemandBrute(v, j, catalog(), stuck=stuck)
    return any(set(brute.hosts(i)) & set(stuck) for i in brute.parts)


def test_core_is_the_smallest() -> None:
    sizes = {seed: n for seed in range(DEFAULT) if (n := core_is_smallest(seed)) is not None}
    assert len(sizes) >= 12
    assert sum(n > 2 for n in sizes.values()) >= 4
    assert sum(carries(seed) for seed in sizes) >= 3


@pytest.mark.slow
def test_core_is_the_smallest_in_a_hundred_cases() -> None:
    """Every one of the first hundred sets of demands without answer, those of parts that carry others included."""
    sizes: dict[int, int] = {}
    for seed in count():
        size = core_is_smallest(seed)
        if size is not None:
            sizes[seed] = size
        if len(sizes) == ALL:
            break
    assert sum(n > 2 for n in sizes.values()) >= 30
    assert sum(carries(seed) for seed in sizes) >= 20


def held(v: Vehicle, *changes: Change) -> dict[tuple[str, tuple[str, ...]], Held]:
    told = find_knockons(v, job(*changes), catalog())
    assert told.proof is Proof.NONE
    return {(h.sort, h.subjects): h for h in told.held}


def pushed(*more: Component, home: Space | None = None, **facts: object) -> Vehicle:
    """A cube that is pushed out by :data:`BAR`, and what its home is."""
    spaces = [] if home is None else [home]
    return vehicle([wall(), mover("cube", (60, 0, 500), CUBE, **facts), *more], spaces=spaces)


BAR = Add(component=part("bar", (130, 0, 500), (60, 900, 40)))


def test_keep_clear_that_gives() -> None:
    """The home is 6 mm from a lamp; 10 mm are to be kept."""
    lamp = part("lamp", (60, 106, 800), CUBE, keep_clear_mm=10.0, freedom=Freedom.STAYS)
    found = held(pushed(lamp, home=space("shelf", (60, 0, 800), CUBE)), BAR)
    gives = found["keep-clear", ("cube", "lamp")].gives
    assert "within 6 mm instead of 10 mm of lamp" in gives
    assert ("stays", ("lamp",)) in found


def test_space_that_ends_too_soon() -> None:
    """The shelf is 88 mm deep and the cube 100 mm."""
    found = held(pushed(home=space("shelf", (54, 0, 800), (88.0, 300.0, 100.0), against=Direction.FORWARDS)), BAR)
    assert "12 mm rearwards" in found["space", ("shelf",)].gives


def test_part_that_stays_and_could_be_moved() -> None:
    plate = part("plate", (60, 0, 500), CUBE)
    v = vehicle([wall(), plate], spaces=[space("shelf", (60, 0, 800), CUBE)])
    found = held(v, BAR)
    assert "might be moved (its freedom is `comes off`): then it can be done" in found["stays", ("plate",)].gives


def test_part_of_the_job_that_could_stand_elsewhere() -> None:
    """The bar overlaps the post by 18 mm on the left, by 40 mm upwards."""
    post = part("post", (60, 0, 500), CUBE, freedom=Freedom.STAYS)
    bar = Add(component=part("bar", (80, 82, 500), (60, 100, 400)))
    found = held(vehicle([wall(), post]), bar)
    assert "18 mm further right" in found["asked for", ("bar",)].gives


def test_no_shift_is_told_that_takes_a_part_off_its_mounting_or_out_of_the_vehicle() -> None:
    """The post is as wide as the wall: beside it the bar would hang in the air, 518 mm to the right."""
    post = part("post", (60, 0, 500), (100.0, 1000.0, 100.0), freedom=Freedom.STAYS)
    bar = Add(component=part("bar", (80, 82, 500), (60, 100, 100)))
    wide = vehicle([part("wall", (0, 0, 500), (20, 1000, 1000), on=None, freedom=Freedom.STAYS), post])
    gives = held(wide, bar)["asked for", ("bar",)].gives
    assert "further left" not in gives
    assert "further right" not in gives
    assert "100 mm further up" in gives or "100 mm further down" in gives
    boxed = part("post", (60, 0, 500), (100.0, 1000.0, 1000.0), freedom=Freedom.STAYS)
    full = held(vehicle([wide.components["wall"], boxed]), bar)["asked for", ("bar",)].gives
    assert "further" not in full


@pytest.mark.parametrize(
    ("group", "told"),
    [
        ("fixture", True),
        ("heater-box", True),
        ("brakes", False),
        ("steering", False),
        ("engine", False),
        ("transmission", False),
        ("fuel", False),
        ("radiator", False),
        ("battery", False),
    ],
)
def test_nobody_is_told_to_do_without_what_stops_steers_or_drives(group: str, *, told: bool) -> None:
    """A cube that has no home: whether it is said that it might be done without is its group's to decide."""
    v = vehicle([wall(), mover("cube", (60, 0, 500), CUBE, group=group)])
    known = replace(catalog(), never_spared=shelf().never_spared)
    kept = [h for h in find_knockons(v, job(BAR), known).held if h.sort == "kept"]
    assert kept
    assert any("done without" in h.gives for h in kept) is told


def test_relation_that_gives() -> None:
    rule = Relation(id="high", part="cube", keeps=Keeps.OFF_GROUND, of=None, by_mm=700.0)
    low = space("low", (60, 0, 340), CUBE)
    v = vehicle([wall(), mover("cube", (60, 0, 500), CUBE)], spaces=[low], relations=[rule])
    assert "missed by 110 mm" in held(v, BAR)["relation", ("high",)].gives


def test_working_room_that_gives() -> None:
    room = Room(name="cap off", needed=RoomNeed.ALWAYS, side=Direction.UP, depth_mm=80.0)
    shade = part("shade", (60, 0, 920), (100.0, 100.0, 20.0), freedom=Freedom.STAYS)
    found = held(pushed(shade, home=space("shelf", (60, 0, 800), CUBE), rooms=(room,)), BAR)
    gives = found["working room", ("cube", "shade")].gives
    assert "20 mm less of its working room (in the block of `cube`: " in gives
    assert "`rooms: [{name: cap off, needed: always, side: up, depth: 60 mm}]`, or `rooms: []` where" in gives


def test_link_that_may_not_be_made_anew() -> None:
    tap = part("tap", (60, 600, 800), CUBE)
    pipe = link("pipe", "cube", "tap", rigid=True, freedom=Freedom.STAYS, passes=("bar",))
    v = vehicle([wall(), mover("cube", (60, 0, 500), CUBE), tap], spaces=[space("s", (60, 0, 800), CUBE)], links=[pipe])
    assert held(v, BAR)["link", ("pipe",)].gives.startswith("if pipe might be made anew: then it can be done")


def test_hole_of_the_job() -> None:
    """The slot reaches 10 mm under the plate, and may not end just at its edge."""
    plate = part("plate", (60, 0, 500), CUBE, freedom=Freedom.STAYS)
    found = held(vehicle([wall(), plate]), Cut(id="slot", host="wall", hole=box((20, 40, 40), (0, 60, 500))))
    assert ("stays", ("plate",)) in found
    assert "11 mm further right" in found["asked for", ("slot",)].gives


@pytest.mark.parametrize("seed", [5, 12, 15, 22, 66])
def test_what_is_said_to_do_does(seed: int) -> None:
    """Whatever is said to give is said with what it costs, which only an answer of the whole has."""
    v, j = random_case(seed)
    told = find_knockons(v, j, catalog())
    assert any("then it can be done, for" in h.gives for h in told.held) or not told.held


def test_move_that_goes_only_part_of_the_way() -> None:
    """Up and to the right: its top has 60 mm to a beam, and no straight shift of where it is to go clears everything.

    60 mm up are 60 * sqrt(2) = 84.8 mm along the way.
    """
    fence = [
        part("beam", (60, 0, 1010), (100, 2000, 800), freedom=Freedom.STAYS),
        part("post", (60, 570, 160), (100, 800, 900), freedom=Freedom.STAYS),
        part("rear", (415, 0, 700), (600, 2000, 900), freedom=Freedom.STAYS),
        part("front", (-315, 0, 700), (600, 2000, 900), freedom=Freedom.STAYS),
    ]
    v = vehicle([wall(), part("cube", (60, 0, 500), CUBE), *fence])
    gives = held(v, Move(part="cube", to=Pose(at_mm=(60.0, 200.0, 700.0))))["asked for", ("cube",)].gives
    assert gives.startswith("if cube were moved 84 mm instead of 282.8 mm: then it can be done")


@pytest.mark.parametrize(
    ("by_mm", "stays", "told"),
    [
        ((0.0, 0.0, 100.0), (Direction.DOWN,), "if cube grew by 60 mm instead of 100 mm along z"),
        ((0.0, 0.0, 200.0), (), "if the top of cube stayed where it is (`from: top`): then it can be done"),
        ((0.0, 0.0, 200.0), (Direction.DOWN,), "if cube grew by 60 mm instead of 200 mm along z"),
        ((0.0, 40.0, 100.0), (Direction.DOWN,), "if cube grew by 60 mm instead of 100 mm along z"),
        ((0.0, 100.0, 100.0), (Direction.DOWN,), "if cube grew by 50 mm instead of 100 mm along y and 50 mm"),
    ],
)
def test_growth_that_fits_in_part(by_mm: tuple[float, float, float], stays: tuple[Direction, ...], told: str) -> None:
    """Its top (550) has 60 mm to a beam (610), its right side (50) 25 mm to a post (75), 40 mm grow 20 mm to it."""
    fence = [
        part("beam", (60, 0, 1010), (100, 2000, 800), freedom=Freedom.STAYS),
        part("post", (60, 125, 500), CUBE, freedom=Freedom.STAYS),
    ]
    v = vehicle([wall(), part("cube", (60, 0, 500), CUBE), *fence])
    gives = held(v, Grow(part="cube", by_mm=by_mm, stays=stays))["asked for", ("cube",)].gives
    assert gives.startswith(told), gives
    assert "then it can be done, for 0 hand-minutes (a millimetre more does not fit, this is proved)" in gives


def test_no_growth_fits_at_all() -> None:
    lid = part("lid", (60, 0, 600), CUBE, freedom=Freedom.STAYS)
    base = part("base", (60, 0, 400), CUBE, freedom=Freedom.STAYS)
    v = vehicle([wall(), part("cube", (60, 0, 500), CUBE), lid, base])
    gives = held(v, Grow(part="cube", by_mm=(0.0, 0.0, 10.0)))["asked for", ("cube",)].gives
    assert gives == "not even a millimetre more of cube fits there, this is proved"


def test_what_stands_on_a_tray_is_offered_to_grow_away_from_it() -> None:
    """On its tray nothing fits about its middle; above it all of the 10 mm do."""
    tray = part("tray", (60, 0, 445), (100.0, 100.0, 10.0), freedom=Freedom.STAYS)
    v = vehicle([wall(), part("cube", (60, 0, 500), CUBE), tray])
    gives = held(v, Grow(part="cube", by_mm=(0.0, 0.0, 10.0)))["asked for", ("cube",)].gives
    assert gives == "if the bottom of cube stayed where it is (`from: bottom`): then it can be done, for 0 hand-minutes"
