"""Small work lists and plans made by hand, for drawings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from planner.model.catalog import Work
from planner.model.effects import Proof
from planner.model.job import Session
from planner.model.plan import Plan, Slot, Step, Strip
from planner.model.work import After, Buy, Demand, Feature, Task, Toggle, WorkList

MONDAY = date(2026, 5, 4)
HOSTILE = '<script>alert(1)</script>\x1b[31m\x00 \u202egnihtemos\u202c &amp; "quoted" ' + "n" * 300


def session(days: int, start: int = 9, end: int = 17, hands: int = 1) -> Session:
    return Session(day=MONDAY + timedelta(days=days), start=time(start), end=time(end), hands=hands)


def feature(name: str, *, start: bool = True, goal: bool | None = None, about: str = "", **words: object) -> Feature:
    """A feature that can be changed both ways in 10 min; ``off_needs`` and ``on_needs`` are demands."""
    hands = int(str(words.get("hands", 1)))

    def toggle(on: bool, key: str) -> Toggle:
        return Toggle(
            feature=name,
            on=on,
            title=f"{'Put' if on else 'Take'} {about or name} {'on' if on else 'off'}",
            work=Work.FITTING if on else Work.REMOVING,
            minutes=10,
            hands=hands,
            demands=tuple(words.get(key, ())),  # type: ignore[arg-type]
        )

    return Feature(
        id=name,
        name=f"{about or name} fitted",
        start=start,
        goal=start if goal is None else goal,
        turn_on=toggle(True, "on_needs"),
        turn_off=toggle(False, "off_needs"),
        subject=name.partition(":")[2] or name,
    )


def task(name: str, *needs: Demand, after: Sequence[str | After] = (), **more: object) -> Task:
    return Task(
        id=name,
        title=str(more.pop("title", f"Do {name}")),
        work=Work.FITTING,
        minutes=int(str(more.pop("minutes", 30))),
        demands=needs,
        after=tuple(a if isinstance(a, After) else After(task=a) for a in after),
        **more,  # type: ignore[arg-type]
    )


def needs(name: str, on: bool) -> Demand:
    return Demand(feature=name, on=on)


def work_of(features: Sequence[Feature] = (), tasks: Sequence[Task] = (), buys: Sequence[Buy] = ()) -> WorkList:
    return WorkList(
        features={f.id: f for f in features},
        tasks={t.id: t for t in tasks},
        checkpoints={},
        buys={b.id: b for b in buys},
    )


def step(text: str) -> Step:
    """A task's id, or a feature with + or - before it."""
    return Step(ref=text[1:], on=text[0] == "+") if text[0] in "+-" else Step(ref=text)


def slot(sessions: Sequence[Session], number: int, text: str, start: str, minutes: int, **more: int) -> Slot:
    begin = datetime.combine(sessions[number].day, time.fromisoformat(start))
    return Slot(step=step(text), session=number, start=begin, end=begin + timedelta(minutes=minutes), **more)


def plan_of(sessions: Sequence[Session], slots: Sequence[Slot], **more: object) -> Plan:
    return Plan(
        strip=Strip(proof=Proof.PROVED, steps=tuple(s.step for s in slots), cost=0, bound=0),
        sessions=tuple(sessions),
        slots=tuple(slots),
        why=("",) * len(slots),
        order_by={},
        arrives=more.pop("arrives", {}),  # type: ignore[arg-type]
        finish=max((s.end for s in slots), default=None),
        work_min=0,
        **more,  # type: ignore[arg-type]
    )


def in_a_row(sessions: Sequence[Session], texts: Sequence[str], minutes: int = 30) -> Plan:
    """One step after the other, as many a session as it has room for."""
    slots: list[Slot] = []
    number, at = 0, datetime.combine(sessions[0].day, sessions[0].start) if sessions else datetime(2026, 5, 4)  # noqa: DTZ001
    for text in texts:
        if at + timedelta(minutes=minutes) > datetime.combine(sessions[number].day, sessions[number].end):
            number += 1
            at = datetime.combine(sessions[number].day, sessions[number].start)
        slots.append(Slot(step=step(text), session=number, start=at, end=at + timedelta(minutes=minutes)))
        at += timedelta(minutes=minutes)
    return plan_of(sessions, slots)


def long_job(parts: int, title: str = "") -> tuple[WorkList, Plan]:
    """Each part comes off, something is done while it is off, and it goes back: three steps a part, interleaved."""
    features = [feature(f"part-{n}", about=title) for n in range(parts)]
    tasks = [
        task(
            f"task-{n}",
            needs(f"part-{n}", on=False),
            after=[f"task-{n - 7}"] if n >= 7 else [],
            title=title or f"Do {n}",
        )
        for n in range(parts)
    ]
    texts = []
    for n in range(0, parts, 5):
        few = range(n, min(n + 5, parts))
        texts += [f"-part-{k}" for k in few] + [f"task-{k}" for k in few] + [f"+part-{k}" for k in few]
    days = [session(n, 9, 17) for n in range(len(texts) // 16 + 2)]
    return work_of(features, tasks), in_a_row(days, texts)
