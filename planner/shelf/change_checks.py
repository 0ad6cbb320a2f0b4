"""What a job asks of parts that cannot give it, and what it leaves open: the changes against the whole vehicle."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from planner.files import Faults, KeyPath
from planner.files.schema_job import TaskFile
from planner.finding.words import quoted
from planner.model.catalog import Catalog
from planner.model.job import Add, Change, Grow, Move, Remove, Replace, TakeOff
from planner.model.vehicle import Component, Driver, Freedom, Link, Spot, Vehicle
from planner.shelf.fill_change import Roll
from planner.shelf.lone_members import wet_kinds
from planner.shelf.sheets import Named

Written = Sequence[tuple[KeyPath, Change]]
"""Changes with their places in the file."""


def check_changes(written: Written, roll: Roll, catalog: Catalog, faults: Faults) -> None:
    """Report changes that cannot be made or that the plan would not count.

    Parameters
    ----------
    written : sequence of (KeyPath, Change)
        With their places in the file.
    roll : Roll
        The vehicle, and what becomes of its parts.
    catalog : Catalog
    faults : Faults
    """
    heirs = {c.part: c.component for _, c in written if isinstance(c, Replace)}
    joined = {*roll.joined, *_still_joined(roll, heirs)}
    for path, change in written:
        match change:
            case TakeOff(part=name):
                if not cannot_come_off((*path, "part"), name, roll, faults):
                    _check_minutes((*path, "part"), name, roll.vehicle, catalog, faults)
            case Remove(part=name):
                _check_minutes((*path, "part"), name, roll.vehicle, catalog, faults)
                _check_driver((*path, "part"), name, roll.vehicle, faults)
            case Move(part=name) | Grow(part=name):
                _check_minutes((*path, "part"), name, roll.vehicle, catalog, faults)
            case Replace(part=name, component=new):
                _check_minutes((*path, "part"), name, roll.vehicle, catalog, faults)
                _check_ports((*path, "component", "ports"), name, heirs, roll, faults)
                _check_places((*path, "component", "ports"), name, new, roll.vehicle, faults)
                _check_joined(path, new, joined, catalog, faults)
            case Add(component=new):
                _check_joined(path, new, joined, catalog, faults)
            case _:
                pass


def check_off(tasks: Named[TaskFile], roll: Roll, faults: Faults) -> None:
    """Report each own task that wants a part off which never comes off, or not by itself."""
    for path, task in tasks:
        for index, part in enumerate(task.off):
            cannot_come_off((*path, "off", index), part, roll, faults)


def cannot_come_off(path: KeyPath, name: str, roll: Roll, faults: Faults, *, key: bool = False) -> bool:
    """Whether a part cannot be taken off by itself, with a finding; one that the job handles anyway can."""
    part = roll.vehicle.components.get(name)
    if part is None or name in roll.handled:
        return False
    if part.rides:
        carrier = carrier_of(part, roll.vehicle)
        message = f"{quoted(name)} rides on {quoted(carrier.id)} and does not come off by itself"
        hint = f"name {quoted(carrier.id)}, or give {quoted(name)} `rides: false` in the vehicle"
        if carrier.freedom is Freedom.STAYS:
            hint = f"give {quoted(name)} `rides: false` in the vehicle, as {quoted(carrier.id)} stays"
        faults.error("rides-along", path, message, hint, key=key)
    elif part.freedom is Freedom.STAYS:
        hint = f"give {quoted(name)} another `freedom` in the vehicle, such as `comes off`"
        message = f"{quoted(name)} never comes off: its freedom is `stays`"
        faults.error("never-comes-off", path, message, hint, key=key)
    return part.rides or part.freedom is Freedom.STAYS


def carrier_of(part: Component, vehicle: Vehicle) -> Component:
    """What a riding part comes off with: the first below it that does not ride itself."""
    while part.rides and part.mounted_on in vehicle.components:
        part = vehicle.components[part.mounted_on]
    return part


def _check_minutes(path: KeyPath, name: str, vehicle: Vehicle, catalog: Catalog, faults: Faults) -> None:
    """Warn of a part or link that takes no time; a nought in the vehicle where its kind has minutes is meant."""
    part: Component | Link | None = vehicle.components.get(name) or vehicle.links.get(name)
    if part is None or (isinstance(part, Component) and part.rides):
        return
    kind = (catalog.kinds if isinstance(part, Component) else catalog.link_kinds).get(part.kind)
    if kind is not None and not any((part.off_min, part.on_min, kind.off_min, kind.on_min)):
        message = f"no minutes are told for {quoted(name)}, so the plan counts no time to take it off or fit it"
        faults.warn("no-minutes", path, message, f"say `off:` and `on:` of {quoted(name)} in the vehicle file")


def _check_ports(path: KeyPath, old: str, heirs: Mapping[str, Component], roll: Roll, faults: Faults) -> None:
    """Warn of each link that ends at a port which the part that takes over does not have."""
    new = heirs[old]
    removed = roll.gone - set(heirs)
    for link in roll.vehicle.links.values():
        if link.id in roll.gone or any(end.component in removed for end in link.ends):
            continue
        for end in link.ends:
            if end.component == old and end.port not in {"", *new.ports_mm}:
                message = (
                    f"{quoted(link.id)} ends at the port {quoted(end.port)} of {quoted(old)}, which {quoted(new.id)}"
                    f" does not have: it goes with {quoted(old)}"
                )
                hint = f"give {quoted(new.id)} this port, or remove {quoted(link.id)} in the job if it is to go"
                faults.warn("lost-port", path, message, hint, key=True)


def _check_places(path: KeyPath, old: str, new: Component, vehicle: Vehicle, faults: Faults) -> None:
    """Report each relation or place of the driver that is by a port which the part that takes over does not have."""
    ports = {"", *new.ports_mm}
    lost = [
        (f"the relation {quoted(r.id)} is about", port)
        for r in vehicle.relations.values()
        for part, port in ((r.part, r.port), (r.of, r.of_port))
        if part == old and port not in ports
    ]
    lost += [("the driver sits by", s.port) for s in _spots(vehicle) if s.on == old and s.port not in ports]
    for what, port in dict.fromkeys(lost):
        message = f"{what} the port {quoted(port)} of {quoted(old)}, which {quoted(new.id)} does not have"
        faults.error("lost-place", path, message, f"give {quoted(new.id)} this port", key=True)


def _check_driver(path: KeyPath, gone: str, vehicle: Vehicle, faults: Faults) -> None:
    """Report a part that goes for good and by which the driver sits."""
    if any(spot.on == gone for spot in _spots(vehicle)):
        message = f"the driver sits by {quoted(gone)}, and nothing takes its place"
        faults.error("lost-place", path, message, "replace it, or write the driver's places as `[x, y, z]`")


def _spots(vehicle: Vehicle) -> list[Spot]:
    driver = vehicle.driver or Driver()
    return [s for s in (driver.heel, driver.hip, *driver.points.values()) if s is not None]


def _still_joined(roll: Roll, heirs: Mapping[str, Component]) -> Iterable[str]:
    """Parts that take over an end of a link of the vehicle that stays."""
    for link in roll.vehicle.links.values():
        if link.id in roll.gone:
            continue
        for end in link.ends:
            heir = heirs.get(end.component)
            if heir is not None and end.port in {"", *heir.ports_mm}:
                yield heir.id


def _check_joined(path: KeyPath, new: Component, joined: set[str], catalog: Catalog, faults: Faults) -> None:
    """Warn of a new part of a circuit with fluid that no pipe or hose, nor any other link, joins."""
    if new.kind in catalog.kinds and wet_kinds(new, catalog) and new.id not in joined:
        message = f"no link joins {quoted(new.id)}, though it is of a circuit with fluid"
        faults.warn("joined-to-nothing", path, message, "add its pipe or hose with `do: link`")
