"""Welds are looked at bare; what is found broken is mended before anything new stands on it; trials have the controls.

Orders by common practice, no published source: paint and parts hide a bad weld, a hole beside a crack is drilled in
metal that may have to be cut out, and a cylinder is tried with the pedal that pushes it.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import bracket, first_of, hole, link, part, scuttle, shelf, worked

from planner.model.catalog import When, Work
from planner.model.effects import Knockons
from planner.model.job import Add, AddLink, Change, Job, Mending, OwnTask, Purchase, TakeOff
from planner.model.vehicle import Freedom, Vehicle
from planner.model.words import Deed
from planner.model.work import After, Task, WorkList
from planner.verify import check_gates

MADE = Add(component=bracket())
LOOK = "check.weld-look.bracket"
CRACK = OwnTask(id="found-7", title="Weld the crack", minutes=60, mending=Mending(does=(Deed.WELD,), on="bulkhead"))
CRACK_LOOK = "check.weld-look.found-7"


def planned(
    *changes: Change, own: tuple[OwnTask, ...] = (), of: Vehicle | None = None
) -> tuple[WorkList, Job, Knockons]:
    """What is planned, with which the independent checker finds no fault."""
    job = Job(id="job", name="job", changes=changes, tasks=own)
    work, knockons = worked(of or scuttle(), *changes, tasks=own)
    assert check_gates(of or scuttle(), knockons, work, shelf(), job=job) == ()
    return work, job, knockons


def faults(found: tuple[WorkList, Job, Knockons], *changed: Task, of: Vehicle | None = None) -> str:
    """What the checker says when these tasks are put in the place of those planned."""
    work, job, knockons = found
    spoilt = replace(work, tasks={**work.tasks, **{t.id: t for t in changed}})
    return "\n".join(check_gates(of or scuttle(), knockons, spoilt, shelf(), job=job))


def without(task: Task, *others: str) -> Task:
    return replace(task, after=tuple(a for a in task.after if a.task not in others))


def test_a_made_part_is_looked_at_after_its_last_weld_and_before_paint() -> None:
    found = planned(MADE)
    work = found[0]
    of_it = [t for i, t in work.tasks.items() if i.startswith("bracket.")]
    [paint] = [t for t in of_it if t.work is Work.FINISHING]
    welds = {t.id for t in of_it if t.work is Work.WELDING}
    assert len(welds) == 2
    assert welds <= first_of(work, LOOK)
    assert LOOK in first_of(work, paint.id)
    assert work.checkpoints["weld-look.bracket"].rule == "weld-look"
    assert f"`{paint.id}` may cover what `{LOOK}` looks at" in faults(found, without(paint, LOOK))
    early = replace(work.tasks[LOOK], after=())
    assert f"`{LOOK}` may be made before `{max(welds)}`" in faults(found, early)
    assert f"`{LOOK}` may be made with `bracket` on" in faults(found, replace(work.tasks[LOOK], demands=()))


def test_every_kind_that_is_welded_at_home_is_looked_at() -> None:
    welded = {
        name
        for t in shelf().templates.values()
        if t.trigger.when is When.MADE and any(s.work is Work.WELDING for s in t.steps)
        for name in t.trigger.of
    }
    looked_at = {n for t in shelf().rules["weld-look"].triggers if t.when is When.MADE for n in t.of}
    assert welded
    assert welded <= looked_at


def test_welds_of_a_hole_are_signed_with_the_step_that_looks_at_them() -> None:
    work, _, _ = planned(hole(welded=True))
    [look] = [t for t in work.tasks.values() if t.checkpoint == "weld-look.slot"]
    assert look.work is Work.TESTING
    assert look.id.startswith("slot.")
    [paint] = [t for i, t in work.tasks.items() if i.startswith("slot.") and t.work is Work.FINISHING]
    assert After(task=look.id) in paint.after


def test_what_is_welded_is_looked_at_before_a_part_stands_on_it() -> None:
    found = planned(MADE, TakeOff(part="horn"), own=(CRACK,))
    work = found[0]
    for body in ("bracket", "horn"):
        fits = work.features[body].turn_on
        assert fits is not None
        assert {CRACK.id, CRACK_LOOK} <= set(fits.after)
    # Nothing else would paint it: that is part of the look, with time for it, and not of the look at a part's welds.
    look, made = work.tasks[CRACK_LOOK], work.tasks[LOOK]
    assert any("prime and paint the bare metal" in note for note in look.notes)
    assert "primer" in look.tools
    assert (made.notes, look.minutes - made.minutes) == ((), 15)
    # What minds the heat is off as long as the weld is not looked at.
    kept_off = {d.feature for d in work.tasks[CRACK.id].demands if not d.on and ":" not in d.feature}
    assert kept_off <= {d.feature for d in work.tasks[CRACK_LOOK].demands if not d.on}
    horn = work.features["horn"]
    assert horn.turn_on is not None
    free = replace(horn, turn_on=replace(horn.turn_on, after=()))
    spoilt = (replace(work, features={**work.features, "horn": free}), *found[1:])
    assert "`horn` may be fitted on `bulkhead` before `found-7`" in faults(spoilt)
    assert f"`horn` may be fitted on `bulkhead` before `{CRACK_LOOK}`" in faults(spoilt)


def test_nothing_is_drilled_in_what_is_cracked_before_it_is_mended() -> None:
    found = planned(MADE, own=(CRACK,))
    work = found[0]
    [hole_step] = [t for i, t in work.tasks.items() if i == "bracket.8"]
    assert hole_step.work is Work.DRILLING
    assert {CRACK.id, CRACK_LOOK} <= first_of(work, hole_step.id)


@pytest.mark.parametrize("tie", [{"after": ("bracket",)}, {"fitted": ("bracket",)}])
def test_a_mending_that_comes_after_a_part_does_not_hold_it_back(tie: dict[str, tuple[str, ...]]) -> None:
    work, _, _ = planned(MADE, own=(replace(CRACK, **tie),))  # type: ignore[arg-type]
    fits = work.features["bracket"].turn_on
    assert fits is not None
    assert CRACK.id not in fits.after


def with_pedal() -> Vehicle:
    """A pedal half a metre from the wall, pushing towards it: too far to limit what is put on the wall."""
    v = scuttle()
    pedal = part(
        "brake-pedal", "pedal", (700, 700, 300), on=None, ports_mm={"rod": (-50, 0, 0)}, freedom=Freedom.COMES_OFF
    )
    return replace(v, components={**v.components, "pedal": pedal})


def test_a_cylinder_and_its_bracket_are_tried_with_the_pedal_in_place() -> None:
    cylinder = part(
        "brake-master-cylinder",
        "new-one",
        (160, 700, 300),
        on="bracket",
        systems=("front",),
        ports_mm={"rod": (50, 0, 0)},
    )
    rod = link("pedal-push-rod", "rod", "pedal.rod", "new-one.rod", system="front")
    changes = (MADE, Add(component=cylinder), AddLink(link=rod), TakeOff(part="pedal"))
    found = planned(*changes, of=with_pedal())
    work, _, knockons = found
    assert "pedal" not in knockons.limits["bracket"]
    trials = [t for t in work.tasks.values() if t.work is Work.TRIAL_FIT and t.id.startswith(("bracket.", "new-one."))]
    assert len(trials) == 2
    for trial in trials:
        assert "pedal" in {d.feature for d in trial.demands if d.on}
        bare = replace(trial, demands=tuple(d for d in trial.demands if d.feature != "pedal"))
        assert f"`{trial.id}` may be tried without `pedal`" in faults(found, bare, of=with_pedal())


def test_what_broke_waits_for_what_is_bought_and_is_whole_before_it_is_fitted() -> None:
    mend = OwnTask(id="mend-4", title="Make it again", minutes=60, off=("bracket",), replaces="bracket")
    again = Purchase(id="buy:mend-4", what="sheet", price=3.0, lead_days=6, for_part="bracket")
    work, knockons = worked(scuttle(), MADE, tasks=(mend,), purchases=(again,))
    job = Job(id="job", name="job", changes=(MADE,), tasks=(mend,), purchases=(again,))
    assert check_gates(scuttle(), knockons, work, shelf(), job=job) == ()
    assert "buy:mend-4" in work.tasks["mend-4"].purchases
    fits = work.features["bracket"].turn_on
    assert fits is not None
    assert "mend-4" in fits.after
    unbought = replace(work.tasks["mend-4"], purchases=())
    assert "`mend-4` does not wait for what is bought" in faults((work, job, knockons), unbought)
    trial = without(work.tasks["bracket.7"], "mend-4")
    loose = replace(work.features["bracket"], turn_on=replace(fits, after=()))
    told = faults((replace(work, features={**work.features, "bracket": loose}), job, knockons), trial)
    assert "`bracket` broke and may be fitted before `mend-4`" in told
    assert "`bracket.7` tries what broke" in told


def test_others_are_shown_what_was_done_when_all_else_but_the_road_test_is() -> None:
    work, _, knockons = planned(hole(welded=True), MADE)
    job = Job(id="job", name="job", changes=(hole(welded=True), MADE))
    road_test = work.tasks["road-test"]
    shown = "check.road-allowed"
    checks = {i for i, t in work.tasks.items() if t.checkpoint is not None and "road-test" not in first_of(work, i)}
    assert checks - {shown} - {c for c in checks if shown in first_of(work, c)} <= first_of(work, shown)
    assert {"first-start", "first-move"} <= first_of(work, shown)
    assert shown in {a.task for a in road_test.after}
    early = replace(work.tasks[shown], after=())
    assert "which shows others all that was done" in faults((work, job, knockons), early)


@pytest.mark.parametrize("welded", [False, True])
def test_a_hole_waits_for_the_mending_unless_it_is_welded_itself(*, welded: bool) -> None:
    """Two welds are made on one watch for fire, which no session outlasts."""
    work, _, _ = planned(hole(welded=welded), own=(CRACK,))
    [cut] = [t for i, t in work.tasks.items() if i.startswith("slot.") and t.work is Work.CUTTING]
    assert (CRACK.id in first_of(work, cut.id)) is not welded
