"""A lever's chosen layout written into the owner's file: ports, places and solids that go with it, comments kept."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from planner.files import Change, Document, KeyPath
    from planner.model.catalog import Catalog
    from planner.model.shapes import Vec
    from planner.model.vehicle import Component, Vehicle
    from planner.sums.lever import Lever, Point
    from planner.sums.levers_there import LeverThere

SAME_MM = 1.5
"""Points this near to each other in the lever's plane are one and go together."""
FOOT_REACH_MM = 120.0
"""A room whose middle is this near to it is the foot's."""


@dataclass(frozen=True, slots=True)
class Shift:
    """Everything of a part that lies at ``at_mm`` in its lever's plane goes by ``by_mm``, both in vehicle axes."""

    at_mm: Point
    by_mm: Point


def write_lever(
    project: Path,
    job: str | None,
    vehicle: Vehicle,
    catalog: Catalog,
    *,
    levers: Sequence[LeverThere],
    chosen: tuple[LeverThere, Lever],
    parts: Mapping[str, Component],
) -> tuple[list[str], str]:
    """Write a layout into the job's file, or into vehicle.yaml without a job.

    Gives what was changed, and what was left where it was though it goes with it, in words.

    Nothing is written unless the changed text loads without an error.

    Raises
    ------
    Stop
        A part is not written in that file, or the changed file would not load.
    """
    from planner.files import SpliceError, parse_text, read_document, spliced, write_whole
    from planner.finding import has_errors
    from planner.shelf.load import job_from, job_path, vehicle_from

    path = project / "vehicle.yaml"
    if job is not None:
        found, _ = job_path(project, job)
        if found is None:
            raise Stop(Exit.FAULTS, f"there is no job `{job}`")
        path = found
    document, _ = read_document(path)
    if document is None:
        raise Stop(Exit.FAULTS, f"{path} cannot be read")
    edits = list(_edits(document, "inch" if vehicle.units == "inch" else "mm", levers, chosen, parts))
    left = _bar_left(document, *chosen, sharers(chosen[0], levers, parts), parts)
    if not edits:
        return [], left
    text = document.text
    try:
        new = spliced(text, edits)
    except SpliceError as error:
        raise Stop(Exit.FAULTS, f"{path} is left as it was: {error}") from None
    changed, findings = parse_text(new, path.as_posix())
    if changed is not None and not findings:
        _, findings = vehicle_from(changed, catalog) if job is None else job_from(changed, vehicle, catalog)
    if changed is None or has_errors(findings):
        first = next(f for f in findings if f.severity.value == "error")
        place = f"{first.place.file}:{first.place.line}:{first.place.column}"
        raise Stop(
            Exit.FAULTS, f"{path} is left as it was, with the layout it would not load: {place}: {first.message}"
        )
    write_whole(path, new)
    return [_words(e, document) for e in edits], left


def _edits(
    document: Document,
    bare: str,
    levers: Sequence[LeverThere],
    chosen: tuple[LeverThere, Lever],
    parts: Mapping[str, Component],
) -> Iterator[Change]:
    """The values to change: of the lever's part first, then of its cylinders."""
    there, new = chosen
    old = there.lever
    if new.push_deg != old.push_deg:
        raise Stop(
            Exit.USAGE, "the lean of a cylinder is not written", "turn it in the file, or do not free push-angle"
        )
    part = parts[there.part]
    moved = _less(new.pivot_mm, old.pivot_mm)
    clevis = _less(_less(new.clevis_mm, old.clevis_mm), moved)
    pad = _less(_less(new.pad_mm, old.pad_mm), moved)
    block = _block(document, part.id)
    editor = _Editor(document, bare)
    yield from editor.moved(block, part, moved)
    shifts = [Shift(old.pad_mm, pad), Shift(old.clevis_mm, clevis)]
    yield from editor.ports(block, part, shifts)
    yield from editor.solids(block, part, shifts)
    if new.travel_deg != old.travel_deg:
        yield editor.travel(block, part, new.travel_deg / old.travel_deg)
    if math.hypot(*moved) > 0.0 and not sharers(there, levers, parts):
        yield from _bar(editor, there, parts, moved)
    seat = _less(_seat(new), _seat(old))
    if math.hypot(*seat) > 0.0:
        for each in levers:
            if each.part == part.id and math.dist(each.lever.mouth_mm, old.mouth_mm) <= SAME_MM:
                yield from editor.moved(_block(document, each.cylinder), parts[each.cylinder], seat)


def bar_of(there: LeverThere, parts: Mapping[str, Component]) -> int | None:
    """Which solid of what a lever is mounted on is the bar it turns on; None when none is drawn."""
    from planner.model.shapes import Cylinder
    from planner.space import pose_mm

    mount = parts.get(parts[there.part].mounted_on or "")
    for n, solid in enumerate(() if mount is None else mount.solids):
        if mount is not None and isinstance(solid, Cylinder):
            x, _, z = pose_mm(mount.pose, solid.pose.at_mm)
            if math.dist((x, z), there.lever.pivot_mm) <= SAME_MM:
                return n
    return None


def sharers(there: LeverThere, levers: Sequence[LeverThere], parts: Mapping[str, Component]) -> list[str]:
    """Other parts that turn on the same bar, whichever of them moves: the bar cannot go with one of them only."""
    mount = parts[there.part].mounted_on
    return sorted(
        {
            each.part
            for each in levers
            if each.part != there.part
            and parts[each.part].mounted_on == mount
            and math.dist(each.lever.pivot_mm, there.lever.pivot_mm) <= SAME_MM
        }
    )


def _bar(editor: _Editor, there: LeverThere, parts: Mapping[str, Component], moved: Point) -> Iterator[Change]:
    """The bar goes with the pivot, where the file that is written says the bar's part."""
    number = bar_of(there, parts)
    if number is None:
        return
    mount = parts[parts[there.part].mounted_on or ""]
    try:
        path: KeyPath = (*_block(editor.document, mount.id), "solids", number, "at")
    except Stop:
        # The mounting is written in another file: `_bar_left` says so.
        return
    if editor.has(path):
        yield from editor.point(path, mount.solids[number].pose.at_mm, _inward(mount, moved))


def _bar_left(
    document: Document, there: LeverThere, new: Lever, others: list[str], parts: Mapping[str, Component]
) -> str:
    """What to tell of a bar that does not go with its pivot; empty when it goes or none is drawn."""
    mount = parts[there.part].mounted_on
    if math.dist(new.pivot_mm, there.lever.pivot_mm) <= _FINEST_MM or bar_of(there, parts) is None:
        return ""
    if others:
        return f"the bar in `{mount}` stays: {', '.join(others)} turns on it too"
    try:
        _block(document, mount or "")
    except Stop:
        return f"the bar in `{mount}` stays: it is written in another file"
    return ""


def _less(one: Point, other: Point) -> Point:
    return one[0] - other[0], one[1] - other[1]


def _seat(lever: Lever) -> Point:
    from planner.sums.lever import state_at

    return state_at(lever, 0.0).seat_mm


def _block(document: Document, part: str) -> KeyPath:
    """Way to a part's own block in the file.

    Raises
    ------
    Stop
        It is not written there.
    """
    data: Any = document.data
    if part in (data.get("components") or {}):
        return ("components", part)
    changes: list[tuple[KeyPath, Any]] = [((), data.get("changes"))]
    options = data.get("options") or {}
    changes += [(("options", name), option.get("changes")) for name, option in options.items()]
    for path, items in changes:
        for n, change in enumerate(items or ()):
            if part in {change.get("with"), change.get("part")} and "component" in change:
                return (*path, "changes", n, "component")
    hint = "without a job the sizes of vehicle.yaml are changed" if "changes" in data else "name the job that adds it"
    raise Stop(Exit.FAULTS, f"`{part}` is not written in {document.file}, nothing is changed", hint)


class _Editor:
    """Makes the edits of one file, in the file's own unit."""

    def __init__(self, document: Document, bare: str) -> None:
        self.document = document
        self.bare = bare

    def value(self, path: KeyPath) -> Any:  # noqa: ANN401  # any plain data
        here: Any = self.document.data
        for key in path:
            here = here[key]
        return here

    def has(self, path: KeyPath) -> bool:
        try:
            self.value(path)
        except (KeyError, IndexError, TypeError):
            return False
        return True

    def moved(self, block: KeyPath, part: Component, by_mm: Point) -> Iterator[Change]:
        """A whole part, in vehicle axes."""
        if math.hypot(*by_mm) > 0.0:
            yield from self.point((*block, "at"), part.pose.at_mm, (by_mm[0], 0.0, by_mm[1]))

    def ports(self, block: KeyPath, part: Component, shifts: Sequence[Shift]) -> Iterator[Change]:
        """Ports that lie where something goes."""
        from planner.space import port_mm

        for port, own in part.ports_mm.items():
            yield from self._gone(
                (*block, "ports", port), part, own, port_mm(part, port), [(s, SAME_MM) for s in shifts]
            )

    def solids(self, block: KeyPath, part: Component, shifts: Sequence[Shift]) -> Iterator[Change]:
        """The pad's body, the tube's end that carries it, what sits at the clevis, and the foot's room."""
        from planner.model.shapes import Tube
        from planner.space import pose_mm
        from planner.sums.foot_lines import PAD_REACH_MM

        pad, clevis = shifts
        near = [(pad, PAD_REACH_MM), (clevis, SAME_MM)]
        for n, solid in enumerate(part.solids):
            path: KeyPath = (*block, "solids", n)
            if isinstance(solid, Tube):
                # A tube with a turn of its own has its points in a frame of its own.
                if any(solid.pose.turn_deg):
                    continue
                for m, point in enumerate(solid.through_mm):
                    reach = near if m in {0, len(solid.through_mm) - 1} else [(clevis, SAME_MM)]
                    there = pose_mm(part.pose, pose_mm(solid.pose, point))
                    yield from self._gone((*path, "tube", "through", m), part, point, there, reach)
            elif self.has((*path, "at")):
                own = solid.pose.at_mm
                yield from self._gone((*path, "at"), part, own, pose_mm(part.pose, own), near)
        for n, room in enumerate(part.rooms):
            path = (*block, "rooms", n, "at")
            if room.solid is not None and self.has(path):
                own = room.solid.pose.at_mm
                yield from self._gone(path, part, own, pose_mm(part.pose, own), [(pad, FOOT_REACH_MM)])

    def travel(self, block: KeyPath, part: Component, factor: float) -> Change:
        """The end of the travel that pushes."""
        from planner.files import Change
        from planner.model.shapes import Turn

        turn = part.motion
        if not isinstance(turn, Turn):
            raise Stop(Exit.FAULTS, f"the motion of `{part.id}` is not a single turn, nothing is changed")
        end = "to" if abs(turn.to_deg) >= abs(turn.from_deg) else "from"
        degrees = turn.to_deg if end == "to" else turn.from_deg
        return Change((*block, "motion", "turns", end), _short(degrees * factor))

    def _gone(
        self, path: KeyPath, part: Component, own: Vec, there: Vec, reach: Sequence[tuple[Shift, float]]
    ) -> Iterator[Change]:
        """A point of the part's own frame, shifted by the first of what it lies near to."""
        for shift, within in reach:
            if math.dist((there[0], there[2]), shift.at_mm) <= within:
                yield from self.point(path, own, _inward(part, shift.by_mm))
                return

    def point(self, path: KeyPath, own_mm: Vec, by_mm: Vec) -> Iterator[Change]:
        """The coordinates that change, each in its own words: a doubt stays with its size."""
        from planner.files import Change

        for axis in range(3):
            if abs(by_mm[axis]) >= _FINEST_MM:
                yield Change((*path, axis), self._size((*path, axis), own_mm[axis] + by_mm[axis]))

    def _size(self, path: KeyPath, mm: float) -> float | int | str:
        from planner.units import MM_PER_INCH, parse_length

        bare = "inch" if self.bare == "inch" else "mm"
        was = parse_length(self.value(path), bare="inch" if bare == "inch" else "mm")
        scale = MM_PER_INCH if bare == "inch" else 1.0
        told = _short(mm / scale, 3 if bare == "inch" else 1)
        return told if was.doubt_mm is None else f"{told} +/- {_short(was.doubt_mm / scale, 3)}"


_FINEST_MM = 0.05


def _short(number: float, digits: int = 1) -> float | int:
    """A number as it is written by hand."""
    value = round(number, digits)
    return int(value) if value == int(value) else value


def _inward(part: Component, by_mm: Point) -> Vec:
    """A shift in the vehicle's axes as one in the part's own."""
    from planner.space import rotated

    axes = [rotated(part.pose.turn_deg, axis) for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))]
    x, y, z = (axis[0] * by_mm[0] + axis[2] * by_mm[1] for axis in axes)
    return x, y, z


def _words(change: Change, document: Document) -> str:
    was: Any = document.data
    for key in change.path:
        was = was[key]
    names = [str(k) for k in change.path if k != "component"]
    return f"{'.'.join(names)}: {was} -> {change.value}"
