"""The `knockon` command: its verbs, and what happens when one of them fails."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from typing import Annotated

import typer

from planner.cli.adopt import adopt
from planner.cli.book import book
from planner.cli.check import check
from planner.cli.compare import compare
from planner.cli.demo import demo
from planner.cli.done import done
from planner.cli.draw import draw
from planner.cli.ending import Exit, Stop
from planner.cli.explain import explain
from planner.cli.export import export
from planner.cli.lever import lever
from planner.cli.measure import measure
from planner.cli.moves import moves
from planner.cli.new import new
from planner.cli.next import next_
from planner.cli.part import part
from planner.cli.plan import plan
from planner.cli.record import record
from planner.cli.replan import replan
from planner.cli.schema import schema
from planner.cli.status import status
from planner.cli.sums import sums
from planner.cli.undo import undo

app = typer.Typer(
    name="knockon",
    help="Plan changes to a one-off vehicle: what else must move, in which order, proved before the road.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    rich_markup_mode=None,
)
VERBS: tuple[Callable[..., None], ...] = (check, moves, part, lever, sums, measure, plan, compare, draw, book, export)
WORKING: tuple[Callable[..., None], ...] = (done, undo, status, replan, adopt)
HELPING: tuple[Callable[..., None], ...] = (schema, explain, demo)
app.add_typer(new, name="new")
for verb in VERBS:
    app.command()(verb)
app.command("next")(next_)
app.add_typer(record, name="record")
for verb in (*WORKING, *HELPING):
    app.command()(verb)


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        typer.echo(f"knockon {version('knockon')}")
        raise typer.Exit


@app.callback()
def _options(
    *,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Say nothing more: the verbs do the work."""


def main() -> None:
    """Run the command and turn whatever ends it into an exit code."""
    if hasattr(signal, "SIGPIPE"):
        # A reader that stops early (`| head`) ends the command quietly, as it does every other.
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    try:
        app()
    except Stop as stop:
        if stop.message:
            typer.echo(f"knockon: {stop.message}", err=True)
        if stop.hint:
            typer.echo(f"hint: {stop.hint}", err=True)
        sys.exit(stop.code)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(Exit.FINE)
    except KeyboardInterrupt:
        sys.exit(Exit.STOPPED)
    except OSError as error:
        typer.echo(f"knockon: {error.filename or 'a file'}: {error.strerror or error}", err=True)
        sys.exit(Exit.FILE)
    except Exception as error:
        if os.environ.get("KNOCKON_DEBUG"):
            raise
        typer.echo(f"knockon: a bug of ours: {type(error).__name__}: {error}", err=True)
        typer.echo("hint: set KNOCKON_DEBUG=1, run it again and send us the last lines with your files", err=True)
        sys.exit(Exit.BUG)
