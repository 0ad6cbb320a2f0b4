"""Reading one name of several: a beginning or some words of it are as good, and what comes near is told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from planner.cli.new_asking import WrongAnswerError

MOST_TOLD = 12


def one_of(
    names: Iterable[str], what: str, *, none: str = "", printed: Mapping[str, str] | None = None
) -> Callable[[str], str]:
    """Read one of ``names``, or the beginning or some words of a single one; the word ``none`` reads as nothing.

    ``printed`` are the names that some of them go by elsewhere, which are as good.
    """
    known = tuple(names)

    def read(answer: str) -> str:
        from planner.cli.called import ids_called
        from planner.finding.words import quoted

        plain = "-".join(answer.lower().replace("'", "").split())
        if none and plain == none.replace(" ", "-"):
            return ""
        called = (plain,) if plain in known else ids_called(answer, printed or {})
        if len(called) == 1:
            return called[0]
        begin = [n for n in known if n.startswith(plain)]
        within = [n for n in known if set(plain.split("-")) <= set(n.split("-"))]
        if len(begin) == 1 or (len(within) == 1 and not begin):
            return (begin or within)[0]
        raise WrongAnswerError(f"there is no {what} {quoted(answer)}", _hint(plain, known, begin or within))

    return read


def _hint(plain: str, known: Sequence[str], several: Sequence[str]) -> str:
    """What may have been meant: all that it fits, else all that come near, else what there is."""
    from planner.finding.words import listed

    near = several or _near(plain, known)
    some = near or known
    more = f" and {len(some) - MOST_TOLD} more" if len(some) > MOST_TOLD else ""
    if near:
        return f"did you mean {listed(some[:MOST_TOLD], ', ' if more else ' or ')}{more}?"
    return f"known: {listed(some[:MOST_TOLD])}{more}"


def _near(plain: str, known: Sequence[str]) -> list[str]:
    """Names that are spelt much alike, and all that have a word of it: who says which side wrongly meant one of two."""
    from planner.finding.words import nearest

    words = {w for w in plain.split("-") if w}
    shared = [n for n in known if words & set(n.split("-"))]
    spelt = nearest(plain, known)
    return list(dict.fromkeys([*([spelt] if spelt else []), *shared]))
