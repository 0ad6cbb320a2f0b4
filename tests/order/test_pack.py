"""Packing into dated work sessions."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from brute_force import faults, least_cost
from worklists import feature, random_work, task, toggle, work_list

from planner.model.catalog import Catalog
from planner.model.job import Job, Repeating, Session
from planner.model.plan import Plan, Step
from planner.model.work import Buy, WorkList
from planner.order import least_strip, pack
from planner.order.sessions import sessions_from

SATURDAY = date(2026, 12, 5)
SUNDAY = date(2026, 12, 6)
EVERY_SATURDAY = Repeating(weekday=5, start=time(9), end=time(13))


def catalog(tidy_min: int = 15) -> Catalog:
    return Catalog(
        kinds={},
        link_kinds={},
        system_kinds={},
        conditions={},
        templates={},
        rules={},
        hot_conditions=(),
        hot_clear=(),
        hot_reach_mm=0,
        limits_near_mm=0,
        cut_reach_mm=0,
        bare_reach_mm=0,
        tidy_min=tidy_min,
        cautions={},
    )


def job(*sessions: Session, weekly: tuple[Repeating, ...] = (), **more: object) -> Job:
    plain = Job(id="job", name="job", changes=(), sessions=sessions, repeating=weekly)
    return replace(plain, **more)  # type: ignore[arg-type]


def on(day: date, start: int, end: int, hands: int = 1) -> Session:
    return Session(day=day, start=time(start), end=time(end), hands=hands)


def packed(work: WorkList, what: Job, *, today: date = SATURDAY, tidy_min: int = 15) -> Plan:
    return pack(work, least_strip(work), what, catalog(tidy_min), today=today)


def starts(plan: Plan) -> dict[str, datetime]:
    return {s.step.ref: s.start for s in plan.slots}


def hands_of(work: WorkList, step: Step) -> int:
    if step.on is None:
        return work.tasks[step.ref].hands
    feature = work.features[step.ref]
    toggle = feature.turn_on if step.on else feature.turn_off
    assert toggle is not None
    return toggle.hands


def broken_rules(work: WorkList, plan: Plan, tidy_min: int = 15) -> list[str]:
    """Everything wrong with a plan's dates and order, worked out from the rules alone."""
    wrong = faults(work, [(s.step.ref, s.step.on) for s in plan.slots])
    ends = {s.step.ref: s.end for s in plan.slots if s.step.on is None}
    for slot in plan.slots:
        beside = [s for s in plan.slots if s.start <= slot.start < s.end]
        if sum(hands_of(work, s.step) for s in beside) > plan.sessions[slot.session].hands:
            wrong.append(f"too few hands when {slot.step} begins")
    for slot in plan.slots:
        session = plan.sessions[slot.session]
        opens = datetime.combine(session.day, session.start) + timedelta(minutes=tidy_min)
        if slot.start < opens or slot.end > datetime.combine(session.day, session.end):
            wrong.append(f"{slot.step} outside its session")
        one = work.features.get(slot.step.ref)
        piece = (
            work.tasks[slot.step.ref]
            if slot.step.on is None
            else one and (one.turn_on if slot.step.on else one.turn_off)
        )
        assert piece is not None
        if slot.end - slot.start != timedelta(minutes=piece.minutes) or session.hands < piece.hands:
            wrong.append(f"{slot.step} is cut short or lacks hands")
        for buy in piece.purchases:
            if slot.start.date() < plan.arrives[buy]:
                wrong.append(f"{slot.step} before {buy} is here")
        if slot.step.on is None:
            for after in work.tasks[slot.step.ref].after:
                if slot.start < ends[after.task] + timedelta(minutes=after.lag_min):
                    wrong.append(f"{slot.step} within the lag of {after.task}")
    return wrong


def test_a_full_morning() -> None:
    work = work_list([feature("seat")], [task("cut", 60, demands=["not seat"], why="the slot")])
    plan = packed(work, job(on(SATURDAY, 9, 13)))
    assert [(s.step, s.start.time(), s.end.time()) for s in plan.slots] == [
        (Step(ref="seat", on=False), time(9, 15), time(9, 25)),
        (Step(ref="cut"), time(9, 25), time(10, 25)),
        (Step(ref="seat", on=True), time(10, 25), time(10, 35)),
    ]
    assert plan.finish == datetime(2026, 12, 5, 10, 35)  # noqa: DTZ001 - wall clock
    assert plan.work_min == 80
    assert plan.why == ("for step 2 (cut)", "the slot", "back to where it belongs")


def test_cure_over_night_goes_on_in_the_next_session() -> None:
    work = work_list([], [task("paint", 30), task("fit", 30, after=[("paint", 12 * 60)])])
    plan = packed(work, job(on(SATURDAY, 9, 22), on(SUNDAY, 8, 12)))
    assert starts(plan)["paint"] == datetime(2026, 12, 5, 9, 15)  # noqa: DTZ001
    # 09:45 and 12 h is 21:45: too late for half an hour before 22:00.
    assert starts(plan)["fit"] == datetime(2026, 12, 6, 8, 15)  # noqa: DTZ001
    short = packed(work, job(on(SATURDAY, 9, 23), on(SUNDAY, 8, 12)))
    assert starts(short)["fit"] == datetime(2026, 12, 5, 21, 45)  # noqa: DTZ001


def test_a_cure_is_filled_with_other_work() -> None:
    work = work_list([], [task("paint", 30), task("fit", 30, after=[("paint", 60)]), task("wire", 60)])
    plan = packed(work, job(on(SATURDAY, 9, 13)))
    assert [s.step.ref for s in plan.slots] == ["paint", "wire", "fit"]
    assert plan.finish == datetime(2026, 12, 5, 11, 15)  # noqa: DTZ001


def test_helper_only_on_saturday() -> None:
    work = work_list([], [task("lift-engine", 60, hands=2), task("measure", 30)])
    plan = packed(work, job(on(SUNDAY, 9, 12), on(date(2026, 12, 12), 9, 12, hands=2)))
    assert starts(plan)["measure"].date() == SUNDAY
    assert starts(plan)["lift-engine"].date() == date(2026, 12, 12)
    assert plan.work_min == 60 * 2 + 30


def test_helpers_time_is_kept_for_what_needs_a_helper() -> None:
    work = work_list([], [task("measure", 90), task("lift-engine", 90, hands=2)])
    plan = packed(work, job(on(SATURDAY, 9, 11, hands=2), on(SUNDAY, 9, 11), weekly=(EVERY_SATURDAY,)))
    assert starts(plan)["lift-engine"].date() == SATURDAY
    assert starts(plan)["measure"].date() == SUNDAY


def test_purchase_that_comes_late() -> None:
    pump = feature("pump", start=False, goal=True, on=toggle("pump", True, 30, purchases=["pump-kit"]))
    kit = Buy(id="pump-kit", what="pump", price=40, lead_days=9, for_part="pump")
    rag = Buy(id="rag", what="rag", price=1, lead_days=0, for_part="")
    work = work_list([pump], [task("test", demands=["pump"]), task("clean", 20, purchases=["rag"])], buys=[kit, rag])
    plan = packed(work, job(weekly=(EVERY_SATURDAY,)))
    assert plan.arrives == {"pump-kit": date(2026, 12, 14), "rag": SATURDAY}
    assert starts(plan)["clean"].date() == SATURDAY
    assert starts(plan)["pump"].date() == date(2026, 12, 19)
    # Ordered five days later it would still be there on the 19th.
    assert plan.order_by == {"pump-kit": date(2026, 12, 10), "rag": SATURDAY}


def test_job_that_starts_later_orders_later() -> None:
    kit = Buy(id="kit", what="kit", price=40, lead_days=3, for_part="")
    work = work_list([], [task("fit", purchases=["kit"])], buys=[kit])
    plan = packed(work, job(weekly=(EVERY_SATURDAY,), start=date(2026, 12, 12)))
    assert plan.arrives["kit"] == date(2026, 12, 15)
    assert starts(plan)["fit"].date() == date(2026, 12, 19)


def test_step_too_long_is_told_and_not_cut_short() -> None:
    work = work_list([], [task("weld", 240), task("sweep", 5)])
    plan = packed(work, job(weekly=(EVERY_SATURDAY,)))
    assert (plan.slots, plan.finish) == ((), None)
    words = "`weld` takes 240 min, longer than any session leaves (at most 225 min after 15 min of setting up)"
    assert plan.trouble == (words,)
    assert packed(work, job(weekly=(EVERY_SATURDAY,)), tidy_min=0).trouble == ()


def test_too_few_hands_are_told() -> None:
    work = work_list([], [task("lift", 20, hands=3), task("carry", 150, hands=2)])
    plan = packed(work, job(on(SATURDAY, 9, 11, hands=2), weekly=(EVERY_SATURDAY,)))
    assert plan.trouble == (
        "`lift` needs 3 pairs of hands and no session has more than 2: give a session `hands: 3`",
        (
            "`carry` takes 150 min, longer than any session with 2 pairs of hands leaves"
            " (at most 105 min after 15 min of setting up)"
        ),
    )


def test_many_steps_with_one_cause_are_one_line() -> None:
    short = [task(f"file-{i}", 20 + i) for i in range(3)]
    held = [task("lift", 1, hands=2), task("carry", 90, hands=3), task("hold", 1, hands=2)]
    plan = packed(work_list([], [*short, *held, task("wipe", 1)]), job(on(SATURDAY, 9, 10)), tidy_min=59)
    assert plan.trouble == (
        (
            "3 steps need 2 to 3 pairs of hands and no session has more than 1, `carry` among them:"
            " give a session `hands: 3`"
        ),
        (
            "3 steps are longer than any session leaves (at most 1 min after 59 min of setting up);"
            " the longest, `file 2`, takes 22 min"
        ),
    )
    same = packed(work_list([], [held[0], held[2]]), job(on(SATURDAY, 9, 10)))
    told = "2 steps need 2 pairs of hands and no session has more than 1, `lift` among them: give a session `hands: 2`"
    assert same.trouble == (told,)


def test_a_session_shorter_than_its_setting_up_leaves_nothing() -> None:
    plan = packed(work_list([], [task("wipe", 1)]), job(on(SATURDAY, 9, 10)), tidy_min=75)
    assert "at most 0 min after 75 min" in plan.trouble[0]


def test_no_session_at_all_is_told() -> None:
    work = work_list([], [task("sweep")])
    assert packed(work, job()).trouble[0].startswith("there is no work session")
    assert packed(work, job(on(date(2026, 12, 4), 9, 12))).trouble[0].startswith("there is no work session")


def test_sessions_that_run_out_are_told() -> None:
    work = work_list([], [task(f"t{i}", 60) for i in range(5)])
    plan = packed(work, job(on(SATURDAY, 9, 12)))
    assert plan.trouble == ("3 steps, `t2` the first of them, do not fit into the sessions up to 2026-12-05",)
    assert plan.slots == ()


def test_purchase_that_comes_after_the_last_session_is_named() -> None:
    slow = Buy(id="cylinder", what="rear cylinder", price=40, lead_days=3650, for_part="")
    soon = Buy(id="rag", what="rag", price=1, lead_days=2, for_part="")
    tasks = [task("fit", purchases=["cylinder"]), task("clean", purchases=["rag"]), task("bleed", after=["fit"])]
    dated = job(on(SATURDAY, 9, 12), on(date(2027, 1, 9), 9, 12))
    told = "`rear cylinder`, ordered 2026-12-05, is here 2036-12-02, after the last work session looked at (2027-01-09)"
    assert packed(work_list([], tasks, buys=[slow, soon]), dated).trouble == (told,)
    both = work_list([], tasks, buys=[slow, replace(soon, lead_days=400)])
    assert packed(both, dated).trouble == (f"{told}; 1 more too late",)
    # Here on the very day of the last session: then only time is short.
    on_the_day = [replace(slow, lead_days=35)]
    two = work_list([], [task(f"fit-{i}", 100, purchases=["cylinder"]) for i in range(2)], buys=on_the_day)
    assert packed(two, dated).trouble[0].startswith("one step, `fit 1`, does not fit")
    # With time enough that is soon enough.
    assert packed(work_list([], tasks, buys=[replace(slow, lead_days=35), soon]), dated).trouble == ()


def test_left_steps_that_wait_for_hands_say_so() -> None:
    tasks = [task("lift", 150, hands=2), task("carry", 150, hands=2), task("sweep", after=["carry", "lift"])]
    few = packed(work_list([], tasks), job(on(SATURDAY, 9, 12, hands=2), on(SUNDAY, 9, 12), on(SUNDAY, 13, 17)))
    assert few.trouble == (
        (
            "2 steps, `carry` the first of them, do not fit into the sessions up to 2026-12-06: nothing goes on without"
            " 2 pairs of hands, for `carry` first, and 1 of 3 sessions has so many (on 2026-12-05): give later ones"
            " `hands: 2`"
        ),
    )
    enough = packed(work_list([], tasks), job(on(SATURDAY, 9, 12, hands=2), on(SUNDAY, 9, 12, hands=2)))
    assert enough.trouble == ()
    # No session lacks hands: there is only too little time.
    short = packed(work_list([], tasks), job(on(SATURDAY, 9, 12, hands=2)))
    assert short.trouble == ("2 steps, `carry` the first of them, do not fit into the sessions up to 2026-12-05",)


def test_no_order_no_dates() -> None:
    work = work_list([feature("frame", missing="off")], [task("cut", demands=["not frame"])])
    plan = packed(work, job(weekly=(EVERY_SATURDAY,)))
    assert plan.trouble == plan.strip.trouble
    assert plan.trouble


def test_days_off_and_dated_sessions() -> None:
    dated = (on(date(2026, 12, 12), 9, 17, hands=2), on(SUNDAY, 10, 12))
    what = job(*dated, weekly=(EVERY_SATURDAY,), days_off=(date(2026, 12, 19),))
    found = sessions_from(what, SATURDAY)[:4]
    assert [(s.day, s.end, s.hands) for s in found] == [
        (SATURDAY, time(13), 1),
        (SUNDAY, time(12), 1),
        (date(2026, 12, 12), time(17), 2),
        (date(2026, 12, 26), time(13), 1),
    ]


def test_why_names_the_steps_a_toggle_serves() -> None:
    tasks = [task(f"t{i}", demands=["not tank"]) for i in range(4)]
    tank = feature("tank", off=toggle("tank", False, demands=["not seat"]))
    plan = packed(work_list([tank, feature("seat")], tasks), job(weekly=(EVERY_SATURDAY,)))
    why = {s.step: text for s, text in zip(plan.slots, plan.why, strict=True)}
    assert why[Step(ref="seat", on=False)] == "for step 2 (Take off the tank)"
    # The seat goes back as step 4: nothing else needs it off.
    assert why[Step(ref="tank", on=False)] == "for step 3 (t0), step 5 (t1) and 2 more"


def test_random_plans_keep_every_rule() -> None:
    kept = 0
    for seed in range(250):
        work = random_work(seed)
        if least_cost(work) is None:
            continue
        tasks = {}
        for i, (id_, one) in enumerate(work.tasks.items()):
            lagged = tuple(replace(a, lag_min=(seed + i) % 3 * 400) for a in one.after)
            tasks[id_] = replace(
                one, minutes=10 + (seed * 7 + i * 13) % 90, after=lagged, hands=1 + (seed + i) % 4 // 3
            )
            if (seed + i) % 5 == 0:
                tasks[id_] = replace(tasks[id_], purchases=("kit",))
        kit = Buy(id="kit", what="kit", price=1, lead_days=seed % 9, for_part="")
        work = replace(work, tasks=tasks, buys={"kit": kit})
        weekly = (EVERY_SATURDAY, Repeating(weekday=2, start=time(19), end=time(21), hands=2))
        plan = packed(work, job(weekly=weekly))
        assert plan.trouble == (), seed
        assert broken_rules(work, plan) == [], seed
        assert len(plan.why) == len(plan.slots) == len(plan.strip.steps)
        kept += 1
    assert kept > 100


def test_same_input_same_plan() -> None:
    work = random_work(11)
    assert repr(packed(work, job(weekly=(EVERY_SATURDAY,)))) == repr(packed(work, job(weekly=(EVERY_SATURDAY,))))
