"""Times with their doubt, trial loops, what is left in, how the vehicle stands at a session's end, jigs."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pytest
from workshop import bracket, demands, first_of, hole, part, scuttle, shelf, worked

from planner.model.catalog import Demanded, When, Work
from planner.model.effects import EffectKind
from planner.model.job import Add, EndState, Move, OwnTask, Remove, Replace, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Freedom
from planner.model.work import Again, Demand, Feature, Spread, WorkList
from planner.work import state_id

MADE = Add(component=bracket())
TANK_TO = Move(part="tank", to=Pose(at_mm=(60, -350, 800)))


def own(name: str, **more: object) -> OwnTask:
    return OwnTask(id=name, title=name, minutes=40, **more)  # type: ignore[arg-type]


def end(name: str = "end", **more: object) -> dict[str, EndState]:
    return {name: EndState(id=name, name=name, **more)}  # type: ignore[arg-type]


# ---- how sure times are


def test_every_piece_of_work_says_how_sure_its_time_is() -> None:
    """By hand from the catalog's table: minutes times low and high, outwards to whole minutes."""
    work, _ = worked(scuttle(), MADE, hole(), TakeOff(part="horn"))
    toggles = [t for f in work.features.values() for t in (f.turn_on, f.turn_off) if t is not None]
    pieces = [*work.tasks.values(), *toggles]
    assert len(pieces) > 30
    for piece in pieces:
        if piece.minutes == 0:
            assert piece.spread is None
            continue
        table = shelf().spreads[piece.work.value]
        assert piece.spread == Spread(
            low_min=math.floor(round(piece.minutes * table.low, 6)),
            high_min=math.ceil(round(piece.minutes * table.high, 6)),
        )
        assert piece.spread.low_min <= piece.minutes <= piece.spread.high_min


def test_the_owners_three_times_count_and_are_not_paced() -> None:
    tasks = (own("t", low_min=30, high_min=95), own("u"))
    work, _ = worked(scuttle(), tasks=tasks, pace={"planning": 2.0})
    assert (work.tasks["t"].minutes, work.tasks["t"].spread) == (40, Spread(low_min=30, high_min=95))
    assert work.tasks["u"].spread == Spread(low_min=32, high_min=60)


def test_a_spread_is_at_the_owners_own_pace() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"), pace={"removing": 2.0})
    off = work.features["horn"].turn_off
    assert off is not None
    assert off.spread == Spread(low_min=math.floor(off.minutes * 0.7), high_min=math.ceil(off.minutes * 2.5))
    plain, _ = worked(scuttle(), TakeOff(part="horn"))
    slow = plain.features["horn"].turn_off
    assert slow is not None
    assert off.minutes == 2 * slow.minutes


# ---- what may be laid down, what may fail


def test_what_may_be_laid_down() -> None:
    work, _ = worked(scuttle(), MADE, hole(welded=True), tasks=(own("t", splits=True), own("u")))
    assert (work.tasks["t"].splits, work.tasks["u"].splits) == (True, False)
    split = {t.work for t in work.tasks.values() if t.splits and t.id not in ("t", "u")}
    assert split
    whole = {Work.FINISHING, Work.TRIAL_FIT, Work.TESTING, Work.FILLING, Work.ADJUSTING, Work.MEASURING}
    assert not split & whole
    assert not any(t.splits for t in work.tasks.values() if t.hands > 1 or t.keep_min)


def test_a_failed_trial_fit_does_the_shaping_again() -> None:
    """Bending and tacking come before the trial fit of a sheet part and are done again with it."""
    work, _ = worked(scuttle(), MADE)
    (trial,) = [t for t in work.tasks.values() if t.again is not None]
    assert trial.work is Work.TRIAL_FIT
    assert trial.again is not None
    assert [work.tasks[t].work for t in trial.again.redo] == [Work.BENDING, Work.WELDING]
    assert set(trial.again.redo) <= first_of(work, trial.id)
    template = shelf().templates["made-sheet-part"]
    assert trial.again.chance == next(s.again for s in template.steps if s.work is Work.TRIAL_FIT)


def test_the_owners_own_chance_takes_the_catalogs_place() -> None:
    work, _ = worked(scuttle(), MADE, again={"bracket": 0.6})
    assert [t.again.chance for t in work.tasks.values() if t.again is not None] == [0.6]
    work, _ = worked(scuttle(), MADE, again={"bracket": 0.0})
    assert [t for t in work.tasks.values() if t.again is not None] == []


def test_an_own_trial_names_tasks_and_parts() -> None:
    trial = own("try", again=0.3, after=("bracket", "file"), redo=("bracket", "file"))
    work, _ = worked(scuttle(), MADE, tasks=(trial, own("file")))
    of_bracket = tuple(i for i in work.tasks if i.startswith("bracket."))
    assert work.tasks["try"].again == Again(chance=0.3, redo=(*of_bracket, "file"))


def test_only_what_comes_before_an_own_trial_is_redone() -> None:
    """The slot's work waits for the trial: it cannot be done again with it."""
    trial = own("try", again=0.3, before=("slot",), redo=("slot", "file"), after=("file",))
    work, _ = worked(scuttle(), hole(), tasks=(trial, own("file")))
    assert work.tasks["try"].again == Again(chance=0.3, redo=("file",))


def test_no_trial_that_redoes_what_comes_later() -> None:
    work, _ = worked(scuttle(), MADE, hole(welded=True), Add(component=part("horn", "horn-2", (60, 800, 800))))
    trials = [t for t in work.tasks.values() if t.again is not None]
    assert len(trials) >= 2
    for trial in trials:
        assert trial.again is not None
        assert set(trial.again.redo) <= first_of(work, trial.id)
        assert 0 < trial.again.chance < 1


# ---- what is left in


def toggles_of(work: WorkList, feature: str) -> tuple[int | None, int | None]:
    """Dislike of turning on and off, in hand-minutes."""
    known = work.features[feature]
    return tuple(0 if t is None else t.dislike_min for t in (known.turn_on, known.turn_off))  # type: ignore[return-value]


def test_dislikes_are_on_what_undoes() -> None:
    wishes = {"horn": 90, "front": 30, "engine-cold": 45, "front-pipe": None}
    work, _ = worked(scuttle(), TakeOff(part="master"), TakeOff(part="horn"), leave_in=wishes)
    assert toggles_of(work, "horn") == (0, 90)
    assert toggles_of(work, "circuit:front") == (0, 30)
    assert toggles_of(work, state_id("engine-cold")) == (45, 0)
    others = [f for f in work.features.values() if f.subject not in wishes]
    assert others
    assert {t.dislike_min for f in others for t in (f.turn_on, f.turn_off) if t is not None} == {0}


def test_never_is_none_and_holds_in_both_homes() -> None:
    work, _ = worked(scuttle(), TANK_TO, leave_in={"tank": 60})
    assert toggles_of(work, "tank") == (0, 60)
    assert toggles_of(work, "tank@new") == (0, 60)
    work, _ = worked(scuttle(), TANK_TO, leave_in={"horn": None})
    assert all(t.dislike_min == 0 for f in work.features.values() for t in (f.turn_on, f.turn_off) if t is not None)


@pytest.mark.parametrize(("wish", "off"), [({}, "shield"), ({"shield": 200}, "cover"), ({"shield": None}, "cover")])
def test_what_comes_off_for_a_part_heeds_what_is_left_in(wish: dict[str, int | None], off: str) -> None:
    """The horn comes out forwards past the shield (30 min) or down past the cover (60 min), by its owner's word."""
    v = scuttle()
    blocks: dict[str, object] = {"freedom": Freedom.COMES_OFF, "on": None, "needs": ()}
    shield = part("heat-shield", "shield", (200, 0, 250), off_min=10, on_min=20, **blocks)
    cover = part("heat-shield", "cover", (60, 0, 120), off_min=20, on_min=40, **blocks)
    shut = part("bulkhead", "shut", (60, 130, 250), on=None, freedom=Freedom.STAYS)
    shut2 = part("bulkhead", "shut2", (60, -130, 250), on=None, freedom=Freedom.STAYS)
    shut3 = part("bulkhead", "shut3", (60, 0, 375), on=None, freedom=Freedom.STAYS)
    parts = {c.id: c for c in (shield, cover, shut, shut2, shut3)}
    _, knockons = worked(replace(v, components={**v.components, **parts}), TakeOff(part="horn"), leave_in=wish)
    gone = {e.subject for e in knockons.effects if e.kind is EffectKind.OFF_AND_BACK}
    assert gone == {"horn", off}


# ---- how the vehicle stands at a session's end


def test_an_end_state_becomes_a_hold() -> None:
    ends = end(fitted=("horn",), off=("tank",), weekdays=(6,), days=(date(2026, 12, 24),))
    tasks = (own("t", off=("tank",)), own("u", off=("horn",)))
    work, _ = worked(scuttle(), tasks=tasks, at_end=ends)
    hold = work.holds["end"]
    assert set(hold.demands) == {Demand(feature="horn", on=True), Demand(feature="tank", on=False)}
    assert (hold.title, hold.weekdays, hold.days) == ("end", frozenset({6}), frozenset({date(2026, 12, 24)}))


def test_conditions_asked_at_the_end_bring_their_features() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"), at_end=end(conditions=("charging-unplugged",)))
    asked = state_id("charging-unplugged")
    assert work.holds["end"].demands == (Demand(feature=asked, on=True),)
    assert {asked, state_id("battery-isolated")} <= set(work.features)
    assert any(d.feature == asked and not d.on and d.last for d in work.tasks["road-test"].demands)


def test_what_is_so_anyway_is_not_asked() -> None:
    """No car that is never raised has to be let down, and what nobody touches is always there."""
    work, _ = worked(scuttle(), TakeOff(part="horn"), at_end=end(without=("spring-held",), fitted=("seat",)))
    assert work.holds == {}
    stands = own("t", conditions=("on-stands",))
    work, _ = worked(scuttle(), tasks=(stands,), at_end=end(without=("on-stands",), fitted=("seat",)))
    assert work.holds["end"].demands == (Demand(feature=state_id("on-stands"), on=False),)


def test_what_can_never_be_so_stays_in_the_list_to_be_told() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"), at_end=end(off=("seat",)))
    assert work.holds["end"].demands == (Demand(feature="seat", on=False),)
    seat = work.features["seat"]
    assert (seat.start, seat.goal, seat.turn_on, seat.turn_off) == (True, True, None, None)


def walk(work: WorkList, steps: list[tuple[str, bool]]) -> bool | None:
    """Whether a hold holds after steps by a plain walk over the toggles' own demands; None when a step is refused."""
    state = {i: f.start for i, f in work.features.items()}
    for name, on in steps:
        feature: Feature = work.features[name]
        toggle = feature.turn_on if on else feature.turn_off
        asked = [d for d in toggle.demands if d.feature.startswith("away:")] if toggle is not None else []
        ways = toggle.ways if toggle is not None and name.startswith("away:") else ()
        open_ = not ways or any(all(state[d.feature] == d.on for d in way) for way in ways)
        if toggle is None or not open_ or any(state[d.feature] != d.on for d in asked):
            return None
        state[name] = on
    return all(state[d.feature] == d.on for hold in work.holds.values() for d in hold.demands)


@pytest.mark.parametrize("how", ["moved", "replaced"])
def test_a_part_with_two_homes_counts_in_either(how: str) -> None:
    new = part("header-tank", "tank-2", (60, -350, 800), systems=("coolant",), freedom=Freedom.COMES_OFF)
    changes = [TANK_TO] if how == "moved" else [Replace(part="tank", component=new)]
    home = "tank@new" if how == "moved" else "tank-2"
    asked = end(fitted=("tank",))
    work, _ = worked(scuttle(), *changes, at_end=asked)
    (demand,) = work.holds["end"].demands
    away = demand.feature
    assert (demand.on, work.features[away].goal, work.features[away].start) == (False, None, False)
    assert walk(work, []) is True
    assert walk(work, [("tank", False)]) is None, "it may not come off without a word"
    assert walk(work, [(away, True), ("tank", False)]) is False
    assert walk(work, [(away, True), ("tank", False), (away, False)]) is None, "it is nowhere"
    assert walk(work, [(away, True), ("tank", False), (home, True)]) is False
    assert walk(work, [(away, True), ("tank", False), (home, True), (away, False)]) is True
    assert walk(work, [(away, True), ("tank", False), (home, True), (away, False), (home, False)]) is None
    if how == "replaced":
        heirs, _ = worked(scuttle(), *changes, at_end=end(fitted=("tank-2",)))
        assert walk(heirs, [("away:tank-2", True), ("tank", False), (home, True), ("away:tank-2", False)]) is True


def test_a_part_that_only_comes_off_and_goes_back_needs_no_feature_of_its_own() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"), at_end=end(fitted=("horn",)))
    assert work.holds["end"].demands == (Demand(feature="horn", on=True),)
    assert not any(i.startswith("away:") for i in work.features)


# ---- jigs


def test_a_part_that_goes_is_a_jig_until_it_goes() -> None:
    """The new pipe is bent against the old one, which is in place all the while and comes off later."""
    jig = own("bend-by-it", fitted=("horn",), before=("horn-2",))
    new = part("horn", "horn-2", (60, 800, 800))
    work, _ = worked(scuttle(), Remove(part="horn"), Add(component=new), tasks=(jig,))
    assert demands(work.tasks["bend-by-it"], "horn") == Demand(feature="horn", on=True)
    old = work.features["horn"]
    assert (old.start, old.goal, old.turn_on) == (True, False, None)


def test_a_moved_part_is_fitted_in_its_new_home() -> None:
    work, _ = worked(scuttle(), TANK_TO, tasks=(own("t", fitted=("tank",)),))
    assert demands(work.tasks["t"], "tank@new") == Demand(feature="tank@new", on=True)
    assert demands(work.tasks["t"], "tank") is None


# ---- the catalog's own say


def test_templates_split_and_fail_as_their_work_allows() -> None:
    """Paint cures in one go, heat is watched in one go, a trial is one look: none of them is laid down half done."""
    for template in shelf().templates.values():
        for number, step in enumerate(template.steps, start=1):
            if step.splits:
                assert not step.hot
                assert not step.lag_min
                assert step.hands == 1
                assert step.work not in (Work.TRIAL_FIT, Work.FINISHING, Work.TESTING, Work.ADJUSTING)
            if step.again:
                assert step.work is Work.TRIAL_FIT
                assert "chances" in template.source
            assert all(n < number for n in step.redo)
            redone = [template.steps[n - 1] for n in step.redo]
            assert all(s.work not in (Work.PLANNING, Work.FINISHING, Work.MEASURING) for s in redone)
            assert all(Demanded.FITTED not in s.demands for s in redone)
    trials = [s for t in shelf().templates.values() if t.trigger.when is not When.CUT for s in t.steps]
    assert all(0 < s.again < 0.5 for s in trials if s.work is Work.TRIAL_FIT)


def test_every_kind_of_work_has_a_spread_that_owns_up() -> None:
    assert set(shelf().spreads) == {w.value for w in Work}
    for spread in shelf().spreads.values():
        assert spread.low <= 1 <= spread.high
        assert spread.source == "starting guess"
