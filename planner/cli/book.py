"""`knockon book`: the job book, one file to print or to read on a phone in the workshop."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.options import FromOption, moment
from planner.cli.planning import LIMIT_S

if TYPE_CHECKING:
    from planner.book import BookFacts, Signature
    from planner.cli.current import Current
    from planner.model.standing import Standing
    from planner.model.sums import SumLine


class PaperSize(StrEnum):
    """What the book is printed on: the values of `planner.book.Paper`, known without loading it."""

    ANY = "any"
    A4 = "a4"
    LETTER = "letter"


def book(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    job: Annotated[str, typer.Argument(help="A job of the project.")],
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="The file to write, - for stdout; else out/JOB.book.html in the project."),
    ] = None,
    paper: Annotated[
        PaperSize,
        typer.Option(
            case_sensitive=False,
            help="Paper and label sheets it is for; any: the printer decides, labels are cut out.",
        ),
    ] = PaperSize.ANY,
    session: Annotated[
        int | None,
        typer.Option(help="Only the sheets of one session: its steps, checkpoints and making sheets; 1 is the next."),
    ] = None,
    from_day: FromOption = None,
    at: Annotated[
        datetime | None,
        typer.Option(
            "--at", parser=moment, metavar="MOMENT", help="The hour it is made for, 2026-05-02T09:30; else now."
        ),
    ] = None,
    option: Annotated[str, typer.Option(help="Which option of the job; else the one it takes, else the first.")] = "",
    chances: Annotated[bool, typer.Option("--odds", help="With how likely the dates are.")] = False,
    limit_s: Annotated[float, typer.Option("--limit", help="Seconds for order and sessions to be proved.")] = LIMIT_S,
) -> None:
    """Write the job book: steps to tick, checkpoints to sign, buying list, making sheets, labels, in one HTML file.

    Of a job that has been begun, it is the book of what is left.
    """
    from planner.cli.current import Wish, current_plan, see_agreed
    from planner.cli.export import see_sound
    from planner.files import write_whole

    now = _made_for(project, job, from_day, at)
    wish = Wish(project=project, job=job, now=now, limit_s=limit_s, option=option, odds=chances)
    found = current_plan(wish)
    see_sound(found.replan.answer, project, job)
    see_agreed(found)
    text = _pages(book_facts(found, paper), session)
    if output == Path("-"):
        typer.echo(text, nl=False)
        return
    sort = "book" if session is None else f"session-{session}"
    path = output if output is not None else project / "out" / f"{found.book.job}.{sort}.html"
    write_whole(path, text)
    typer.echo(f"written to {path}: open it in any browser, or print it")


def _made_for(project: Path, job: str, from_day: datetime | None, at: datetime | None) -> datetime:
    """The moment that is planned from: work is in the log up to it, and none after."""
    from planner.cli.current import see_not_before
    from planner.cli.logbook import log_book
    from planner.cli.plan import now_or

    if at is None:
        return now_or(from_day)
    if from_day is not None:
        raise Stop(Exit.USAGE, "--from is a day and --at an hour to plan from: say one of them")
    see_not_before(log_book(project, job), at)
    return at


def book_text(found: Current) -> str:
    """The job book of a plan as it stands, for any paper."""
    from planner.book import book_page

    return book_page(book_facts(found))


def book_facts(found: Current, paper: PaperSize = PaperSize.ANY) -> BookFacts:
    """What the book of a plan as it stands is made from."""
    from planner.book import BookFacts, Paper
    from planner.cli.replanning import known_numbers
    from planner.log.bags import bags_waiting

    plan, answer = found.replan, found.replan.answer
    return BookFacts(
        answer=answer,
        keys=plan.keys,
        sums=sums_in(found),
        fluids={i: found.catalog.system_kinds[s.kind].fluid for i, s in answer.vehicle.systems.items()},
        bags=bags_waiting(plan.whole.features, known_numbers(found.book), plan.standing),
        signed=_signed(plan.standing),
        paper=Paper(paper.value),
    )


def _pages(facts: BookFacts, session: int | None) -> str:
    from planner.book import book_page, session_page

    if session is None:
        return book_page(facts)
    try:
        return session_page(facts, session)
    except IndexError:
        there = len({s.session for s in facts.answer.plan.slots})
        told = f"there is no session {session}: what is left has {'1 session' if there == 1 else f'{there} sessions'}"
        raise Stop(Exit.USAGE, told, "session 1 is the next one with work in it") from None


def sums_in(found: Current) -> tuple[SumLine, ...]:
    """The sums of the vehicle as it is when the job is done, as `knockon sums` has them."""
    from planner.cli.sums import job_done, sums_there

    answer = found.replan.answer
    return sums_there(found.book.project, job_done(answer), answer.vehicle, found.catalog)


def _signed(standing: Standing) -> dict[str, Signature]:
    """What the log says of each checkpoint, with the reason where one does not apply."""
    from planner.book import Signature
    from planner.model.log import Verdict
    from planner.units.spoken import day_words

    found = {}
    for check, line in standing.signed.items():
        read = f"{line.text} " if line.text else ""
        why = f" ({line.why})" if line.why else ""
        words = f"{read}{line.verdict.value}{why}, {line.by or 'no initials'}, {day_words(line.at.date())}"
        found[check] = Signature(words=words, stands=line.verdict is not Verdict.FAILED)
    return found
