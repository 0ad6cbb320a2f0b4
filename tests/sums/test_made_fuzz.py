"""Any pedal, linkage, bracket and shoe, believable or not: the sheet never breaks and its verdicts follow its lines."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from sums.bench_car import CYLINDER, FIGURES, LINKS, PARTS, PEDAL, part

from planner.model.figures import (
    ArmFigures,
    BarSort,
    BoltFigures,
    BracketFigures,
    DuoFigures,
    Figure,
    LinkageFigures,
    PedalFigures,
    PinFigures,
    SheetFigures,
    ShoeSize,
    StageFigures,
    TurnFigures,
    WeldFigures,
)
from planner.model.shapes import Pose, Turn
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Driver, End, FootBand, Link, Spot
from planner.shelf.fill_pedals import BAR_SIZES, GRADES, THREADS_MM
from planner.sums.sheet import sums_of


def size(rng: random.Random, usual: float) -> Figure:
    value = usual * rng.choice((0.01, 0.5, 0.9, 1.0, 1.0, 1.1, 2.0, 50.0))
    return Figure(value, value * rng.choice((0.0, 0.0, 0.01, 0.2, 0.99)))


def pedal(rng: random.Random) -> PedalFigures:
    sort = rng.choice(tuple(BarSort))
    run = rng.random() < 0.5
    return PedalFigures(
        arm=ArmFigures(
            sort=sort,
            across_mm=tuple(size(rng, 12.0) for _ in BAR_SIZES[sort]),
            yield_mpa=size(rng, 250.0),
            hole_mm=size(rng, 8.0) if sort is BarSort.FLAT and rng.random() < 0.5 else None,
        ),
        pivot=PinFigures(
            across_mm=size(rng, 16.0),
            long_mm=size(rng, 40.0),
            yield_mpa=size(rng, 350.0),
            bush_mpa=rng.choice((None, size(rng, 30.0))),
            sides=rng.choice((1, 2)),
        ),
        bolts=BoltFigures(
            on=rng.choice(("pedal", "nowhere")),
            thread_mm=float(rng.choice(THREADS_MM)),
            grade=rng.choice(GRADES),
            along=rng.choice("xyz"),
            at_mm=tuple(
                (rng.uniform(-90, 90), rng.uniform(-90, 90), rng.uniform(-90, 90)) for _ in range(rng.randint(1, 6))
            ),
            edge_mm=rng.choice((None, Figure(12.0))),
        ),
        sheet=SheetFigures(
            thick_mm=size(rng, 1.2),
            doubler_mm=rng.choice((Figure(0.0), size(rng, 3.0))),
            tensile_mpa=size(rng, 340.0),
            washer_mm=size(rng, 16.0),
            edge_mm=size(rng, 15.0),
        ),
        weld=WeldFigures(
            leg_mm=size(rng, 4.0),
            electrode_mpa=size(rng, 480.0),
            long_mm=size(rng, 80.0) if run else None,
            round_mm=None if run else size(rng, 30.0),
        ),
        panic_n=rng.choice((None, size(rng, 1400.0))),
    )


def linkage(rng: random.Random) -> LinkageFigures:
    turns = TurnFigures(about_mm=(rng.uniform(-50, 50), 0.0, 0.0), axis=rng.choice(((0.0, 1.0, 0.0), (0.6, 0.0, 0.8))))
    outer = rng.choice(((), (("cylinder", ""),), (("cylinder", ""), ("far", ""))))
    return LinkageFigures(
        part=rng.choice(("far", "pedal", "nowhere")),
        port=rng.choice(("lever", "pad", "")),
        turns=rng.choice((None, turns)),
        travel_deg=rng.choice((None, 12.0, -80.0)),
        stages=(StageFigures(link=rng.choice(("bar", "rod")), turns=rng.choice((None, turns)), outer=outer),),
        full_deg=rng.choice((None, size(rng, 40.0))),
        pull_mm=rng.choice((None, size(rng, 18.0))),
    )


def bracket(rng: random.Random) -> BracketFigures:
    bends = rng.randint(1, 3)
    return BracketFigures(
        legs_mm=tuple(size(rng, 40.0) for _ in range(bends + 1)),
        widths_mm=tuple(size(rng, 50.0) for _ in range(bends + 1)),
        angles_deg=tuple(rng.uniform(1, 179) for _ in range(bends)),
        radius_mm=size(rng, 3.0),
        thick_mm=size(rng, 3.0),
        neutral=Figure(rng.uniform(0.2, 1.0)),
    )


def held(line: SumLine) -> None:
    """What must be so of any line."""
    assert line.source
    assert line.not_covered
    assert (line.value is None) == (line.verdict is Verdict.UNKNOWN)
    if line.value is None:
        assert line.note
        return
    assert math.isfinite(line.value)
    assert line.least is None or line.least <= line.value + 1e-9
    assert line.most is None or line.most >= line.value - 1e-9
    inside = (line.low is None or line.value >= line.low) and (line.high is None or line.value <= line.high)
    assert inside or line.verdict in {Verdict.FAILS, Verdict.CLOSE}
    assert not inside or line.verdict is not Verdict.FAILS


def test_nothing_told_breaks_the_sheet() -> None:
    rng = random.Random(29)
    far = part(
        "far", "throttle-relay", pose=Pose(at_mm=(700, 300, 560)), ports_mm={"lever": (0, 0, -50), "pad": (0, 30, 90)}
    )
    bar = Link(
        id="bar",
        kind="throttle-rod",
        name="bar",
        group="throttle",
        ends=(End(component="pedal", port="rod"), End(component="far", port="lever")),
        rigid=True,
    )
    heel = Driver(
        heel=Spot(at_mm=(1000.0, 300.0, 90.0)),
        foot=FootBand(low_mm=190, high_mm=250, low_words="hers", high_words="his", source="own"),
    )
    seen = set()
    for _ in range(60):
        turn = Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=rng.choice((0.2, 5, 16, 40, 90, -16)))
        parts = {**PARTS, "pedal": replace(PEDAL, motion=turn), "cylinder": CYLINDER, "far": far}
        duo = DuoFigures(cylinder_mm=size(rng, 90.0), link_mm=size(rng, 90.0), anchor_mm=size(rng, 95.0))
        axles = {k: replace(v, duo=rng.choice((None, duo))) for k, v in FIGURES.axles.items()}
        figures = replace(
            FIGURES,
            axles=axles,
            pedals={"pedal": pedal(rng), "gone": pedal(rng)},
            linkages={"gas": linkage(rng)},
            brackets={"plate": bracket(rng)},
            shoe=ShoeSize(width_mm=size(rng, 100.0), length_mm=size(rng, 290.0)),
        )
        lines = sums_of(parts, {**LINKS, "bar": bar}, figures, (), heel)
        assert len({x.id for x in lines}) == len(lines)
        for line in lines:
            held(line)
            seen.add((line.about, line.verdict))
    for about in ("pedal", "gas", "plate"):
        assert len({v for a, v in seen if a == about}) >= 3, about
    assert ("front", Verdict.TOLD) in seen
