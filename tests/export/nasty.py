"""An answer whose texts try to break out of every format, made without the engine."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

from planner.model.answer import Answer
from planner.model.catalog import Work
from planner.model.effects import Cause, CauseKind, Effect, EffectKind, Knockons, Proof
from planner.model.job import Job, Session
from planner.model.plan import NOTHING_LEFT, Chain, Odds, Plan, Point, Slot, Step, Strip, Tie
from planner.model.vehicle import Vehicle
from planner.model.work import Buy, Checkpoint, Feature, Task, Toggle, WorkList

DAY, NEXT = date(2026, 12, 5), date(2026, 12, 6)
ESCAPE = "\x1b]0;owned\x07\x1b[31m"
TURNED = "\u202egnp.exe"
FORMULA = '=HYPERLINK("http://evil","x")'
HTML = "<script>alert(1)</script> & [link](javascript:x) ![i](y) | `code` # * _"
ICS = "a,b;c\\d\nEND:VEVENT\nBEGIN:VALARM"
LONG = "Überlänge ß 日本語 " * 12


def toggle(feature: str, *, on: bool, title: str, checks: tuple[str, ...] = ()) -> Toggle:
    return Toggle(
        feature=feature,
        on=on,
        title=title,
        work=Work.REMOVING,
        minutes=20,
        hands=2,
        checks=checks,
        tools=("17 mm spanner", ESCAPE),
        steps=(HTML, ICS),
        cautions=("It is heavy, two people", FORMULA),
    )


def checkpoint(id_: str, title: str, *, each_time: bool = False) -> Checkpoint:
    return Checkpoint(
        id=id_,
        rule=id_,
        subject="seat",
        title=title,
        measure="torque at each bolt",
        limit="47 to 52 N m",
        unit="N m",
        low=47,
        high=52,
        blocks=("road", "engine"),
        blocked=(),
        caution="A loose seat kills; do not guess",
        source="invented",
        why="",
        each_time=each_time,
    )


def answer() -> Answer:
    """Two sessions, a task in two parts, a checkpoint task, one made each time, and one that no slot carries."""
    cut = Task(
        id="cut", title=f"{FORMULA} {HTML}", work=Work.CUTTING, minutes=100, notes=(LONG,), splits=True, why="-1+1"
    )
    look = Task(id="@look", title=ICS, work=Work.TESTING, minutes=10,
                checkpoint="bolts", cautions=("Never under an unpropped car",), why=TURNED)  # fmt: skip
    seat = Feature(
        id="seat",
        name="seat",
        start=True,
        goal=True,
        turn_on=toggle("seat", on=True, title="Put the seat back", checks=("rocked",)),
        turn_off=toggle("seat", on=False, title=f"Take the seat off {ESCAPE}"),
        subject="seat",
    )
    points = {
        "bolts": checkpoint("bolts", "Seat bolts torqued"),
        "rocked": checkpoint("rocked", "Seat rocked by hand", each_time=True),
        "lost": checkpoint("lost", "Nobody's checkpoint"),
    }
    buys = {
        "=kit": Buy(id="=kit", what=HTML, price=12.5, lead_days=3, for_part="+seat"),
        "rag": Buy(id="rag", what="rag", price=0, lead_days=0, for_part=""),
    }
    work = WorkList(features={"seat": seat}, tasks={"cut": cut, "@look": look}, checkpoints=points, buys=buys)
    steps = (Step(ref="seat", on=False), Step(ref="cut"), Step(ref="seat", on=True), Step(ref="@look"))
    strip = Strip(proof=Proof.PROVED, steps=steps, cost=80, bound=80)

    def slot(
        step: int, session: int, start: tuple[int, int], end: tuple[int, int], part: int = 1, parts: int = 1
    ) -> Slot:
        day = (DAY, NEXT)[session]
        return Slot(
            step=steps[step],
            session=session,
            start=datetime.combine(day, time(*start)),
            end=datetime.combine(day, time(*end)),
            part=part,
            parts=parts,
        )

    plan = Plan(
        strip=strip,
        sessions=(
            Session(day=DAY, start=time(9), end=time(11), hands=2),
            Session(day=NEXT, start=time(14), end=time(16, 30), hands=2),
        ),
        slots=(
            slot(0, 0, (9, 15), (9, 35)),
            slot(1, 0, (9, 35), (11, 0), 1, 2),
            slot(1, 1, (14, 15), (14, 30), 2, 2),
            slot(2, 1, (14, 30), (14, 50)),
            slot(3, 1, (14, 50), (15, 0)),
        ),
        why=("for step 2 (cut)", "-1+1", "-1+1", "back to where it belongs", TURNED),
        order_by={"=kit": DAY},
        arrives={"=kit": date(2026, 12, 8), "rag": DAY},
        finish=datetime.combine(NEXT, time(15)),
        work_min=190,
        proof=Proof.PROVED,
        earliest=NEXT,
        frontier=(Point(cost=80, finish=NEXT, sessions=2, proved=True),),
        notes=(f"stopped early {ESCAPE}",),
    )
    return Answer(
        vehicle=Vehicle(
            name="Trials <car>, no. 1",
            units="mm",
            ground_z_mm=-300,
            systems={},
            components={},
            links={},
            spaces={},
            relations={},
        ),
        job=Job(id="seat-slot", name="Seat; slot", changes=(), finish_by=DAY, currency="EUR"),
        knockons=knockons(),
        work=work,
        plan=plan,
        violations=(),
        today=date(2026, 12, 1),
        faults=1,
        chain=Chain(ties=(Tie(slot=4, sort="step", text="comes after `it`", after=3),), float_min=(0, 5, 5, 0, 0)),
        odds=Odds(
            runs=100,
            days=((NEXT, 0.75), (date(2026, 12, 12), 1.0)),
            late=0.0,
            p50=NEXT,
            p80=date(2026, 12, 12),
            p95=None,
            by=0.25,
            costs=(("cut", 0.5),),
            critical=(("cut", 1.0),),
            notes=("a guess",),
        ),
    )


def knockons() -> Knockons:
    cause = Cause(kind=CauseKind.DOUBT, source="", text="")
    effect = Effect(
        id="e", kind=EffectKind.MEASURED, subject="seat", text=f"How wide is <it>? {ESCAPE}", causes=(cause,)
    )
    return Knockons(
        effects=(effect,),
        homes={},
        after={},
        links_after={},
        access={},
        cut_rooms={},
        hot_near={},
        bare={},
        limits={},
        proof=Proof.PROVED,
    )


def without_plan() -> Answer:
    """The same, and no plan came of it."""
    whole = answer()
    strip = replace(whole.plan.strip, proof=Proof.NONE, steps=(), trouble=("the seat cannot come off",))
    plan = replace(NOTHING_LEFT, strip=strip, proof=Proof.FOUND, trouble=strip.trouble)
    return replace(whole, plan=plan, chain=None, odds=None)
