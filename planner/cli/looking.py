"""An agreed plan looked at with sizes measured since: does everything still have its place, is it still that work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time
from shlex import quote
from typing import TYPE_CHECKING

from planner.model.log import AgreedLine, Fits

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.log.sizes import Look
    from planner.model.effects import Knockons
    from planner.model.job import Job
    from planner.model.shapes import Pose
    from planner.model.standing import Agreed, Question, Standing
    from planner.model.vehicle import Vehicle
    from planner.model.work import WorkList
    from planner.shelf import Draft


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What became of the agreed plan, why in words, and the questions that are none any more, by id."""

    fits: Fits
    told: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    """A job worked out with some sizes, its parts held to the homes that were agreed, and the work that is."""

    job: Job
    knockons: Knockons
    work: WorkList


def looked_at(book: LogBook, draft: Draft, sizes: Mapping[str, str]) -> Seen:
    """Look at the agreed plan with these sizes in place of those of the files, the last of them measured just now.

    A plan that another program made is held against what this one makes of it without the size: what an update plans
    otherwise is no doing of the tape.

    Raises
    ------
    Stop
        The files have errors, or a size does not read.
    """
    from planner.cli.updated import is_updated
    from planner.log.questions import questions_in
    from planner.log.sizes import made_with

    agreed, then = book.plan(), _when_agreed(book)
    laid = _laid(agreed, then, draft, sizes)
    slack_mm, before = _doubt_mm(draft, sizes), (agreed.work, questions_in(agreed))
    seen = laid if isinstance(laid, Seen) else _same_work(before, laid, slack_mm)
    if seen.fits is Fits.HOLDS or not is_updated(agreed):
        return seen
    without = _laid(agreed, then, draft, made_with(agreed, book.standing))
    if isinstance(without, Seen):
        return replace(seen, told=(*seen.told, "this knockon says so without the size as well: it was updated since"))
    if isinstance(laid, Seen):
        return seen
    return _same_work((without.work, _asked_in(without)), laid, slack_mm)


def _laid(agreed: Agreed, then: Standing, draft: Draft, sizes: Mapping[str, str]) -> _Laid | Seen:
    from planner.cli.measured import filled_with, in_option
    from planner.cli.met import told_of
    from planner.knockon import find_knockons
    from planner.model.effects import Proof
    from planner.work import amended, pinned, with_fuel_off, with_mending, work_for

    catalog = draft.catalog
    vehicle, written = filled_with(draft, sizes)
    taken = in_option(written, agreed.option)
    # Days and hours are no matter here: no step is given a time.
    job = amended(replace(taken, pace=dict(agreed.pace)), then, datetime.combine(agreed.made, time()), 0)
    job = with_fuel_off(job, vehicle, catalog)
    part, built = next(reversed(tuple(sizes)), "").partition(".")[0], (vehicle, job)
    found = find_knockons(vehicle, job, catalog, before=agreed.runs)
    if found.proof is Proof.NONE:
        return Seen(fits=Fits.NO_PLACE, told=told_of(part, found.trouble, agreed, built, catalog))
    homes = {p: h for p, h in agreed.homes.items() if p in vehicle.components}
    if any(found.homes.get(p) != h for p, h in homes.items()):
        held = pinned(job, homes, found.homes, vehicle)
        kept = find_knockons(vehicle, held, catalog, before=agreed.runs)
        if kept.proof is Proof.NONE:
            return Seen(
                fits=Fits.CHANGED,
                told=(*told_of(part, kept.trouble, agreed, built, catalog), *_elsewhere(vehicle, agreed, found.homes)),
            )
        job, found = held, kept
    return _Laid(job=job, knockons=found, work=with_mending(work_for(vehicle, job, found, catalog), then))


def _doubt_mm(draft: Draft, sizes: Mapping[str, str]) -> float:
    """How sure the files are of the sizes that were measured [mm]: what a tape may differ by and be no news."""
    return max((draft.size(name).doubt_mm for name in sizes if name in draft.names), default=0.0)


def _when_agreed(book: LogBook) -> Standing:
    """Where the job stood when the plan was agreed: what was found and what failed since is no matter of a size."""
    from planner.log import fold

    lines = book.standing.entries
    begun = max((i for i, e in enumerate(lines) if isinstance(e, AgreedLine)), default=len(lines))
    return fold(lines[:begun], book.plan().basis)


def _elsewhere(vehicle: Vehicle, agreed: Agreed, homes: Mapping[str, Pose]) -> Iterator[str]:
    from planner.units import format_length

    for part, home in agreed.homes.items():
        now = homes.get(part)
        if now is None:
            yield f"{vehicle.components[part].name} would stay where it is"
        elif now != home:
            most = max(abs(b - a) for a, b in zip(home.at_mm, now.at_mm, strict=True))
            yield f"{vehicle.components[part].name} would go {format_length(most, vehicle.units)} from where it was to"


def _asked_in(laid: _Laid) -> tuple[Question, ...]:
    from planner.export.plan_words import asked_of

    return asked_of(laid.job, laid.knockons)


def _same_work(before: tuple[WorkList, Sequence[Question]], laid: _Laid, slack_mm: float) -> Seen:
    """Whether the work, and what is open, is what it was: a cut list of another length is another pipe."""
    from planner.cli.differing import differences

    work, questions = before
    told, slight = differences(work, laid.work, slack_mm)
    now = _asked_in(laid)
    # Of a plan of an earlier version only the words of its questions are known.
    known, left = ({word for q in asked for word in (q.id, q.text)} for asked in (questions, now))
    more = tuple(q.text for q in now if not known & {q.id, q.text})
    if told or more:
        return Seen(fits=Fits.CHANGED, told=(*told, *(f"open as well: {text}" for text in more)))
    return Seen(fits=Fits.HOLDS, told=tuple(slight), answers=tuple(q.id for q in questions if q.id not in left))


def ways_on(book: LogBook, look: Look) -> tuple[str, ...]:
    """What leads on from a plan that does not hold with the sizes of the log, each with what to type."""
    where = f"{quote(str(book.project))} {book.job}"
    told = []
    if look.fits is Fits.NO_PLACE:
        told.append(f"see what would have to give: knockon moves {where}")
        other = f"give a part another home, or ask for other changes, in jobs/{book.job}.yaml"
        told.append(f"{other}, then plan what is left: knockon replan {where} --agree")
    else:
        told.append(f"plan what is left with it: knockon replan {where} --agree")
    if look.line is not None:
        back = f"--in {quote(str(book.project))} --job {book.job}"
        told.append(f'measure once more: knockon record size {look.line.size} "VALUE" {back}')
        told.append(f"take the size back: knockon undo {look.line.n} {back}")
    return tuple(told)
