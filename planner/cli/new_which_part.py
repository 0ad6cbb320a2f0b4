"""Reading which part of the vehicle is meant: by its name, or by words for its kind where one part is of that kind."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from planner.cli.new_asking import WrongAnswerError
from planner.cli.new_choice import one_of

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet


def one_part(sheet: Sheet, none: str = "") -> Callable[[str], str]:
    """Read one part of the vehicle; the word ``none`` reads as nothing."""
    by_name = one_of(sheet.parts(), "part", none=none, printed=sheet.printed())

    def read(answer: str) -> str:
        try:
            return by_name(answer)
        except WrongAnswerError:
            found = _of_kind(sheet, answer)
            if len(found) == 1:
                return found[0]
            if found:
                raise _several(answer, found) from None
            raise

    return read


def _of_kind(sheet: Sheet, words: str) -> list[str]:
    """Parts of the kinds that some words mean, or of one that serves as such."""
    from planner.shelf.kind_words import kinds_with_words

    kinds = sheet.catalog.kinds
    meant = set(kinds_with_words(words, kinds))
    meant |= {k.id for k in kinds.values() if meant & {*k.serves_as}}
    components = {} if sheet.vehicle is None else sheet.vehicle.components
    return [c.id for c in components.values() if c.kind in meant]


def _several(answer: str, found: list[str]) -> WrongAnswerError:
    from planner.finding.words import listed, quoted

    return WrongAnswerError(f"{quoted(answer)} may be several parts", f"name one: {listed(found, ' or ')}")
