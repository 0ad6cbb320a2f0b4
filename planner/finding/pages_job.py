"""Explanations: a job that contradicts itself or the vehicle."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="two-currencies",
        title="prices in two currencies",
        why=(
            "Parts and links of the vehicle have prices, and so have the things a job buys; they are added up, which "
            "makes no sense when one is in another currency."
        ),
        fix="Say it once, in the vehicle's file; prices in another one are to be changed into it.",
        before="currency: GBP   # in the job, EUR in vehicle.yaml",
        after="# in the job: nothing",
    ),
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
        fix=(
            "Keep one of the two. A part that grows while a side of it stays where it is wants no move: `from` of "
            "`grow` names this side."
        ),
    ),
    Page(
        code="bad-move",
        title="a move that goes nowhere",
        why=(
            "A move needs either the new place (`to`) or the way there (`by`), and it must differ from the present "
            "place by half a millimetre or a turn: less is within the doubt of any measure."
        ),
        fix="Write one of the two.",
        before="{do: move, part: tank}",
        after="{do: move, part: tank, by: [0, 40, 0]}",
    ),
    Page(
        code="never-comes-off",
        title="a part that stays is to come off",
        why=(
            "Its freedom, from the vehicle or from its kind, says that it never comes off, so no plan can take it off."
        ),
        fix="Give the part another freedom in the vehicle, or leave the wish out.",
        before="inner-wing: {kind: inner-wing}",
        after="inner-wing: {kind: inner-wing, freedom: comes off, off: 2 h, on: 3 h}",
    ),
    Page(
        code="rides-along",
        title="a part that rides on another is to come off by itself",
        why="A part with `rides: true` comes off together with what it is mounted on, never by itself.",
        fix="Name what it rides on, or give it `rides: false` in the vehicle.",
        before="{do: take-off, part: fan-cowl}",
        after="{do: take-off, part: radiator}",
    ),
    Page(
        code="no-minutes",
        title="a part that takes no time",
        why=(
            "Neither the vehicle nor the catalog says how long the part takes to come off and go on, so the plan "
            "counts nothing for it and is too short."
        ),
        fix="Say both times in the vehicle file.",
        before="scuttle: {kind: scuttle, freedom: comes off}",
        after="scuttle: {kind: scuttle, freedom: comes off, off: 3 h, on: 4 h}",
    ),
    Page(
        code="lost-port",
        title="a link whose port goes",
        why=(
            "A link of the vehicle ends at a port of the old part. The part that takes over has no port of that name, "
            "so the link cannot be joined to it and goes with the old part."
        ),
        fix="Give the new part a port of the same name, or remove the link in the job and add what takes its place.",
        before="component: {kind: brake-master-cylinder, ports: {outlet: [-70, 0, 0]}}",
        after="component: {kind: brake-master-cylinder, ports: {out: [-70, 0, 0]}}",
    ),
    Page(
        code="lost-place",
        title="a place that a relation or the driver needs and the job takes away",
        why=(
            "A relation of the vehicle is about a port of the old part, or the driver sits by one. Without that port "
            "nobody could say whether it still holds."
        ),
        fix="Give the new part a port of the same name, at the place that counts.",
        before="component: {kind: brake-pedal, ports: {rod: [6, 0, -78]}}",
        after="component: {kind: brake-pedal, ports: {rod: [6, 0, -78], pad: [44, 0, -380]}}",
    ),
    Page(
        code="joined-to-nothing",
        title="a new part of a circuit with fluid that nothing joins",
        why=(
            "Its kind belongs to a circuit with fluid, but no pipe, hose or other link ends at it when the job is "
            "done, so the plan makes and fits none."
        ),
        fix="Add the pipe or hose that joins it.",
        after="{do: link, part: clutch-pipe, link: {kind: clutch-pipe, from: clutch-cylinder.out, to: slave.in}}",
    ),
    Page(
        code="bad-grow",
        title="a part that grows by nothing",
        why=(
            "The change would change nothing; or a side named under `from` cannot stay: the part does not grow along "
            "that axis, or the side across from it stays as well."
        ),
        fix="Say how much larger the part becomes along x, y and z, and name under `from` only the sides that stay.",
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
        code="never-back",
        title="a part that is never away",
        why="`back` in an own task is for a part that is bought, made or altered: it is here, and not fitted yet.",
        fix="Write `off` for work on a part that is only taken off, or leave it out.",
        before="check: {title: Clean it, takes: 1 h, back: [battery]}",
        after="check: {title: Clean it, takes: 1 h, off: [battery]}",
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
    Page(
        code="size-not-measured",
        title="the size of a new part is a guess",
        why=(
            "The size is in so much doubt that nobody can have measured it: `new` writes it so where no size is told. "
            "Where the part goes, what must move for it and what is cut, drilled and bent for it rest on that guess."
        ),
        fix=(
            "Measure the part, or settle its size if it is to be made, and write each size with how sure it is. In a "
            "job that is under way: `knockon record size NAME VALUE`, then `knockon replan`. Until then the plan has a "
            "step to measure it, and nothing is cut for it."
        ),
        before="solids: [{box: [170 +/- 34, 170 +/- 34, 170 +/- 34]}]",
        after="solids: [{cylinder: {across: 45 +/- 1, length: 210 +/- 1, along: x}}]",
    ),
)
