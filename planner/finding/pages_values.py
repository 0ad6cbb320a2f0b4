"""Explanations: values that are not what their key asks for."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="absurd-figure",
        title="a figure of the sums that cannot be",
        why=(
            "The sums under `figures` say how a brake holds and what a pipe stands. A figure that cannot be would make "
            "every one of them wrong, and a wrong sum looks as sure as a right one."
        ),
        fix="Measure or look up the figure again, and check its unit.",
        before="coolant: {cold: 90, hot: 15}",
        after="coolant: {cold: 15, hot: 90}",
    ),
    Page(
        code="bad-person",
        title="a size of person that is not published",
        why=(
            "Sizes of people are looked up in published tables by percentile and sex. Beyond the outermost printed "
            "percentiles nothing is guessed."
        ),
        fix="Write a percentile from 1 to 99 and `woman` or `man`, or your own `foot` measured in its shoe.",
        before="from: 0.5th woman",
        after="from: 5th woman",
    ),
    Page(
        code="bad-place",
        title="a place that is none",
        why="A place of the driver is three lengths in vehicle axes, or a port of a part.",
        fix="Write `[x, y, z]`, or the part and its port with a dot between.",
        before="heel: [1010, 350]",
        after="heel: [1010, 350, 95]",
    ),
    Page(
        code="unknown-key",
        title="a key that is not known",
        why=("A misspelt key would be passed over in silence, and the plan made without what you wrote."),
        fix="Use the key in the hint, or delete the line.",
        before="mountd_on: bulkhead",
        after="mounted_on: bulkhead",
    ),
    Page(
        code="missing-key",
        title="a key is missing",
        why="Without it the entry cannot be understood, and it has no sensible default.",
        fix="Add the key.",
        before="brake-pedal: {at: [905, -320, 640]}",
        after=("brake-pedal: {kind: brake-pedal, at: [905, -320, 640], solids: [{box: [40, 60, 250]}]}"),
    ),
    Page(
        code="empty-value",
        title="a key with nothing after it",
        why="It is open whether nothing is meant or something was forgotten.",
        fix="Write the value, or delete the line.",
        before="fixings:",
        after="fixings: 4 x M8",
    ),
    Page(
        code="wrong-type",
        title="a value of the wrong sort",
        why="Text stands where a number should, a number where a list should, and so on.",
        fix="Write what the message asks for.",
        before="tools: spanner",
        after="tools: [spanner]",
    ),
    Page(
        code="wrong-value",
        title="a value that cannot stand here",
        why="The value has not the form that its key asks for.",
        fix="`knockon schema` shows what each key takes.",
    ),
    Page(
        code="wrong-count",
        title="too few or too many values",
        why="A place has three numbers (x, y, z), a corner of an outline two.",
        fix="Count the values.",
        before="at: [905, -320]",
        after="at: [905, -320, 640]",
    ),
    Page(
        code="wrong-unit",
        title="not a quantity of this kind",
        why=("The unit is unknown or measures something else, or the text is no number with a unit at all."),
        fix=("Write a number and a unit, such as `620 mm`, `1 1/4 in`, `18 swg`, `1 h 30 min`, `2.4 kg`."),
        before="off: 20 mm",
        after="off: 20 min",
    ),
    Page(
        code="unknown-choice",
        title="not one of the choices",
        why="The key takes only the words listed in the message.",
        fix="Choose one of them.",
        before="freedom: loose",
        after="freedom: comes off",
    ),
    Page(
        code="out-of-range",
        title="a number out of its range",
        why="The number is beyond anything that makes sense here, so it is most likely a slip.",
        fix="Keep within the limit in the message.",
        before="hands: 12",
        after="hands: 2",
    ),
    Page(
        code="too-long",
        title="text that is too long",
        why="It would not fit a label or a line of the job book.",
        fix="Shorten it.",
    ),
    Page(
        code="wrong-version",
        title="a file format that is not known",
        why=("The number after `knockon:` says how the file is to be read. This program reads format 1."),
        fix="Write `knockon: 1`, or use the program that the file was written for.",
        before="knockon: 2",
        after="knockon: 1",
    ),
    Page(
        code="bad-id",
        title="something that cannot be an id",
        why=(
            "Ids are printed on tags and used as file names, so they keep to small letters, digits and "
            "dashes, at most 40."
        ),
        fix="Rename it; `name` may hold any words.",
        before="Brake Pedal: {kind: brake-pedal}",
        after="brake-pedal: {kind: brake-pedal, name: Brake Pedal}",
    ),
    Page(
        code="bad-date",
        title="not a date",
        why="The plan counts days, so each date must be one that is in the calendar.",
        fix="Write year-month-day; `5 dec 2026` and `5.12.2026` can be read as well.",
        before="start: 2026-02-30",
        after="start: 2026-02-28",
    ),
    Page(
        code="bad-time",
        title="not a time of day",
        why="Sessions start and end at a time of day between 00:00 and 23:59.",
        fix="Write hours and minutes, best in quotes: other readers take 9:00 for a number.",
        before="from: 9",
        after='from: "09:00"',
    ),
    Page(
        code="no-shape",
        title="no shape is given",
        why="A solid or a room has to say which shape it is; a motion whether it turns or slides.",
        fix="Add one of the keys in the message.",
        before="solids: [{at: [0, 0, 0]}]",
        after="solids: [{box: [40, 60, 12], at: [0, 0, 0]}]",
    ),
    Page(
        code="two-shapes",
        title="two shapes in one",
        why="One entry makes one solid, and it is open which of the two is meant.",
        fix="Write one entry for each.",
        before="solids: [{box: [40, 60, 12], cylinder: {across: 22, length: 90}}]",
        after="solids: [{box: [40, 60, 12]}, {cylinder: {across: 22, length: 90}}]",
    ),
)
