"""What signs a checkpoint, or says that work failed or is needless: words on which safety rests."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from shlex import quote

import typer

from planner.cli.ending import Exit, Stop, listed
from planner.cli.left_behind import left_early, written_afterwards
from planner.cli.logbook import LogBook, log_book, moment_of
from planner.cli.moments import see_after_its_work
from planner.cli.naming import key_named, keys_done
from planner.cli.options import Where
from planner.cli.terminal import say
from planner.cli.writing import written
from planner.log import lacks_of, open_keys, piece_of_key
from planner.log.rests import made_for, made_since
from planner.log.rewatched import rewatched_in
from planner.log.signing import ReadingError, never_spared, read, shaken_by, task_of, watched_too_long
from planner.log.words import step_words
from planner.model.log import FailedLine, Line, SignedLine, SkippedLine, Verdict
from planner.model.steps import step_of_key
from planner.model.words import Work
from planner.model.work import Task, Toggle


def sign(where: Where, which: str, told: Told) -> None:
    """Sign a checkpoint and say what that opens or closes."""
    # Who signs may have to be asked for, and nobody is asked anything while the log is locked.
    book = log_book(where.project, where.job)
    book.plan()
    named = replace(told, by=signer_of(book, told.by))
    if left_early(book):
        written_afterwards(where, lambda known: [signed_line(known, which, named)])
        return

    def decide(known: LogBook) -> Sequence[Line]:
        line = _in_time(known, signed_line(known, which, named), moment_of(where.at))
        see_after_its_work(known, line, where.at)
        return [line]

    after, numbers = written(where, decide)
    _tell_rewatched(after, numbers)
    if not told.by.strip() and any(isinstance(e, SignedLine) and e.by == named.by for e in book.entries):
        say(f"signed {named.by}, as before; anybody else says so with --by INITIALS")


def _tell_rewatched(book: LogBook, numbers: Sequence[int]) -> None:
    """Say of work whose watch failed that it stays done, and how it is done again."""
    failed = rewatched_in(book.plan().work, book.standing)
    for line in (e for e in book.entries if isinstance(e, SignedLine) and e.n in numbers):
        if step_of_key(line.key).ref in failed:
            step = book.plan().named.get(line.key, line.key)
            say(f"is the work itself to be done again: knockon record check {step} --failed WHY --redo {step}")


def fail(where: Where, step: str, why: str, redo: Sequence[str]) -> None:
    """Write down that a trial fit failed."""

    def decide(known: LogBook) -> Sequence[Line]:
        key = key_named(known, step)
        piece = piece_of_key(known.plan(), key)
        if not isinstance(piece, Task) or piece.checkpoint is not None:
            hint = "a check is signed: knockon record check" if isinstance(piece, Task) else "name the trial itself"
            raise Stop(Exit.USAGE, f"step `{step}` is no trial", hint)
        lacking = [one for one in lacks_of(known.plan(), known.standing, key) if not one.parcel]
        if key not in known.standing.done and lacking:
            told = listed(one.words for one in lacking)
            raise Stop(
                Exit.FAULTS, f"{step_words(key, known.plan())} cannot have been tried before:{told}", "knockon next"
            )
        again = _tasks(known, redo) if redo else piece.again.redo if piece.again is not None else ()
        trial = step_of_key(key).ref
        since = (ref for ref in made_since(known.plan(), known.standing, again) if ref != trial)
        return [FailedLine(key=key, why=why, redo=(*again, *since))]

    after, numbers = written(where, decide)
    line = next(e for e in after.entries if isinstance(e, FailedLine) and e.n in numbers)
    if line.redo:
        say("what of it is good as it is: knockon record needless STEP WHY")
    _tell_made(after, line)
    say(f"`knockon replan {after.project} {after.job}` plans it")


def _tell_made(book: LogBook, line: FailedLine) -> None:
    """Say which steps made the thing that did not fit and stay done, and how to have them done again as well."""
    agreed = book.plan()
    trial = step_of_key(line.key).ref
    made = made_for(agreed, book.standing, trial)
    if not made:
        return
    first = {step_of_key(k).ref: k for k in reversed(agreed.named)}
    redo = sorted((first.get(ref, ref) for ref in {*made, *line.redo}), key=lambda key: (agreed.named.get(key, 0), key))
    names = [str(agreed.named.get(key, key)) for key in redo]
    say(f"work on the same thing that stays done:{listed(step_words(first.get(ref, ref), agreed) for ref in made)}")
    where = f"--in {quote(str(book.project))} --job {book.job}"
    again = f"knockon record failed {agreed.named.get(line.key, line.key)} {quote(line.why)} --redo {','.join(names)}"
    say("to have that done again too, leave out what is good as it is in:")
    say(f"  knockon undo {line.n} {where} && {again} {where}")


def pass_over(where: Where, step: str, why: str) -> None:
    """Write down that a task was found unnecessary."""

    def decide(known: LogBook) -> Sequence[Line]:
        key = key_named(known, step)
        piece = piece_of_key(known.plan(), key)
        if not isinstance(piece, Task):
            raise Stop(Exit.USAGE, f"step `{step}` takes something off or puts it back", "plan anew: knockon replan")
        if piece.checkpoint is not None:
            raise Stop(Exit.USAGE, f"step `{step}` is a check", "knockon record check STEP --not-applicable WHY")
        if piece.work is Work.TESTING:
            raise Stop(Exit.USAGE, f"step `{step}` is a test before the road", "it is never passed over")
        if not why.strip():
            raise Stop(Exit.USAGE, "a reason is wanted", "it is kept in the log")
        return [SkippedLine(key=key, why=why)]

    written(where, decide)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was said of a checkpoint: a reading, a failure or why it does not apply, by whom, and what it undoes.

    ``alone``: putting it right disturbs no other test that was made, but for those of what burns.
    """

    reading: str
    by: str
    failed: str
    waived: str
    redo: tuple[str, ...]
    alone: bool

    def __post_init__(self) -> None:
        """End the command when that is nothing, or too much at once."""
        for word in (self.failed, self.waived):
            if word and not word.strip():
                raise Stop(Exit.USAGE, "a reason is wanted", "it is kept in the log and shown for ever")
        if not (self.reading.strip() or self.waived or self.failed):
            raise Stop(Exit.USAGE, "nothing was read", "write the reading, or --failed WHY, or --not-applicable WHY")
        if self.waived and (self.reading or self.failed):
            raise Stop(Exit.USAGE, "what was read cannot be not applicable as well", "write one of the two")


def signed_line(book: LogBook, which: str, told: Told) -> SignedLine:
    """The line that signs a checkpoint; ends the command when it cannot be signed like that, or not yet."""
    check_id, key = _which(book, which)
    agreed = book.plan()
    point = agreed.work.checkpoints[check_id]
    value = None
    if told.waived:
        see_nothing_welded(book, key, point.title)
        verdict = Verdict.NOT_APPLICABLE
    elif told.failed:
        # It failed whatever was read, and be it no number at all.
        verdict = Verdict.FAILED
    else:
        try:
            verdict, value = read(point, told.reading)
        except ReadingError as error:
            raise Stop(Exit.USAGE, f"{point.title}: {error}", "nothing was written") from error
    if verdict is not Verdict.FAILED and piece_of_key(agreed, key) is not None:
        _see_ready(book, key)
    return SignedLine(
        checkpoint=check_id,
        key=key,
        verdict=verdict,
        limit=point.limit,
        text=told.reading,
        value=value,
        by=told.by,
        why=told.failed or told.waived,
        redo=_redo(book, check_id, key, told) if verdict is Verdict.FAILED else (),
    )


def see_nothing_welded(book: LogBook, key: str, title: str) -> None:
    """A look at a weld applies once there is one: it is never said not to."""
    welds = _welds_before(book, key)
    if welds:
        told = f"{title}: `{welds[0].title}` is done, so it applies"
        raise Stop(Exit.USAGE, told, "look at it and write what was found")


def _welds_before(book: LogBook, key: str) -> list[Task]:
    """The welds that a check comes after and that are done, in the order of its waits."""
    tasks = book.plan().work.tasks
    task = tasks.get(step_of_key(key).ref)
    known = (tasks[a.task] for a in (() if task is None else task.after) if a.task in tasks)
    return [t for t in known if t.work is Work.WELDING and t.id in book.standing.finished]


def _in_time(book: LogBook, line: SignedLine, at: datetime) -> SignedLine:
    """The line; ends the command when so long a watch cannot have been kept since the last word on it."""
    point, earlier = book.plan().work.checkpoints[line.checkpoint], book.standing.signed.get(line.checkpoint)
    told = watched_too_long(point, earlier, line, at)
    if told:
        raise Stop(Exit.USAGE, f"{point.title}: {told}", "watch on, or say when it was read: --at MOMENT")
    return line


def _see_ready(book: LogBook, key: str) -> None:
    """A check counts only when all it waits for is done: else it would prove something that is not there yet."""
    if step_of_key(key).on is not None:
        _see_entered(book, key)
        return
    lacking = [one for one in lacks_of(book.plan(), book.standing, key) if not one.parcel]
    if lacking:
        told = listed(one.words for one in lacking)
        raise Stop(Exit.FAULTS, f"{step_words(key, book.plan())} cannot be signed before:{told}", "knockon next")


def _see_entered(book: LogBook, key: str) -> None:
    """A check that proves a state is made in that state: signed before it is entered it would count for nothing.

    Of a state that nothing enters any more it may still be signed, or the road would be shut for ever.
    """
    agreed, step = book.plan(), step_of_key(key)
    feature = agreed.work.features[step.ref]
    if book.standing.states.get(step.ref, feature.start) is step.on:
        return
    entries = (k for k in open_keys(agreed, book.standing) if (s := step_of_key(k)).ref == step.ref and s.on is step.on)
    entry = next(entries, None)
    if entry is not None:
        told = f"it proves what {step_words(entry, agreed)} brings about, and that is not done"
        raise Stop(Exit.FAULTS, f"it cannot be signed yet: {told}", f"do it first: knockon done {agreed.named[entry]}")


def _which(book: LogBook, which: str) -> tuple[str, str]:
    """The checkpoint and the key of the step it is made with."""
    agreed = book.plan()
    if which in agreed.work.checkpoints:
        task = task_of(agreed, which)
        return which, task.id if task is not None else _last_toggle(book, which)
    titled = [i for i, point in agreed.work.checkpoints.items() if point.title.lower() == which.strip().lower()]
    if len(titled) == 1:
        return _which(book, titled[0])
    key = key_named(book, which)
    piece = piece_of_key(agreed, key)
    checks = piece.checks if isinstance(piece, Toggle) else (piece.checkpoint,) if piece is not None else ()
    named = [c for c in checks if c is not None]
    if len(named) != 1:
        hint = f"name one: {', '.join(named)}" if named else "`knockon next` marks them CHECK"
        raise Stop(Exit.USAGE, f"step `{which}` makes {len(named) or 'no'} checks", hint)
    return named[0], key


def _last_toggle(book: LogBook, check_id: str) -> str:
    """The step last done that makes a check of its own."""
    agreed = book.plan()
    made = [k for k in book.standing.done if isinstance(p := piece_of_key(agreed, k), Toggle) and check_id in p.checks]
    if not made:
        raise Stop(Exit.FAULTS, f"no step that makes check `{check_id}` is done yet", "knockon next")
    return max(made, key=lambda k: book.standing.done[k].n)


def _redo(book: LogBook, check_id: str, key: str, told: Told) -> tuple[str, ...]:
    """Tasks that are open again: those named, what is signed with the check among them, and tests of its circuits."""
    own = [w for w in told.redo if _names(book, w, key)]
    named = (*_tasks(book, [w for w in told.redo if w not in own]), *(step_of_key(key).ref for _ in own[:1]))
    if not named and not told.alone:
        named = welded_again(book, key)
    since = made_since(book.plan(), book.standing, named)
    shaken = (never_spared if told.alone else shaken_by)(book.plan(), book.standing, check_id)
    return tuple(dict.fromkeys((*named, *since, *shaken)))


def welded_again(book: LogBook, key: str) -> tuple[str, ...]:
    """The bench weld that is done again when the look at it failed: what was tested since then rests on it.

    One on the vehicle has its watch, states and second person: it is named with `--redo`.
    """
    number = {step_of_key(k).ref: n for k, n in book.plan().named.items()}
    welds = [t.id for t in _welds_before(book, key) if t.checkpoint is None]
    return tuple(sorted(welds, key=lambda ref: number.get(ref, 0))[-1:])


def _names(book: LogBook, word: str, key: str) -> bool:
    """Whether a word is the number, or the task, of the step that a check is made with."""
    return word in {str(book.plan().named.get(key, "")), step_of_key(key).ref}


def _tasks(book: LogBook, words: Sequence[str]) -> tuple[str, ...]:
    found = []
    tasks = book.plan().work.tasks
    for word in words:
        for key in [word] if word in tasks else keys_done(book, word):
            step = step_of_key(key)
            if step.on is not None:
                raise Stop(
                    Exit.USAGE,
                    f"{step_words(key, book.plan())}: taking off and putting back are planned anew by themselves",
                    "name the work that has to be done again",
                )
            found.append(step.ref)
    return tuple(dict.fromkeys(found))


def signer_of(book: LogBook, by: str) -> str:
    """Who signs: as told, else whoever signed last something that was looked at, else asked for.

    Who answered a letter did not look at the vehicle.
    """
    points = {} if book.agreed is None else book.agreed.work.checkpoints
    letters = {i for i, point in points.items() if point.asks}
    signed = [e.by for e in book.entries if isinstance(e, SignedLine) and e.by and e.checkpoint not in letters]
    if by.strip():
        return by.strip()
    if signed:
        return signed[-1]
    if sys.stdin.isatty():
        return str(typer.prompt("who looked (initials)"))
    raise Stop(Exit.USAGE, "a checkpoint is signed by somebody", "--by INITIALS (asked for only once)")
