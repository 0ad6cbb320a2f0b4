"""Sound checkpoints pass; each that is missing, weakened or comes too late is told by name.

The job is the scuttle's: a pedal box is bought, the fuse box moves, its wire is adjusted, the lighting is opened.
"""

from collections.abc import Callable
from dataclasses import replace

import pytest
from scuttle import COMPONENTS, LINKS, NEW_HOME, PEDAL_BOX, SOUND, VEHICLE, job, knockons, told
from yard import catalog, checkpoint, feature, task, toggle

from planner.model.catalog import (
    Blocks,
    Catalog,
    CheckpointRule,
    Condition,
    SystemKind,
    Trigger,
    When,
)
from planner.model.effects import Knockons
from planner.model.job import Add, Cut, Job, OwnTask
from planner.model.shapes import Box, Pose
from planner.model.work import After, Demand, WorkList
from planner.verify import check_gates


def rule(name: str, *triggers: Trigger, blocks: tuple[Blocks, ...] = (Blocks.ROAD,), **more: object) -> CheckpointRule:
    facts: dict[str, object] = {
        "title": name,
        "group": "electrics",
        "measure": "",
        "limit": "",
        "source": "",
        "caution": "",
    }
    return CheckpointRule(id=name, triggers=triggers, blocks=blocks, **{**facts, **more})


def when(what: When, *of: str) -> Trigger:
    return Trigger(when=what, of=of)


RULES = (
    rule(
        "pedal-holds",
        when(When.BOUGHT, "pedal-box"),
        blocks=(Blocks.MOVING, Blocks.ROAD),
        high=5.0,
        low=0.0,
        limit="at most 5 mm",
        also=("never spongy",),
    ),
    rule("fuses-dry", when(When.MOVED, "electrics"), blocks=(Blocks.ENGINE,)),
    rule("wire-set", when(When.LINK_ADJUSTED, "wire")),
    rule("lamps-work", when(When.OPENED, "wiring"), when(When.ENTERED, "battery-isolated"), conditions=("on-stands",)),
    rule("brakes-walked", when(When.DISTURBED, "brakes"), involves=(Blocks.MOVING,)),
    rule("stands-rock", when(When.ENTERED, "on-stands"), blocks=(Blocks.CONDITION,)),
    rule("cables-tied", when(When.OPENED, "wiring"), blocks=(Blocks.FILLING,)),
    rule("papers", when(When.ALWAYS)),
    rule("springs", when(When.DISTURBED, "suspension")),
    rule("bulkhead-sealed", when(When.CUT, "bulkhead")),
    rule("welds", when(When.WELDED)),
)


def condition(name: str) -> Condition:
    return Condition(id=name, name=name, enter="", leave="", enter_min=5, leave_min=5, hands=1, source="starting guess")


WIRING = SystemKind(
    id="wiring",
    name="wiring",
    group="electrics",
    fluid="",
    source="starting guess",
    open="open it",
    open_min=5,
    open_hands=1,
    close="close it",
    close_min=5,
    close_hands=1,
)

CATALOG: Catalog = catalog(
    rules={r.id: r for r in RULES},
    conditions={c: condition(c) for c in ("on-stands", "battery-isolated")},
    system_kinds={"wiring": WIRING},
)

EFFECTS = told(NEW=["pedal-box"], MOVES=["fuse-box"], ADJUSTED=["main-wire"], OPENED=["lighting"])
ANSWER: Knockons = knockons((*COMPONENTS, PEDAL_BOX), LINKS, {"fuse-box": NEW_HOME}, EFFECTS)

# Feature id -> (subject, state at the start, goal).
FEATURES = {
    "pedal-box@new": ("pedal-box", False, True),
    "fuse-box": ("fuse-box", True, False),
    "fuse-box@new": ("fuse-box", False, True),
    "main-wire": ("main-wire", True, True),
    "circuit:lighting": ("lighting", True, True),
    "state:on-stands": ("on-stands", False, False),
    "state:battery-isolated": ("battery-isolated", False, False),
}

CHECKS = {
    "pedal-holds": ("pedal-box@new",),
    "fuses-dry": ("fuse-box@new",),
    "wire-set": ("main-wire",),
    "lamps-work": ("circuit:lighting",),
    "brakes-walked": ("pedal-box@new",),
    "cables-tied": (),
    "papers": (),
}


def work_list() -> WorkList:
    features = {}
    for name, (subject, start, goal) in FEATURES.items():
        on = toggle(
            name,
            on=True,
            checks=("stands-rock",) if subject == "on-stands" else (),
            after=("check.cables-tied",) if subject == "lighting" else (),
        )
        whole = feature(name, start=start, goal=goal, turn_on=on, turn_off=toggle(name, on=False))
        features[name] = replace(whole, subject=subject)
    tasks = {"make-bracket": task("make-bracket")}
    for name, about in CHECKS.items():
        demands = [Demand(feature=f, on=True, last=True) for f in about]
        if name == "lamps-work":
            demands.append(Demand(feature="state:on-stands", on=True))
            demands.append(Demand(feature="state:battery-isolated", on=False, last=True))
        first = ("check.pedal-holds", "check.fuses-dry") if name == "brakes-walked" else ()
        tasks[f"check.{name}"] = task(
            f"check.{name}",
            demands=tuple(demands),
            after=tuple(After(task=t) for t in first),
            checkpoint=name,
        )
    tasks["road-test"] = task(
        "road-test",
        demands=tuple(Demand(feature=f, on=goal, last=True) for f, (_, _, goal) in FEATURES.items()),
        after=(After(task="make-bracket"), After(task="check.cables-tied")),
    )
    blocks = {r.id: tuple(b.value for b in r.blocks) for r in RULES}
    gates = {
        name: checkpoint(
            name,
            *(() if name == "cables-tied" else ("road-test",)),
            blocks=blocks[name],
            low=CATALOG.rules[name].low,
            high=CATALOG.rules[name].high,
            limit=CATALOG.rules[name].whole_limit,
            also=CATALOG.rules[name].also,
        )
        for name in CHECKS
    }
    gates["stands-rock"] = checkpoint("stands-rock", blocks=("condition",), each_time=True)
    return WorkList(features=features, tasks=tasks, checkpoints=gates, buys={})


WORK = work_list()


def check(work: WorkList = WORK, *, answer: Knockons = ANSWER) -> tuple[str, ...]:
    return check_gates(VEHICLE, answer, work, CATALOG)


def without_gate(name: str) -> WorkList:
    """The work list with a checkpoint and the task that signs it left out."""
    tasks = {key: t for key, t in WORK.tasks.items() if t.checkpoint != name}
    tasks = {key: replace(t, after=tuple(a for a in t.after if a.task in tasks)) for key, t in tasks.items()}
    return replace(WORK, tasks=tasks, checkpoints={k: g for k, g in WORK.checkpoints.items() if k != name})


def with_task(name: str, **changes: object) -> WorkList:
    return replace(WORK, tasks={**WORK.tasks, name: replace(WORK.tasks[name], **changes)})


def with_gate(name: str, **changes: object) -> WorkList:
    return replace(WORK, checkpoints={**WORK.checkpoints, name: replace(WORK.checkpoints[name], **changes)})


def with_feature(name: str, **changes: object) -> WorkList:
    return replace(WORK, features={**WORK.features, name: replace(WORK.features[name], **changes)})


def test_sound_gates_pass() -> None:
    assert check() == ()


@pytest.mark.parametrize(
    ("gate", "causes"),
    [
        ("pedal-holds", "bought `pedal-box`"),
        ("fuses-dry", "moved `fuse-box`"),
        ("wire-set", "link adjusted `main-wire`"),
        ("lamps-work", "opened `lighting`, entered `battery-isolated`"),
        ("brakes-walked", "disturbed `pedal-box`"),
        ("papers", "always ``"),
    ],
)
def test_a_checkpoint_left_out(gate: str, causes: str) -> None:
    assert f"rule `{gate}` is called for ({causes}) and has no checkpoint" in check(without_gate(gate))


@pytest.mark.parametrize(
    ("kind", "subject", "trigger"),
    [
        ("NEW", "pedal-box", when(When.BOUGHT, "brakes")),
        ("NEW", "pedal-box", when(When.DISTURBED, "pedal-box")),
        ("MOVES", "fuse-box", when(When.MOVED, "fuse-box")),
        ("MOVES", "fuse-box", when(When.DISTURBED, "fuse-box")),
        ("MOVES", "fuse-box", when(When.DRILLED, "bulkhead")),
        ("GROWS", "radiator", when(When.DISTURBED, "radiator")),
        ("GROWS", "radiator", when(When.MADE, "radiator")),
        ("OFF_AND_BACK", "tank", when(When.DISTURBED, "electrics")),
        ("GONE", "radiator", when(When.DISTURBED, "radiator")),
        ("REMADE", "level-wire", when(When.LINK_MADE, "wire")),
        ("REMADE", "level-wire", when(When.DISTURBED, "electrics")),
        ("ADJUSTED", "level-wire", when(When.LINK_ADJUSTED)),
        ("NEW", "main-wire", when(When.LINK_MADE, "electrics")),
        ("OPENED", "lighting", when(When.OPENED)),
        ("CUT", "slot", when(When.CUT)),
    ],
)
def test_every_trigger_is_pulled(kind: str, subject: str, trigger: Trigger) -> None:
    only = catalog(rules={"r": rule("r", trigger)})
    answer = replace(ANSWER, effects=told(**{kind: [subject]}))
    empty = WorkList(features={}, tasks={}, checkpoints={}, buys={})
    [sentence] = check_gates(VEHICLE, answer, empty, only)
    assert sentence == f"rule `r` is called for ({trigger.when.value} `{subject}`) and has no checkpoint"
    others = catalog(rules={"r": rule("r", replace(trigger, of=("gearbox",)))})
    assert check_gates(VEHICLE, answer, empty, others) == ()


def test_a_part_made_at_home() -> None:
    made = catalog(rules={"r": rule("r", when(When.MADE))})
    empty = WorkList(features={}, tasks={}, checkpoints={}, buys={})
    assert check_gates(VEHICLE, ANSWER, empty, made) == ()
    home_made = replace(SOUND, after={**SOUND.after, "pedal-box": replace(PEDAL_BOX, make_min=240)})
    assert check_gates(VEHICLE, home_made, empty, made) == (
        "rule `r` is called for (made `pedal-box`) and has no checkpoint",
    )


def test_cuts_and_welds_by_their_host() -> None:
    hole = Box(size_mm=(20, 60, 60), pose=Pose(at_mm=(0, 400, 700)))
    slot = Cut(id="slot", host="bulkhead", hole=hole, welded=True)
    answer = replace(ANSWER, effects=(*EFFECTS, *told(CUT=["slot"])))
    said = check_gates(VEHICLE, answer, WORK, CATALOG, job=job(Add(component=PEDAL_BOX), slot))
    assert said == (
        "rule `bulkhead-sealed` is called for (cut `slot`) and has no checkpoint",
        "rule `welds` is called for (welded `slot`) and has no checkpoint",
    )


def test_a_check_on_entering_left_out() -> None:
    bare = replace(WORK.features["state:on-stands"].turn_on, checks=())
    assert check(with_feature("state:on-stands", turn_on=bare)) == (
        "rule `stands-rock` is not among the checks made each time `on-stands` is entered",
        "checkpoint `stands-rock` is made each time and no toggle lists it",
    )


def test_a_road_check_made_only_on_entering() -> None:
    """Lamps tried while the battery is being isolated say nothing about the road."""
    work = without_gate("lamps-work")
    isolate = replace(WORK.features["state:battery-isolated"].turn_on, checks=("lamps-work",))
    features = {
        **work.features,
        "state:battery-isolated": replace(work.features["state:battery-isolated"], turn_on=isolate),
    }
    gates = {**work.checkpoints, "lamps-work": replace(WORK.checkpoints["lamps-work"], each_time=True)}
    assert check(replace(work, features=features, checkpoints=gates)) == (
        "rule `lamps-work` holds the road test back and no task signs it",
    )


ROAD = WORK.tasks["road-test"]


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (
            lambda: with_gate("pedal-holds", blocked=()),
            # The drive round the yard comes after it, and that holds the road test back: still in order.
            "",
        ),
        (
            lambda: with_gate("papers", blocked=()),
            "checkpoint `papers` does not come before the road test: nothing puts `check.papers` first",
        ),
        (
            lambda: with_task("road-test", after=ROAD.after[1:]),
            "task `make-bracket` may come after the road test",
        ),
        (
            lambda: with_task("road-test", demands=ROAD.demands[1:]),
            "`pedal-box@new` may still be changed after the road test",
        ),
        (
            lambda: with_task("check.wire-set", demands=()),
            "`main-wire` may still be changed after the check of rule `wire-set` (`check.wire-set`)",
        ),
        (
            lambda: with_task("check.wire-set", demands=(Demand(feature="main-wire", on=True),)),
            "`main-wire` may still be changed after the check of rule `wire-set` (`check.wire-set`)",
        ),
        (
            lambda: with_task("check.lamps-work", demands=WORK.tasks["check.lamps-work"].demands[:2]),
            "`state:battery-isolated` may still be changed after the check of rule `lamps-work` (`check.lamps-work`)",
        ),
        (
            lambda: with_task(
                "check.lamps-work",
                demands=(*WORK.tasks["check.lamps-work"].demands[:1], *WORK.tasks["check.lamps-work"].demands[2:]),
            ),
            "task `check.lamps-work` signs `lamps-work` and does not demand `on-stands`",
        ),
        (
            lambda: with_task("check.brakes-walked", after=(After(task="check.fuses-dry"),)),
            (
                "`check.brakes-walked` may come before `check.pedal-holds`, "
                "which checkpoint `pedal-holds` asks to be first"
            ),
        ),
        (
            lambda: with_task("check.brakes-walked", after=(After(task="check.pedal-holds"),)),
            "`check.brakes-walked` may come before `check.fuses-dry`, which checkpoint `fuses-dry` asks to be first",
        ),
        (
            lambda: with_feature("circuit:lighting", turn_on=toggle("circuit:lighting", on=True)),
            (
                "`circuit:lighting` may be filled before `check.cables-tied`, "
                "which checkpoint `cables-tied` asks to be first"
            ),
        ),
        (
            lambda: with_gate("pedal-holds", high=50.0),
            "checkpoint `pedal-holds` allows 50.0 and rule `pedal-holds` 5.0 at most",
        ),
        (
            lambda: with_gate("pedal-holds", low=None),
            "checkpoint `pedal-holds` asks for at least None and rule `pedal-holds` for 0.0",
        ),
        (
            lambda: with_gate("pedal-holds", also=()),
            "checkpoint `pedal-holds` passes by its number though rule `pedal-holds` asks as well: never spongy",
        ),
        (
            lambda: with_gate("pedal-holds", limit="at most 5 mm"),
            "checkpoint `pedal-holds` passes by its number though rule `pedal-holds` asks as well: never spongy",
        ),
        (
            lambda: with_gate("pedal-holds", blocks=("road",)),
            "checkpoint `pedal-holds` does not block moving, as rule `pedal-holds` does",
        ),
        (lambda: with_gate("papers", rule="paper"), "checkpoint `papers` has the unknown rule `paper`"),
    ],
)
def test_sabotage(spoil: Callable[[], WorkList], sentence: str) -> None:
    said = check(spoil())
    if sentence:
        assert sentence in said
        assert len(said) <= 2
    else:
        assert said == ()


def test_no_road_test_at_all() -> None:
    tasks = {key: t for key, t in WORK.tasks.items() if key != "road-test"}
    said = check(replace(WORK, tasks=tasks))
    assert "checkpoint `papers` holds the road test back and there is no task `road-test`" in said


def test_an_order_forced_through_a_toggle() -> None:
    """The bracket is made before the pedal box is fitted, and the road test needs it fitted."""
    on = replace(WORK.features["pedal-box@new"].turn_on, after=("make-bracket",))
    work = with_feature("pedal-box@new", turn_on=on)
    work = replace(work, tasks={**work.tasks, "road-test": replace(ROAD, after=ROAD.after[1:])})
    assert check(work) == ()


def test_an_order_forced_by_what_must_not_change_again() -> None:
    """A task that needs the fuse box off its new place cannot follow a road test that keeps it there."""
    bench = replace(WORK.tasks["make-bracket"], demands=(Demand(feature="fuse-box@new", on=False),))
    tasks = {**WORK.tasks, "make-bracket": bench, "road-test": replace(ROAD, after=ROAD.after[1:])}
    assert check(replace(WORK, tasks=tasks)) == ()


def test_what_the_owner_may_do_after_the_road_test() -> None:
    """A drive over the hill with the pedal box in may follow; with anything off, or not always after it, it may not."""
    hill = OwnTask(id="hill", title="hill", minutes=60, after=("road-test",))
    there = Demand(feature="pedal-box@new", on=True)

    def said(own: OwnTask, after: str = "road-test", *demands: Demand) -> tuple[str, ...]:
        drive = task("hill", demands=demands, after=(After(task=after),))
        loose = {**WORK.features, "state:lid-open": feature("state:lid-open", start=False, goal=None)}
        work = replace(WORK, tasks={**WORK.tasks, "hill": drive}, features=loose)
        return check_gates(VEHICLE, ANSWER, work, CATALOG, job=Job(id="j", name="j", changes=(), tasks=(own,)))

    wrong = ("task `hill` may come after the road test",)
    assert said(hill, "road-test", there) == ()
    assert said(hill, "make-bracket", there) == wrong
    assert said(hill, "road-test", Demand(feature="state:lid-open", on=True)) == wrong
    assert said(replace(hill, off=("pedal-box",)), "road-test") == wrong
    assert said(replace(hill, conditions=("on-stands",)), "road-test") == wrong
    assert said(replace(hill, id="other"), "road-test", there) == wrong
