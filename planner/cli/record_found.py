"""`knockon record found`: work that no plan knew, with what its mending does and before what it has to be done."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.completing import parts
from planner.cli.options import AtOption, InOption, JobOption, Names, Where
from planner.model.words import MOST_HANDS, MOST_MIN


def found(  # the options of the verb
    title: Annotated[str, typer.Argument(help="What is to be done about it.")],
    minutes: Annotated[int, typer.Option(min=1, max=MOST_MIN, help="Your guess.")] = 30,
    hands: Annotated[
        int | None, typer.Option(min=1, max=MOST_HANDS, help="1, or 2 where it welds: one watches for fire.")
    ] = None,
    on: Annotated[str, typer.Option(help="The part or link it was found at.", autocompletion=parts)] = "",
    does: Annotated[
        list[str] | None,
        typer.Option(
            help="What the mending does: weld (or braze, or heat), grind, cut (or drill), under (somebody works under "
            "the vehicle), or plain (none of these). Several with commas, or once each."
        ),
    ] = None,
    opens: Annotated[list[str] | None, typer.Option(help="The circuit that is open while it is done.")] = None,
    spot: Annotated[
        str, typer.Option(metavar="'X Y Z'", help="Where it is hot, on a part that is large; else anywhere on it.")
    ] = "",
    before: Annotated[
        list[str] | None,
        typer.Option(
            help="Before this part is fitted and worked on, or this cut, own task or check; else before the part of "
            "--on is fitted, and before the first start in any case."
        ),
    ] = None,
    after: Annotated[list[str] | None, typer.Option(help="After the work on this part, cut or own task.")] = None,
    off: Annotated[list[str] | None, typer.Option(help="With this part or link off; --on too: at the bench.")] = None,
    fitted: Annotated[list[str] | None, typer.Option(help="With this part or link in place.")] = None,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """More work, found in the metal: it is planned with the states, cautions and checks that its mending asks for."""
    from planner.cli.found_work import Told, found_work

    names = Names(before=before or (), after=after or (), off=off or (), fitted=fitted or ())
    told = Told(
        title=title, minutes=minutes, hands=hands, on=on, does=does or (), opens=opens or (), spot=spot, names=names
    )
    found_work(Where(project, job, at), told)
