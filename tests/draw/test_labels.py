"""Labels round a view: none on another, leaders of one row do not cross, nothing shoved about without need."""

import random
from itertools import combinations

import pytest

from planner.draw.labels import Edges, Wanted, place_labels
from planner.draw.sheet import Label, Mark

EDGES = Edges(left=20.0, right=160.0, top=40.0, bottom=110.0)


def wanted(count: int, seed: int, mark: Mark | None = Mark.NEW) -> list[Wanted]:
    draw = random.Random(seed)
    return [
        Wanted(subject=f"p{n}", number=n, mark=mark, anchor=(draw.gauss(90.0, 8.0), draw.uniform(41.0, 109.0)))
        for n in range(1, count + 1)
    ]


def overlap(a: Label, b: Label) -> bool:
    return (
        abs(a.middle[0] - b.middle[0]) < (a.wide_mm + b.wide_mm) / 2.0 - 1e-9
        and abs(a.middle[1] - b.middle[1]) < (a.high_mm + b.high_mm) / 2.0 - 1e-9
    )


def side(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def cross(a: Label, b: Label) -> bool:
    p, q = (a.middle[0], a.middle[1]), a.leader[1]
    r, s = (b.middle[0], b.middle[1]), b.leader[1]
    return side(p, q, r) * side(p, q, s) < 0.0 and side(r, s, p) * side(r, s, q) < 0.0


@pytest.mark.parametrize("seed", range(20))
def test_labels_keep_apart_and_leaders_uncrossed(seed: int) -> None:
    labels = place_labels(wanted(4 + seed, seed), EDGES)
    assert sorted(x.number for x in labels) == list(range(1, 5 + seed))
    for a, b in combinations(labels, 2):
        assert not overlap(a, b)
        assert a.middle[1] != b.middle[1] or not cross(a, b)
    for label in labels:
        assert EDGES.left <= label.middle[0] - label.wide_mm / 2 + 1e-9
        assert label.middle[0] + label.wide_mm / 2 <= EDGES.right + 1e-9
        assert label.middle[1] + label.high_mm / 2 < EDGES.top or label.middle[1] - label.high_mm / 2 > EDGES.bottom


def test_a_label_with_room_stands_straight_over_its_part() -> None:
    lone = [Wanted(subject="a", number=1, mark=None, anchor=(60.0, 50.0))]
    (label,) = place_labels(lone, EDGES)
    assert label.middle[0] == 60.0
    assert label.middle[1] < EDGES.top


def test_the_rows_hold_what_they_say_and_no_more() -> None:
    room = EDGES.room_for(marked=True)
    assert len(place_labels(wanted(room, 1), EDGES)) == room
    with pytest.raises(ValueError, match="do not fit"):
        place_labels(wanted(room + 1, 1), EDGES)
