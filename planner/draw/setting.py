"""Where views, list and legend stand on the paper at one scale, and whether it all fits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from planner.draw.frames import Extent, Frame
from planner.draw.labels import BAND_MM
from planner.draw.lettering import text_width_mm
from planner.draw.scene import DONE, NOW
from planner.draw.sheet import Point
from planner.space import Elevation

SHEET_MM = (420.0, 297.0)
"""A3 on its side (ISO 216)."""
MARGIN_MM, LINE_MM = 10.0, 4.1
_TITLE_MM, _GAP_MM, _HEADER_MM, _FOOTER_MM = 5.0, 5.0, 13.0, 4.0
_LEGEND_MM, _NAME_COLUMN_MM = 8.0, 68.0
_NARROW_COLUMN_MM = 56.0
"""Of a list that would else force a smaller scale: the longest names are cut, the list in words has them whole."""
_BOLD, _ARROW_MM = 1.15, 9.0
"""How much wider bold letters are at most, and room for an arrow with the gaps round it [mm]."""
SPOT_LEGEND_MM, _SPOT_GAP_MM = 6.0, 3.0
SPOT_COLUMNS, _COLUMNS, _MOST_COLUMNS = 2, 4, 5
_WHEN = {NOW: NOW, DONE: "job done"}
_FROM = {Elevation.SIDE: "from the right", Elevation.PLAN: "from above", Elevation.FRONT: "from the front"}
ARROWS = {Elevation.SIDE: "front", Elevation.PLAN: "front", Elevation.FRONT: "its left"}


def title_of(view: Elevation, state: str) -> str:
    """The words over a view."""
    return f"{_FROM[view]}, {_WHEN[state]}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Frames by state and view, and the room for the lists, at one scale. ``legend_y`` is the line of the legend."""

    scale: float
    frames: Mapping[tuple[str, Elevation], Frame]
    list_at: Point
    list_size: tuple[float, float]
    columns: int
    legend_y: float
    spots_y: float
    frames_below: float
    """The frames and their labels must end above this line, and left of the next."""
    frames_right: float

    def holds(self, count: int) -> bool:
        """Whether the frames lie in their part of the sheet and the list has room for ``count`` lines."""
        inside = all(
            right_of(f, s) <= self.frames_right and f.bottom + BAND_MM <= self.frames_below
            for (s, _), f in self.frames.items()
        )
        lines = -(-count // self.columns)
        wide, high = self.list_size
        return inside and wide >= _NAME_COLUMN_MM and lines * LINE_MM <= high

    @property
    def entry_wide_mm(self) -> float:
        """Width of a column of the list."""
        return self.list_size[0] / self.columns


def right_of(frame: Frame, state: str) -> float:
    """Where a view ends on the right [mm], its bold title and its arrow counted in."""
    words = text_width_mm(title_of(frame.view, state)) * _BOLD + text_width_mm(ARROWS[frame.view])
    return max(frame.right, frame.corner[0] + words + _ARROW_MM)


def settings_for(extents: Mapping[str, Extent], scale: float, spots: int) -> tuple[Setting, ...]:
    """The ways to set a sheet at a scale, the one to be preferred first.

    Parameters
    ----------
    extents : mapping of state to Extent
        One state: one of each view. Two: a row before and a row after.
    scale : float
    spots : int
        How many lines the list of spots has; it takes its room from the lower end of the sheet.
    """
    end = SHEET_MM[1] - MARGIN_MM - _FOOTER_MM
    low = end - (_SPOT_GAP_MM + SPOT_LEGEND_MM + LINE_MM * -(-spots // SPOT_COLUMNS) if spots else 0.0)
    found = [*_one_of_each(extents[NOW], scale, low)] if DONE not in extents else []
    if not extents[NOW].cut:
        rows = _lists_below(_stood(extents, scale, _in_a_row, side_by_side=False), scale, low)
        return tuple(found) or rows
    for side_by_side in (False, True):
        for block in (_in_a_row, _ell, _tall):
            frames = _stood(extents, scale, block, side_by_side=side_by_side)
            found += [*_lists_below(frames, scale, low), *_lists_beside(frames, scale, low)]
    return tuple(found)


Views = dict[Elevation, Frame]
"""The three views of one state."""


def _in_a_row(extent: Extent, scale: float, at: Point, state: str) -> Views:
    """Plan, side and front view beside one another."""
    found: Views = {}
    left = at[0]
    for view in (Elevation.PLAN, Elevation.SIDE, Elevation.FRONT):
        found[view] = Frame(view=view, extent=extent, scale=scale, corner=(left, at[1]))
        left = right_of(found[view], state) + _GAP_MM
    return found


def _ell(extent: Extent, scale: float, at: Point, state: str) -> Views:
    """Plan above side view, front view beside it, so that every height and length stands at the same level."""
    plan = Frame(view=Elevation.PLAN, extent=extent, scale=scale, corner=at)
    level = plan.bottom + 2 * BAND_MM + _TITLE_MM
    side = Frame(view=Elevation.SIDE, extent=extent, scale=scale, corner=(at[0], level))
    front = Frame(view=Elevation.FRONT, extent=extent, scale=scale, corner=(right_of(side, state) + _GAP_MM, level))
    return {f.view: f for f in (plan, side, front)}


def _tall(extent: Extent, scale: float, at: Point, state: str) -> Views:
    """Side above front view on the right of the plan: for what is wide and short."""
    plan = Frame(view=Elevation.PLAN, extent=extent, scale=scale, corner=at)
    left = right_of(plan, state) + _GAP_MM
    side = Frame(view=Elevation.SIDE, extent=extent, scale=scale, corner=(left, at[1]))
    front = Frame(
        view=Elevation.FRONT, extent=extent, scale=scale, corner=(left, side.bottom + 2 * BAND_MM + _TITLE_MM)
    )
    return {f.view: f for f in (plan, side, front)}


def _stood(
    extents: Mapping[str, Extent],
    scale: float,
    block: Callable[[Extent, float, Point, str], Views],
    *,
    side_by_side: bool,
) -> dict[tuple[str, Elevation], Frame]:
    """The blocks of views of all states, one beside or one below the other."""
    frames: dict[tuple[str, Elevation], Frame] = {}
    left, top = MARGIN_MM, MARGIN_MM + _HEADER_MM + _TITLE_MM + BAND_MM
    for state, extent in extents.items():
        views = block(extent, scale, (left, top), state)
        frames |= {(state, view): frame for view, frame in views.items()}
        if side_by_side:
            left = max(right_of(f, state) for f in views.values()) + 2 * _GAP_MM
        else:
            top = max(f.bottom for f in views.values()) + 2 * BAND_MM + _TITLE_MM
    return frames


Frames = Mapping[tuple[str, Elevation], Frame]


def _lists_below(frames: Frames, scale: float, low: float) -> tuple[Setting, ...]:
    """The legend and the list below all views, in four or five columns."""
    top = max(f.bottom for f in frames.values()) + BAND_MM + _LEGEND_MM
    setting = Setting(
        scale=scale,
        frames=frames,
        list_at=(MARGIN_MM, top),
        list_size=(SHEET_MM[0] - 2 * MARGIN_MM, low - top),
        columns=_COLUMNS,
        legend_y=top - _LEGEND_MM + 4.5,
        spots_y=low + _SPOT_GAP_MM,
        frames_below=low,
        frames_right=SHEET_MM[0] - MARGIN_MM,
    )
    return setting, replace(setting, columns=_MOST_COLUMNS)


def _lists_beside(frames: Frames, scale: float, low: float) -> tuple[Setting, ...]:
    """The list on the right of all views and the legend at the foot."""
    left = max(right_of(f, s) for (s, _), f in frames.items()) + _GAP_MM
    wide, top = SHEET_MM[0] - MARGIN_MM - left, MARGIN_MM + _HEADER_MM
    return (
        Setting(
            scale=scale,
            frames=frames,
            list_at=(left, top),
            list_size=(wide, low - _LEGEND_MM - top),
            columns=max(1, int(wide // _NAME_COLUMN_MM)),
            legend_y=low - _LEGEND_MM + 4.5,
            spots_y=low + _SPOT_GAP_MM,
            frames_below=low - _LEGEND_MM,
            frames_right=left,
        ),
    )


def _one_of_each(extent: Extent, scale: float, low: float) -> tuple[Setting, ...]:
    """The three views of one state, and the list right of the plan, above the front view: in wide columns or narrow."""
    views = _ell(extent, scale, (MARGIN_MM, MARGIN_MM + _HEADER_MM + _TITLE_MM + BAND_MM), NOW)
    plan, level = views[Elevation.PLAN], views[Elevation.SIDE].corner[1]
    left, top = right_of(plan, NOW) + _GAP_MM, MARGIN_MM + _HEADER_MM
    wide = SHEET_MM[0] - MARGIN_MM - left
    setting = Setting(
        scale=scale,
        frames={(NOW, view): frame for view, frame in views.items()},
        list_at=(left, top),
        list_size=(wide, level - BAND_MM - _TITLE_MM - top),
        columns=max(1, int(wide // _NAME_COLUMN_MM)) if wide < SHEET_MM[0] / 2 else _COLUMNS,
        legend_y=0.0,
        spots_y=low + _SPOT_GAP_MM,
        frames_below=low,
        frames_right=SHEET_MM[0] - MARGIN_MM,
    )
    narrow = min(_COLUMNS, int(wide // _NARROW_COLUMN_MM))
    return (setting, replace(setting, columns=narrow)) if narrow > setting.columns else (setting,)
