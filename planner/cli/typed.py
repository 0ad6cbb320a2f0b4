"""A verb's line as people type it: the folder by option as well, three lengths without quotes, a hint at the quotes."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from typer._click.exceptions import UsageError
from typer._click.parser import _OptionParser
from typer.core import TyperArgument, TyperCommand, TyperOption

if TYPE_CHECKING:
    from typer._click.core import Context, Parameter
    from typer._click.parser import _ParsingState

_LENGTH = re.compile(r"[+-]?(?:[0-9]+(?:[.,/][0-9]+)?|[.,][0-9]+)(?:mm|cm|m|in|\")?")
_EXTRA = re.compile(r"Got unexpected extra argument(?:s|\(s\))? \((?P<words>.+)\)")
_MINUS = re.compile(r"-(?:[0-9]|[.,][0-9]).*", re.DOTALL)
_VALUE = re.compile(r"[+-]?[.,]?[0-9]")
_THREE = frozenset({"--by", "--to", "--grow", "--at"})
_NAMING = ("--kind", "--name")
"""Options that say what a new thing is, where its name is no word of its own on the line."""
_AXES = 3
_NO_NUMBER = {
    "is not a valid float.": "is no number, such as 20 or 7.5.",
    "is not a valid integer.": "is no whole number, such as 20.",
}


class _Parser(_OptionParser):
    """Reads a word that begins with minus and a digit as a value: no option of ours is called so."""

    def _process_opts(self, arg: str, state: _ParsingState) -> None:
        if _MINUS.fullmatch(arg):
            state.largs.append(arg)
        else:
            super()._process_opts(arg, state)


class TypedCommand(TyperCommand):
    """A verb that takes `--in FOLDER` and `--job JOB` for its first two arguments, where it has those."""

    def get_params(self, ctx: Context) -> list[Parameter]:
        """The parameters as declared, and the two options for help and completion."""
        found = super().get_params(ctx)
        told = {"--in": "The same as PROJECT.", "--job": "The same as JOB."}
        options = [
            TyperOption(param_decls=[flag], type=str, metavar=name.upper(), help=told[flag], expose_value=False)
            for flag, name in zip(told, self._places(), strict=False)
        ]
        return [*found[:-1], *options, *found[-1:]]

    def make_parser(self, ctx: Context) -> _OptionParser:
        """As the base class, but what is left of centre is minus, and a value."""
        parser = _Parser(ctx)
        for param in self.get_params(ctx):
            param.add_to_parser(parser, ctx)
        return parser

    def parse_args(self, ctx: Context, args: list[str]) -> list[str]:
        """As the base class, after the line was put as it expects it."""
        typed = _joined(args) if self._has_lengths() else list(args)
        try:
            return super().parse_args(ctx, self._placed(typed))
        except UsageError as error:
            for word, plain in _NO_NUMBER.items():
                error.message = error.message.replace(word, plain)
            extra = _EXTRA.fullmatch(error.message)
            if extra is not None and self._has_lengths() and _MINUS.fullmatch(extra["words"]):
                error.message += ". Three lengths x y z are wanted, such as --by '0 -40 0'"
            elif extra is not None:
                error.message += self._quotes_hint(ctx, typed, extra["words"])
            raise

    def _quotes_hint(self, ctx: Context, typed: list[str], extra: str) -> str:
        """How the words that are too many are written: as one name in quotes, where they are one, behind its option."""
        first = extra.split(maxsplit=1)[0]
        said = _before(typed, first)
        if _VALUE.match(said):
            return f". A value and its unit stand in quotes: '{said} {extra}'"
        plain = typed[: typed.index(first)] if first in typed else []
        option = next((f for f in _NAMING for p in self.params if f in p.opts), None)
        if option is None or len(plain) != 1 or len(self._named()) != 1:
            return f". A name of several words stands in quotes: '{said} {extra}'"
        folder, words = (said, extra) if Path(said).is_dir() else ("PROJECT", f"{said} {extra}")
        return f". Its folder comes first, then what it is, in quotes: {ctx.command_path} {folder} {option} '{words}'"

    def _named(self) -> list[str | None]:
        return [p.name for p in self.params if isinstance(p, TyperArgument)]

    def _places(self) -> tuple[str, ...]:
        """Names of the first arguments that stand for a folder and a job."""
        named = self._named()
        if named[:1] != ["project"]:
            return ()
        return ("folder", "job") if named[1:2] == ["job"] else ("folder",)

    def _has_lengths(self) -> bool:
        return any(_THREE & set(p.opts) for p in self.params)

    def _placed(self, args: list[str]) -> list[str]:
        """The line with what `--in` and `--job` say as its first arguments."""
        rest = list(args)
        named: list[str | None] = []
        for flag in ("--in", "--job")[: len(self._places())]:
            value = _taken(rest, flag)
            named.append(value)
            if value is not None and value.rstrip("/") in (plain := [a.rstrip("/") for a in rest]):
                del rest[plain.index(value.rstrip("/"))]
        folder, *job = named or [None]
        if job and job[0] is not None:
            first = [folder or (rest.pop(0) if rest and not rest[0].startswith("-") else ".")]
            return [*first, job[0], *rest]
        return rest if folder is None else [folder, *rest]


def _taken(args: list[str], flag: str) -> str | None:
    """Take an option and its value out of a line; None where it is not there, or has no value."""
    for place, arg in enumerate(args):
        if arg == "--":
            return None
        if arg.startswith(f"{flag}="):
            del args[place]
            return arg.partition("=")[2]
        if arg == flag and place + 1 < len(args):
            value = args[place + 1]
            del args[place : place + 2]
            return value
    return None


def _joined(args: list[str]) -> list[str]:
    """The line with three lengths that follow `--by` and the like as one word.

    Examples
    --------
    >>> _joined(["car", "tank", "--by", "0", "-40", "0", "--every"])
    ['car', 'tank', '--by', '0 -40 0', '--every']
    """
    found: list[str] = []
    left = list(args)
    while left:
        found.append(left.pop(0))
        three = left[:_AXES]
        if found[-1] in _THREE and len(three) == _AXES and all(_LENGTH.fullmatch(w) for w in three):
            found.append(" ".join(three))
            del left[:_AXES]
    return found


def _before(args: list[str], word: str) -> str:
    """The word that stands before another in a line."""
    place = args.index(word) if word in args else 0
    return args[place - 1] if place else "..."
