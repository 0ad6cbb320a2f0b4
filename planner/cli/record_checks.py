"""`knockon record check`, `failed`, `needless`: words on which the safety of the vehicle rests."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.options import AtOption, InOption, JobOption, Where, open_steps

RedoOption = Annotated[
    list[str] | None, typer.Option("--redo", help="A step whose work has to be done again because of it.")
]


def check(
    which: Annotated[
        str, typer.Argument(autocompletion=open_steps, help="Number of the step, or the checkpoint's name.")
    ],
    reading: Annotated[
        list[str] | None,
        typer.Argument(
            help="The number read, in the checkpoint's unit; or yes or no; or both, 4 mm yes, where the limit asks for "
            "more than the number says."
        ),
    ] = None,
    by: Annotated[str, typer.Option(help="Who looked; else whoever signed last.")] = "",
    failed: Annotated[str, typer.Option(help="It failed, whatever was read: why.")] = "",
    waived: Annotated[
        str,
        typer.Option(
            "--not-applicable",
            help="Why it does not apply; shown for ever. It stays so until the part or work it is about changes.",
        ),
    ] = "",
    redo: RedoOption = None,
    nothing_else: Annotated[
        bool,
        typer.Option(
            "--nothing-else",
            help="Putting it right disturbs no other test that was made; a look for fuel is made again in any case.",
        ),
    ] = False,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """Sign a checkpoint with what was read: in its limit it passes, out of it what it rests on is open again."""
    from planner.cli.signing import Told, sign

    words = " ".join(reading or ())
    told = Told(reading=words, by=by, failed=failed, waived=waived, redo=tuple(redo or ()), alone=nothing_else)
    sign(Where(project, job, at), which, told)


def failed(
    step: Annotated[str, typer.Argument(help="Number of the trial fit.")],
    why: Annotated[str, typer.Argument(help="What did not fit, with the new size if there is one.")],
    redo: RedoOption = None,
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """A trial fit failed: it and the work it rests on are to be done again."""
    from planner.cli.signing import fail

    fail(Where(project, job, at), step, why, redo or ())


def needless(
    step: Annotated[str, typer.Argument(help="Number of the step.")],
    why: Annotated[str, typer.Argument(help="Why it need not be done.")],
    project: InOption = Path(),
    job: JobOption = "",
    at: AtOption = None,
) -> None:
    """A task was found unnecessary. Checkpoints never are: those are signed, or marked not applicable."""
    from planner.cli.signing import pass_over

    pass_over(Where(project, job, at), step, why)
