"""What carries is bolted before it bears, and what joins is made and joined in the order of the trade.

The order is common practice, no published source: a mounting rests on no part whose holes are not drilled, a part that
lies on two rails is drilled for in both, a cable is off before the rod in its stead pushes, a pedal is tried in card
from the seat before metal is cut, old holes are closed before a part stands over them. A cylinder's rod ends in a nose:
its free play is between rod and piston.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import vehicle
from workshop import bracket, demands, first_of, hole, link, part, scuttle, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Add, AddLink, Move, OwnTask, Remove, Replace, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Vehicle
from planner.model.work import Demand, WorkList
from planner.order import least_strip
from planner.verify import check_strip
from planner.verify.bolted import bolted_faults
from planner.verify.sequence import forced_order
from planner.work.loosely import tight_id


def frame() -> Vehicle:
    """Two rails; on a crossmember between them the mounting of a gearbox."""
    parts = [
        part("chassis-rail", "left", (0, -400, 400), (2000, 60, 80), on=None),
        part("chassis-rail", "right", (0, 400, 400), (2000, 60, 80), on=None),
        part("crossmember", "old", (300, 0, 350), (60, 740, 40), on="left"),
        part("gearbox-mount", "rest", (300, 0, 410), (60, 100, 80), on="old"),
        part("gearbox", "box", (200, 0, 560), (400, 200, 200), on=None, freedom=Freedom.STAYS),
    ]
    return vehicle(parts)


def _bearer(name: str, kind: str = "crossmember", **more: object) -> Component:
    return part(kind, name, (500, 0, 350), (60, 740, 40), on="left", make_min=240, **more)


def swap(kind: str) -> tuple[Replace, Replace]:
    return (
        Replace(part="old", component=_bearer("new", kind, touches=("right",), fixings="4 x M10")),
        Replace(part="rest", component=part("gearbox-mount", "mount", (500, 0, 410), (60, 100, 80), on="new")),
    )


def drilling(work: WorkList, subject: str) -> list[str]:
    """Steps of a part that drill on the vehicle."""
    mine = [t for t in work.tasks.values() if t.id.startswith(f"{subject}.") and t.work is Work.DRILLING]
    return [t.id for t in mine if demands(t, "state:battery-isolated")]


@pytest.mark.parametrize("kind", ["crossmember", "outrigger"])
def test_a_mounting_waits_for_the_holes_of_what_it_rests_on(kind: str) -> None:
    """One is drilled for before it is first in its place, the other after its trial there."""
    work, knockons = worked(frame(), *swap(kind))
    [drilled] = drilling(work, "new")
    fit = work.features["mount"].turn_on
    assert fit is not None
    assert drilled in fit.after
    assert "left and right" in work.tasks[drilled].title
    assert list(bolted_faults(frame(), knockons, work, shelf(), forced_order(work))) == []
    least = least_strip(work, limit_s=20.0)
    assert check_strip(work, least) == ()


def test_a_mounting_that_does_not_wait_is_found_out() -> None:
    work, knockons = worked(frame(), *swap("outrigger"))
    [drilled] = drilling(work, "new")
    fit = work.features["mount"].turn_on
    assert fit is not None
    spoiled = replace(work.features["mount"], turn_on=replace(fit, after=tuple(t for t in fit.after if t != drilled)))
    bad = replace(work, features={**work.features, "mount": spoiled})
    assert len(list(bolted_faults(frame(), knockons, bad, shelf(), forced_order(bad)))) == 1


def test_one_that_only_touches_another_rail_is_drilled_for_in_its_own() -> None:
    work, _ = worked(frame(), Add(component=_bearer("more", touches=("right",))))
    [drilled] = drilling(work, "more")
    assert "right" not in work.tasks[drilled].title


def controls() -> Vehicle:
    parts = [
        *scuttle().components.values(),
        part("clutch-pedal", "pedal", (90, -700, 500), ports_mm={"cable": (0, 0, 50)}),
        part(
            "clutch-release-lever",
            "lever",
            (-300, -700, 300),
            on=None,
            ports_mm={"cable": (0, 0, 9), "rod": (-9, 0, 0)},
        ),
    ]
    old = link("clutch-cable", "cable", "pedal.cable", "lever.cable")
    return vehicle(parts, links=[*scuttle().links.values(), old], systems=[*scuttle().systems.values()])


def test_a_cable_is_off_before_the_rod_in_its_stead_is_on_and_that_has_a_nose_at_its_cylinder() -> None:
    slave = part("clutch-slave-cylinder", "slave", (-500, -700, 300), (60, 60, 60), ports_mm={"rod": (40, 0, 0)})
    rod = link("clutch-rod", "slave-rod", "slave.rod", "lever.rod")
    work, knockons = worked(controls(), Remove(part="cable"), Add(component=slave), AddLink(link=rod))
    fit = work.features["slave-rod"].turn_on
    assert fit is not None
    assert Demand(feature="cable", on=False) in fit.demands
    cut = next(t.title for t in work.tasks.values() if t.id.startswith("slave-rod.") and t.work is Work.CUTTING)
    assert "nose, loose in the piston of slave" in cut
    assert "fork with lock nut at lever" in cut
    kept = tuple(d for d in fit.demands if d.feature != "cable")
    bad = {**work.features, "slave-rod": replace(work.features["slave-rod"], turn_on=replace(fit, demands=kept))}
    order = forced_order(work)
    assert list(bolted_faults(controls(), knockons, work, shelf(), order)) == []
    assert len(list(bolted_faults(controls(), knockons, replace(work, features=bad), shelf(), order))) == 1


def test_a_task_before_what_goes_comes_before_its_coming_off_with_things_as_they_were() -> None:
    dial = OwnTask(id="dial", title="Count its turns", minutes=30, before=("tank",), fitted=("horn",))
    horn = Replace(part="horn", component=part("horn", "horn-2", (60, 0, 250)))
    work, _ = worked(scuttle(), Remove(part="tank"), horn, tasks=(dial,))
    off = work.features["tank"].turn_off
    assert off is not None
    assert "dial" in off.after
    assert demands(work.tasks["dial"], "horn") == Demand(feature="horn", on=True)


def test_what_is_done_to_a_bought_part_comes_after_it_is_unpacked() -> None:
    bench = OwnTask(id="bench", title="Turn it by hand", minutes=30, back=("horn-2",))
    work, _ = worked(scuttle(), Add(component=part("horn", "horn-2", (60, 800, 800))), tasks=(bench,))
    [unpack] = [t.id for t in work.tasks.values() if t.title.startswith("Unpack horn 2")]
    assert unpack in first_of(work, "bench")


def test_a_pedal_is_tried_in_card_from_its_seat_before_metal_is_cut() -> None:
    pedal = part("clutch-pedal", "hung", (90, 850, 300), (60, 60, 300), make_min=200)
    work, _ = worked(scuttle(), Add(component=pedal), hole(), TakeOff(part="seat"))
    [card] = [t for t in work.tasks.values() if t.id.startswith("hung.") and t.work is Work.MOCK_UP]
    assert demands(card, "seat") == Demand(feature="seat", on=True)
    holes = [t.id for t in work.tasks.values() if t.id.startswith("slot.") and t.work in (Work.DRILLING, Work.CUTTING)]
    assert holes
    assert all(card.id in first_of(work, h) for h in holes)


def test_old_holes_are_closed_before_a_part_may_stand_over_them() -> None:
    work, _ = worked(scuttle(), Move(part="tank", to=Pose(at_mm=(60, -170, 800))))
    [closing] = [t.id for t in work.tasks.values() if t.title.startswith("Close the holes tank")]
    fit = work.features["tank@new"].turn_on
    assert fit is not None
    assert closing in fit.after


def test_what_is_not_drilled_for_yet_is_clamped() -> None:
    work, _ = worked(scuttle(), Add(component=bracket()))
    fit = work.features["bracket"].turn_on
    assert fit is not None
    assert "clamped until its holes are drilled" in fit.title
    assert any("held up from below" in c for c in fit.cautions)


def test_the_support_of_a_column_is_tightened_with_the_column_in_it() -> None:
    parts = [
        *scuttle().components.values(),
        part("steering-column", "column", (400, 700, 600), (500, 50, 50), on="support"),
    ]
    old = part("column-support", "support", (120, 700, 550), (60, 90, 40))
    v = vehicle([*parts, old], links=[*scuttle().links.values()], systems=[*scuttle().systems.values()])
    new = Add(component=part("bracket", "stay", (120, 790, 550), (40, 60, 40), make_min=60))
    work, _ = worked(v, TakeOff(part="support"), new)
    fast = work.features[tight_id("support")].turn_on if tight_id("support") in work.features else None
    assert fast is not None
    assert Demand(feature="column", on=True) in fast.demands


def test_the_words_of_the_catalog_suit_what_they_are_about() -> None:
    templates = shelf().templates
    words = {
        (kind, i): step.title for t in templates.values() for kind in t.trigger.of for i, step in enumerate(t.steps)
    }
    told = [w for (kind, _), w in words.items() if kind in {"brake-reservoir", "clutch-reservoir"}]
    assert not any("stroke" in w or "push-rod" in w for w in told)
    assert not any("fuse" in w for (kind, _), w in words.items() if kind == "ignition-lead")
    assert not any("nipple" in w for (kind, _), w in words.items() if kind == "speedometer-cable")
    assert any("bead" in w for (kind, _), w in words.items() if kind == "coolant-pipe")
    pins = [s for t in templates.values() for s in t.steps if s.work is Work.TRIAL_FIT and "new split pins" in s.tools]
    assert pins == []
