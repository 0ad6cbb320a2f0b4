"""Which kind of the catalog a part or link is: by plain words, told back, and what to take where there is none."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import Question, Talk, WrongAnswerError, settled

if TYPE_CHECKING:
    from planner.shelf.kind_words import Grouped

Any_Kind = TypeVar("Any_Kind", bound="Grouped")
Finder = Callable[[str, "Mapping[str, Grouped]"], tuple[str, ...]]
"""Ids of the kinds that some words mean."""
UNDO = "undo"
THAT_IS_ALL = "that is all"


@dataclass(frozen=True, slots=True, kw_only=True)
class KindAsked:
    """How a kind is asked for.

    ``lacked`` is what to take for a thing the catalog lacks, ``elsewhere`` what to say of words that mean something
    that is not described here, as its finder finds it (nothing: they do not).
    """

    words: str
    default: str
    help: str
    lacked: str
    elsewhere: Callable[[str, Finder], str] = lambda _, __: ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """Kinds that an answer may mean: ``surely`` when one of them is called so. ``word``: no kind is meant at all."""

    text: str
    kinds: tuple[str, ...] = ()
    surely: bool = True
    word: str | None = None


def ask_kind(
    talk: Talk,
    kinds: Mapping[str, Any_Kind],
    asked: KindAsked,
    given: str | None,
    note: Callable[[Any_Kind], str] = lambda _: "",
) -> str:
    """A kind by plain words; where several fit, a second question tells which.

    Parameters
    ----------
    talk : Talk
    kinds : mapping of id to kind
    asked : KindAsked
    given : str, optional
        What the command line says.
    note : callable
        What is told of a kind that is taken; empty: it is only told where it is called otherwise than was typed.

    Returns
    -------
    str
        Its id; with `that is all` as the default of the question nothing when no more is wanted, or `undo`.
    """
    while True:
        mark = len(talk.given)
        found = settled(talk, _question(kinds, asked), given, "--kind")
        if found.word is not None:
            return found.word
        if given is not None and (len(found.kinds) > 1 or not found.surely):
            raise _doubtful(found)
        kind = _which_of(talk, kinds, found)
        if kind:
            _tell(talk, kinds[kind], found.text, "" if given is not None else note(kinds[kind]))
            return kind
        talk.say(f"  {asked.lacked}")
        talk.take_back(mark, offer=False)


def _question(kinds: Mapping[str, Any_Kind], asked: KindAsked) -> Question[_Found]:
    from planner.shelf.kind_words import kinds_listed

    more = asked.default == THAT_IS_ALL

    def read(answer: str) -> _Found:
        if more and answer == THAT_IS_ALL:
            return _Found(text=answer, word="")
        if more and answer.lower() == UNDO:
            return _Found(text=answer, word=UNDO)
        return _found(answer, kinds, asked)

    return Question(
        words=asked.words,
        read=read,
        default=asked.default,
        help=asked.help + ("; `undo` drops the last one" if more else ""),
        listing=lambda word: kinds_listed(kinds, word),
        decides=True,
    )


def _found(text: str, kinds: Mapping[str, Any_Kind], asked: KindAsked) -> _Found:
    """Kinds of that name, else those to take for it, else those that share a word with it.

    Raises
    ------
    WrongAnswerError
        There is none.
    """
    from planner.finding.words import quoted
    from planner.shelf.kind_words import kinds_by_any_word, kinds_by_words, kinds_with_words, stand_ins

    found = kinds_with_words(text, kinds)
    # What is only spelt near a kind comes after what is called so elsewhere: no brake hose is a brake shoe.
    if not found and not asked.elsewhere(text, kinds_with_words) and not stand_ins(text, kinds):
        found = kinds_by_words(text, kinds)
    if found:
        return _Found(text=text, kinds=found)
    elsewhere = asked.elsewhere(text, kinds_by_words)
    near = () if elsewhere else stand_ins(text, kinds) or kinds_by_any_word(text, kinds)
    if near:
        return _Found(text=text, kinds=near, surely=False)
    hint = elsewhere or f"`?` lists all, `? word` some; {asked.lacked}"
    raise WrongAnswerError(f"no kind is called {quoted(text)}", hint)


def _doubtful(found: _Found) -> Stop:
    from planner.finding.words import listed, quoted

    if found.surely:
        return Stop(
            Exit.USAGE, f"--kind: {quoted(found.text)} may be several kinds", f"name one: {listed(found.kinds)}"
        )
    return Stop(Exit.USAGE, f"--kind: no kind is called {quoted(found.text)}", f"nearest: {listed(found.kinds)}")


def _which_of(talk: Talk, kinds: Mapping[str, Any_Kind], found: _Found) -> str:
    """The kind that is meant; empty for none of them."""
    from planner.finding.words import quoted

    if len(found.kinds) == 1 and found.surely:
        return found.kinds[0]
    if not found.surely:
        talk.say(f"  no kind is called {quoted(found.text)}; nearest:")
    for number, kind in enumerate(found.kinds, start=1):
        talk.say(f"    {number}  {kinds[kind].name}")
    talk.say(f"    {len(found.kinds) + 1}  none of these")
    return talk.ask(_which({k: kinds[k] for k in found.kinds}, kinds))


def _which(found: Mapping[str, Any_Kind], kinds: Mapping[str, Any_Kind]) -> Question[str]:
    """By its number in the list, or by words of its name; empty for none of them."""
    from planner.finding.words import quoted
    from planner.shelf.kind_words import kinds_with_words

    count = len(found) + 1

    def read(answer: str) -> str:
        if re.fullmatch(r"[0-9]{1,3}", answer) and 1 <= int(answer) <= count:
            return (*found, "")[int(answer) - 1]
        if answer.lower() in {"none", "none of these"}:
            return ""
        named = kinds_with_words(answer, found) or kinds_with_words(answer, kinds)
        if len(named) == 1:
            return named[0]
        hint = "type a number of the list, or a name of it; the last one asks again in other words"
        raise WrongAnswerError(f"{quoted(answer)} is not one of 1 to {count}", hint)

    return Question(
        words="which", read=read, default="1", help="the number of the one that is meant, or its name", decides=True
    )


def _tell(talk: Talk, kind: Grouped, text: str, note: str) -> None:
    """As what it is taken."""
    if note or " ".join(text.lower().split()) not in {kind.id, kind.name}:
        talk.say(f"  taken as: {kind.name}" + (f"; {note}" if note else ""))
