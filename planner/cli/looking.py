"""An agreed plan looked at with sizes measured since: does everything still have its place, is it still that work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time
from shlex import quote
from typing import TYPE_CHECKING

from planner.model.log import AgreedLine, Fits

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.log.sizes import Look
    from planner.model.catalog import Catalog
    from planner.model.effects import Knockons
    from planner.model.job import Job
    from planner.model.shapes import Pose
    from planner.model.standing import Agreed, Standing
    from planner.model.vehicle import Vehicle
    from planner.shelf import Draft


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What became of the agreed plan, why in words, and the questions that are none any more, by id."""

    fits: Fits
    told: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()


def looked_at(book: LogBook, draft: Draft, sizes: Mapping[str, str]) -> Seen:
    """Look at the agreed plan with these sizes in place of those of the files, the last of them measured just now.

    Raises
    ------
    Stop
        The files have errors, or a size does not read.
    """
    from planner.cli.measured import filled_with, in_option
    from planner.cli.met import told_of
    from planner.knockon import find_knockons
    from planner.model.effects import Proof
    from planner.work import amended, pinned, with_fuel_off

    agreed, then, catalog = book.plan(), _when_agreed(book), draft.catalog
    vehicle, written = filled_with(draft, sizes)
    taken = in_option(written, agreed.option)
    # Days and hours are no matter here: no step is given a time.
    job = amended(replace(taken, pace=dict(agreed.pace)), then, datetime.combine(agreed.made, time()), 0)
    job = with_fuel_off(job, vehicle, catalog)
    part, built = next(reversed(tuple(sizes)), "").partition(".")[0], (vehicle, job)
    found = find_knockons(vehicle, job, catalog)
    if found.proof is Proof.NONE:
        return Seen(fits=Fits.NO_PLACE, told=told_of(part, found.trouble, agreed, built, catalog))
    homes = {p: h for p, h in agreed.homes.items() if p in vehicle.components}
    if any(found.homes.get(p) != h for p, h in homes.items()):
        held = pinned(job, homes, found.homes, vehicle)
        kept = find_knockons(vehicle, held, catalog)
        if kept.proof is Proof.NONE:
            return Seen(
                fits=Fits.CHANGED,
                told=(*told_of(part, kept.trouble, agreed, built, catalog), *_elsewhere(vehicle, agreed, found.homes)),
            )
        job, found = held, kept
    return _same_work(agreed, then, (vehicle, job, found), catalog, _doubt_mm(draft, sizes))


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


def _same_work(
    agreed: Agreed, then: Standing, built: tuple[Vehicle, Job, Knockons], catalog: Catalog, slack_mm: float
) -> Seen:
    """Whether the work is what was agreed: a cut list of another length is another pipe."""
    from planner.cli.differing import differences
    from planner.export.plan_words import asked_of
    from planner.log.questions import questions_in
    from planner.work import with_mending, work_for

    vehicle, job, knockons = built
    told, slight = differences(agreed.work, with_mending(work_for(vehicle, job, knockons, catalog), then), slack_mm)
    now, before = asked_of(job, knockons), questions_in(agreed)
    # Of a plan of an earlier version only the words of its questions are known.
    known, left = ({word for q in asked for word in (q.id, q.text)} for asked in (before, now))
    more = tuple(q.text for q in now if not known & {q.id, q.text})
    if told or more:
        return Seen(fits=Fits.CHANGED, told=(*told, *(f"open as well: {text}" for text in more)))
    return Seen(fits=Fits.HOLDS, told=tuple(slight), answers=tuple(q.id for q in before if q.id not in left))


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
