"""A checkpoint's reading against its limit, and what a failure takes with it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import datetime

from planner.model.log import SignedLine, Verdict
from planner.model.standing import Agreed, Standing
from planner.model.steps import step_of_key
from planner.model.work import Checkpoint, Task

_READING = re.compile(r"(?P<number>[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+))\s*(?P<unit>[^0-9\s].*)?")
_WITH_WORD = re.compile(r"(?P<number>.*?[^\s,;])(?:\s*[,;]\s*|\s+(?:and\s+)?)(?P<word>[a-zA-Z]{2,})")
"""Behind a number a lone letter is a unit."""
YES = frozenset({"yes", "y", "ok", "passed", "pass", "good", "true"})
NO = frozenset({"no", "n", "failed", "fail", "bad", "false"})
CIRCUIT = "circuit:"
LARGEST = 1e9
_SAME: Mapping[str, tuple[str, float]] = {
    "\u03c9": ("ohm", 1.0),
    "k": ("ohm", 1e3),
    "kohm": ("ohm", 1e3),
    "k\u03c9": ("ohm", 1e3),
    "megohm": ("ohm", 1e6),
    "\u00b0": ("deg", 1.0),
    "degree": ("deg", 1.0),
    "percent": ("%", 1.0),
}
"""Other ways to write a checkpoint's unit, as :func:`_plain` has them: the unit meant, and how many of it they are."""
_MEASURE_ENDS = re.compile(r"\s(?:of|that|left|out)\s")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


class ReadingError(ValueError):
    """What was written is no reading of that checkpoint; the message says what would be."""


def read(point: Checkpoint, text: str) -> tuple[Verdict, float | None]:
    """Hold a reading against the limit.

    A limit that tells its numbers wants a number in the checkpoint's own unit; any other wants yes or no, and where
    what is looked for can be counted, as joints that weep, a number will do. Of a limit that asks for more than the
    number says, a number in it passes only with a yes to all the rest behind it.

    Raises
    ------
    ReadingError
        It is neither.

    Examples
    --------
    A reserve of at least 50 mm: 52, "52 mm" and "52,5" pass, 49.5 fails, "50 cm" is no reading. Over 1000 ohm: "5k".
    Of at least 50 mm, and the pedal meets nothing: "52 yes" passes, "52 no" and 49.5 fail, 52 alone is half an answer.
    """
    word = text.strip().lower()
    if in_words(point) and word in YES:
        return Verdict.PASSED, None
    if in_words(point) and word in NO:
        return Verdict.FAILED, None
    if not point.is_counted:
        found = _number(point, text)
        raise ReadingError(f"`{text}` ({found:g}) cannot be held against `{point.limit}`: say yes if it is so, else no")
    number, rest = _parted(text)
    value = _number(point, number)
    low = -math.inf if point.low is None else point.low
    high = math.inf if point.high is None else point.high
    if not low <= value <= high or rest in NO:
        return Verdict.FAILED, value
    if point.beside and rest not in YES:
        whole = "yes" if in_words(point) else f"{number} yes"
        told = f"`{text}` does not say whether all of the limit is so: {'; '.join(point.beside)}"
        raise ReadingError(f'{told}. Write "{whole}" if it is, "{number} no" if not')
    return Verdict.PASSED, value


def _parted(text: str) -> tuple[str, str]:
    """The number as it was written, and the yes or no behind it; empty where there is none."""
    match = _WITH_WORD.fullmatch(text.strip())
    word = "" if match is None else match["word"].lower()
    return (match["number"], word) if match is not None and word in YES | NO else (text.strip(), "")


def in_words(point: Checkpoint) -> bool:
    """Whether yes says all of a limit: it has no number, or asks for just so many, as no drip or ten times of ten."""
    return point.low == point.high


def _number(point: Checkpoint, text: str) -> float:
    count = "" if not point.is_counted else f"a number in {point.unit or 'its unit'}"
    words = "yes (it is so), no" if count else "yes (it is so) or no"
    asked = " or ".join(a for a in (words if in_words(point) else "", count) if a)
    match = _READING.fullmatch(text.strip())
    if match is None:
        raise ReadingError(f"`{text}` is no reading: {asked} is wanted, the limit is {point.limit}")
    unit = (match["unit"] or "").strip()
    times = _times(unit, point.unit) if unit else 1.0
    if times is None:
        raise ReadingError(f"`{text}` is in {unit} and {asked} is wanted, the limit is {point.limit}")
    if _THOUSANDS.fullmatch(match["number"]):
        plain = match["number"].replace(",", "")
        raise ReadingError(f"`{text}` may be {float(plain) / 1000.0:g} or {plain}: write {plain} without the comma")
    value = float(match["number"].replace(",", ".")) * times
    if abs(value) > LARGEST:
        raise ReadingError(f"`{text}` is beyond anything that is measured")
    return value


def _times(written: str, unit: str) -> float | None:
    """How many of a checkpoint's unit one of the written unit is; None where it measures otherwise.

    Of `mm of movement` the first word alone will do.
    """
    own = {_plain(unit), _plain(_MEASURE_ENDS.split(unit)[0])}
    if _plain(written) in own:
        return 1.0
    meant, times = _SAME.get(_plain(written), ("", 1.0))
    return times if meant in own else None


def _plain(unit: str) -> str:
    return "".join(unit.lower().split()).removesuffix("s")


def watched_too_long(point: Checkpoint, earlier: SignedLine | None, line: SignedLine, at: datetime) -> str:
    """Why a time of watching cannot be true: the clock has not gone on so far since it was last told; else empty."""
    if point.unit != _MINUTES or line.value is None or earlier is None or earlier.value is None:
        return ""
    if earlier.verdict is not Verdict.FAILED:
        return ""
    most = earlier.value + max(0.0, (at - earlier.at).total_seconds() / 60.0)
    if line.value < most + 1.0:
        return ""
    told = f"{earlier.value:g} min by {earlier.at:%H:%M}"
    return f"{line.value:g} min cannot have been watched by {at:%H:%M}: it was {told}, so it is {int(most)} min at most"


_MINUTES = "min"
"""Unit of what is watched for so long."""


def task_of(agreed: Agreed, check: str) -> Task | None:
    """The task by which a checkpoint is made; None when it is made with the steps that list it."""
    return next((t for t in agreed.work.tasks.values() if t.checkpoint == check), None)


def shaken_by(agreed: Agreed, standing: Standing, check: str) -> tuple[str, ...]:
    """Tests already made on the same circuits as a checkpoint that failed: putting it right may undo them.

    Not what does not apply: nothing was proved by it.
    """
    failed = task_of(agreed, check)
    circuits = set() if failed is None else _circuits(failed)
    made = {step_of_key(k).ref for k in standing.done if step_of_key(k).on is None}
    tasks = agreed.work.tasks.values()
    tests = (t for t in tasks if t.checkpoint is not None and t.id in made and not standing.is_waived(t.checkpoint))
    return tuple(sorted(t.id for t in tests if t.checkpoint != check and _circuits(t) & circuits))


def never_spared(agreed: Agreed, standing: Standing, check: str) -> tuple[str, ...]:
    """Of these tests the ones of a circuit out of which comes what burns: whatever is put right there is looked at."""
    burning = {f.id for f in agreed.work.features.values() if f.turn_on is not None and f.turn_on.apart}
    tests = shaken_by(agreed, standing, check)
    return tuple(t for t in tests if _circuits(agreed.work.tasks[t]) & burning)


def _circuits(task: Task) -> set[str]:
    return {d.feature for d in task.demands if d.feature.startswith(CIRCUIT)}
