"""An invented pedal, its cylinder and a brake of each axle, sized so that every figure can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace

from planner.model.figures import AxleBrakes, BrakeSort, Figure, Figures, ShoeFigures, Weight
from planner.model.shapes import Box, Cylinder, Pose, Tube, Turn
from planner.model.vehicle import Component, End, Link


def part(id_: str, kind: str, **more: object) -> Component:
    return Component(id=id_, kind=kind, name=id_, group="brakes", **{"solids": (), "pose": Pose(), **more})


PEDAL = part(
    "pedal",
    "brake-pedal",
    pose=Pose(at_mm=(900, 300, 600)),
    solids=(
        Tube(across_mm=16, through_mm=((0, 0, 0), (0, 0, -412))),
        Box(size_mm=(10, 60, 50), pose=Pose(at_mm=(0, 0, -420))),
    ),
    # So short a travel that the ratio is the arms' own, 420 / 70 = 6, through all of it.
    motion=Turn(about_mm=(0, 0, 0), axis=(0, 1, 0), from_deg=0, to_deg=0.2),
    systems=("brakes",),
    ports_mm={"rod": (0, 0, -70), "pad": (0, 0, -420)},
)
CYLINDER = part(
    "cylinder",
    "brake-master-cylinder",
    pose=Pose(at_mm=(800, 300, 530)),
    solids=(Cylinder(across_mm=40, length_mm=150, along="x", pose=Pose(at_mm=(-75, 0, 0))),),
    systems=("brakes",),
    ports_mm={"rod": (0, 0, 0)},
    bore_mm=Figure(19.05),
    stroke_mm=Figure(30.0),
)
ROD = Link(
    id="rod",
    kind="pedal-push-rod",
    name="rod",
    group="brakes",
    ends=(End(component="pedal", port="rod"), End(component="cylinder", port="rod")),
    rigid=True,
    across_mm=8.0,
)
SHOE = ShoeFigures(width_mm=Figure(32.0), pivot_mm=Figure(122.7), arm_mm=Figure(212.0), begins_deg=0.0, ends_deg=126.0)
FRONT = AxleBrakes(
    system="brakes",
    sort=BrakeSort.DRUM,
    bore_mm=Figure(16.60),
    pistons=2,
    travel_mm=Figure(0.5),
    radius_mm=Figure(150.0),
    friction=Figure(0.32),
    shoe=SHOE,
    tyre_radius_mm=Figure(300.0),
    pipe_mm3=Figure(20_000.0),
    swell_mm3_per_mpa=Figure(40.0),
    sink_kg=Figure(5.0),
)
WEIGHT = Weight(
    mass_kg=Figure(700.0),
    wheelbase_mm=Figure(2300.0),
    ahead_of_rear_mm=Figure(1100.0),
    height_mm=Figure(500.0),
    grip=Figure(0.8),
)
FIGURES = Figures(weight=WEIGHT, axles={"front": FRONT, "rear": replace(FRONT, leading=(True, False))})
PARTS = {"pedal": PEDAL, "cylinder": CYLINDER}
LINKS = {"rod": ROD}
