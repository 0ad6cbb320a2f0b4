"""Random small vehicles that are sound at the start, each with a job: blocks on a wall, short of room."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from random import Random

from brute_boxes import bounds, port, segment_gap
from brute_homes import Brute
from garage import box, catalog, job, link, mover, part, space, vehicle, wall

from planner.model.job import Add, Change, Cut, Grow, Job, Move, Remove, Replace
from planner.model.shapes import Direction, Pose, Vec
from planner.model.vehicle import Component, Freedom, Keeps, Link, Relation, Room, RoomNeed, Space, Vehicle

REAR = 10.0
"""Rear face of the wall."""

WHOLE_PARTS = (Keeps.ABOVE, Keeps.BELOW, Keeps.WITHIN, Keeps.APART, Keeps.OFF_GROUND)
"""Relations that the brute force knows."""
MOST = 150_000
"""Combinations that a case may have."""


def whole(rng: Random, low: int, high: int, by: int = 20) -> float:
    return float(rng.randrange(low, high + 1, by))


@dataclass
class Draft:
    rng: Random
    parts: list[Component] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    spaces: list[Space] = field(default_factory=list)
    relations: list[Relation] = field(default_factory=list)
    target: str = ""
    """The part that the job is to disturb, when it matters."""

    def vehicle(self) -> Vehicle:
        return vehicle(self.parts, links=self.links, spaces=self.spaces, relations=self.relations)

    def try_part(self, new: Component) -> bool:
        """Keep a part when the vehicle is still sound with it."""
        kept = list(self.parts)
        self.parts.append(new)
        if sound(self.vehicle()):
            return True
        self.parts = kept
        return False


def sound(v: Vehicle) -> bool:
    """Whether every pair, relation and link of a vehicle holds, by the brute force's own rules."""
    brute = Brute(v, job(), catalog(), strict=True)
    spots = list(brute.before.values())
    # pair_ok, as `fits` lets pass what nobody touched.
    return all(brute.alone_ok(s) for s in spots) and all(
        brute.pair_ok(a, b) for n, a in enumerate(spots) for b in spots[n + 1 :]
    )


def on_wall(rng: Random, name: str, **more: object) -> Component:
    size = (whole(rng, 60, 120), whole(rng, 80, 180), whole(rng, 80, 180))
    at = (REAR + size[0] / 2, whole(rng, -400, 400), whole(rng, 100, 600))
    facts: dict[str, object] = {
        "off_min": rng.randint(1, 30),
        "on_min": rng.randint(1, 30),
        "hands": rng.choice([1, 1, 2]),
        "kind": rng.choice(["thing", "thing", "gadget"]),
        "keep_clear_mm": rng.choice([0.0, 0.0, 0.0, 10.0, 25.0]),
        "ports_mm": {"p": (size[0] / 2, 0.0, 0.0)},
    }
    if rng.random() < 0.25:
        side = rng.choice([Direction.UP, Direction.DOWN, Direction.LEFT, Direction.RIGHT, Direction.REARWARDS])
        facts["rooms"] = (Room(name="use", needed=RoomNeed.ALWAYS, side=side, depth_mm=whole(rng, 30, 70)),)
    if rng.random() < 0.2:
        facts["turns_deg"] = ((0.0, 0.0, rng.choice([90.0, -90.0, 180.0])),)
    return part(name, at, size, **{**facts, **more})  # type: ignore[arg-type]


def add_parts(draft: Draft) -> None:
    rng = draft.rng
    draft.parts.append(wall())
    wanted = [(f"m{n}", Freedom.MOVES) for n in range(rng.randint(2, 5))]
    wanted += [(f"f{n}", rng.choice([Freedom.STAYS, Freedom.COMES_OFF])) for n in range(rng.randint(0, 2))]
    if rng.random() < 0.15:
        wanted.append(("spare", Freedom.MAY_GO))
    rng.shuffle(wanted)
    for name, freedom in wanted:
        for _ in range(30):
            if draft.try_part(on_wall(rng, name, freedom=freedom)):
                break


def add_riders(draft: Draft) -> None:
    rng = draft.rng
    hosts = [p for p in draft.parts if p.freedom is Freedom.MOVES]
    for host in rng.sample(hosts, min(len(hosts), rng.choice([0, 1, 1, 2]))):
        size = (40.0, whole(rng, 40, 100), whole(rng, 40, 100))
        behind = host.pose.at_mm[0] + host.solids[0].size_mm[0] / 2 + size[0] / 2  # type: ignore[union-attr]
        at = (behind, host.pose.at_mm[1] + whole(rng, -40, 40), host.pose.at_mm[2] + whole(rng, -40, 40))
        freedom = rng.choice([Freedom.MOVES, Freedom.COMES_OFF])
        rides = freedom is Freedom.COMES_OFF and rng.random() < 0.5
        rider = part(
            f"r-{host.id}",
            at,
            size,
            on=host.id,
            freedom=freedom,
            rides=rides,
            off_min=rng.randint(1, 20),
            on_min=rng.randint(1, 20),
            ports_mm={"p": (0.0, size[1] / 2, 0.0)},
        )
        if draft.try_part(rider) and rng.random() < 0.3:
            far = (at[0] + 40.0, at[1], at[2])
            draft.try_part(
                mover(
                    f"rr-{host.id}",
                    far,
                    (40.0, 40.0, 40.0),
                    on=rider.id,
                    off_min=3,
                    on_min=4,
                    ports_mm={"p": (0.0, 20.0, 0.0)},
                )
            )


def add_spaces(draft: Draft) -> None:
    rng = draft.rng
    movers = [p for p in draft.parts if p.freedom is Freedom.MOVES]
    for n in range(rng.randint(1, 3)):
        size = (whole(rng, 120, 200), whole(rng, 180, 460, 40), whole(rng, 180, 380, 40))
        near = rng.choice(movers).pose.at_mm if movers and rng.random() < 0.7 else (0.0, 0.0, 300.0)
        at = (REAR + size[0] / 2, near[1] + whole(rng, -200, 200), near[2] + whole(rng, -100, 100))
        takes = tuple(p.id for p in movers if rng.random() < 0.6) if rng.random() < 0.4 else ()
        against = rng.choice([None, Direction.FORWARDS, Direction.FORWARDS, Direction.DOWN])
        on = "wall"
        if movers and rng.random() < 0.15:
            host = rng.choice(movers)
            on, size = host.id, (160.0, 200.0, 160.0)
            top = bounds([(host.pose.at_mm, host.pose.at_mm)])[1][2] + host.solids[0].size_mm[2] / 2  # type: ignore[union-attr]
            at = (REAR + 80.0, host.pose.at_mm[1], top + 80.0)
        draft.spaces.append(
            space(f"s{n}", at, size, on=on, step=rng.choice([100.0, 150.0]), takes=takes, against=against)
        )


def add_chain(draft: Draft) -> None:
    """Spaces in a row: the only room for the first part is where the second stands, and so on."""
    rng = draft.rng
    movers = [p for p in draft.parts if p.freedom is Freedom.MOVES and p.mounted_on == "wall"]
    rng.shuffle(movers)
    draft.target = movers[0].id
    free = (REAR + 80.0, rng.choice([-800.0, 800.0]), whole(rng, 200, 500))
    places = [*((REAR + 80.0, *p.pose.at_mm[1:]) for p in movers[1 : rng.randint(2, 4)]), free]
    for n, (p, at) in enumerate(zip(movers, places, strict=False)):
        size = (160.0, whole(rng, 180, 240), whole(rng, 180, 240))
        draft.spaces.append(space(f"c{n}", at, size, step=100.0, takes=(p.id,), against=Direction.FORWARDS))


def add_relations(draft: Draft) -> None:
    rng = draft.rng
    loose = [p for p in draft.parts if p.id != "wall"]
    for n in range(rng.choice([0, 0, 1, 1, 2])):
        if len(loose) < 2:
            return
        one, two = rng.sample(loose, 2)
        keeps = rng.choice(WHOLE_PARTS)
        by = {Keeps.WITHIN: whole(rng, 200, 700), Keeps.OFF_GROUND: whole(rng, 200, 500)}.get(keeps, whole(rng, 0, 100))
        of = None if keeps is Keeps.OFF_GROUND else two.id
        kept = list(draft.relations)
        draft.relations.append(Relation(id=f"rel{n}", part=one.id, keeps=keeps, of=of, by_mm=by))
        if not sound(draft.vehicle()):
            draft.relations = kept


def add_links(draft: Draft) -> None:
    rng = draft.rng
    loose = [p for p in draft.parts if p.id != "wall"]
    for n in range(rng.choice([0, 1, 1, 2, 3])):
        if len(loose) < 2:
            return
        one, two = rng.sample(loose, 2)
        # Two stiff ones might cross, which the brute force does not look at.
        rigid = rng.random() < 0.6 and not any(k.rigid for k in draft.links)
        facts: dict[str, object] = {
            "rigid": rigid,
            "kind": "rod" if rigid else "hose",
            "slack_mm": 0.0 if rigid else whole(rng, 0, 200),
            "adjust_mm": whole(rng, 0, 60),
            "remake_min": rng.randint(20, 90),
            "adjust_min": rng.randint(1, 15),
            "hands": rng.choice([1, 2]),
            "price": rng.choice([0.0, 4.0, 12.5]),
            "freedom": rng.choice([Freedom.MOVES, Freedom.MOVES, Freedom.MOVES, Freedom.STAYS, Freedom.COMES_OFF]),
        }
        first, second = (f"{p.id}{rng.choice(['', '.p'])}" for p in (one, two))
        found = link(f"k{n}", first, second, **facts)
        run = [port(p, e.port, None) for p, e in zip((one, two), found.ends, strict=True)]
        met = [
            p.id
            for p in draft.parts
            if min(segment_gap(run[0], run[1], b) for b in solid_blocks(p)) - found.across_mm / 2 < p.keep_clear_mm
        ]
        others = [p.id for p in draft.parts if rng.random() < 0.6]
        draft.links.append(replace(found, passes=tuple(dict.fromkeys([*met, *others]))))


def solid_blocks(p: Component) -> list[tuple[Vec, Vec]]:
    brute = Brute(vehicle([p]), job(), catalog())
    return brute.body(p.id, p.pose)


def random_change(draft: Draft) -> Change:
    rng = draft.rng
    movers = [p for p in draft.parts if p.freedom is Freedom.MOVES and p.mounted_on == "wall"]
    hosts = {p.mounted_on for p in draft.parts}
    target = next((p for p in movers if p.id == draft.target), None) or rng.choice(movers)
    near = target.pose.at_mm
    sort = rng.choices(["add", "move", "grow", "cut", "replace", "remove"], [60, 10, 10, 10, 6, 4])[0]
    match sort:
        case "move":
            to = (near[0], near[1] + whole(rng, -200, 200), near[2] + whole(rng, -100, 100))
            return Move(part=target.id, to=Pose(at_mm=to, turn_deg=target.pose.turn_deg))
        case "grow" if target.id not in hosts:
            return Grow(part=target.id, by_mm=(0.0, whole(rng, 0, 120), whole(rng, 20, 120)))
        case "cut":
            return Cut(
                id="hole",
                host="wall",
                hole=box((20.0, 60.0, 60.0), (0.0, near[1] + whole(rng, -80, 80), near[2])),
            )
        case "replace" if target.id not in hosts:
            heir = on_wall(rng, "heir", rooms=(), freedom=Freedom.COMES_OFF)
            shift = (heir.pose.at_mm[0], near[1] + whole(rng, -40, 40), near[2])
            return Replace(part=target.id, component=replace(heir, pose=Pose(at_mm=shift)))
        case "remove" if any(p.mounted_on == target.id and not p.rides for p in draft.parts):
            return Remove(part=target.id)
        case _:
            new = on_wall(rng, "new", freedom=Freedom.COMES_OFF)
            at = (new.pose.at_mm[0], near[1] + whole(rng, -140, 140), near[2] + whole(rng, -140, 140))
            return Add(component=replace(new, pose=Pose(at_mm=at)))


def stands_clear(v: Vehicle, change: Change) -> bool:
    """Whether what the job places itself leaves the parts that cannot give way alone."""
    if not isinstance(change, Add):
        return True
    new = change.component.id
    brute = Brute(v, job(change), catalog())
    still = [i for i in brute.parts if brute.parts[i].freedom not in {Freedom.MOVES, Freedom.MAY_GO}]
    loose = {i for i in still if any(brute.parts[h].freedom is Freedom.MOVES for h in brute.hosts(i))}
    return all(i == new or i in loose or brute.fits(brute.before[new], brute.before[i]) for i in still)


def combinations(v: Vehicle, asked: Job) -> int:
    brute = Brute(v, asked, catalog())
    return math.prod(len(brute.choices(i)) or 1 for i in brute.order)


def random_case(seed: int) -> tuple[Vehicle, Job]:
    rng = Random(seed)
    while True:
        draft = Draft(rng=rng)
        add_parts(draft)
        if not any(p.freedom is Freedom.MOVES for p in draft.parts):
            continue
        add_riders(draft)
        if rng.random() < 0.3:
            add_chain(draft)
        else:
            add_spaces(draft)
        add_relations(draft)
        add_links(draft)
        v = draft.vehicle()
        for _ in range(20):
            changes = random_changes(draft)
            asked = job(*changes, hour_worth=rng.choice([10.0, 18.0]))
            clear = all(stands_clear(v, c) for c in changes)
            if combinations(v, asked) <= MOST and (clear or rng.random() < 0.05):
                return v, asked


def deep_case(seed: int) -> tuple[Vehicle, Job]:
    """Parts in a row, each with no other room than where the next one stands: pushed on and on."""
    rng = Random(f"deep {seed}")
    while True:
        draft = Draft(rng=rng)
        draft.parts.append(wall())
        for n in range(rng.randint(3, 5)):
            for _ in range(30):
                if draft.try_part(on_wall(rng, f"m{n}", freedom=Freedom.MOVES, rooms=())):
                    break
        movers = [p for p in draft.parts if p.freedom is Freedom.MOVES]
        if len(movers) < 3:
            continue
        rng.shuffle(movers)
        draft.target = movers[0].id
        free = (REAR + 80.0, rng.choice([-850.0, 850.0]), whole(rng, 200, 500))
        places = [*((REAR + 80.0, *p.pose.at_mm[1:]) for p in movers[1:]), free]
        for n, (p, at) in enumerate(zip(movers, places, strict=True)):
            size = (160.0, whole(rng, 180, 240), whole(rng, 180, 240))
            draft.spaces.append(space(f"c{n}", at, size, step=100.0, takes=(p.id,), against=Direction.FORWARDS))
        add_links(draft)
        v, asked = draft.vehicle(), job(_upon(draft, movers[0]))
        if combinations(v, asked) <= MOST and all(stands_clear(v, c) for c in asked.changes):
            return v, asked


def choice_case(seed: int) -> tuple[Vehicle, Job]:
    """A few parts with small spaces of their own and in common: many ways to make room."""
    rng = Random(f"choice {seed}")
    while True:
        draft = Draft(rng=rng)
        draft.parts.append(wall())
        for n in range(rng.randint(2, 4)):
            for _ in range(30):
                if draft.try_part(on_wall(rng, f"m{n}", freedom=Freedom.MOVES)):
                    break
        movers = [p for p in draft.parts if p.freedom is Freedom.MOVES]
        if len(movers) < 2:
            continue
        for n in range(rng.randint(3, 5)):
            at = (REAR + 80.0, whole(rng, -700, 700), whole(rng, 100, 700))
            takes = tuple(p.id for p in movers if rng.random() < 0.6)
            size = (160.0, whole(rng, 180, 260), whole(rng, 180, 260))
            draft.spaces.append(space(f"s{n}", at, size, step=150.0, takes=takes, against=Direction.FORWARDS))
        add_links(draft)
        v, asked = draft.vehicle(), job(_upon(draft, rng.choice(movers)))
        if combinations(v, asked) <= MOST // 10 and all(stands_clear(v, c) for c in asked.changes):
            return v, asked


def tight_case(seed: int) -> tuple[Vehicle, Job]:
    """A part whose near space has only a slot between two posts, a few millimetres wider than it, off the grid.

    Now and then there is a roomy space far off, for which its hose would have to be made anew.
    """
    rng = Random(f"tight {seed}")
    size = (whole(rng, 60, 120), whole(rng, 80, 160), whole(rng, 80, 160))
    keep = rng.choice([0.0, 0.0, 8.0, 15.0])
    thing = mover(
        "thing", (REAR + size[0] / 2, 0.0, 300.0), size, keep_clear_mm=keep, off_min=rng.randint(1, 9), on_min=4
    )
    middle = rng.uniform(-60.0, 60.0)
    wide = size[1] + 2 * keep + rng.uniform(1.0, 9.0)
    posts = [
        part(f"post{n}", (REAR + 50.0, middle + side * (wide / 2 + 40.0), 600.0), (100.0, 80.0, 300.0), **post)
        for n, (side, post) in enumerate([(-1, {"freedom": Freedom.STAYS}), (1, {"freedom": Freedom.COMES_OFF})])
    ]
    high = size[2] + rng.choice([0.0, 60.0])
    near = space(
        "near", (REAR + 80.0, middle + 10.0, 600.0), (160.0, wide + 140.0, high), step=70.0, against=Direction.FORWARDS
    )
    far = space("far", (REAR + size[0] / 2, -850.0, 600.0), size, step=70.0)
    tap = part("tap", (REAR + 20.0, 150.0, 850.0), (40.0, 40.0, 40.0), freedom=Freedom.STAYS)
    hose = link("hose", "thing", "tap", slack_mm=60.0, remake_min=rng.randint(30, 90), passes=("post0", "post1", "new"))
    roomy = rng.random() < 0.5
    parts = [wall(), thing, *posts, tap]
    v = vehicle(parts, links=[hose] if roomy else [], spaces=[near, far] if roomy else [near])
    new = part("new", (REAR + 30.0, 20.0, 300.0), (60.0, 60.0, 60.0))
    return v, job(Add(component=new))


def _upon(draft: Draft, target: Component) -> Add:
    """Something new where a part stands."""
    new = on_wall(draft.rng, "new", freedom=Freedom.COMES_OFF, rooms=())
    y, z = target.pose.at_mm[1:]
    at = (new.pose.at_mm[0], y + whole(draft.rng, -40, 40), z + whole(draft.rng, -40, 40))
    return Add(component=replace(new, pose=Pose(at_mm=at)))


def random_changes(draft: Draft) -> list[Change]:
    """One change, now and then two of different parts."""
    first = random_change(draft)
    if draft.rng.random() > 0.3:
        return [first]
    draft.target = ""
    second = random_change(draft)
    touched = {getattr(first, "part", "first"), getattr(second, "part", "second")}
    if len(touched) < 2:
        return [first]
    match second:
        case Add(component=c):
            second = Add(component=replace(c, id="new-2"))
        case Replace(part=old, component=c):
            second = Replace(part=old, component=replace(c, id="heir-2"))
        case Cut():
            second = replace(second, id="hole-2")
        case _:
            pass
    return [first, second]
