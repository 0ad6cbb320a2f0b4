"""Which verbs there are and where each lives; a verb is loaded when it is used, so that no other one costs it time."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

import typer
from typer.main import get_command

from planner.cli.helping import WholeSentences
from planner.cli.typed import TypedCommand

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from typer._click.core import Command, Context

UNDER: Mapping[str, tuple[str, ...]] = {
    "Start here": ("demo", "new", "check"),
    "What a change leads to": ("moves", "part", "measure", "lever", "sums", "draw"),
    "The work ahead": ("plan", "compare", "book", "export"),
    "At the vehicle": ("next", "done", "record", "undo", "status", "replan", "adopt"),
    "To look up": ("explain", "schema"),
}
"""The verbs under the headings of the help text; the module of a verb has its name."""
IN_ORDER = tuple(verb for verbs in UNDER.values() for verb in verbs)
OF_PYTHON = {"next": "next_"}
"""Verbs whose function has another name, because Python has one of that name."""


class Verbs(WholeSentences):
    """The verbs as one group that loads each when it is asked for."""

    def headings(self, ctx: Context) -> Mapping[str, tuple[str, ...]]:  # noqa: ARG002  # the base class gives it
        """What a newcomer needs first comes first."""
        return UNDER

    def list_commands(self, ctx: Context) -> list[str]:  # noqa: ARG002  # the base class gives it
        """Names of all verbs, none of them loaded."""
        return list(IN_ORDER)

    def get_command(self, ctx: Context, cmd_name: str) -> Command | None:
        """Load a verb, or None where there is none of that name; `ctx` is not looked at."""
        if cmd_name in IN_ORDER and cmd_name not in self.commands:
            self.commands[cmd_name] = _loaded(cmd_name)
        return super().get_command(ctx, cmd_name)

    def resolve_command(self, ctx: Context, args: list[str]) -> tuple[str | None, Command | None, list[str]]:
        """As the base class; a name that is none is compared with all names."""
        if args and args[0] not in IN_ORDER:
            for name in IN_ORDER:
                self.get_command(ctx, name)
        return super().resolve_command(ctx, args)


def _loaded(name: str) -> Command:
    found = getattr(import_module(f"planner.cli.{name}"), OF_PYTHON.get(name, name))
    command = get_command(found if isinstance(found, typer.Typer) else _alone(found))
    command.name = name
    return command


def _alone(verb: Callable[..., None]) -> typer.Typer:
    """An application of one verb."""
    app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
    app.command(cls=TypedCommand)(verb)
    return app
