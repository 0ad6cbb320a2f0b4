"""A job made up on the command line: one part moved, grown or taken off."""

from __future__ import annotations

from dataclasses import replace
from difflib import get_close_matches
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.model.job import Change, Job
    from planner.model.shapes import Vec
    from planner.model.vehicle import Vehicle


def job_for_part(vehicle: Vehicle, part: str, *, by: str | None, to: str | None, grow: str | None, off: bool) -> Job:
    """The job that does one thing to one part; exactly one of the four is to be asked for."""
    from planner.model.job import Grow, Job, Move, TakeOff

    if part not in vehicle.components:
        near = get_close_matches(part, vehicle.components, n=1)
        hint = f"did you mean `{near[0]}`?" if near else "name a job of the project or a component of the vehicle"
        raise Stop(Exit.USAGE, f"there is no job and no component `{part}`", hint)
    asked = [name for name, given in (("--by", by), ("--to", to), ("--grow", grow), ("--off", off)) if given]
    if len(asked) != 1:
        raise Stop(
            Exit.USAGE,
            f"`{part}` is a component: say one thing to do with it",
            "--by 'x y z', --to 'x y z', --grow 'x y z' or --off",
        )
    pose = vehicle.components[part].pose
    change: Change
    if by is not None:
        shift = _three(by, vehicle, "--by")
        at = (pose.at_mm[0] + shift[0], pose.at_mm[1] + shift[1], pose.at_mm[2] + shift[2])
        change = Move(part=part, to=replace(pose, at_mm=at))
    elif to is not None:
        change = Move(part=part, to=replace(pose, at_mm=_three(to, vehicle, "--to")))
    elif grow is not None:
        change = Grow(part=part, by_mm=_three(grow, vehicle, "--grow"))
    else:
        change = TakeOff(part=part)
    done = {"--by": f"moved by {by}", "--to": f"moved to {to}", "--grow": f"grown by {grow}", "--off": "taken off"}
    return Job(id="asked", name=f"{vehicle.components[part].name} {done[asked[0]]}", changes=(change,))


def _three(text: str, vehicle: Vehicle, option: str) -> Vec:
    """Three lengths x, y, z, parted by commas, or by blanks when they carry no units [mm]."""
    from planner.units import UnitError, parse_length

    pieces = [p.strip() for p in text.split(",")] if "," in text else text.split()
    if len(pieces) != len("xyz"):
        raise Stop(
            Exit.USAGE,
            f"{option} wants three lengths x y z, found `{text}`",
            "x is rearward, y to the right, z up: for instance '40 0 -15' or '1 1/4 in, 0, 0'",
        )
    try:
        x, y, z = (parse_length(p, bare="inch" if vehicle.units == "inch" else "mm").mm for p in pieces)
    except UnitError as error:
        raise Stop(Exit.USAGE, f"{option}: {error.message}", error.hint) from error
    return (x, y, z)
