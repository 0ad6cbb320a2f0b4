"""Explanations: a job that contradicts itself or the vehicle."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="part-gone",
        title="a part that this job takes away",
        why="The job removes or replaces the part and then counts on it.",
        fix="Name a part that stays, or leave the removal out.",
    ),
    Page(
        code="change-of-new",
        title="a change of a part that is new",
        why=(
            "A part that this job adds is described complete with its place; moving it in the same job "
            "would say two things at once."
        ),
        fix="Change the place where the part is added.",
    ),
    Page(
        code="changed-twice",
        title="the same change twice",
        why="Both cannot hold, or the second adds nothing.",
        fix="Keep one of the two.",
    ),
    Page(
        code="bad-move",
        title="a move that goes nowhere",
        why=(
            "A move needs either the new place (`to`) or the way there (`by`), and it must differ from "
            "the present place."
        ),
        fix="Write one of the two.",
        before="{do: move, part: tank}",
        after="{do: move, part: tank, by: [0, 40, 0]}",
    ),
    Page(
        code="bad-grow",
        title="a part that grows by nothing",
        why="The change would change nothing.",
        fix="Say how much larger the part becomes along x, y and z.",
        before="{do: grow, part: radiator, by: [0, 0, 0]}",
        after="{do: grow, part: radiator, by: [0, 40, 0]}",
    ),
    Page(
        code="empty-job",
        title="a job without changes or tasks",
        why="There is nothing to plan.",
        fix="Say under `changes` what is to change.",
    ),
    Page(
        code="off-and-fitted",
        title="a part both off and fitted",
        why="No task can be done while a part is off and in place at once.",
        fix="Keep one of the two.",
    ),
    Page(
        code="task-ring",
        title="tasks that wait for each other",
        why="Each of them wants another one done first, so none could ever start.",
        fix="Decide which goes first and delete one `after` or `before`.",
        before=("strip: {after: [paint]}\npaint: {after: [strip]}"),
        after=("strip: {}\npaint: {after: [strip]}"),
    ),
    Page(
        code="bad-session",
        title="a session that cannot be",
        why=("A session is a stretch of one day, on a date or every week, that ends after it starts."),
        fix="Write `every` or `on`, with `from` before `to`.",
        before='{every: saturday, from: "13:00", to: "09:00"}',
        after='{every: saturday, from: "09:00", to: "13:00"}',
    ),
    Page(
        code="sessions-overlap",
        title="two sessions at once",
        why="The same hands would be counted twice and the plan would be too short.",
        fix="Join the two, or move one; `hands` says how many people work.",
    ),
    Page(
        code="session-outside",
        title="a session outside the dates of the job",
        why="It lies before the start or after the day by which all must be done.",
        fix="Check the dates of the session and of the job.",
    ),
    Page(
        code="no-sessions",
        title="no work time is told",
        why="Without it the work can be put in order but not be dated.",
        fix="Say when there is time.",
        after='sessions: [{every: saturday, from: "09:00", to: "13:00"}]',
    ),
    Page(
        code="dates-out-of-order",
        title="the end is before the start",
        why="No plan can finish before it begins.",
        fix="Check `start` and `finish_by`.",
    ),
    Page(
        code="unknown-work",
        title="a kind of work that is not known",
        why="Your own pace is taken into account by kind of work.",
        fix="Use one of the kinds in the hint.",
        before="pace: {wielding: 1.5}",
        after="pace: {welding: 1.5}",
    ),
)
