"""Each template's tasks follow the trade's own order. Common practice, no published source, unless a test names one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from shipped import catalog

from planner.model.catalog import Demanded, LinkKind, Template, TemplateStep, When, Work

CATALOG = catalog()
TEMPLATES = CATALOG.templates


def of(*whens: When) -> list[str]:
    return [i for i, t in TEMPLATES.items() if t.trigger.when in whens]


def at(template: Template, *works: Work) -> list[int]:
    """Positions of the steps of some kinds of work; of a part that is made those on the part itself."""
    made = template.trigger.when is When.MADE
    return [n for n, s in enumerate(template.steps) if s.work in works and not (made and s.seat)]


def in_order(template: Template, *works: Work) -> bool:
    """Whether the last step of each kind of work comes before the first of the next, where there are any."""
    places = [p for w in works if (p := at(template, w))]
    return all(max(a) < min(b) for a, b in pairwise(places))


def steps() -> Iterator[tuple[Template, TemplateStep]]:
    for template in TEMPLATES.values():
        for step in template.steps:
            yield template, step


@pytest.mark.parametrize("name", of(When.MADE))
def test_a_part_is_marked_drilled_flat_cut_bent_fitted_and_finished_last(name: str) -> None:
    template = TEMPLATES[name]
    assert in_order(template, Work.MOCK_UP, Work.MARKING, Work.DRILLING, Work.CUTTING, Work.BENDING, Work.TRIAL_FIT)
    assert in_order(template, Work.TRIAL_FIT, Work.DRESSING, Work.FINISHING)
    welds = at(template, Work.WELDING)
    if welds:
        assert max(at(template, Work.BENDING)) < welds[0] < at(template, Work.TRIAL_FIT)[0] < welds[-1]
        assert welds[-1] < min(at(template, Work.DRESSING))
    if at(template, Work.FINISHING):
        assert at(template, Work.FINISHING) == [len(template.steps) - 1]


@pytest.mark.parametrize("name", of(When.MADE, When.BOUGHT, When.MOVED))
def test_there_is_one_trial_fit_with_every_neighbour_in_place(name: str) -> None:
    trials = [s for s in TEMPLATES[name].steps if s.work is Work.TRIAL_FIT]
    assert [s.demands for s in trials] == [(Demanded.FITTED, Demanded.LIMITS_FITTED)]


@pytest.mark.parametrize("name", of(When.MADE))
def test_bench_work_on_a_made_part_asks_for_it_off(name: str) -> None:
    bench = (Work.MARKING, Work.DRILLING, Work.CUTTING, Work.BENDING, Work.WELDING, Work.DRESSING, Work.FINISHING)
    steps = [s for s in TEMPLATES[name].steps if s.work in bench and not s.seat]
    assert [s.title for s in steps if s.demands != (Demanded.OFF,)] == []


@pytest.mark.parametrize("name", of(When.MADE, When.BOUGHT))
def test_what_a_new_part_is_held_by_is_marked_before_it_is_drilled_with_the_part_off(name: str) -> None:
    """Order: common practice, no published source. A made part is its own template, at its trial fit."""
    template = TEMPLATES[name]
    seats = [n for n, s in enumerate(template.steps) if s.seat]
    [trial] = at(template, Work.TRIAL_FIT)
    for n in seats:
        step = template.steps[n]
        assert {Demanded.OFF, Demanded.ROOM_CLEAR} <= set(step.demands)
        assert "{host}" in step.title
        if step.work is Work.DRILLING:
            marked = [m for m in range(n) if template.steps[m].work in (Work.MARKING, Work.MOCK_UP, Work.TRIAL_FIT)]
            assert marked, step.title
            assert trial in marked or Demanded.HOST_FITTED in template.steps[marked[-1]].demands
            assert "battery-isolated" in step.conditions
    if name not in {"made-spreader-plate", "made-wooden-part", "made-trim", "bought-trim"}:
        assert [template.steps[n].work for n in seats].count(Work.DRILLING) == 1


def test_what_others_make_is_away_from_the_step_that_orders_it() -> None:
    """Parts are drawn before, links measured (common practice, no published source)."""
    away = {t.id: [n for n, s in enumerate(t.steps) if s.away] for t in TEMPLATES.values()}
    links = ("hydraulic-hose", "brake-cable", "gear-cable", "steering-rod", "steering-shaft", "shaft")
    made = ("made-by-others", "made-fuel-part", *(f"link-{name}" for name in links))
    assert {i: places for i, places in away.items() if places} == {name: [1] for name in made}
    assert all(TEMPLATES[f"link-{name}"].steps[0].work is Work.MEASURING for name in links)


@pytest.mark.parametrize("name", of(When.MOVED))
def test_a_moved_part_is_marked_and_drilled_before_its_trial_fit(name: str) -> None:
    template = TEMPLATES[name]
    assert in_order(template, Work.MARKING, Work.DRILLING, Work.TRIAL_FIT)
    (drill,) = at(template, Work.DRILLING)
    assert set(template.steps[drill].demands) == {Demanded.OLD_OFF, Demanded.OFF, Demanded.ROOM_CLEAR}


@pytest.mark.parametrize("name", of(When.CUT, When.WELDED))
def test_a_hole_has_its_ends_drilled_before_it_is_cut_and_its_edges_painted_last(name: str) -> None:
    template = TEMPLATES[name]
    if name.endswith("by-specialist"):
        assert {s.work for s in template.steps} == {Work.PLANNING}
        return
    assert in_order(template, Work.MARKING, Work.DRILLING)
    hole = [n for n in at(template, Work.CUTTING) if not template.steps[n].title.startswith("Make the")]
    if at(template, Work.DRILLING):
        assert at(template, Work.DRILLING)[0] < min(hole)
    if at(template, Work.DRESSING):
        assert max(hole) < min(at(template, Work.DRESSING))
    last = template.steps[-1]
    assert last.work is Work.FINISHING
    assert last.demands == (Demanded.HOST_BARE,)
    on_host = [s for s in template.steps if s.work in (Work.DRILLING, Work.DRESSING) or "Cut {part}" in s.title]
    assert all(Demanded.ROOM_CLEAR in s.demands for s in on_host)


def test_only_welds_on_the_vehicle_are_hot_and_each_keeps_its_fire_watch() -> None:
    """29 CFR 1910.252(a)(2)(iii): a fire watch of at least half an hour after the work is done."""
    hot = [(t, s) for t, s in steps() if s.hot]
    assert {t.trigger.when for t, _ in hot} == {When.WELDED}
    assert len(hot) == len([i for i in of(When.WELDED) if not i.endswith("by-specialist")])
    for template, step in hot:
        assert step.work is Work.WELDING
        assert "30 min" in step.title
        assert step.minutes >= 30 + 30
        assert step.hands == 2
        assert "second person watches for fire" in step.title
        assert {Demanded.ROOM_CLEAR, Demanded.HOST_BARE} <= set(step.demands)
        weld = template.steps.index(step)
        assert any(s.work is Work.DRESSING and Demanded.HOST_BARE in s.demands for s in template.steps[:weld])
        assert template.steps[-1].work is Work.FINISHING


def test_welding_that_is_not_hot_is_at_the_bench() -> None:
    loose = [s.title for t, s in steps() if s.work is Work.WELDING and not s.hot and "bench" not in s.title
             and Demanded.OFF not in s.demands and t.trigger.when is not When.LINK_MADE]  # fmt: skip
    assert loose == []
    on_vehicle = (Demanded.FITTED, Demanded.ROOM_CLEAR, Demanded.HOST_BARE)
    assert [
        s.title for _, s in steps() if s.work is Work.WELDING and not s.hot and set(s.demands) & set(on_vehicle)
    ] == []


@pytest.mark.parametrize("kind", ["pedal-push-rod", "clutch-rod"])
def test_a_push_rod_is_straight_and_locked(kind: str) -> None:
    (template,) = [t for t in TEMPLATES.values() if t.trigger.when is When.LINK_MADE and kind in t.trigger.of]
    told = " ".join(s.title for s in template.steps)
    assert all(word in told for word in ("straight", "1.5 diameters", "lock nut", "split pins"))
    assert "bend" not in told


@pytest.mark.parametrize("kind", [k for k in CATALOG.link_kinds.values() if k.rigid], ids=lambda k: k.id)
def test_what_works_by_its_line_says_how_far_it_may_swing(kind: LinkKind) -> None:
    if kind.bend_radius_mm == 0 and kind.id not in ("throttle-rod", "handbrake-rod"):
        assert kind.swing_deg is not None
        assert 0 < kind.swing_deg <= 15
        assert "swing" in kind.source


def test_paint_cures_overnight() -> None:
    for template, step in steps():
        if step.lag_min:
            assert step.work is Work.FINISHING, template.id
            assert step.lag_min == 720
        if step.work is Work.FINISHING and "aint" in step.title and "edges of {part}" in step.title:
            assert step.lag_min == 720, step.title


@pytest.mark.parametrize("name", of(When.LINK_MADE))
def test_a_link_is_measured_between_its_fitted_ends_and_offered_up_last(name: str) -> None:
    template = TEMPLATES[name]
    first = template.steps[0 if name != "link-loom" else 1]
    assert first.work in (Work.MEASURING, Work.MOCK_UP)
    assert Demanded.FITTED in first.demands
    assert {d for s in template.steps for d in s.demands} <= {Demanded.FITTED}
    if name not in ("link-belt", "link-exhaust"):
        assert template.steps[-1].work is Work.TRIAL_FIT


@pytest.mark.parametrize("name", of(When.LINK_ADJUSTED, When.DISTURBED))
def test_settings_are_made_with_the_part_in_place(name: str) -> None:
    for step in TEMPLATES[name].steps:
        assert step.work is Work.ADJUSTING
        assert step.demands == (Demanded.FITTED,)


ALLOWED = {
    When.PASSED: {"part", "host"},
    When.CUT: {"part", "host"},
    When.WELDED: {"part", "host"},
    When.LINK_MADE: {"part", "named", "ends"},
    When.LINK_ADJUSTED: {"part"},
    When.DISTURBED: {"part"},
}


def test_titles_name_only_what_is_known_of_the_subject() -> None:
    for template, step in steps():
        named = set(re.findall(r"{(.*?)}", step.title))
        assert named <= ALLOWED.get(template.trigger.when, {"part", "home", "host"}), step.title
        assert step.title[0].isupper()
        assert not step.title.endswith(".")


def test_every_knock_on_that_makes_work_finds_a_template() -> None:
    bare = {t.trigger.when for t in TEMPLATES.values() if not t.trigger.of}
    assert bare >= {When.MADE, When.BOUGHT, When.MOVED, When.CUT, When.WELDED, When.LINK_MADE, When.LINK_ADJUSTED}


def test_fuel_and_people_carrying_parts_are_neither_cut_nor_welded_at_home() -> None:
    for when in (When.CUT, When.WELDED):
        (template,) = [t for t in TEMPLATES.values() if t.trigger.when is when and "fuel" in t.trigger.of]
        assert {"steering", "suspension", "seats", "roll-bar"} <= set(template.trigger.of)
        assert template.steps[0].title.startswith("Stop")
        assert not any(s.hot for s in template.steps)


def test_drilling_near_fuel_waits_for_the_fuel_to_be_made_safe() -> None:
    for name in ("bought-fuel-part", "made-fuel-part", "moved-fuel-part"):
        (drill,) = [s for s in TEMPLATES[name].steps if s.work is Work.DRILLING]
        assert set(drill.conditions) == {"battery-isolated", "fuel-pipe-capped"}


def test_drilling_into_the_vehicle_asks_for_the_battery_off() -> None:
    for template, step in steps():
        if step.work is Work.DRILLING and template.trigger.when in (
            When.MOVED,
            When.BOUGHT,
            When.CUT,
            When.WELDED,
            When.PASSED,
        ):
            assert "battery-isolated" in step.conditions, step.title
