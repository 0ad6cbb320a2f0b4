"""Order of the work: a sound list passes, and each rule that is taken out of it is told in one sentence.

The orders are common practice, no published source: what a part goes into is drilled before it is fitted, a link is
measured between ends that were tried, a pedal is tried in card before metal is cut for it, old holes are closed when
nothing takes them, a circuit is filled last.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from pedal_shop import (
    shop,
    toggle_asks_not,
    toggle_waits_not,
    told,
    undemanded,
    unwaited,
    with_task,
    with_toggle,
    without_task,
)
from test_carriers import controls
from workshop import link, part, shelf, worked

from planner.model.job import Add, AddLink, Job, Remove
from planner.model.vehicle import Vehicle
from planner.model.work import WorkList
from planner.verify import check_steps


def test_the_planner_s_own_list_passes() -> None:
    assert told(shop()[0]) == ()


def bought_without(feature: str, *buys: str) -> WorkList:
    on = shop()[0].features[feature].turn_on
    assert on is not None
    return with_toggle(feature, on=True, purchases=tuple(b for b in on.purchases if b not in buys))


def uncautioned(feature: str, word: str) -> WorkList:
    on = shop()[0].features[feature].turn_on
    assert on is not None
    return with_toggle(feature, on=True, cautions=tuple(c for c in on.cautions if word not in c))


STEPS: dict[str, tuple[Callable[[], WorkList], str]] = {
    "a step is lost": (lambda: without_task("bracket.10"), "step `bracket.10` of template `made-sheet-part` is not in"),
    "a hole for a rod is lost": (lambda: without_task("rod.bulkhead.2"), "step `rod.bulkhead.2` of template"),
    "an old hole stays open": (lambda: without_task("horn.bulkhead.left1"), "step `horn.bulkhead.left1` of template"),
    "out of turn": (lambda: unwaited("bracket.8", "bracket.7"), "`bracket.8` may be done before `bracket.7`"),
    "drilled live": (
        lambda: undemanded("bracket.8", "state:battery-isolated"),
        "`bracket.8` may be done while `battery-isolated` does not hold",
    ),
    "drilled with the part there": (
        lambda: undemanded("bracket.8", "bracket"),
        "`bracket.8` may be done with `bracket` in place",
    ),
    "drilled with the old one there": (lambda: undemanded("tank.2", "tank"), "`tank.2` may be done with `tank` in"),
    "tried with the part away": (
        lambda: undemanded("bracket.7", "bracket"),
        "`bracket.7` may be done with `bracket` away",
    ),
    "tried from no seat": (lambda: undemanded("hung.1", "seat"), "`hung.1` may be done with `seat` away"),
    "the hole has something over it": (lambda: undemanded("slot.4", "bracket"), "`slot.4` may be done with `bracket`"),
    "its caution is lost": (lambda: with_task("bracket.9", cautions=()), "`bracket.9` does not say: Mask, gloves"),
    "paint does not cure": (lambda: with_task("bracket.11", keep_min=0), "within the 720 min that it takes to cure"),
    "fitted before it is measured": (
        lambda: toggle_waits_not("rear-cylinder", "rear-cylinder.1"),
        "`rear-cylinder` may be fitted before `rear-cylinder.1`",
    ),
}
HOLES: dict[str, tuple[Callable[[], WorkList], str]] = {
    "marked before its cylinder is held there": (
        lambda: unwaited("rod.bulkhead.1", "rear-cylinder.2"),
        "`rod.bulkhead.1` may be done before `rear-cylinder.2` shows where `rear-cylinder` stands",
    ),
    "drilled behind its cylinder": (
        lambda: undemanded("rod.bulkhead.2", "rear-cylinder"),
        "`rod.bulkhead.2` may be done with `rear-cylinder` over the hole",
    ),
    "its cylinder fitted first": (
        lambda: toggle_waits_not("rear-cylinder", "rod.bulkhead.2"),
        "`rear-cylinder` may be fitted over the hole that `rod.bulkhead.2` makes before that is made",
    ),
    "measured from an end not tried": (
        lambda: unwaited("rod.1", "rear-cylinder.4"),
        "`rod.1` may be done before `rear-cylinder.4` shows where `rear-cylinder` stands",
    ),
    "closed before a new part shows where it sits": (
        lambda: unwaited("horn.bulkhead.left1", "hung.7"),
        "`horn.bulkhead.left1` may close a hole before `hung.7` shows that nothing takes it",
    ),
    "closed with the old part on it": (
        lambda: undemanded("horn.bulkhead.left1", "horn"),
        "`horn.bulkhead.left1` may be done with `horn` in place",
    ),
    "fitted in a hole that is not dressed": (
        lambda: toggle_waits_not("bracket", "slot.4"),
        "`bracket` may be fitted at the hole `slot` before `slot.4`",
    ),
    "painted before what goes there is tried": (
        lambda: unwaited("slot.5", "bracket.7"),
        "`slot.5` may paint the hole `slot` before `bracket.7`, after which it may be filed",
    ),
    "cut before the pedal is tried in card": (
        lambda: unwaited("slot.3", "hung.1", "slot.2"),
        "`slot.3` may cut `bulkhead` before `hung.1` shows where the control is to be",
    ),
    "a rod's ends are not told": (
        lambda: with_task("rod.2", title="Cut rod to length"),
        "`rod.2` does not say how the end at `rear-cylinder` is made",
    ),
}
OWN: dict[str, tuple[Callable[[], WorkList], str]] = {
    "before a part": (lambda: unwaited("bracket.1", "weigh"), "`bracket.1` may be done before `weigh`"),
    "before what goes": (lambda: toggle_waits_not("horn", "weigh", on=False), "`horn` may come off before `weigh`"),
    "its state": (lambda: undemanded("weigh", "state:engine-cold"), "`weigh` may be done while `engine-cold` does"),
    "after a hole": (lambda: unwaited("clean", "slot.4", "slot.5"), "`clean` may be done before `slot.4`"),
    "after what goes": (lambda: undemanded("clean", "horn"), "`clean` may be done while `horn`, which goes, is still"),
    "after another": (lambda: unwaited("clean", "weigh"), "`clean` may be done before `weigh`, or sooner after it"),
    "off in both homes": (lambda: undemanded("clean", "tank@new"), "`clean` may be done with `tank@new` in place"),
    "left alone as long": (lambda: with_task("clean", keep_min=30), "within the 60 min that it is to be left alone"),
    "less time": (lambda: with_task("clean", minutes=10), "`clean` is given less time"),
    "back and unpacked": (
        lambda: unwaited("bench", "rear-cylinder.1"),
        "`bench` may be done before `rear-cylinder.1`, after which `rear-cylinder` is here",
    ),
    "what it is off for": (
        lambda: undemanded("seat.off", "seat"),
        "`seat` is to come off, and no step is done with it",
    ),
    "lost": (lambda: without_task("drive"), "own task `drive` is not in the work list"),
}
BOUGHT: dict[str, tuple[Callable[[], WorkList], str]] = {
    "fluid for the filling": (
        lambda: bought_without("circuit:front", "fluid"),
        "`circuit:front` may be fitted, or filled, before `fluid` is here",
    ),
    "fluid at the bench": (
        lambda: with_task("rear-cylinder.5", purchases=("buy:rear-cylinder",)),
        "`rear-cylinder.5` may be done before `fluid` is here",
    ),
    "what is named after a fluid is none": (
        lambda: bought_without("rear-cylinder", "seals"),
        "`rear-cylinder` may be fitted, or filled, before `seals` is here",
    ),
    "the part itself": (
        lambda: bought_without("rear-cylinder", "buy:rear-cylinder"),
        "`rear-cylinder` may be fitted, or filled, before `buy:rear-cylinder` is here",
    ),
    "split pins": (
        lambda: bought_without("rod", "use:new-split-pins-of-the-size-of-its-pins"),
        "`rod` takes new split pins of the size of its pins, and does not wait for it",
    ),
    "in hand before it is here": (
        lambda: with_task("rear-cylinder.1", purchases=()),
        "`rear-cylinder.1` may be done before `buy:rear-cylinder` is here",
    ),
}
HANDLING: dict[str, tuple[Callable[[], WorkList], str]] = {
    "its old home is left": (
        lambda: toggle_asks_not("tank@new", "tank"),
        "`tank@new` may be fitted where `tank` still",
    ),
    "its circuit is open": (
        lambda: toggle_asks_not("tank", "circuit:coolant", on=False),
        "`tank` may be changed (Take tank off) while `coolant` is closed",
    ),
    "a link's ends are there": (
        lambda: toggle_asks_not("rod", "rear-cylinder"),
        "`rod` may be fitted while `rear-cylinder`, which it joins, is not there",
    ),
    "its caution": (lambda: uncautioned("rear-cylinder", "Brakes keep"), "does not say: Brakes keep people alive"),
    "slackened first": (
        lambda: toggle_asks_not("tank@new", "tank@new:tight", on=False),
        "`tank@new` may come off while it is tight",
    ),
    "slackened with its circuit open": (
        lambda: toggle_asks_not("tank@new:tight", "circuit:coolant", on=False),
        "may be changed (Loosen tank in its new home) while `circuit:coolant` holds",
    ),
    "tight for the filling": (
        lambda: toggle_asks_not("circuit:coolant", "tank@new:tight"),
        "`circuit:coolant` relies on `tank@new`, which may be finger-tight",
    ),
    "on clamps": (lambda: uncautioned("bracket", "lamps"), "`bracket` hangs on clamps until `bracket.8` is done"),
}
PROOF: dict[str, tuple[Callable[[], WorkList], str]] = {
    "all in its place before the walk round": (
        lambda: undemanded("check.nothing-loose", "state:on-stands"),
        "looks at the whole vehicle and may be made while `state:on-stands` is still to be changed",
    ),
    "an old hole closed before its wires are looked at": (
        lambda: unwaited("check.wiring-before-live", "horn.bulkhead.left1", "check.new-holes"),
        "`check.wiring-before-live` may be made before `horn.bulkhead.left1`, on what rule `wiring-before-live` looks",
    ),
    "filled last": (
        lambda: toggle_waits_not("circuit:front", *_all_of("circuit:front")),
        "`circuit:front` may be filled",
    ),
    "whole before it is started": (
        lambda: undemanded("first-start", "bracket"),
        "`first-start` may be done while `bracket` is still to be changed",
    ),
    "a hot check before the drive": (
        lambda: unwaited("first-move", "check.coolant-leak-hot"),
        "`first-move` may be done before `check.coolant-leak-hot`, which does not need it",
    ),
    "a circuit filled in its state": (
        lambda: toggle_asks_not("circuit:front", "state:on-stands"),
        "`circuit:front` may be changed (front brakes: ",
    ),
}


def _all_of(feature: str) -> tuple[str, ...]:
    on = shop()[0].features[feature].turn_on
    assert on is not None
    return on.after


CASES = {
    f"{group}: {name}": case
    for group, cases in {
        "steps": STEPS,
        "holes": HOLES,
        "own": OWN,
        "bought": BOUGHT,
        "handling": HANDLING,
        "proof": PROOF,
    }.items()
    for name, case in cases.items()
}


@pytest.mark.parametrize("case", CASES)
def test_a_rule_that_is_taken_out_is_told(case: str) -> None:
    spoil, sentence = CASES[case]
    said = told(spoil())
    assert any(sentence in line for line in said), said
    # What was taken out is told, and nothing else is made up beside it.
    assert len(said) <= 3 or case == "proof: filled last"


def test_states_need_others() -> None:
    """Wheels come off, and go on, on stands only; nobody comes down from them before."""
    work, _ = shop()
    stands = work.features["state:on-stands"]
    wheels = replace(stands, id="state:wheels-off-front", subject="wheels-off-front")
    said = told(replace(work, features={**work.features, wheels.id: wheels}))
    assert sum("`state:wheels-off-front` may be changed" in line for line in said) == 2
    assert any("`state:on-stands` may be left while `state:wheels-off-front`" in line for line in said)


def two_on_a_lever() -> tuple[Vehicle, Job]:
    """A clutch's release lever, worked by a cable from the pedal; a slave cylinder's rod is to work it instead."""
    slave = part("clutch-slave-cylinder", "slave", (-500, -700, 300), (60, 60, 60), ports_mm={"rod": (40, 0, 0)})
    changes = (
        Remove(part="cable"),
        Add(component=slave),
        AddLink(link=link("clutch-rod", "slave-rod", "slave.rod", "lever.rod")),
    )
    return controls(), Job(id="job", name="job", changes=changes)


def test_a_rod_is_measured_and_fitted_with_the_cable_off_the_lever() -> None:
    v, job = two_on_a_lever()
    work, found = worked(v, *job.changes)
    assert check_steps(v, found, work, shelf(), job=job) == ()
    step = next(t for i, t in work.tasks.items() if i == "slave-rod.1")
    kept = replace(step, demands=tuple(d for d in step.demands if d.feature != "cable"))
    assert check_steps(v, found, replace(work, tasks={**work.tasks, step.id: kept}), shelf(), job=job) == (
        "`slave-rod.1` may be done between ends where `cable` still is",
    )
