"""Explanations: faults in the catalog."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="unsourced-number",
        title="a number without a source",
        why=(
            "Limits and durations decide what is safe and what is promised; whoever reads one must be "
            "able to ask where it comes from."
        ),
        fix=('Add `source`: a published source, "common practice, no published source", or "starting guess".'),
    ),
    Page(
        code="empty-catalog",
        title="the catalog's folder is empty",
        why="Without kinds no part has defaults and no checkpoint is known.",
        fix="Put the catalog back; it comes with the program.",
    ),
    Page(
        code="unknown-name",
        title="the catalog refers to something it does not hold",
        why=(
            "A template or rule for a misspelt name would never be called for, and a checkpoint would be "
            "missed in silence."
        ),
        fix="Correct the name; the hint names the nearest.",
    ),
    Page(
        code="needs-ring",
        title="conditions that need each other",
        why="None of them could ever be entered first.",
        fix="Take one of the `needs` out.",
    ),
    Page(
        code="lone-limits",
        title="what limits a part, without the part",
        why="Parts near a new home are only in the way of a trial fit when the part is there too.",
        fix="Demand both, or neither.",
    ),
    Page(
        code="limit-apart",
        title="a checkpoint's limit and what it asks for besides do not go together",
        why=(
            "A number passes a check only with a yes to all that it does not say. What is listed twice, or not at all, "
            "is asked for once too often or goes by unseen."
        ),
        fix="Write into `limit` what the number says, with the number, and into `also` each other thing, once.",
    ),
    Page(
        code="two-templates",
        title="two templates for one thing",
        why="It is open which tasks the plan would get.",
        fix="Keep one of the two.",
    ),
    Page(
        code="no-fallback",
        title="a kind of change without a template",
        why="A change of a kind that no template covers would get no tasks at all.",
        fix="Add a template whose `of` is empty.",
    ),
)
