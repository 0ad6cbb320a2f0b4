"""Explanations: faults met while a file is read."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="no-file",
        title="there is no such file",
        why="Nothing can be checked that cannot be found.",
        fix="Check the spelling and the folder you are in.",
    ),
    Page(
        code="not-a-file",
        title="not a plain file",
        why="A folder, a device or a pipe stands where a text file should be.",
        fix="Name the text file itself.",
    ),
    Page(
        code="unreadable-file",
        title="the file cannot be read",
        why="The system refuses to open it, mostly because it belongs to someone else.",
        fix="Check who owns the file and who may read it.",
    ),
    Page(
        code="too-large",
        title="the file is too large",
        why=("A vehicle written by hand is far below 2 MB, so a larger file was most likely named by mistake."),
        fix="Name the right file, or split the vehicle.",
    ),
    Page(
        code="too-many-values",
        title="too many values in one file",
        why=("No hand-made file holds a hundred thousand values; reading it would only keep you waiting."),
        fix="Describe the parts near the change instead of the whole vehicle.",
    ),
    Page(
        code="too-deep",
        title="too many levels inside each other",
        why="Brackets nested this deep are a slip or a trick, never a vehicle.",
        fix="Count the brackets at the place named.",
    ),
    Page(
        code="not-text",
        title="not a text file",
        why=(
            "The file holds bytes that are no UTF-8 text: a picture, a spreadsheet, or text saved in an old encoding."
        ),
        fix="Save it as plain text in UTF-8.",
    ),
    Page(
        code="empty-file",
        title="the file is empty",
        why="There is nothing to plan from.",
        fix="Copy `projects/trials-car` and change what differs, or begin with `knockon new FOLDER`.",
    ),
    Page(
        code="control-character",
        title="a hidden character in the text",
        why=(
            "Such characters do not show on the screen. They can change what a line means, or garble a "
            "terminal or a printout."
        ),
        fix="Delete the character; typing the word again helps most times.",
    ),
    Page(
        code="merge-conflict",
        title="a conflict mark of version control",
        why="Two people changed the same lines and the file holds both versions at once.",
        fix="Keep one of the versions and delete the three marks.",
        before=("<<<<<<< mine\nmass: 2.4 kg\n=======\nmass: 2.6 kg\n>>>>>>> theirs"),
        after="mass: 2.6 kg",
    ),
    Page(
        code="yaml-syntax",
        title="a line that cannot be read",
        why="From this place on the meaning of the file is open, so nothing after it is checked.",
        fix=("Check indent (spaces only), colons, quotes and brackets on this line and the one above."),
        before="tools: [1/2 in spanner",
        after="tools: [1/2 in spanner]",
    ),
    Page(
        code="yaml-alias",
        title="a value named for use elsewhere",
        why=(
            "`&` and `*` repeat one value in many places. A reader with a tape in hand cannot follow "
            "them, and small files can grow without end through them."
        ),
        fix="Write the value out at each place.",
        before="at: &here [900, 0, 500]",
        after="at: [900, 0, 500]",
    ),
    Page(
        code="yaml-merge",
        title="a block merged into another",
        why="`<<` pulls in keys that are not to be seen where they count.",
        fix="Write the keys out.",
        before="<<: *pedal",
        after="kind: brake-pedal",
    ),
    Page(
        code="yaml-tag",
        title="a tag before a value",
        why=("Tags ask a program to build something from the text. This one reads plain values only."),
        fix="Delete the tag; put quotes round text that starts with `!`.",
        before="name: !text pedal",
        after="name: pedal",
    ),
    Page(
        code="yaml-documents",
        title="two documents in one file",
        why="A line of three dashes starts a second document, and only one would be used.",
        fix="Delete the dashes, or put each document into a file of its own.",
    ),
    Page(
        code="bad-key",
        title="something that cannot be a key",
        why="A key is a short name before a colon.",
        fix="Write `key: value`.",
        before="[1, 2]: bracket",
        after="bracket: [1, 2]",
    ),
    Page(
        code="double-key",
        title="a key written twice",
        why="Only one of the two values could count, and nobody would see which.",
        fix="Keep one of the two.",
        before=("off: 20 min\noff: 30 min"),
        after="off: 30 min",
    ),
    Page(
        code="no-project",
        title="no project folder",
        why=("A project is a folder with a `vehicle.yaml` in it; the command was given something else."),
        fix="Name the folder, or begin with `knockon new FOLDER`.",
    ),
    Page(
        code="outside-project",
        title="a path out of the project folder",
        why=(
            "A project stays in its own folder, so that it can be copied, kept in version control and given away whole."
        ),
        fix="Put the file into the project's folder.",
    ),
    Page(
        code="no-job",
        title="there is no such job",
        why="A job is a file in the folder `jobs`, called by its name without `.yaml`.",
        fix="Check the name; the hint names the nearest one.",
    ),
    Page(
        code="not-read",
        title="a file of the project is not read because of its name",
        why=(
            "A job's name goes into commands and other files' names, so it is of small letters, digits and dashes, and "
            "its file ends in `.yaml`. A file called otherwise is passed over: what it asks for would be planned by "
            "nobody."
        ),
        fix="Rename it as the hint says, or move it out of the project if it is a copy that you keep.",
    ),
)
