"""Three-point estimates of activities, and the chance that a path, or several, are done in time.

With a, m, b the least, most likely and largest duration of an activity:

    mean = (a + 4 m + b) / 6,    variance = ((b - a) / 6)^2

A path's mean and variance are the sums over its activities, taken to be independent, and its duration is taken to
be normal: P(T <= t) = Phi((t - mean) / sqrt(variance)). The chance that several paths are *all* done is taken as
the product of theirs; activities they share make the truth larger, paths left out make it smaller.

Source: D. G. Malcolm, J. H. Roseboom, C. E. Clark, W. Fazar, Application of a technique for research and
development program evaluation, Operations Research 7 (1959) 646-669 (value from memory), as in Hillier &
Lieberman, Introduction to Operations Research (chapter on PERT/CPM).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreePoint:
    """Least, most likely and largest duration of an activity, in any one unit of time.

    Raises
    ------
    ValueError
        They do not rise.
    """

    least: float
    likely: float
    most: float

    def __post_init__(self) -> None:
        if not self.least <= self.likely <= self.most:
            raise ValueError(f"durations must rise: {self.least:g}, {self.likely:g}, {self.most:g}")

    @property
    def mean(self) -> float:
        """Mean duration."""
        return (self.least + 4 * self.likely + self.most) / 6

    @property
    def variance(self) -> float:
        """Variance of the duration, in the square of the unit."""
        return ((self.most - self.least) / 6) ** 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """Activities one after the other, with the mean and variance of their sum."""

    names: tuple[str, ...]
    mean: float
    variance: float

    @property
    def deviation(self) -> float:
        """Standard deviation, in the unit of the durations."""
        return math.sqrt(self.variance)

    def chance_by(self, time: float) -> float:
        """Chance, 0 to 1, that the path is done by a time."""
        if self.variance == 0:
            return float(self.mean <= time)
        return NormalDist(self.mean, self.deviation).cdf(time)


def path_of(estimates: Mapping[str, ThreePoint], names: Sequence[str]) -> Path:
    """A path through some activities.

    Raises
    ------
    KeyError
        An activity has no estimate.
    """
    return Path(
        names=tuple(names),
        mean=math.fsum(estimates[n].mean for n in names),
        variance=math.fsum(estimates[n].variance for n in names),
    )


def paths_of(estimates: Mapping[str, ThreePoint], after: Mapping[str, Sequence[str]]) -> tuple[Path, ...]:
    """All paths from an activity without predecessors to one without successors, the longest mean first.

    Their number can grow exponentially with that of the activities: for small networks.

    Raises
    ------
    ValueError
        The activities run in a ring.
    """
    followers: dict[str, list[str]] = {n: [] for n in estimates}
    for name, earlier in after.items():
        for other in earlier:
            followers[other].append(name)
    found: list[Path] = []
    rows: list[tuple[str, ...]] = [(n,) for n in estimates if not after.get(n)]
    if estimates and not rows:
        raise ValueError("no activity can be the first: they wait for each other in a ring")
    while rows:
        row = rows.pop()
        if row[-1] in row[:-1]:
            raise ValueError("these wait for each other in a ring: " + " -> ".join(row[row.index(row[-1]) :]))
        if followers[row[-1]]:
            rows += [(*row, n) for n in followers[row[-1]]]
        else:
            found.append(path_of(estimates, row))
    return tuple(sorted(found, key=lambda p: (-p.mean, p.names)))


def chance_all_by(paths: Iterable[Path], time: float) -> float:
    """Chance, 0 to 1, that all of some paths are done by a time, as if they were independent."""
    return math.prod(p.chance_by(time) for p in paths)
