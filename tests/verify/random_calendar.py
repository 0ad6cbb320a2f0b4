"""Random work time: dated sessions, weekly ones, days off; and the sessions they come to, listed the plain way."""

from dataclasses import dataclass
from datetime import date, time, timedelta
from random import Random

from planner.model.job import Job, Repeating, Session

FIRST = date(2026, 3, 2)
"""A Monday."""
TIDY_MIN = 10
"""The catalog's; a job may say its own."""


def clock(minutes: int) -> time:
    return time(minutes // 60, minutes % 60)


def random_hours(rng: Random, shortest_min: int, longest_min: int) -> tuple[time, time]:
    begin = rng.randrange(8 * 60, 14 * 60, 15)
    return clock(begin), clock(min(begin + rng.randrange(shortest_min, longest_min + 1, 5), 23 * 60))


@dataclass(frozen=True)
class Time:
    """What a job says about time, and the sessions of its first ``days``."""

    job: Job
    sessions: tuple[Session, ...]


def listed(job: Job, days: int) -> tuple[Session, ...]:
    """Every session of the first days: a dated one sends away the weekly ones it overlaps."""
    found: list[Session] = []
    for n in range(days):
        day = FIRST + timedelta(days=n)
        if day in job.days_off:
            continue
        dated = [s for s in job.sessions if s.day == day]
        found += dated
        for w in job.repeating:
            clear = all(w.end <= s.start or s.end <= w.start for s in dated)
            if w.weekday == day.weekday() and clear:
                found.append(Session(day=day, start=w.start, end=w.end, hands=w.hands))
    return tuple(sorted(found, key=lambda s: (s.day, s.start)))


def random_time(rng: Random, *, most_hands: int, days: int, shortest_min: int = 60, longest_min: int = 240) -> Time:
    """No two dated sessions overlap, nor two weekly ones: a job file with such sessions is refused."""
    setup_min = rng.choice([None, 0, 5, 20])
    weekdays = rng.sample(range(7), rng.randint(0, 3))
    repeating = []
    for weekday in weekdays:
        start, end = random_hours(rng, shortest_min, longest_min)
        repeating.append(Repeating(weekday=weekday, start=start, end=end, hands=rng.randint(1, most_hands)))
    dated = []
    share = 0.15 if repeating else 0.4
    for n in range(days):
        if rng.random() >= share:
            continue
        day = FIRST + timedelta(days=n)
        start, end = random_hours(rng, shortest_min, longest_min)
        dated.append(Session(day=day, start=start, end=end, hands=rng.randint(1, most_hands)))
        if rng.random() < 0.2 and end < time(20):
            dated.append(Session(day=day, start=end, end=clock(end.hour * 60 + end.minute + 90), hands=most_hands))
    job = Job(
        id="j",
        name="j",
        changes=(),
        start=FIRST,
        sessions=tuple(dated),
        repeating=tuple(repeating),
        days_off=tuple(FIRST + timedelta(days=n) for n in range(days) if rng.random() < 0.1),
        setup_min=setup_min,
        tidy_min=rng.choice([0, 0, 5, 15]),
    )
    return Time(job=job, sessions=listed(job, days))
