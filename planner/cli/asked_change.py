"""A job made up on the command line: one part moved, grown or taken off."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from planner.cli.called import id_called, names_of
from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.model.job import Change, Job, Move
    from planner.model.shapes import Direction, Vec
    from planner.model.vehicle import Vehicle


ASKED = "asked"
"""Id of a job that is made up here."""
_LEAST_MM = 0.5
"""Less than this is no change: it is below what a tape measure reads."""
_FARTHEST_MM = 20_000.0
"""Farther than this is a slip in the units: no vehicle is that long."""


def job_for_part(
    vehicle: Vehicle,
    part: str,
    *,
    by: str | None,
    to: str | None,
    grow: str | None,
    off: bool,
    onto: str | None = None,
    stays: str | None = None,
    jobs: tuple[str, ...] = (),
) -> Job:
    """The job that does one thing to one part; exactly one of the four is to be asked for.

    ``stays`` are the sides that stay where they are, of a part that is made larger.
    """
    from planner.model.job import Grow, Job, TakeOff

    part = _known(vehicle, part, jobs)
    asked = [name for name, given in (("--by", by), ("--to", to), ("--grow", grow), ("--off", off)) if given]
    if len(asked) != 1:
        raise Stop(
            Exit.USAGE,
            f"`{part}` is a component: say one thing to do with it",
            "--by 'x y z', --to 'x y z', --grow 'x y z' or --off",
        )
    if stays is not None and grow is None:
        raise Stop(Exit.USAGE, "--from goes with --grow: it names the side that stays where it is")
    if onto is not None and by is None and to is None:
        raise Stop(Exit.USAGE, "--onto goes with --by or --to: it names what carries the part there")
    host = None if onto is None else _host(vehicle, part, onto)
    change: Change
    if by is not None or to is not None:
        change = _move(vehicle, part, by, to, host)
    elif grow is not None:
        larger = three_of(grow, vehicle, "--grow")
        _see_change(larger, "--grow")
        change = Grow(part=part, by_mm=larger, stays=_stays(stays, larger))
    else:
        _see_free(vehicle, part)
        change = TakeOff(part=part)
    on = "" if host is None else f" onto {vehicle.components[host].name}"
    done = {
        "--by": f"moved by {by}{on}",
        "--to": f"moved to {to}{on}",
        "--grow": _grown_words(grow, stays),
        "--off": "taken off",
    }
    return Job(id=ASKED, name=f"{vehicle.components[part].name} {done[asked[0]]}", changes=(change,))


def _move(vehicle: Vehicle, part: str, by: str | None, to: str | None, host: str | None) -> Move:
    """The part moved by three lengths, or to a place."""
    from planner.model.job import Move

    pose = vehicle.components[part].pose
    if by is not None:
        x, y, z = shift = three_of(by, vehicle, "--by")
        _see_change(shift, "--by")
        at = (pose.at_mm[0] + x, pose.at_mm[1] + y, pose.at_mm[2] + z)
    else:
        x, y, z = at = three_of(to or "", vehicle, "--to")
        _see_change((x - pose.at_mm[0], y - pose.at_mm[1], z - pose.at_mm[2]), "--to")
    return Move(part=part, to=replace(pose, at_mm=at), onto=host)


def _grown_words(grow: str | None, stays: str | None) -> str:
    return f"grown by {grow}" if stays is None else f"grown by {grow} from its {stays}"


def _stays(told: str | None, larger_mm: Vec) -> tuple[Direction, ...]:
    """The sides that stay where they are, typed one after the other."""
    from planner.files.values import side_called

    sides = []
    for word in (told or "").replace(",", " ").split():
        side = side_called(word)
        if side is None or not any(a and b for a, b in zip(side.vector, larger_mm, strict=True)):
            hint = "bottom, top, front, rear, left or right, where it grows away from that side"
            raise Stop(Exit.USAGE, f"--from: {word} is no side that it grows away from", hint)
        sides.append(side)
    if any(tuple(-v for v in side.vector) in [s.vector for s in sides] for side in sides):
        raise Stop(Exit.USAGE, "--from: two sides across from each other cannot both stay", "keep one of the two")
    return tuple(sides)


def _known(vehicle: Vehicle, called: str, jobs: tuple[str, ...]) -> str:
    there = f"jobs of this project: {', '.join(jobs) or 'none yet'}"
    part = id_called(called, names_of(vehicle), "there is no job and no component", there, jobs)
    if part in vehicle.links:
        raise Stop(Exit.USAGE, f"`{part}` is a link; only components can be moved", "move the part at one of its ends")
    return part


def _host(vehicle: Vehicle, part: str, called: str) -> str:
    """What a moved part is mounted on there: any part but itself and what it carries."""
    host = _known(vehicle, called, ())
    at: str | None = host
    while at is not None:
        if at == part:
            message = f"--onto: `{part}` cannot be mounted on itself or on what it carries"
            raise Stop(Exit.USAGE, message, "name what carries it there")
        at = vehicle.components[at].mounted_on
    return host


def _see_free(vehicle: Vehicle, part: str) -> None:
    from planner.model.vehicle import Freedom

    if vehicle.components[part].freedom is Freedom.STAYS:
        hint = "give it another `freedom` if it does come off"
        raise Stop(Exit.USAGE, f"`{part}` never comes off: its freedom is `stays`", hint)


def _see_change(shift_mm: Vec, option: str) -> None:
    if all(abs(v) < _LEAST_MM for v in shift_mm):
        raise Stop(Exit.USAGE, f"{option} changes nothing", "say at least half a millimetre along x, y or z")
    if any(abs(v) > _FARTHEST_MM for v in shift_mm):
        hint = "bare numbers are in the vehicle file's `units`; write the unit behind a number to be sure"
        raise Stop(Exit.USAGE, f"{option} goes farther than 20 m", hint)


def three_of(text: str, vehicle: Vehicle, option: str) -> Vec:
    """Three lengths x, y, z, typed as `knockon new` takes them [mm]."""
    from planner.shelf.tape import read_three
    from planner.units import UnitError

    try:
        x, y, z = read_three(text, "inch" if vehicle.units == "inch" else "mm")
    except UnitError as error:
        hint = "x is rearward, y to the right, z up: for instance '40 0 -15' or '1 1/4 in, 0, 0'"
        raise Stop(Exit.USAGE, f"{option}: {error.message}", f"{error.hint}; {hint}") from error
    return (x.mm, y.mm, z.mm)
