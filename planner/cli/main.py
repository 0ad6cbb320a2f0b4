"""The `knockon` command: its verbs, and what happens when one of them fails."""

from __future__ import annotations

import os
import signal
import sys
from typing import Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.verbs import Verbs

app = typer.Typer(
    name="knockon",
    help="Plan changes to a one-off vehicle: what else must move, in which order, proved before the road. "
    "A first look: knockon demo. A vehicle of your own: knockon new FOLDER. Of each verb: knockon VERB --help.",
    cls=Verbs,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    rich_markup_mode=None,
)


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
            _say(f"knockon: {stop.message}")
        if stop.hint:
            _say(f"hint: {stop.hint}")
        sys.exit(stop.code)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(Exit.FINE)
    except KeyboardInterrupt:
        sys.exit(Exit.STOPPED)
    except OSError as error:
        _say(f"knockon: {error.filename or 'a file'}: {error.strerror or error}")
        sys.exit(Exit.FILE)
    except Exception as error:
        if os.environ.get("KNOCKON_DEBUG"):
            raise
        _say(f"knockon: a bug of ours: {type(error).__name__}: {error}")
        _say("hint: set KNOCKON_DEBUG=1, run it again and send us the last lines with your files")
        sys.exit(Exit.BUG)


def _say(text: str) -> None:
    """Say on stderr why a command ended."""
    from planner.cli.terminal import say

    say(text, err=True)
