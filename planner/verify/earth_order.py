"""Whether a battery's earth strap is the first to be undone and the last to be joined."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.effects import Knockons
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import Feature, Toggle, WorkList


def earth_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList) -> Iterator[str]:
    """Give a sentence for each live cable that may be undone with the strap on, and each strap joined before its cable.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked; what it does not handle stays as it is.
    """
    for links, parts, goal in (
        (vehicle.links, vehicle.components, False),
        (knockons.links_after, knockons.after, True),
    ):
        for strap, cable in _pairs(links, parts):
            for one in _bodies(work, strap, goal=goal):
                for other in _bodies(work, cable, goal=goal):
                    first, then, on = (other, one, True) if goal else (one, other, False)
                    toggle = then.turn_on if goal else then.turn_off
                    if not _asks(toggle, first.id, on=on):
                        what = "joined before" if goal else "undone before"
                        yield f"`{then.id}` may be {what} `{first.id}`: earth comes off first and goes on last"


def _pairs(links: dict[str, Link], parts: dict[str, Component]) -> Iterator[tuple[str, str]]:
    """Strap and live cable of one battery."""
    for strap in links.values():
        for cable in links.values():
            shared = {e.component for e in strap.ends} & {e.component for e in cable.ends}
            batteries = {i for i in shared if i in parts and parts[i].kind == "battery"}
            if strap.kind == "earth-strap" and cable.kind == "battery-cable" and batteries:
                yield strap.id, cable.id


def _bodies(work: WorkList, subject: str, *, goal: bool) -> list[Feature]:
    """A link in the home it has before the job, or after it, where it is handled."""
    about = (f for f in work.features.values() if f.subject == subject and ":" not in f.id)
    return [f for f in about if (f.goal if goal else f.start)]


def _asks(toggle: Toggle | None, feature: str, *, on: bool) -> bool:
    return toggle is None or any(d.feature == feature and d.on is on for d in toggle.demands)
