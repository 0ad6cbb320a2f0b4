"""A bonnet that comes off and goes on, a lamp, a horn, a waxing in two parts; and a weekend to do it in."""

from datetime import date, datetime, time, timedelta

from yard import feature, task, toggle

from planner.model.effects import Proof
from planner.model.job import Job, Repeating, Session
from planner.model.plan import Plan, Slot, Step, Strip
from planner.model.work import Demand, Hold, Task, Toggle, WorkList

SATURDAY, SUNDAY = date(2026, 12, 5), date(2026, 12, 6)
DAYS = (SATURDAY, SUNDAY)
JOB = Job(
    id="bonnet",
    name="bonnet",
    changes=(),
    start=SATURDAY,
    repeating=(
        Repeating(weekday=5, start=time(9), end=time(12), hands=2),
        Repeating(weekday=6, start=time(9), end=time(11), hands=1),
    ),
)
"""Saturdays with a helper, Sundays alone; 10 min of setting up."""
SESSIONS = (
    Session(day=SATURDAY, start=time(9), end=time(12), hands=2),
    Session(day=SUNDAY, start=time(9), end=time(11), hands=1),
)


def at(day: int, clock: str) -> datetime:
    hour, minute = (int(part) for part in clock.split(":"))
    return datetime.combine(DAYS[day], time(hour, minute))


def slot(name: str, day: int, clock: str, minutes: int, part: tuple[int, int] = (1, 1)) -> Slot:
    """A slot of a task, or of a change when the name ends in + or -."""
    on = {"+": True, "-": False}.get(name[-1])
    start = at(day, clock)
    end = start + timedelta(minutes=minutes)
    step = Step(ref=name.rstrip("+-"), on=on)
    return Slot(step=step, session=day, start=start, end=end, part=part[0], parts=part[1])


def bonnet(*, off_dislike_min: int | None = 0, hands: int = 1) -> dict[str, object]:
    off = toggle("bonnet", on=False, minutes=20, hands=hands, dislike_min=off_dislike_min)
    on = toggle("bonnet", on=True, minutes=30, hands=hands)
    return {"bonnet": feature("bonnet", turn_on=on, turn_off=off)}


def work_of(*tasks: Task, holds: tuple[Hold, ...] = (), **more: object) -> WorkList:
    return WorkList(
        features=bonnet(**more),
        tasks={t.id: t for t in tasks},
        checkpoints={},
        buys={},
        holds={h.id: h for h in holds},
    )


def plan_of(work: WorkList, *slots: Slot, dislike: int = 0) -> Plan:
    """A plan with its totals right: they are summed here over the first parts."""
    whole = [s.step for s in slots if s.part == 1]
    toggles = {(f.id, t.on): t for f in work.features.values() for t in (f.turn_on, f.turn_off) if t is not None}
    pieces = [work.tasks[s.ref] if s.on is None else toggles[s.ref, s.on] for s in whole]
    cost = dislike + sum(p.minutes * p.hands for p in pieces if isinstance(p, Toggle))
    return Plan(
        strip=Strip(proof=Proof.FOUND, steps=tuple(whole), cost=cost, bound=0, dislike=dislike),
        sessions=SESSIONS,
        slots=slots,
        why=(),
        order_by={},
        arrives={},
        finish=max(s.end for s in slots),
        work_min=sum(p.minutes * p.hands for p in pieces),
    )


OFF = (Demand(feature="bonnet", on=False),)
LAMP, HORN = task("lamp", 30), task("horn", 40)
WAX = task("wax", 90, demands=OFF, splits=True)
OFF_SLOT, ON_SLOT = slot("bonnet-", 0, "9:10", 20), slot("bonnet+", 1, "9:50", 30)
WAX_SLOTS = (slot("wax", 0, "11:00", 60, (1, 2)), slot("wax", 1, "9:10", 30, (2, 2)))
