"""A row of a published critical-path table as it is printed: ES, EF, LS, LF, slack."""

from planner.order import Window


def cells(window: Window) -> tuple[int, int, int, int, int]:
    return (
        window.earliest_start,
        window.earliest_finish,
        window.latest_start,
        window.latest_finish,
        window.float_,
    )
