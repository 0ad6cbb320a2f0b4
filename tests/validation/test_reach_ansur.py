"""Sizes of people in the catalog against the published rows, and the reach of a foot worked out beside the package.

Rows: ANSUR II (2012), open data, 4,082 men and 1,986 women. Heel to ball 203 mm: SAE J4003 as quoted.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from garage import part, vehicle, wall
from shipped import catalog

from planner.knockon import present_faults
from planner.model.catalog import BodySize, Measure, Person, Sex
from planner.model.vehicle import Driver, FootBand, Keeps, Relation, Spot
from planner.shelf.people import Found, length_of, table_for

CATALOG = catalog()
PRINTED = {
    (Measure.BALL_OF_FOOT, Sex.MAN): (200.94, 10.47, 178, 184, 201, 218, 225),
    (Measure.BALL_OF_FOOT, Sex.WOMAN): (182.05, 9.64, 161, 167, 182, 198, 204),
    (Measure.FOOT_LENGTH, Sex.MAN): (271.18, 13.10, 242, 250, 271, 293, 302),
    (Measure.FOOT_LENGTH, Sex.WOMAN): (246.29, 12.44, 219, 226, 246, 267.75, 276),
    (Measure.FOOT_BREADTH, Sex.MAN): (101.86, 5.23, 91, 94, 102, 111, 115),
    (Measure.FOOT_BREADTH, Sex.WOMAN): (92.71, 4.78, 82.85, 85, 93, 101, 104),
    (Measure.BUTTOCK_KNEE, Sex.MAN): (617.95, 30.59, None, 569, 617, 669, None),
    (Measure.BUTTOCK_KNEE, Sex.WOMAN): (590.59, 32.60, None, 541, 589, 646, None),
}
COUNTS = {Sex.MAN: 4082, Sex.WOMAN: 1986}
Z95 = 1.6448536
"""95th percentile of the normal distribution; value from any table."""
Z99 = 2.3263479


def table(what: Measure, sex: Sex) -> BodySize:
    found = table_for(CATALOG.body_sizes, what, Person(percentile=50.0, sex=sex))
    assert found is not None
    return found


def below(value: float, mean: float, sd: float) -> float:
    """Share of a normal population below a value, by the error function."""
    return 0.5 * (1.0 + math.erf((value - mean) / (sd * math.sqrt(2.0))))


@pytest.mark.parametrize(("what", "sex"), PRINTED)
def test_each_cell_is_as_printed(what: Measure, sex: Sex) -> None:
    row = table(what, sex)
    cells = (row.mean_mm, row.sd_mm, row.p1_mm, row.p5_mm, row.p50_mm, row.p95_mm, row.p99_mm)
    assert cells == PRINTED[what, sex]
    assert row.count == COUNTS[sex]
    assert "ANSUR II" in row.source


def test_there_is_nothing_else() -> None:
    assert {(s.what, s.of) for s in CATALOG.body_sizes.values()} == set(PRINTED)
    assert {(i, f.value, f.unit) for i, f in CATALOG.body_figures.items()} == {
        ("heel-to-ball", 203.0, "mm"),
        ("least-ankle-angle", 87.0, "deg"),
    }


@pytest.mark.parametrize(("what", "sex"), PRINTED)
def test_the_percentiles_belong_to_the_mean_and_deviation(what: Measure, sex: Sex) -> None:
    """Human lengths are nearly normal; the widest of these is 4 mm off (buttock to knee of women, which is skew)."""
    row = table(what, sex)
    for z, mm in ((-Z99, row.p1_mm), (-Z95, row.p5_mm), (0.0, row.p50_mm), (Z95, row.p95_mm), (Z99, row.p99_mm)):
        if mm is not None:
            assert mm == pytest.approx(row.mean_mm + z * row.sd_mm, abs=0.1 * row.sd_mm + 1.0)


def test_the_two_feet_pooled() -> None:
    """The publisher's own pooled row: 6,068 people, 194.75 +/- 13.52 mm."""
    man, woman = table(Measure.BALL_OF_FOOT, Sex.MAN), table(Measure.BALL_OF_FOOT, Sex.WOMAN)
    total = man.count + woman.count
    mean = (man.count * man.mean_mm + woman.count * woman.mean_mm) / total
    inside = sum((r.count - 1) * r.sd_mm**2 for r in (man, woman))
    between = sum(r.count * (r.mean_mm - mean) ** 2 for r in (man, woman))
    assert total == 6068
    assert mean == pytest.approx(194.75, abs=0.01)
    assert math.sqrt((inside + between) / (total - 1)) == pytest.approx(13.52, abs=0.01)


def test_ball_to_foot() -> None:
    """0.7404 in the pooled data; the ratio of the means of each sex, weighted, is the same to a thousandth."""
    ratios = {sex: table(Measure.BALL_OF_FOOT, sex).mean_mm / table(Measure.FOOT_LENGTH, sex).mean_mm for sex in COUNTS}
    pooled = sum(ratios[sex] * count for sex, count in COUNTS.items()) / sum(COUNTS.values())
    assert pooled == pytest.approx(0.7404, abs=0.001)


def test_the_standard_foot_among_men() -> None:
    """203 mm is +0.20 standard deviations for men: the 58th percentile."""
    row, standard = table(Measure.BALL_OF_FOOT, Sex.MAN), CATALOG.body_figures["heel-to-ball"].value
    assert (standard - row.mean_mm) / row.sd_mm == pytest.approx(0.20, abs=0.005)
    assert round(100 * below(standard, row.mean_mm, row.sd_mm)) == 58


@pytest.mark.parametrize("sex", list(Sex))
@pytest.mark.parametrize("percentile", [2.0, 10.0, 25.0, 58.0, 75.0, 90.0, 97.5])
def test_between_printed_percentiles(sex: Sex, percentile: float) -> None:
    """What lies between is where a normal curve through the two printed neighbours has it, found by halving."""
    row = table(Measure.BALL_OF_FOOT, sex)
    found = length_of(row, percentile)
    assert isinstance(found, Found)
    assert found.between is not None
    low_p, high_p = found.between
    ends = dict(zip((1.0, 5.0, 50.0, 95.0, 99.0), PRINTED[Measure.BALL_OF_FOOT, sex][2:], strict=True))
    low_mm, high_mm = ends[low_p], ends[high_p]
    assert low_mm is not None
    assert high_mm is not None
    z = {p: _z_of(p) for p in (low_p, percentile, high_p)}
    share = (z[percentile] - z[low_p]) / (z[high_p] - z[low_p])
    assert found.mm == pytest.approx(low_mm + share * (high_mm - low_mm), abs=1e-4)
    assert found.mm == pytest.approx(row.mean_mm + z[percentile] * row.sd_mm, abs=1.5)


def _z_of(percentile: float) -> float:
    low, high = -6.0, 6.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if below(middle, 0.0, 1.0) < percentile / 100 else (low, middle)
    return low


@pytest.mark.parametrize(
    ("percentile", "mm"), [(1.0, 161.0), (5.0, 167.0), (50.0, 182.0), (95.0, 198.0), (99.0, 204.0)]
)
def test_printed_percentiles_are_printed(percentile: float, mm: float) -> None:
    assert length_of(table(Measure.BALL_OF_FOOT, Sex.WOMAN), percentile) == Found(
        mm=mm, between=None, source="ANSUR II (2012), open data"
    )


@pytest.mark.parametrize(("what", "percentile"), [(Measure.BALL_OF_FOOT, 0.5), (Measure.BUTTOCK_KNEE, 97.5)])
def test_the_tails_are_not_guessed(what: Measure, percentile: float) -> None:
    assert length_of(table(what, Sex.MAN), percentile) is None


def test_the_band_of_the_foot_by_rings() -> None:
    """Pads on a grid before the heel; the people are tried one by one, from the 5th woman to the 95th man, in steps.

    A pad is in reach when the ball of somebody's foot comes down within half a step of it.
    """
    shoe, step = 30.0, 0.5
    woman, man = table(Measure.BALL_OF_FOOT, Sex.WOMAN).p5_mm or 0.0, table(Measure.BALL_OF_FOOT, Sex.MAN).p95_mm or 0.0
    people = [woman + shoe + i * step for i in range(round((man - woman) / step) + 1)]
    foot = FootBand(low_mm=woman + shoe, high_mm=man + shoe, low_words="", high_words="", source="")
    driver = Driver(heel=Spot(at_mm=(1000.0, 300.0, 95.0)), foot=foot)
    rule = Relation(id="foot", part="pedal", keeps=Keeps.FOOT_REACH, of=None, by_mm=0.0)
    decided = {True: 0, False: 0}
    for forward in range(10, 281, 30):
        for up in range(5, 281, 25):
            away = abs(complex(forward, up))
            near = min(abs(away - ball) for ball in people)
            if step / 2 - 0.1 < near < step / 2 + 0.1:
                continue  # too near the edge of the band to be told by steps
            pedal = part("pedal", (1000.0 - forward, 300.0, 95.0 + up), (8.0, 8.0, 8.0), on=None)
            v = vehicle([wall(), pedal], relations=[rule])
            reached = not [f for f in present_faults(replace(v, driver=driver)) if f.other == "foot"]
            assert reached == (near <= step / 2)
            decided[reached] += 1
    assert min(decided.values()) > 10
