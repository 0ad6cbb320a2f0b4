"""A small job, worked out by hand, and its sound strip and plan.

A tank behind a cowl comes out for a cut; the cut edge is painted and cures overnight; a bracket that takes
nine days to come is fitted; the tank goes back, is signed for, and the car is road tested.
"""

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from planner.model.catalog import Catalog, Work
from planner.model.effects import Proof
from planner.model.job import Job, Repeating, Session
from planner.model.plan import Plan, Slot, Step, Strip
from planner.model.work import After, Buy, Checkpoint, Demand, Feature, Task, Toggle, WorkList

TODAY = date(2026, 12, 3)
"""A Thursday."""


def toggle(feature: str, *, on: bool, minutes: int = 10, hands: int = 1, **more: object) -> Toggle:
    return Toggle(
        feature=feature,
        on=on,
        title=f"{'fit' if on else 'take off'} {feature}",
        work=Work.FITTING if on else Work.REMOVING,
        minutes=minutes,
        hands=hands,
        **more,
    )


def feature(
    name: str,
    *,
    start: bool = True,
    goal: bool | None = True,
    turn_on: Toggle | None = None,
    turn_off: Toggle | None = None,
) -> Feature:
    return Feature(id=name, name=name, start=start, goal=goal, turn_on=turn_on, turn_off=turn_off)


def task(name: str, minutes: int = 30, **more: object) -> Task:
    return Task(id=name, title=name, work=Work.FITTING, minutes=minutes, **more)


def checkpoint(name: str, *blocked: str, **more: object) -> Checkpoint:
    facts: dict[str, object] = {
        "rule": name,
        "subject": "",
        "title": name,
        "measure": "look at it",
        "limit": "sound",
        "unit": "",
        "low": None,
        "high": None,
        "blocks": ("road",),
        "caution": "",
        "source": "common practice, no published source",
        "why": "",
    }
    return Checkpoint(id=name, blocked=blocked, **{**facts, **more})


def catalog(tidy_min: int = 10, **more: object) -> Catalog:
    facts: dict[str, object] = {
        "kinds": {},
        "link_kinds": {},
        "system_kinds": {},
        "conditions": {},
        "templates": {},
        "rules": {},
        "hot_conditions": (),
        "hot_clear": (),
        "hot_reach_mm": 0.0,
        "limits_near_mm": 0.0,
        "cut_reach_mm": 0.0,
        "bare_reach_mm": 0.0,
        "cautions": {},
    }
    return Catalog(tidy_min=tidy_min, **{**facts, **more})


def work_list() -> WorkList:
    off, on = Demand(feature="cowl", on=False), Demand(feature="cowl", on=True)
    tank_off = Demand(feature="tank", on=False)
    features = (
        feature("cowl", turn_on=toggle("cowl", on=True), turn_off=toggle("cowl", on=False)),
        feature(
            "tank",
            turn_on=toggle("tank", on=True, minutes=20, hands=2, after=("fit-bracket",), demands=(off,)),
            turn_off=toggle(
                "tank",
                on=False,
                minutes=15,
                ways=((Demand(feature="cowl", on=False),), (Demand(feature="stands", on=True),)),
            ),
        ),
        feature("stands", start=False, goal=False, turn_on=toggle("stands", on=True)),
    )
    tasks = (
        task("cut-slot", 40, demands=(tank_off,)),
        task("paint-edge", 20, demands=(tank_off,), after=(After(task="cut-slot"),)),
        task(
            "fit-bracket",
            30,
            demands=(tank_off,),
            after=(After(task="paint-edge", lag_min=720),),
            purchases=("bracket",),
        ),
        task("sign-tank", 5, demands=(Demand(feature="tank", on=True, last=True),), checkpoint="tank-tight"),
        task("road-test", 20, demands=(on,), after=(After(task="fit-bracket"),)),
    )
    return WorkList(
        features={item.id: item for item in features},
        tasks={item.id: item for item in tasks},
        checkpoints={"tank-tight": checkpoint("tank-tight", "road-test")},
        buys={"bracket": Buy(id="bracket", what="bracket", price=12.0, lead_days=9, for_part="tank")},
    )


STEPS = (
    Step(ref="cowl", on=False),
    Step(ref="tank", on=False),
    Step(ref="cut-slot"),
    Step(ref="paint-edge"),
    Step(ref="fit-bracket"),
    Step(ref="tank", on=True),
    Step(ref="sign-tank"),
    Step(ref="cowl", on=True),
    Step(ref="road-test"),
)


def strip(steps: tuple[Step, ...] = STEPS, cost: int = 75) -> Strip:
    """Cost: cowl 10 + 10, tank 15 + 20 x 2."""
    return Strip(proof=Proof.PROVED, steps=steps, cost=cost, bound=cost)


def job() -> Job:
    """Saturdays from 9 to 12 with a helper, and one dated Sunday afternoon alone."""
    return Job(
        id="slot",
        name="slot",
        changes=(),
        start=date(2026, 12, 5),
        sessions=(Session(day=date(2026, 12, 13), start=time(14), end=time(16), hands=1),),
        repeating=(Repeating(weekday=5, start=time(9), end=time(12), hands=2),),
        days_off=(date(2026, 12, 26),),
    )


SESSIONS = (
    Session(day=date(2026, 12, 5), start=time(9), end=time(12), hands=2),
    Session(day=date(2026, 12, 13), start=time(14), end=time(16), hands=1),
    Session(day=date(2026, 12, 19), start=time(9), end=time(12), hands=2),
)


def slot(step: Step, session: int, clock: str, minutes: int) -> Slot:
    hour, minute = (int(part) for part in clock.split(":"))
    start = datetime.combine(SESSIONS[session].day, time(hour, minute))
    return Slot(step=step, session=session, start=start, end=start + timedelta(minutes=minutes))


def plan() -> Plan:
    """The bracket, ordered on Saturday the 5th, is here on the 14th: the Sunday is of no use."""
    slots = (
        slot(STEPS[0], 0, "9:10", 10),
        slot(STEPS[1], 0, "9:20", 15),
        slot(STEPS[2], 0, "9:35", 40),
        slot(STEPS[3], 0, "10:15", 20),
        slot(STEPS[4], 2, "9:10", 30),
        slot(STEPS[5], 2, "9:40", 20),
        slot(STEPS[6], 2, "10:00", 5),
        slot(STEPS[7], 2, "10:05", 10),
        slot(STEPS[8], 2, "10:15", 20),
    )
    return Plan(
        strip=strip(),
        sessions=SESSIONS,
        slots=slots,
        why=(),
        order_by={"bracket": date(2026, 12, 10)},
        arrives={"bracket": date(2026, 12, 14)},
        finish=datetime(2026, 12, 19, 10, 35),  # noqa: DTZ001 the plan's clock is the wall clock
        work_min=190,
    )


def moved(whole: Plan, index: int, **later: int) -> Plan:
    """The plan with one slot moved by some minutes or days."""
    by = timedelta(**later)
    old = whole.slots[index]
    new = replace(old, start=old.start + by, end=old.end + by)
    return replace(whole, slots=(*whole.slots[:index], new, *whole.slots[index + 1 :]))
