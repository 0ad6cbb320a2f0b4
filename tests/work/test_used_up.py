"""What the steps use up is on the buying list: fluid of each circuit that is opened, pins, clips, sealant.

What a job of the trade uses up is common practice, no published source; amounts are the vehicle's own or none.
"""

from __future__ import annotations

import re
from dataclasses import replace

from workshop import link, part, scuttle, shelf, worked

from planner.export.plan_words import lead_hint, lead_words, total_words
from planner.model.figures import CoolantFigures, Figure, Figures
from planner.model.job import AddLink, Move, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Vehicle
from planner.model.work import Buy, WorkList


def used(work: WorkList) -> list[str]:
    return [b.what for b in work.buys.values() if b.used_up]


def cooled() -> Vehicle:
    """The bulkhead with its tank in the cooling circuit."""
    v = scuttle()
    parts = {**v.components, "tank": replace(v.components["tank"], systems=("coolant",))}
    return replace(v, components=parts)


def test_each_opened_circuit_has_its_fluid_and_no_other() -> None:
    brakes, _ = worked(scuttle(), TakeOff(part="master"))
    assert [w for w in used(brakes) if w.startswith("brake fluid") and "full bleed" in w and "front brakes" in w]
    assert not [w for w in used(brakes) if "antifreeze" in w or "fuel" in w]
    water, _ = worked(cooled(), TakeOff(part="tank"))
    assert [w for w in used(water) if w.startswith("antifreeze")]
    assert not [w for w in used(water) if "brake fluid" in w]


def test_the_fluid_is_a_purchase_of_the_step_that_fills() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"))
    fill = work.features["circuit:front"].turn_on
    assert fill is not None
    assert any(work.buys[b].what.startswith("brake fluid") for b in fill.purchases)


def test_an_amount_is_the_vehicles_own_or_none() -> None:
    """9.5 litres are 9.5 million cubic millimetres."""
    figures = Figures(axles={}, coolant=CoolantFigures(fill_mm3=Figure(value=9.5e6)))
    told, _ = worked(replace(cooled(), figures=figures), TakeOff(part="tank"))
    assert any("9.5 l by the vehicle's own figures" in w for w in used(told))
    untold, _ = worked(cooled(), TakeOff(part="tank"))
    assert not any(re.search(r"\d", w) for w in used(untold))


def test_pins_clips_and_sealant_come_from_the_steps() -> None:
    v = scuttle()
    hose = link("reservoir-hose", "feed", "master", "union", system="front")
    clips, _ = worked(v, AddLink(link=hose))
    assert any("hose clips" in w and "feed" in w for w in used(clips))
    moved, _ = worked(v, Move(part="horn", to=Pose(at_mm=(60.0, 700.0, 250.0))))
    assert any("for old holes" in w for w in used(moved))
    assert not any("hose clips" in w for w in used(moved))


def test_one_line_for_each_sort_with_all_it_is_for() -> None:
    v = scuttle()
    hoses = [link("reservoir-hose", f"feed-{n}", "master", "union", system="front") for n in (1, 2)]
    work, _ = worked(v, *(AddLink(link=h) for h in hoses))
    clips = [w for w in used(work) if "hose clips" in w]
    assert len(clips) == 1
    assert "feed 1, feed 2" in clips[0]


def test_nobody_is_asked_for_the_price_of_a_split_pin() -> None:
    pin = Buy(id="use:pins", what="split pins", price=0.0, lead_days=0, for_part="", used_up=True)
    part_bought = Buy(id="buy:x", what="x", price=0.0, lead_days=0, for_part="x", lead_told=False)
    assert lead_words(pin) == "used up"
    assert "1 of them without a price" in total_words([pin, part_bought], "EUR")
    assert "pins" not in lead_hint([pin, part_bought])


def test_every_wet_circuit_of_the_catalog_says_what_fills_it() -> None:
    for kind in shelf().system_kinds.values():
        if kind.fluid and kind.close and kind.group != "fuel":
            assert any(w.startswith((kind.fluid.split()[0], "antifreeze")) for w in kind.uses), kind.id


def test_a_part_that_seals_on_a_gasket_asks_for_one() -> None:
    v = scuttle()
    pump = part("fuel-pump", "pump", (60, -700, 500), systems=("fuel",))
    work, _ = worked(replace(v, components={**v.components, "pump": pump}), TakeOff(part="pump"))
    assert any("gasket" in w and "pump" in w for w in used(work))
