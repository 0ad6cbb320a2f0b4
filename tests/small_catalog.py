"""A hand-made catalog, just large enough for the vehicle in tests/data/good. All numbers are made up."""

from __future__ import annotations

from planner.model.catalog import Catalog, Condition, Kind, LinkKind, SystemKind
from planner.model.shapes import Direction
from planner.model.vehicle import Freedom, Room, RoomNeed

MADE_UP = "starting guess"


def kind(name: str, group: str, freedom: Freedom, largest_mm: float, **more: object) -> Kind:
    words = name.replace("-", " ")
    return Kind(id=name, name=words, group=group, freedom=freedom, largest_mm=largest_mm, source=MADE_UP, **more)  # type: ignore[arg-type]


def link_kind(
    name: str, group: str, across_mm: float, bend_radius_mm: float, *, rigid: bool, opens: tuple[str, ...] = ()
) -> LinkKind:
    return LinkKind(
        id=name,
        name=name.replace("-", " "),
        group=group,
        freedom=Freedom.MOVES,
        source=MADE_UP,
        across_mm=across_mm,
        bend_radius_mm=bend_radius_mm,
        slack_mm=7.0,
        adjust_mm=3.0,
        rigid=rigid,
        off_min=11,
        on_min=13,
        hands=1,
        remake_min=17,
        adjust_min=19,
        opens=opens,
        tools=("pliers",),
        needs=("on-stands",),
    )


def condition(name: str) -> Condition:
    words = name.replace("-", " ")
    return Condition(id=name, name=words, enter=words, leave=words, enter_min=20, leave_min=10, hands=1, source=MADE_UP)


def system_kind(name: str, group: str, fluid: str = "", close: str = "") -> SystemKind:
    return SystemKind(
        id=name,
        name=name.replace("-", " "),
        group=group,
        fluid=fluid,
        source=MADE_UP,
        open="",
        open_min=0,
        open_hands=1,
        close=close,
        close_min=0,
        close_hands=1,
    )


def small_catalog() -> Catalog:
    kinds = (
        kind("frame", "chassis", Freedom.STAYS, 6000),
        kind("panel", "body", Freedom.STAYS, 2500),
        kind(
            "brake-pedal",
            "brakes",
            Freedom.COMES_OFF,
            600,
            off_min=21,
            on_min=31,
            hands=2,
            make_min=200,
            keep_clear_mm=4.0,
            tools=("spanner",),
            needs=("battery-off",),
            rooms=(Room(name="foot", needed=RoomNeed.ALWAYS, side=Direction.REARWARDS, depth_mm=99.0),),
        ),
        kind("tank", "cooling", Freedom.MOVES, 800, off_min=9, on_min=9, rides=True),
        kind("wheel-cylinder", "brakes", Freedom.COMES_OFF, 300, off_min=30, on_min=35, opens=("hydraulic-brake",)),
        kind("master-cylinder", "brakes", Freedom.MOVES, 400, off_min=30, on_min=40),
    )
    links = (
        link_kind("rod", "brakes", 8.0, 0.0, rigid=True),
        link_kind("brake-pipe", "brakes", 4.75, 20.0, rigid=True),
        link_kind("cable", "clutch", 6.0, 75.0, rigid=False),
        link_kind("throttle-cable", "throttle", 6.0, 75.0, rigid=False, opens=("throttle-linkage",)),
    )
    conditions = (condition("on-stands"), condition("battery-off"))
    systems = (
        system_kind("hydraulic-brake", "brakes", fluid="brake fluid", close="Bleed the brakes"),
        system_kind("cooling", "cooling"),
        system_kind("throttle-linkage", "throttle", close="Set the throttle"),
        system_kind("choke", "throttle", close="Set the choke"),
        system_kind("handbrake", "brakes", close="Set the handbrake"),
    )
    return Catalog(
        kinds={k.id: k for k in kinds},
        link_kinds={k.id: k for k in links},
        system_kinds={s.id: s for s in systems},
        conditions={c.id: c for c in conditions},
        templates={},
        rules={},
        hot_conditions=(),
        hot_clear=(),
        hot_reach_mm=300.0,
        limits_near_mm=50.0,
        cut_reach_mm=150.0,
        bare_reach_mm=100.0,
        tidy_min=10,
        cautions={},
    )
