"""`knockon explain`: what a finding means and what to do about it."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Annotated

import typer

from planner.cli.ending import Exit, Stop


def explain(code: Annotated[str, typer.Argument(help="A finding code, as printed in square brackets.")] = "") -> None:
    """Explain a finding code; without one, list them all."""
    from planner.finding.pages import codes, page

    if not code:
        for known in codes():
            found = page(known)
            typer.echo(f"{known:28} {found.title if found else ''}")
        return
    found = page(code.strip("[]"))
    if found is None:
        near = get_close_matches(code, codes(), n=1)
        raise Stop(
            Exit.USAGE,
            f"no finding has the code `{code}`",
            f"did you mean `{near[0]}`?" if near else "`knockon explain` lists them",
        )
    typer.echo(f"{found.code}: {found.title}\n\n{found.why}\n\n{found.fix}")
    if found.before:
        typer.echo(f"\nbefore:\n{found.before}\n\nafter:\n{found.after}")
