"""Each kind of cause shows up, with its number, in a vehicle of a few blocks."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import pytest
from garage import MADE_UP, box, catalog, job, link, mover, part, space, system_kind, vehicle, wall
from random_vehicles import random_case

from planner.knockon import find_knockons
from planner.model.catalog import Blocks, Catalog, CheckpointRule, Trigger, When
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Knockons, Proof
from planner.model.job import Add, AddLink, Change, Cut, Job, Move, OwnTask, Remove, Replace, TakeOff
from planner.model.shapes import Box, Direction, Pose, Vec
from planner.model.vehicle import Component, Freedom, Keeps, Relation, Room, RoomNeed, System, Vehicle

CUBE = (100.0, 100.0, 100.0)
FAR = space("far", (60, 700, 500), CUBE)
"""A home for one cube, 700 mm to the right of y = 0."""


def told(v: Vehicle, *changes: Change, known: Catalog | None = None, **more: object) -> Knockons:
    found = find_knockons(v, job(*changes, **more), known or catalog())
    assert found.proof is Proof.PROVED, found.trouble
    assert_well_founded(found)
    return found


def effect(found: Knockons, kind: EffectKind, subject: str) -> Effect:
    return next(e for e in found.effects if (e.kind, e.subject) == (kind, subject))


def cause(found: Knockons, kind: EffectKind, subject: str, why: CauseKind) -> Cause:
    [only] = [c for c in effect(found, kind, subject).causes if c.kind is why]
    return only


def assert_well_founded(found: Knockons) -> None:
    """Every effect has a cause, every cause a source that is told before it, and all follow from the job."""
    ids = [e.id for e in found.effects]
    assert len(ids) == len(set(ids))
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_node("")
    for e in found.effects:
        assert e.causes, f"{e.id} has no cause"
        assert e.id == f"{e.kind.value}:{e.subject}"
        assert e.text
        assert all(c.text for c in e.causes)
        for c in e.causes:
            assert c.source == "" or c.source in ids, f"{e.id} comes from {c.source}, which is not told"
            assert c.source != e.id
            graph.add_edge(c.source, e.id)
    reached = nx.descendants(graph, "")
    assert not set(ids) - reached, f"not from the job: {set(ids) - reached}"
    far = nx.single_source_shortest_path_length(graph, "")
    assert [far[i] for i in ids] == sorted(far[i] for i in ids)
    for e in found.effects:
        steps = [far[c.source] for c in e.causes]
        assert steps == sorted(steps)
        assert min(steps) == far[e.id] - 1


def test_clash() -> None:
    v = vehicle([wall(), mover("a", (60, 0, 500), CUBE)], spaces=[FAR])
    found = told(v, Add(component=part("new", (60, 70, 500), CUBE)))
    why = cause(found, EffectKind.MOVES, "a", CauseKind.CLASH)
    assert (why.mm, why.source) == (pytest.approx(30.0, abs=0.01), "new:new")
    assert why.text.startswith("new overlaps it by 30 mm at its right face")
    assert "30 mm left" in why.text
    assert "700 mm right" in effect(found, EffectKind.MOVES, "a").text


@pytest.mark.parametrize(("slack_mm", "asked"), [(690.0, True), (710.0, False)])
def test_a_new_link_within_its_slack_is_no_question(slack_mm: float, asked: bool) -> None:
    """Its end goes 700 mm straight away from the other."""
    tap = part("tap", (60, -300, 700), CUBE, ports_mm={"out": (0.0, 50.0, 50.0)})
    tank = mover("a", (60, 0, 500), CUBE, ports_mm={"in": (0.0, 0.0, 250.0)})
    v = vehicle([wall(), tap, tank], spaces=[FAR])
    pushed = Add(component=part("new", (60, 70, 500), CUBE))
    found = told(v, pushed, AddLink(link=link("hose", "tap.out", "a.in", slack_mm=slack_mm)))
    assert "moves:a" in [e.id for e in found.effects]
    assert (f"{EffectKind.MEASURED.value}:hose" in [e.id for e in found.effects]) is asked
    assert f"{EffectKind.ADJUSTED.value}:hose" not in [e.id for e in found.effects]


def test_keep_clear() -> None:
    v = vehicle([wall(), mover("a", (60, 0, 500), CUBE, keep_clear_mm=25.0)], spaces=[FAR])
    found = told(v, Add(component=part("new", (60, 110, 500), CUBE)))
    why = cause(found, EffectKind.MOVES, "a", CauseKind.KEEP_CLEAR)
    assert why.mm == pytest.approx(15.0, abs=0.01)
    assert "within 10 mm" in why.text
    assert "25 mm is to be kept" in why.text


def test_keep_clear_of_the_new_part() -> None:
    v = vehicle([wall(), mover("a", (60, 0, 500), CUBE)], spaces=[FAR])
    found = told(v, Add(component=part("new", (60, 110, 500), CUBE, keep_clear_mm=30.0)))
    assert cause(found, EffectKind.MOVES, "a", CauseKind.KEEP_CLEAR).mm == pytest.approx(20.0, abs=0.01)


def always(side: Direction, depth: float) -> tuple[Room, ...]:
    return (Room(name="cap off", needed=RoomNeed.ALWAYS, side=side, depth_mm=depth),)


def test_its_own_room_is_lost() -> None:
    v = vehicle([wall(), mover("a", (60, 0, 500), CUBE, rooms=always(Direction.RIGHT, 90.0))], spaces=[FAR])
    found = told(v, Add(component=part("new", (60, 170, 500), CUBE)))
    why = cause(found, EffectKind.MOVES, "a", CauseKind.ROOM_LOST)
    assert why.mm == pytest.approx(20.0, abs=0.01)
    assert why.text == "new takes 20 mm of its room for cap off"


def test_it_stands_in_the_room_of_the_new_part() -> None:
    v = vehicle([wall(), mover("a", (60, 0, 500), CUBE)], spaces=[FAR])
    found = told(v, Add(component=part("new", (60, 170, 500), CUBE, rooms=always(Direction.LEFT, 90.0))))
    why = cause(found, EffectKind.MOVES, "a", CauseKind.ROOM_LOST)
    assert why.mm == pytest.approx(20.0, abs=0.01)
    assert why.text == "stands 20 mm inside the room new needs for cap off"


def test_relation() -> None:
    """The tank may stand 40 mm above the radiator; the job lifts the radiator by 70 and leaves it 15 short."""
    parts = [wall(), part("radiator", (60, 200, 500), CUBE), mover("tank", (60, 0, 695), CUBE)]
    rule = Relation(id="fills", part="tank", keeps=Keeps.ABOVE, of="radiator", by_mm=40.0, why="it fills by gravity")
    high = space("high", (60, -300, 850), CUBE)
    v = vehicle(parts, relations=[rule], spaces=[FAR, high])
    found = told(v, Move(part="radiator", to=Pose(at_mm=(60, 200, 570))))
    assert found.homes["tank"].at_mm == (60, -300, 850)
    why = cause(found, EffectKind.MOVES, "tank", CauseKind.RELATION)
    assert why.mm == pytest.approx(15.0, abs=0.01)
    assert why.source == "moves:radiator"
    assert "40 mm above the top of radiator" in why.text
    assert "misses it by 15 mm: it fills by gravity" in why.text


def test_host_cut_and_host_moves() -> None:
    parts = [wall(), mover("a", (60, 0, 500), CUBE), part("rider", (130, 0, 500), (40, 40, 40), on="a")]
    v = vehicle(parts, spaces=[FAR])
    found = told(v, Cut(id="slot", host="wall", hole=box((20, 40, 40), (0, 0, 500))))
    why = cause(found, EffectKind.MOVES, "a", CauseKind.HOST_CUT)
    assert why.source == "cut:slot"
    assert "a is mounted where wall is cut" in why.text
    why = cause(found, EffectKind.MOVES, "rider", CauseKind.MOUNTED_ON)
    assert why.source == "moves:a"
    assert found.homes["rider"].at_mm == (130, 700, 500)


def test_link_stretched_by_a_mover() -> None:
    """From y = -300 to y = 0, then to y = 700: 700 mm longer, where it can take 25."""
    parts = [wall(), mover("a", (60, 0, 500), CUBE), part("tap", (60, -300, 500), CUBE)]
    v = vehicle(parts, links=[link("hose", "tap", "a", slack_mm=20, adjust_mm=5)], spaces=[FAR])
    found = told(v, Add(component=part("new", (130, 0, 500), CUBE)))
    why = cause(found, EffectKind.REMADE, "hose", CauseKind.LINKED_TO)
    assert (why.mm, why.source) == (pytest.approx(700.0), "moves:a")
    assert "700 mm longer" in why.text
    assert "25 mm" in why.text


def test_a_hose_whose_end_comes_nearer_still_reaches() -> None:
    """From y = 1400 to y = 0, then to y = 700: 700 mm too much, and nothing is asked of what it can take."""
    parts = [wall(), mover("a", (60, 0, 500), CUBE), part("tap", (60, 1400, 500), CUBE)]
    v = vehicle(parts, links=[link("hose", "tap", "a", slack_mm=20, adjust_mm=5)], spaces=[FAR])
    found = told(v, Add(component=part("new", (130, 0, 500), CUBE)))
    why = cause(found, EffectKind.ADJUSTED, "hose", CauseKind.LINKED_TO)
    assert why.mm == pytest.approx(-700.0)
    assert "700 mm shorter, so it still reaches" in why.text
    assert "25 mm" not in why.text


def test_link_hit_by_a_mover() -> None:
    parts = [wall(), mover("a", (60, 0, 500), CUBE)]
    parts += [part("tap", (60, 700, 200), CUBE), part("pump", (60, 700, 800), CUBE)]
    v = vehicle(parts, links=[link("hose", "tap", "pump")], spaces=[FAR])
    found = told(v, Add(component=part("new", (130, 0, 500), CUBE)))
    why = cause(found, EffectKind.REMADE, "hose", CauseKind.CLASH)
    assert why.source == "moves:a"
    assert why.text == "a stands in its run"


def test_link_goes_with_its_end() -> None:
    parts = [wall(), part("a", (60, 0, 500), CUBE), part("tap", (60, -300, 500), CUBE)]
    found = told(vehicle(parts, links=[link("hose", "tap", "a")]), Remove(part="a"))
    why = cause(found, EffectKind.GONE, "hose", CauseKind.LINKED_TO)
    assert why.source == "goes:a"
    assert found.links_after == {}


def test_adjusted_link() -> None:
    parts = [wall(), part("a", (60, 0, 500), CUBE), part("tap", (60, -300, 500), CUBE)]
    v = vehicle(parts, links=[link("hose", "tap", "a", slack_mm=50)])
    found = told(v, Move(part="a", to=Pose(at_mm=(60, 30, 500))))
    why = cause(found, EffectKind.ADJUSTED, "hose", CauseKind.LINKED_TO)
    assert why.mm == pytest.approx(30.0)
    assert found.cost == 7


def boxed_in() -> list[Component]:
    """A part in a box of parts that never come off, open to the rear only, where a cover stands."""

    def side(name: str, at: Vec, size: Vec) -> Component:
        return part(name, at, size, freedom=Freedom.STAYS)

    return [
        wall(),
        part("a", (60, 0, 500), CUBE),
        side("left", (110, -70, 500), (200, 20, 160)),
        side("right", (110, 70, 500), (200, 20, 160)),
        side("roof", (110, 0, 590), (200, 160, 20)),
        side("floor", (110, 0, 410), (200, 160, 20)),
        part("cover", (220, 0, 500), (10, 100, 100)),
    ]


def test_in_the_way_out() -> None:
    found = told(vehicle(boxed_in()), TakeOff(part="a"))
    assert effect(found, EffectKind.OFF_AND_BACK, "a").causes[0].kind is CauseKind.ASKED
    why = cause(found, EffectKind.OFF_AND_BACK, "cover", CauseKind.IN_THE_WAY)
    assert why.source == "comes off and goes back:a"
    assert why.text.endswith("in the way of getting a out, rearwards")
    assert [w.direction for w in found.access["a"].ways] == [Direction.REARWARDS]
    assert found.access["a"].ways[0].blockers == frozenset({"cover"})


def test_in_the_way_in() -> None:
    parts = [p for p in boxed_in() if p.id != "a"]
    found = told(vehicle(parts), Add(component=part("a", (60, 0, 500), CUBE)))
    why = cause(found, EffectKind.OFF_AND_BACK, "cover", CauseKind.IN_THE_WAY)
    assert why.source == "new:a"
    assert why.text.endswith("in the way of getting a in, forwards")


def test_rider_and_room_of_what_comes_off() -> None:
    swing = Room(name="spanner", needed=RoomNeed.TAKING_OFF, side=Direction.RIGHT, depth_mm=60.0)
    parts = [
        wall(),
        part("a", (60, 0, 500), CUBE, rooms=(swing,)),
        part("lamp", (130, 0, 500), (40, 40, 40), on="a"),
        part("horn", (60, 120, 500), CUBE),
    ]
    found = told(vehicle(parts), TakeOff(part="a"))
    assert cause(found, EffectKind.OFF_AND_BACK, "lamp", CauseKind.MOUNTED_ON).text == "it is mounted on a"
    why = cause(found, EffectKind.OFF_AND_BACK, "horn", CauseKind.ROOM_LOST)
    assert why.text.endswith("in the working room for undoing a")
    assert why.source == "comes off and goes back:a"


def test_own_task_takes_off() -> None:
    task = OwnTask(id="paint", title="Paint the wall", minutes=10, off=("a",))
    found = told(vehicle([wall(), part("a", (60, 0, 500), CUBE)]), tasks=(task,))
    why = cause(found, EffectKind.OFF_AND_BACK, "a", CauseKind.ASKED)
    assert why.text == "it is off for: Paint the wall"


def welded(*, doubler: bool) -> tuple[Vehicle, Cut]:
    """A hole in the middle of a wall; things mounted on it 50 and 100 mm away, a brake part 250 mm away."""
    parts = [
        wall(),
        part("near", (60, 120, 500), CUBE),
        part("next", (60, -170, 500), CUBE),
        part("servo", (60, 0, 820), CUBE, group="brakes"),
    ]
    return vehicle(parts), Cut(id="slot", host="wall", hole=box((20, 40, 40), (0, 0, 500)), welded=doubler)


def test_cut_room_bare_host_and_hot_work() -> None:
    v, cut = welded(doubler=True)
    found = told(v, cut)
    assert found.cut_rooms["slot"] == frozenset({"near", "next"})
    assert found.bare["slot"] == frozenset({"near"})
    assert found.hot_near["slot"] == frozenset({"servo"})
    why = cause(found, EffectKind.OFF_AND_BACK, "near", CauseKind.ROOM_LOST)
    assert why.mm == pytest.approx(50.0, abs=0.01)
    assert why.source == "cut:slot"
    assert "50 mm from where wall is cut" in why.text
    assert "120 mm is wanted" in why.text
    why = cause(found, EffectKind.OFF_AND_BACK, "near", CauseKind.HOST_CUT)
    assert why.mm == pytest.approx(50.0, abs=0.01)
    why = cause(found, EffectKind.OFF_AND_BACK, "next", CauseKind.ROOM_LOST)
    assert why.mm == pytest.approx(100.0, abs=0.01)
    why = cause(found, EffectKind.OFF_AND_BACK, "servo", CauseKind.HOT_WORK)
    assert why.mm == pytest.approx(250.0, abs=0.01)
    assert "250 mm from the welding" in why.text


def test_cold_cut_leaves_the_brakes_alone() -> None:
    v, cut = welded(doubler=False)
    found = told(v, cut)
    assert found.hot_near["slot"] == frozenset()
    assert not [e for e in found.effects if e.subject == "servo"]


def hydraulic() -> tuple[Vehicle, Catalog]:
    """A cylinder and a union of one circuit, joined by a pipe that opens it."""
    known = catalog()
    kinds = {**known.kinds, "cylinder": replace(known.kinds["thing"], id="cylinder", opens=("hydraulic",))}
    link_kinds = {**known.link_kinds, "pipe": replace(known.link_kinds["rod"], id="pipe", opens=("hydraulic",))}
    rule = CheckpointRule(
        id="leaks",
        title="no leaks",
        group="brakes",
        triggers=(Trigger(when=When.OPENED, of=("hydraulic",)),),
        measure="look",
        limit="dry",
        blocks=(Blocks.ROAD,),
        source=MADE_UP,
        caution="brakes",
    )
    known = catalog(
        kinds=kinds,
        link_kinds=link_kinds,
        rules={"leaks": rule},
        system_kinds={"hydraulic": system_kind("hydraulic")},
    )
    parts = [
        wall(),
        part("master", (60, -300, 500), CUBE, kind="cylinder", systems=("front",)),
        part("union", (60, 300, 500), CUBE, systems=("front",)),
        part("bulb", (60, 300, 800), CUBE),
    ]
    pipe = link("pipe", "master", "union", kind="pipe", system="front", rigid=True)
    return vehicle(parts, links=[pipe], systems=[System(id="front", kind="hydraulic", name="front brakes")]), known


@pytest.mark.parametrize("part_id", ["master", "union"])
def test_circuit_is_opened_and_tested(part_id: str) -> None:
    """The cylinder opens it itself, the union by the pipe that is undone from it."""
    v, known = hydraulic()
    found = told(v, TakeOff(part=part_id), known=known)
    opened = effect(found, EffectKind.OPENED, "front")
    assert {c.kind for c in opened.causes} == {CauseKind.PART_OF}
    assert {c.source for c in opened.causes} == {f"comes off and goes back:{part_id}"}
    rule = cause(found, EffectKind.RETESTED, "leaks", CauseKind.RULE)
    assert rule.source == "opened:front"


def test_circuit_is_left_shut() -> None:
    v, known = hydraulic()
    found = told(v, TakeOff(part="bulb"), known=known)
    assert not [e for e in found.effects if e.kind in {EffectKind.OPENED, EffectKind.RETESTED}]


def test_replaced_and_removed_members_open_it_too() -> None:
    v, known = hydraulic()
    heir = replace(v.components["master"], id="heir", name="heir")
    assert effect(told(v, Replace(part="master", component=heir), known=known), EffectKind.OPENED, "front")
    assert effect(told(v, Remove(part="pipe"), known=known), EffectKind.OPENED, "front")


def test_doubt() -> None:
    """12 mm where 10 are to be kept, places sure to 2 + 3 mm: to be measured; 16 mm away it is not."""
    doubtful = part("a", (60, 0, 500), CUBE, keep_clear_mm=10.0, position_doubt_mm=2.0)
    v = vehicle([wall(), doubtful])
    new = part("new", (60, 112, 500), CUBE, position_doubt_mm=3.0)
    found = told(v, Add(component=new))
    [measured] = [e for e in found.effects if e.kind is EffectKind.MEASURED]
    assert measured.subject in {"a~new", "new~a"}
    [why] = measured.causes
    assert (why.kind, why.source) == (CauseKind.DOUBT, "new:new")
    assert why.mm == pytest.approx(2.0, abs=0.01)
    assert "12 mm" in why.text
    assert "10 mm is to be kept" in why.text
    assert "5 mm only" in why.text
    away = replace(new, pose=Pose(at_mm=(60, 116, 500)))
    assert not [e for e in told(v, Add(component=away)).effects if e.kind is EffectKind.MEASURED]


def test_doubt_of_a_size_counts_half() -> None:
    solid = Box(size_mm=CUBE, doubt_mm=6.0)
    v = vehicle([wall(), part("a", (60, 0, 500), CUBE, solids=(solid,))])
    near = told(v, Add(component=part("new", (60, 102, 500), CUBE)))
    assert cause(near, EffectKind.MEASURED, "new~a", CauseKind.DOUBT).text.endswith("sure to 3 mm only")
    clear = told(v, Add(component=part("new", (60, 104, 500), CUBE)))
    assert not [e for e in clear.effects if e.kind is EffectKind.MEASURED]


def test_change_without_knockon_says_so() -> None:
    v = vehicle([wall(), mover("a", (60, 0, 500), CUBE)], spaces=[FAR])
    found = told(v, Add(component=part("new", (60, -300, 500), CUBE)))
    assert [e.id for e in found.effects] == ["new:new"]
    assert [c.kind for c in found.effects[0].causes] == [CauseKind.ASKED]
    assert (found.homes, found.cost) == ({}, 0)
    assert set(found.after) == {"wall", "a", "new"}


def test_cascade_is_told_as_a_chain() -> None:
    """The new part pushes a, a takes b's place, b goes far."""
    parts = [wall(), mover("a", (60, 0, 500), CUBE), mover("b", (60, 300, 500), CUBE)]
    spaces = [space("s", (60, 300, 500), CUBE, takes=("a",)), replace(FAR, takes=("b",))]
    found = told(vehicle(parts, spaces=spaces), Add(component=part("new", (130, 0, 500), CUBE)))
    assert [e.id for e in found.effects] == ["new:new", "moves:a", "moves:b"]
    assert cause(found, EffectKind.MOVES, "b", CauseKind.CLASH).source == "moves:a"
    assert cause(found, EffectKind.MOVES, "b", CauseKind.CLASH).mm == pytest.approx(100.0, abs=0.01)


def test_new_home_and_old_body_in_one_place_exclude_each_other() -> None:
    """In the chain above a's new home is where b was, and b's is free; no body can be in two homes at once."""
    parts = [wall(), mover("a", (60, 0, 500), CUBE), mover("b", (60, 300, 500), CUBE)]
    spaces = [space("s", (60, 300, 500), CUBE, takes=("a",)), replace(FAR, takes=("b",))]
    found = told(vehicle(parts, spaces=spaces), Add(component=part("new", (130, 0, 500), CUBE)))
    assert found.access["a@new"].excludes == frozenset({"a", "b"})
    assert found.access["b@new"].excludes == frozenset({"b"})
    assert found.access["new"].excludes == frozenset({"a"})
    assert found.access["b"].excludes == frozenset({"a@new", "b@new"})


def test_part_that_may_go() -> None:
    spare = part("spare", (60, 0, 500), CUBE, freedom=Freedom.MAY_GO)
    found = told(vehicle([wall(), spare]), Add(component=part("new", (60, 70, 500), CUBE)))
    assert cause(found, EffectKind.GONE, "spare", CauseKind.CLASH).source == "new:new"
    assert "spare" not in found.after
    assert found.cost == 10


def strict_rules() -> Catalog:
    words = ((When.DISTURBED, ()), (When.LINK_MADE, ()), (When.MOVED, ("thing",)), (When.ALWAYS, ()))
    rules = {
        f"rule-{n}": CheckpointRule(
            id=f"rule-{n}",
            title=f"look at {when.value}",
            group="body",
            triggers=(Trigger(when=when, of=of),),
            measure="look",
            limit="sound",
            blocks=(Blocks.ROAD,),
            source=MADE_UP,
            caution="careful",
        )
        for n, (when, of) in enumerate(words)
    }
    return catalog(rules=rules)


@pytest.mark.parametrize("seed", range(0, 200, 3))
def test_random_effects_all_follow_from_the_job(seed: int) -> None:
    v, j = random_case(seed)
    found = find_knockons(v, more_to_do(j, v), strict_rules())
    assert_well_founded(found)


def more_to_do(j: Job, v: Vehicle) -> Job:
    """The job with something taken off as well."""
    loose = [i for i, c in v.components.items() if c.freedom is Freedom.COMES_OFF and not c.rides]
    touched = {getattr(c, "part", "") for c in j.changes}
    return replace(j, changes=(*j.changes, *(TakeOff(part=i) for i in loose[:1] if i not in touched)))
