"""Explanations: faults of a job's log."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="log-torn",
        title="a piece of a line that does not count",
        why="A crash, a full disk or a pulled plug cut a line off while it was written; nobody was told it was kept.",
        fix="Look at the piece; if it says something that is true, write it down once more. The piece itself stays.",
    ),
    Page(
        code="log-version",
        title="a line of another version",
        why="A newer knockon wrote the line, and an older one would read it wrongly.",
        fix="Use the newer one.",
    ),
    Page(
        code="log-lost",
        title="lines are missing",
        why="The numbers of the lines have a gap, and what is missing may be a check that failed.",
        fix="Put the log back from a copy. It is only ever added to, so the longer copy is the right one.",
    ),
    Page(
        code="log-number",
        title="lines out of their order",
        why="Two logs were put together, or one was edited: nobody can say any more what came after what.",
        fix="Put the log back from a copy.",
    ),
    Page(
        code="log-line",
        title="a line that says what cannot be",
        why=(
            "A line has not the fields of its kind, a moment with a time zone or of another age, a session that ends "
            "before it begins, minutes, hands or a pace beyond belief: it was not written by this program, and what it "
            "would have done to the plan nobody can say."
        ),
        fix="Put the log back from a copy, or have the one who wrote the line write it down with the program's verbs.",
        before='{"sort": "extra", "day": "2026-12-08", "start": "18:00:00+01:00", "end": "20:00:00+01:00"}',
        after='{"sort": "extra", "day": "2026-12-08", "start": "18:00:00", "end": "20:00:00"}',
    ),
    Page(
        code="log-text",
        title="control characters or absurd numbers in a line",
        why="They can act on the terminal or make a text read as another, so they are left out.",
        fix="See who else writes into the log.",
    ),
)
