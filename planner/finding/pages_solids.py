"""Explanations: tubes that cannot be bent, shapes from other files, solids that add nothing."""

from __future__ import annotations

from planner.finding.page import Page

PAGES: tuple[Page, ...] = (
    Page(
        code="tight-bend",
        title="a bend tighter than the tube is thick",
        why=(
            "The radius of a bend is that of the tube's centre line. At less than half of what the tube measures "
            "across, its inside would be bent through itself."
        ),
        fix="Write the radius of the centre line, or 0 for a mitred corner.",
        before="tube: {across: 25 mm, through: [[0, 0, 0], [100, 0, 0], [100, 90, 0]], bend: 8 mm}",
        after="tube: {across: 25 mm, through: [[0, 0, 0], [100, 0, 0], [100, 90, 0]], bend: 40 mm}",
    ),
    Page(
        code="short-leg",
        title="a leg too short for its bends",
        why=(
            "The points of a tube are where its straight lines would meet. A bend of radius r that turns by an angle a "
            "begins and ends r * tan(a / 2) away from that point, and a leg has to hold what the bends at its two ends "
            "take. Where the tube turns straight back on itself no bend does it."
        ),
        fix="Draw the points farther apart, use a smaller bend, or measure the tube again.",
        before="tube: {across: 10, through: [[0, 0, 0], [30, 0, 0], [30, 90, 0]], bend: 40}",
        after="tube: {across: 10, through: [[0, 0, 0], [60, 0, 0], [60, 90, 0]], bend: 40}",
    ),
    Page(
        code="needless-solid",
        title="a solid inside another one of the same part",
        why=(
            "It changes nothing, so it was written twice or does not sit where it was meant to. Told for solids "
            "that are the same and for those wholly inside a box."
        ),
        fix="Check `at` and the sizes, or leave it out.",
        before="solids: [{box: [100, 80, 60]}, {cylinder: {across: 20, length: 30}}]",
        after="solids: [{box: [100, 80, 60]}, {cylinder: {across: 20, length: 30}, at: [0, 0, 45]}]",
    ),
    Page(
        code="no-stl",
        title="a file of a shape that is not there",
        why="The file is named from the project's folder and must lie in it.",
        fix="Copy it into the folder, or correct its name.",
        before="stl: {file: braket.stl}",
        after="stl: {file: parts/bracket.stl, units: mm}",
    ),
    Page(
        code="bad-stl",
        title="a file that holds no STL",
        why=(
            "An STL file is a list of triangles, as text or in binary with their number in front. This one was cut "
            "short, holds something else, or has corners that are no numbers."
        ),
        fix="Export the part anew.",
    ),
    Page(
        code="big-stl",
        title="a shape with too many triangles",
        why=(
            "Every triangle is checked against its neighbours. For finding out what is in the way of what, half a "
            "millimetre is fine enough: a bracket is a few hundred triangles, a whole scanned engine ten thousand."
        ),
        fix="Export it coarser, or measure it with a few boxes and tubes.",
    ),
    Page(
        code="open-stl",
        title="a surface with a hole in it",
        why=(
            "A surface that is not closed has no inside, and a part within it would go unseen. Every edge must join "
            "two triangles. The message says how many do not, and where the first is, in the file's own axes in mm."
        ),
        fix="Close it in the program it comes from; for a scan, fill the holes.",
    ),
    Page(
        code="mixed-stl",
        title="faces that do not agree which side is out",
        why="Two neighbouring triangles are seen from opposite sides, so the surface has no outside.",
        fix="Let the program it comes from make all faces look outwards.",
    ),
    Page(
        code="crossed-stl",
        title="a surface that goes through itself",
        why=(
            "Two of its faces cut each other: bodies that were not joined, or a fault of the export. Faces that lie in "
            "one plane and overlap there are not found."
        ),
        fix="Join the bodies into one before it is exported, or export one file for each and write one solid for each.",
        before="solids: [{stl: {file: parts/both.stl}}]",
        after="solids: [{stl: {file: parts/plate.stl}}, {stl: {file: parts/boss.stl}}]",
    ),
    Page(
        code="empty-stl",
        title="a surface that encloses nothing",
        why="All its triangles lie on each other, so the part would take up no room.",
        fix="Give the shape a thickness before it is exported.",
    ),
    Page(
        code="flat-stl",
        title="triangles without area",
        why="Two corners are in one place, or all three on one line. They are left out or do no harm.",
        fix="Nothing has to be done; a cleaner export has none.",
    ),
    Page(
        code="inside-out-stl",
        title="a surface seen from inside",
        why=(
            "The corners of the triangles run the wrong way round. The shape is turned round as it is read, so "
            "nothing is lost; but look whether the file is what you meant."
        ),
        fix="Export it with its faces outwards.",
    ),
)
