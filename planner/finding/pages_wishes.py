"""Explanations: what a job says of its times, of what is left alone, and of how the vehicle stands between sessions."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="bad-takes",
        title="three times that do not rise",
        why=(
            "A task has one time, or three: when all goes well, what is most likely, and when it goes badly. The "
            "chances of the dates are worked out from them."
        ),
        fix="Write one time, or three that rise; three equal ones say that it is sure.",
        before="takes: [40 min, 30 min, 90 min]",
        after="takes: [30 min, 40 min, 90 min]",
    ),
    Page(
        code="bad-chance",
        title="a chance that is none",
        why="A chance lies between nothing and 95 %: what fails more often than that is no trial but a wrong drawing.",
        fix="Write a share of a hundred with its sign.",
        before="again: 30",
        after="again: 30 %",
    ),
    Page(
        code="redo-for-nothing",
        title="work done again without a chance of that",
        why="The task says what is done again when it fails, and not how likely it is to fail, so it never does.",
        fix="Say the chance under `again`, or leave `redo` out.",
        before="redo: [pedal-box]",
        after="redo: [pedal-box]\nagain: 30 %",
    ),
    Page(
        code="after-gate",
        title="work after the vehicle was proved",
        why=(
            "A task after the first start, the first move or the road test is a drive or a look. If a part came off "
            "for it, or the vehicle went on stands again, what the gates proved would no longer hold."
        ),
        fix="Leave out what it asks for, or do it before the gate.",
        before="hill: {after: [road-test], off: [grille]}",
        after="hill: {after: [road-test]}",
    ),
    Page(
        code="redo-not-before",
        title="work done again that need not have been done yet",
        why=(
            "What is done again when a trial fails has to come before that trial. Nothing in the job says so of this "
            "one, so a plan could put it later."
        ),
        fix="Name it under `after` as well.",
        before="shoe-trial: {again: 30 %, redo: [pedal-box]}",
        after="shoe-trial: {after: [pedal-box], again: 30 %, redo: [pedal-box]}",
    ),
    Page(
        code="cannot-leave",
        title="something left as it is that the job itself asks to be undone",
        why=(
            "With `always` it would never be taken off, entered or opened, and the job itself asks for just that: no "
            "plan could do both."
        ),
        fix="Give it a time instead of `always`: then it is undone as seldom as that is worth. Or drop one of the two.",
        before="leave_in: {header-tank: always}",
        after="leave_in: {header-tank: 90 min}",
    ),
    Page(
        code="nothing-to-leave",
        title="a circuit left closed that takes no work to open",
        why=(
            "Opening and closing a circuit of this kind is no work of its own in the plan, so there is nothing that "
            "could be left undone."
        ),
        fix="Name the parts or links that are to stay.",
        before="leave_in: {wiring: always}",
        after="leave_in: {loom-rear: always}",
    ),
    Page(
        code="empty-end-state",
        title="an end of session that asks for nothing",
        why="Without anything in place, off, holding or not holding it would hold always and say nothing.",
        fix="Say what must be so, or take it out.",
        before="rolls: {name: car can be pushed}",
        after="rolls: {name: car can be pushed, without: [on-stands]}",
    ),
    Page(
        code="end-state-clash",
        title="an end of session that cannot be",
        why=(
            "The same thing is asked to be so and not so when one and the same session ends. A condition also asks "
            "for those it needs: wheels off need stands."
        ),
        fix="Keep one of the two, or ask them of different days with `on`.",
        before="rolls: {name: car can be pushed, conditions: [wheels-off-front], without: [on-stands]}",
        after="rolls: {name: car can be pushed, without: [on-stands]}",
    ),
    Page(
        code="not-there-yet",
        title="a new part asked for at the end of every session",
        why=(
            "An end of session is asked for from the first session on, when a part that this job adds is not there. "
            "A part that is moved or replaced may be named: it counts in its old home and in its new one."
        ),
        fix="Name what is on the vehicle already.",
    ),
    Page(
        code="never-asked",
        title="an end of session on a day without one",
        why="No session of the job falls on that day, so nothing is ever asked there.",
        fix="Name a day on which there is a session.",
        before="on: [monday]",
        after="on: [sunday]",
    ),
    Page(
        code="session-too-short",
        title="a session that setting up and putting away leave nothing of",
        why=(
            "Time to set up at its start and to put away at its end is kept free in every session; in this one "
            "nothing is left for work."
        ),
        fix="Say less under `setup` or `tidy`, or make the session longer.",
        before='setup: 1 h\nsessions: [{every: tuesday, from: "19:00", to: "20:00"}]',
        after='setup: 15 min\nsessions: [{every: tuesday, from: "19:00", to: "20:00"}]',
    ),
)
