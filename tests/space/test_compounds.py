"""Gaps of parts made of several solids, by hand, and the count of hand cases for every pair of kinds.

BRACKET is a foot x -50..50, y -10..10, z -10..10 and a post x -50..-30, y -10..10, z 10..110 on its front end. The
other solids are those of ``test_analytic.py``: BOX half sizes 50, 30, 20; BAR radius 25, half length 100 along z;
ROD radius 10 round the line x = -50..50; WEDGE the triangle (0, 0), (60, 0), (0, 60) with z = -10..10.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations_with_replacement

import pytest
from test_analytic import BAR, BOX, CASES, CUBE, ROD, WEDGE

from planner.model.shapes import Box, Cylinder, Outline, Pose, Solid, Tube, Vec
from planner.space import are_closer, closer_than, gap, solid_body

EXACT_MM = 0.01  # the precision promised

BRACKET = (
    Box(size_mm=(100.0, 20.0, 20.0)),
    Box(size_mm=(20.0, 20.0, 100.0), pose=Pose(at_mm=(-40.0, 0.0, 60.0))),
)
# a pipe of radius 5 round (0, 0, 0) to (100, 0, 0), then up to (100, 0, 80)
PIPE = (Tube(across_mm=10.0, through_mm=((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 0.0, 80.0))),)

MANY = [
    # with a box
    ((BOX,), (30, 0, 40), (0, 0, 0), 10.0),  # foot 20 - 10, post -20 + 30
    ((BOX,), (30, 0, 30), (0, 0, 0), 0.0),  # flush on the foot
    ((BOX,), (0, 0, 40), (0, 0, 0), -20.0),  # the post stands in it: out by 20 rearward
    ((CUBE,), (-20, 0, 60), (0, 0, 0), 0.0),  # flush against the post
    # with a cylinder
    ((BAR,), (20, 0, 115), (0, 0, 0), 5.0),  # foot 15 - 10, post 20 - 25 + 30 = 25
    ((BAR,), (0, 0, 150), (0, 0, 0), 5.0),  # post -25 + 30
    ((BAR,), (-10, 0, 150), (0, 0, 0), -5.0),
    # with a capsule
    ((ROD,), (0, 0, 25), (0, 0, 90), 5.0),  # foot 25 - 10 - 10
    ((ROD,), (-15, 0, 60), (0, 0, 90), 5.0),  # post -15 - 10 + 30
    ((ROD,), (-25, 0, 60), (0, 0, 90), -5.0),
    # with a prism
    ((WEDGE,), (0, 0, 25), (0, 0, 0), 5.0),  # foot 15 - 10
    ((WEDGE,), (-25, -30, 60), (0, 0, 0), 5.0),  # its straight side x = -25 beside the post
    ((WEDGE,), (-35, -30, 60), (0, 0, 0), -5.0),
    # with a compound
    (BRACKET, (0, 30, 0), (0, 0, 0), 10.0),  # side by side
    (BRACKET, (100, 0, 0), (0, 0, 0), 0.0),  # foot end to foot end
    (BRACKET, (95, 0, 0), (0, 0, 0), -5.0),
    (BRACKET, (0, 0, 115), (0, 0, 0), -5.0),  # its foot 5 deep on the post's top
    (BRACKET, (0, 0, 60), (0, 180, 0), -20.0),  # head down, post x 30..50, z -50..50: through the foot, feet 40 apart
    (PIPE, (-20, 0, 20), (0, 0, 0), 5.0),  # foot 20 - 5 - 10; its end -20 - 5 + 30
    (PIPE, (-20, 0, 15), (0, 0, 0), 0.0),
    (PIPE, (-28, 0, 30), (0, 0, 0), -3.0),  # its round end 3 deep in the post
]


@pytest.mark.parametrize(("other", "at", "turn", "expected"), MANY)
def test_gap_of_a_bracket_by_hand(other: tuple[Solid, ...], at: Vec, turn: Vec, expected: float) -> None:
    for whole in (Pose(), Pose(at_mm=(-3000.0, 420.0, 910.0))):
        x, y, z = whole.at_mm
        a = solid_body(BRACKET, whole)
        b = solid_body(other, Pose(at_mm=(at[0] + x, at[1] + y, at[2] + z), turn_deg=turn))
        assert gap(a, b).mm == pytest.approx(expected, abs=EXACT_MM)
        assert gap(b, a).mm == pytest.approx(expected, abs=EXACT_MM)
        assert closer_than(a, b, expected + 0.1)
        assert not closer_than(a, b, expected)
        assert are_closer([(a, b), (b, a), (a, b)], [expected + 0.1, expected, -200.0]) == [True, False, False]


def test_hand_cases_in_the_batch() -> None:
    pairs = [(solid_body([a], Pose()), solid_body([b], Pose(at_mm=at, turn_deg=turn))) for a, b, at, turn, _ in CASES]
    expected = [case[4] for case in CASES]
    assert are_closer(pairs, [mm + 0.03 for mm in expected]) == [True] * len(CASES)
    assert are_closer(pairs, expected) == [False] * len(CASES)


def _kind(solids: tuple[Solid, ...]) -> str:
    if len(solids) > 1 or (isinstance(solids[0], Tube) and len(solids[0].through_mm) > 2):
        return "compound"
    return {Box: "box", Cylinder: "cylinder", Tube: "capsule", Outline: "prism"}[type(solids[0])]


def test_every_pair_of_kinds_has_an_apart_and_an_overlapping_case() -> None:
    kinds = ("box", "cylinder", "capsule", "prism", "compound")
    cases = [((a,), (b,), mm) for a, b, _, _, mm in CASES] + [(BRACKET, other, mm) for other, _, _, mm in MANY]
    apart: Counter[tuple[str, ...]] = Counter()
    deep: Counter[tuple[str, ...]] = Counter()
    for a, b, mm in cases:
        pair = tuple(sorted((_kind(a), _kind(b))))
        apart[pair] += mm > 0.0
        deep[pair] += mm < 0.0
    for pair in combinations_with_replacement(sorted(kinds), 2):
        assert apart[pair] >= 1, pair
        assert deep[pair] >= 1, pair
        assert apart[pair] + deep[pair] >= 2, pair
    assert len(cases) >= 40
