"""Explanations: a vehicle that cannot be as it is described."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="unknown-id",
        title="a name that belongs to nothing",
        why=("Something refers to a part, link, system, condition or task that is not described anywhere."),
        fix="Correct the name, or describe what it stands for.",
        before="mounted_on: bulkhed",
        after="mounted_on: bulkhead",
    ),
    Page(
        code="unknown-kind",
        title="a kind that is not in the catalog",
        why=("The kind gives a part its defaults and decides which checkpoints hold back the road test."),
        fix="Choose a kind from the catalog; the hint names the nearest.",
        before="kind: break-pedal",
        after="kind: brake-pedal",
    ),
    Page(
        code="no-circuit",
        title="a part of a circuit that belongs to none",
        why=(
            "The circuit says what must be drained before the part comes off, and that it is filled, bled, set and "
            "tested before the road. Without one the plan has no such steps and no such checkpoints."
        ),
        fix="Describe the circuit under `systems` and name it in the part or link.",
        before="front-pipe: {kind: brake-pipe, from: cylinder.out, to: union.in}",
        after="front-pipe: {kind: brake-pipe, from: cylinder.out, to: union.in, system: front-brakes}",
    ),
    Page(
        code="unknown-port",
        title="a port the part does not have",
        why="The end of a link decides how long it is and what it may hit.",
        fix="Correct the name, or give the part this port.",
        before="from: master-cylinder.outlet",
        after="from: master-cylinder.out",
    ),
    Page(
        code="double-id",
        title="an id in use twice",
        why=("Tags, tasks and the log name parts, links, cuts and tasks by id alone, so no two may share one."),
        fix="Rename one of them.",
    ),
    Page(
        code="mounted-ring",
        title="parts mounted on each other in a ring",
        why=("Nothing in the ring is fixed to the vehicle, and nothing in it could be taken off first."),
        fix="Say what one of them is really fixed to.",
        before=("bracket: {mounted_on: tank}\ntank: {mounted_on: bracket}"),
        after=("bracket: {mounted_on: bulkhead}\ntank: {mounted_on: bracket}"),
    ),
    Page(
        code="rides-alone",
        title="it rides on nothing",
        why=("`rides: true` says that a part comes off with what it is mounted on, but it is mounted on nothing."),
        fix="Name its mounting, or delete `rides`.",
        before="rides: true",
        after=("rides: true\nmounted_on: radiator"),
    ),
    Page(
        code="negative-size",
        title="a size that is nothing or less",
        why="Nothing has a negative size; a minus sign slipped in, or the size was left at 0.",
        fix="Measure it, and write it without a sign.",
        before="box: [40, -60, 12]",
        after="box: [40, 60, 12]",
    ),
    Page(
        code="absurd-size",
        title="a size beyond belief",
        why=(
            "The part is larger than any of its kind: most likely the unit is wrong, and every clearance "
            "would be wrong with it."
        ),
        fix="Check the unit and the digits.",
        before="box: [40 in, 60, 12]",
        after="box: [40, 60, 12]",
    ),
    Page(
        code="absurd-place",
        title="a place beyond belief",
        why="The place is more than 20 m away from the zero planes of the vehicle.",
        fix="Check the unit and the digits.",
        before="at: [90500, -320, 640]",
        after="at: [905, -320, 640]",
    ),
    Page(
        code="absurd-doubt",
        title="more doubt than size",
        why="A size that may be off by all of itself says nothing.",
        fix="Measure again, or check the unit of the doubt.",
        before="box: [40 +/- 60, 60, 12]",
        after="box: [40 +/- 6, 60, 12]",
    ),
    Page(
        code="absurd-time",
        title="a time beyond belief",
        why="No single piece of work takes a month, and none takes no time at all.",
        fix="Check the unit: a bare number is minutes.",
        before="off: 2000 h",
        after="off: 2 h",
    ),
    Page(
        code="absurd-mass",
        title="a mass beyond belief",
        why="The part weighs nothing, or more than a lorry.",
        fix="Check the unit: a bare number is kilograms.",
        before="mass: 24000",
        after="mass: 24",
    ),
    Page(
        code="absurd-volume",
        title="a volume beyond belief",
        why="What the part has to hold is nothing, or more than a cubic metre.",
        fix="Check the unit: a bare number is litres.",
        before="may_be_remade: {volume: 3000}",
        after="may_be_remade: {volume: 3 l}",
    ),
    Page(
        code="cannot-be-remade",
        title="made anew, but it cannot be",
        why="A part that is never taken off, or that moves in use, cannot be made anew as a plain box elsewhere.",
        fix="Leave out `may_be_remade`, or give the part another freedom.",
        before="freedom: stays\nmay_be_remade: {volume: 3 l}",
        after="freedom: moves\nmay_be_remade: {volume: 3 l}",
    ),
    Page(
        code="bad-solid",
        title="a solid that cannot be",
        why=("The outline crosses itself or has no area, or a point is written twice, so the solid has no inside."),
        fix="List the corners in order round the edge, each once.",
        before="outline: {points: [[0, 0], [100, 80], [100, 0], [0, 80]], thick: 3}",
        after="outline: {points: [[0, 0], [100, 0], [100, 80], [0, 80]], thick: 3}",
    ),
    Page(
        code="bad-motion",
        title="a motion that goes nowhere or too far",
        why="A part that moves sweeps through room; the two ends of its travel decide how much.",
        fix="Write both ends of the travel, at most a full turn apart.",
        before="motion: {turns: {about: [0, 0, 0], axis: y, from: 0, to: 0}}",
        after="motion: {turns: {about: [0, 0, 0], axis: y, from: 0, to: 18}}",
    ),
    Page(
        code="bad-way",
        title="a way out that leads nowhere",
        why=(
            "A way out is one direction, or first moves and then a direction. Every first move says "
            "how far it goes and "
            "the last leg does not: there the part goes on until it is in the hands. Two legs along one line "
            "are one leg."
        ),
        fix="Write how far each first move goes, and end with a direction alone.",
        before="way_out: [[forwards, 40 mm up]]",
        after="way_out: [[40 mm forwards, up]]",
    ),
    Page(
        code="equal-ends",
        title="a link from a place to itself",
        why="A rod, cable or pipe joins two places.",
        fix="Correct one of the ends.",
        before="{from: pedal.rod, to: pedal.rod}",
        after="{from: pedal.rod, to: master-cylinder}",
    ),
    Page(
        code="wrong-circuit",
        title="a pipe or hose between two circuits",
        why=(
            "What flows in the one circuit would get into the other: brake fluid into fuel, coolant into the brakes. "
            "An end of the link is at a part that holds something else, or the link is said to be in the wrong circuit."
        ),
        fix=(
            "Name the part that it joins on the vehicle. A part that does hold both, such as a carburettor with a "
            "water jacket, is a member of both circuits."
        ),
        before="front-pipe: {kind: brake-pipe, from: cylinder.out, to: fuel-tap}",
        after="front-pipe: {kind: brake-pipe, from: cylinder.out, to: front-union}",
    ),
    Page(
        code="other-circuit",
        title="a pipe of one circuit at a part of its twin",
        why=(
            "Of two brake circuits each is opened, bled and proved by itself. A pipe of the one that ends at a part of "
            "the other has the wrong one bled and tested when it comes off."
        ),
        fix="Name the part that it joins on the vehicle, or the circuit it is in. A part of both is a member of both.",
        before="rear-pipe: {kind: brake-pipe, from: cylinder.rear, to: front-union, system: rear-brakes}",
        after="rear-pipe: {kind: brake-pipe, from: cylinder.rear, to: rear-union, system: rear-brakes}",
    ),
    Page(
        code="odd-end",
        title="a link that ends at an unlikely part",
        why=(
            "Parts of that kind have nothing to do with links of that kind, as far as the catalog knows. It may be a "
            "slip of the name; what is opened, filled and tested would then be told wrongly."
        ),
        fix="Name the part that it joins on the vehicle. If it is so, make that part a member of the link's circuit.",
        before="hose: {kind: coolant-hose, from: radiator.top, to: horn}",
        after="hose: {kind: coolant-hose, from: radiator.top, to: header-tank}",
    ),
    Page(
        code="rod-out-of-line",
        title="a push-rod that does not lie in its cylinder's line",
        why=(
            "A rod that leans presses the piston against its bore: it wears, and at a steep lean it jams or slips off. "
            "Beside the lever's pin, or at its pivot, it is not pushed at all. The line is the axis of the cylinder's "
            "longest round body, or the longest side of the block it is drawn as; at rest 5 degrees are let pass, or "
            "the `swing` of the rod."
        ),
        fix=(
            "Measure where both ends of the rod are and write them as `ports`. If it leans so on the vehicle, put the "
            "cylinder or the pin in line; a few degrees that its joints allow are written as `swing`."
        ),
        before="push-rod: {kind: pedal-push-rod, from: pedal.top-front, to: cylinder.rear}",
        after="push-rod: {kind: pedal-push-rod, from: pedal.pin, to: cylinder.rear}",
    ),
    Page(
        code="worked-on-beneath",
        title="it hangs under the floor and needs no stands",
        why=(
            "Whoever takes it off lies beneath the vehicle. Without the state in its `needs` the plan may have that "
            "done with the vehicle on its wheels, or on a jack."
        ),
        fix="Add the state to what the part's kind needs; leave it out, with a remark, where it is reached from above.",
        before="fuel-pump: {kind: electric-fuel-pump, mounted_on: floor}",
        after="fuel-pump: {kind: electric-fuel-pump, mounted_on: floor, needs: [on-stands, battery-isolated]}",
    ),
    Page(
        code="pipe-to-what-rocks",
        title="a stiff pipe between what rocks and what does not",
        why=(
            "An engine on its mountings rocks by some 10 mm each way (starting guess), and all that is bolted to it. A "
            "pipe held at both ends bends at its nuts each time, and cracks."
        ),
        fix="End the pipe at a bracket and lay a hose from there. Where coils wound in it give, say by how much.",
        before="clutch-pipe: {kind: clutch-pipe, from: clutch-cylinder.out, to: clutch-slave.in}",
        after="clutch-pipe: {kind: clutch-pipe, from: clutch-cylinder.out, to: clutch-slave.in, slack: 15 mm}",
    ),
    Page(
        code="carried-by-nothing",
        title="a part that stands clear of what it is mounted on",
        why=(
            "What a part is mounted on says what it comes off with, what is drilled for it and where. Between the two "
            "half the length of the part and 50 mm are let pass for brackets that nobody drew (starting guess); what "
            "a job moves may come 50 mm farther off than it was."
        ),
        fix=(
            "Name what does carry it: `mounted_on` in its block, `onto` in a job that moves it. A tray or bracket that "
            "is to be made is added by the job as a part of its own."
        ),
        before="- {do: move, part: battery-tray, to: [1100, -227, 32]}",
        after="- {do: move, part: battery-tray, to: [1100, -227, 32], onto: rail-left}",
    ),
    Page(
        code="small-space",
        title="a space too small for anything",
        why="A side of the space is less than a millimetre.",
        fix="Check the unit.",
        before="box: [0.2, 600, 150]",
        after="box: [0.2 m, 600, 150]",
    ),
    Page(
        code="bad-step",
        title="a step that leads nowhere",
        why="New homes are tried on a grid; a step of nothing or less never gets across the space.",
        fix="Write a step such as 20 mm.",
        before="step: 0",
        after="step: 20",
    ),
    Page(
        code="bad-relation",
        title="a relation that lacks something, or says too much",
        why=(
            "Each relation needs its own keys. `above`, `below`, `within`, `apart`, `straight run`, "
            "`falls towards` and "
            "`level` hold two parts against each other and say `of` and `by`; `off the ground` and `in hand reach` say "
            "`by`, `in hand reach` also `from`; `upright` says `within`. A `straight run` may say "
            "`along` and `within`, "
            "both together."
        ),
        fix="Add the key that is missing, or delete the one that has no use.",
        before="{part: tank, keeps: above, by: 40}",
        after="{part: tank, keeps: above, of: radiator, by: 40}",
    ),
    Page(
        code="self-relation",
        title="a part held against itself",
        why="A part is neither above nor apart from itself.",
        fix="Name the other part.",
        before="{part: tank, keeps: above, of: tank, by: 40}",
        after="{part: tank, keeps: above, of: radiator, by: 40}",
    ),
    Page(
        code="no-driver",
        title="a reach without a driver",
        why="A reach is measured from the driver: from the heel for a foot, from a named point for a hand.",
        fix="Say under `driver` where the heel rests and whose foot it is, or the point from which the hand reaches.",
        before="brake: {part: brake-pedal.pad, keeps: in foot reach}",
        after="driver: {heel: [1010, 350, 95], people: {from: 5th woman, to: 95th man}, shoe: 30}",
    ),
    Page(
        code="bad-driver",
        title="a driver whose foot is told twice, or upside down",
        why=(
            "The foot is either that of `people`, with what the `shoe` adds, or your own `foot` measured in its shoe. "
            "Of the people `from` has the shorter foot and `to` the longer."
        ),
        fix="Keep one of the two, and put the shorter foot first.",
        before="people: {from: 95th man, to: 5th woman}",
        after="people: {from: 5th woman, to: 95th man}",
    ),
    Page(
        code="loose-driver",
        title="a driver who sits by a part that may be moved",
        why=(
            "Reaches are measured from the driver while homes are chosen for the parts; a driver who moved along with "
            "one of them would have no place."
        ),
        fix="Write the place in vehicle axes, or give the part a freedom with which it keeps its home.",
        before="driver: {hip: loose-seat.hip}",
        after="driver: {hip: [1620, 350, 280]}",
    ),
    Page(
        code="no-bump",
        title="a clearance at bump without the bump",
        why="How far the body comes down when the suspension is at bump has to be measured on the vehicle.",
        fix="Measure from ride height to the bump stops, and say it at the top of the file.",
        before="sump: {part: engine, keeps: off the ground, by: 90, at: bump}",
        after="bump: 60 mm",
    ),
    Page(
        code="no-parts",
        title="a vehicle without parts",
        why="There is nothing to change and nothing in the way.",
        fix="Describe the parts near the change.",
    ),
    Page(
        code="no-zero",
        title="the zero planes are not told",
        why=("Whoever measures next must start from the same planes, or every size is out by the difference."),
        fix="Say in words what x, y and z are measured from.",
        after="zero: {x: front axle, y: centre line, z: underside of the chassis}",
    ),
    Page(
        code="overlap-at-start",
        title="parts overlap on the vehicle as it stands",
        why=(
            "Two parts cannot be in one place. Either a measure is wrong, or the two are meant to touch; "
            "every clearance found near them is doubtful until it is known which."
        ),
        fix=(
            "Measure the two parts again. If they are meant to touch, list one under `touches` of the "
            "other. A pipe, hose or wire that runs through a part is led round it by the points of its `via`; only "
            "where it goes through a hole in sheet or frame, the part is named under its `passes`."
        ),
        before="brake-pedal: {touches: []}",
        after="brake-pedal: {touches: [carpet]}",
    ),
    Page(
        code="closer-than-advised",
        title="nearer than the catalog advises",
        why=(
            "The catalog keeps fuel from heat and sparks, brake lines and wires from exhaust and moving parts, and "
            "controls from everything. As the vehicle stands two things are nearer than that. It is let pass in "
            "every job, but nothing a job moves may come as near."
        ),
        fix=(
            "Look at it on the vehicle, warm and at full travel. Where a shield stands between them or the gap has "
            "proved itself, say under `near` how near the two may be."
        ),
        before="fuel-hose: {kind: fuel-hose, from: pump.out, to: carburettor.fuel}",
        after="fuel-hose: {kind: fuel-hose, from: pump.out, to: carburettor.fuel, near: {exhaust-manifold: 60}}",
    ),
    Page(
        code="left-open",
        title="something an earlier job left open",
        why=(
            "A job was adopted before all its checks were passed. The vehicle's file keeps what is open under "
            "`to_prove`; the plan of every later job has it as a check before the engine runs, the vehicle moves or "
            "the road, and that check may also be signed in the log of the job that left it."
        ),
        fix="Put it right and sign it, in the next job or in the old one. An entry that is none is taken out by hand.",
    ),
    Page(
        code="too-close-at-start",
        title="parts closer than their free gap on the vehicle as it stands",
        why="A part has less free gap round it than it asks for, before any change is made.",
        fix=("Measure the gap again. If it is so on the vehicle, give the part a smaller `keep_clear` of its own."),
        before="fuel-pipe: {keep_clear: 25}",
        after="fuel-pipe: {keep_clear: 12}",
    ),
    Page(
        code="relation-broken-at-start",
        title="something that must stay true is not true now",
        why=("A relation is broken before any change is made, so no plan can be blamed for it or keep it."),
        fix="Measure again, or correct the relation.",
    ),
    Page(
        code="room-blocked-at-start",
        title="a working room is not free now",
        why="A part stands in room that must always be free, before any change is made.",
        fix="Measure again. Where it is so on the vehicle, give the part its own `rooms`, which stand in place of all "
        "those of its kind: a shallower one, `rooms: [{name: cap off, side: up, depth: 60 mm, needed: always}]`, or "
        "one that is only wanted to get it off, `needed: taking off`.",
    ),
)
