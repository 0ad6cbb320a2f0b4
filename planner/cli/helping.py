"""Lists of verbs in help texts: under headings, and each with its whole sentence, however wide the terminal is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from typer.core import TyperGroup

if TYPE_CHECKING:
    from typer._click.core import Context
    from typer._click.formatting import HelpFormatter


class WholeSentences(TyperGroup):
    """A group of verbs whose list cuts no sentence short."""

    def headings(self, ctx: Context) -> Mapping[str, tuple[str, ...]]:
        """Headings in their order, each with its verbs."""
        return {"Commands": tuple(self.list_commands(ctx))}

    def format_commands(self, ctx: Any, formatter: HelpFormatter) -> None:  # noqa: ANN401  # differs between typers
        """Write the list."""
        told = {heading: self._rows(ctx, names) for heading, names in self.headings(ctx).items()}
        widest = max((len(name) for rows in told.values() for name, _ in rows), default=0)
        for heading, rows in told.items():
            with formatter.section(heading):
                # Padded by hand: each list would else get a column of its own.
                formatter.write_dl([(name.ljust(widest), text) for name, text in rows])

    def _rows(self, ctx: Context, names: tuple[str, ...]) -> list[tuple[str, str]]:
        found = ((name, self.get_command(ctx, name)) for name in names)
        return [(name, " ".join(_first(c.help or "").split())) for name, c in found if c is not None and not c.hidden]


def _first(text: str) -> str:
    return text.strip().split("\n\n", maxsplit=1)[0]
