"""What the shipped job is there to show: a cascade, a re-strip with its reasons, and a road that stays shut."""

import math

import pytest
from trials import answer, catalog, vehicle

from planner.model.effects import CauseKind, EffectKind, Proof
from planner.model.plan import Slot

JOBS = ("hung-pedals", "battery-aft")


def toggles(feature: str) -> list[tuple[int, Slot]]:
    plan = answer("hung-pedals").plan
    return [(n, s) for n, s in enumerate(plan.slots) if s.step.ref == feature and s.step.on is not None]


def place_of(task: str) -> int:
    plan = answer("hung-pedals").plan
    return next(n for n, s in enumerate(plan.slots) if s.step.ref == task and s.step.on is None)


def test_the_vehicle_is_as_full_as_it_should_be() -> None:
    assert len(vehicle().components) >= 60
    assert len(vehicle().links) >= 60


@pytest.mark.parametrize("job", JOBS)
def test_the_independent_checker_agrees(job: str) -> None:
    found = answer(job)
    assert found.violations == ()
    assert found.plan.slots
    # More strip-down may have bought an earlier day: then the plan's own is not the least, but it has a bound.
    assert found.plan.strip.proof is not Proof.NONE
    assert 0 < found.plan.strip.bound <= found.plan.strip.cost
    assert found.knockons.proof is Proof.PROVED


def test_a_part_moves_because_a_moved_part_took_its_place() -> None:
    effects = {e.id: e for e in answer("hung-pedals").knockons.effects}
    bottle = effects["moves:washer-bottle"]
    pushed = [c for c in bottle.causes if c.kind is CauseKind.CLASH and c.source == "moves:header-tank"]
    assert pushed
    assert pushed[0].mm is not None
    assert pushed[0].mm > 1.0
    assert all(c.source.startswith("new:") for c in effects["moves:header-tank"].causes)


@pytest.mark.parametrize("part", ["throttle-shaft", "header-tank", "loom-plate"])
def test_the_pedal_box_pushes_into_its_neighbours(part: str) -> None:
    effects = {e.id: e for e in answer("hung-pedals").knockons.effects}
    assert effects[f"moves:{part}"].kind is EffectKind.MOVES


def test_every_pipe_that_the_job_draws_has_its_ends_straight_for_their_fittings() -> None:
    """A bend round R that turns by t takes R tan(t/2) of the leg before it: the rest is straight (plane geometry)."""
    found = answer("hung-pedals").knockons
    kinds = catalog().link_kinds
    ends = 0
    for name, run in found.runs.items():
        kind = kinds[found.links_after[name].kind]
        if not run.bends or not kind.straight_mm:
            continue
        for points in (run.points_mm, run.points_mm[::-1]):
            first, second = math.dist(*points[:2]), math.dist(*points[1:3])
            turned = sum((b - a) * (c - b) for a, b, c in zip(*points[:3], strict=True)) / (first * second)
            taken_mm = kind.bend_radius_mm * math.tan(math.acos(turned) / 2)
            assert first - taken_mm >= kind.straight_mm - 0.5, f"{name}: {first - taken_mm:.1f} mm"
            ends += 1
    assert ends >= 10


def test_the_column_comes_off_goes_back_and_comes_off_again_and_the_plan_says_why() -> None:
    plan = answer("hung-pedals").plan
    column = toggles("column-support")
    assert [s.step.on for _, s in column] == [False, True, False, True]
    first_off, back, second_off, _ = (n for n, _ in column)
    cut, fit, paint = place_of("brake-slot.4"), place_of("pedal-box.7"), place_of("brake-slot.9")
    assert first_off < cut < back < fit < second_off < paint
    assert "brake-slot" in plan.why[first_off] or "clutch-slot" in plan.why[first_off]
    assert "Trial fit" in plan.why[back]
    assert "paint" in plan.why[second_off].lower()
    assert plan.why[column[-1][0]]


def test_the_road_test_comes_last_and_after_every_checkpoint() -> None:
    found = answer("hung-pedals")
    road = place_of("road-test")
    checks = {t.checkpoint: t.id for t in found.work.tasks.values() if t.checkpoint is not None}
    once = {c.id for c in found.work.checkpoints.values() if not c.each_time}
    assert once == set(checks)
    assert len(once) >= 30
    assert all(place_of(task) < road for task in checks.values())
    assert road == len(found.plan.slots) - 1
    last = max(n for n, s in enumerate(found.plan.slots) if s.step.on is not None)
    assert last < road


def test_the_car_is_let_down_before_it_moves_and_stands_are_rocked_each_time() -> None:
    found = answer("hung-pedals")
    stands = found.work.features["state:on-stands"]
    assert stands.turn_on is not None
    assert stands.turn_on.checks
    assert all(found.work.checkpoints[c].each_time for c in stands.turn_on.checks)
    assert toggles("state:on-stands")[-1][0] < place_of("first-move")


def test_every_effect_follows_from_the_job() -> None:
    for job in JOBS:
        effects = answer(job).knockons.effects
        known = {"", *(e.id for e in effects)}
        assert all(e.causes for e in effects)
        assert all(c.source in known for e in effects for c in e.causes)
