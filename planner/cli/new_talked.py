"""A talk from its first question to its end: however it ends, the answers are handed back."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeVar

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.new_asking import BackError

if TYPE_CHECKING:
    from planner.cli.new_asking import Talk

T = TypeVar("T")
HEAD = "# answers so far: keep these lines in a file, `--from FILE` goes on after the last of them"
KEPT = "answers-so-far"
MOST_KEPT = 99


def talked(talk: Talk, questions: Callable[[Talk], T]) -> T:
    """Put the questions; however that ends, the answers are not lost.

    Parameters
    ----------
    talk : Talk
    questions : callable
        Asks all of it from the beginning; called again whenever an answer is taken back.

    Raises
    ------
    Stop
        The person broke off, or an answer could not be taken: nothing is written.
    """
    with _handed_back_on_hanging_up(talk):
        while True:
            try:
                answer = questions(talk)
                talk.see_end()
            except BackError as back:
                talk.rewind(back)
            except (EOFError, KeyboardInterrupt) as error:
                _hand_back(["", *_to_go_on_from(talk)])
                code = Exit.STOPPED if isinstance(error, KeyboardInterrupt) else Exit.FAULTS
                raise Stop(code, "stopped: nothing is written") from None
            except Exception as error:
                if not (isinstance(error, Stop) and error.code is Exit.STOPPED):
                    _hand_back(_to_go_on_from(talk))
                raise
            else:
                return answer


def _to_go_on_from(talk: Talk) -> list[str]:
    lines = talk.so_far()
    return [HEAD, *lines] if lines else []


def _hand_back(lines: Sequence[str]) -> None:
    """Print lines; where nobody is left to read them they go into a file."""
    try:
        for line in lines:
            typer.echo(line)
    except OSError:
        _keep([line for line in lines if line])


def _keep(lines: Sequence[str]) -> None:
    """Write lines to a file of this folder that is not there yet."""
    for number in range(1, MOST_KEPT + 1):
        path = Path(f"{KEPT}-{number}.txt")
        try:
            with path.open("x", encoding="utf-8") as stream:
                stream.write("\n".join([*lines, ""]))
        except FileExistsError:
            continue
        except OSError:
            return
        return


@contextmanager
def _handed_back_on_hanging_up(talk: Talk) -> Iterator[None]:
    """A terminal that is closed, or a command that is ended from outside, loses no answer either."""

    def hung_up(*_: object) -> NoReturn:
        # Here and not where the interrupt is caught: the end of input that comes with it may be on its way there.
        _hand_back(["", *_to_go_on_from(talk)])
        raise Stop(Exit.STOPPED, "stopped: nothing is written")

    asked = [getattr(signal, name) for name in ("SIGHUP", "SIGTERM") if hasattr(signal, name)]
    try:
        before = {each: signal.signal(each, hung_up) for each in asked}
    except ValueError:
        # Only the main thread may say what a signal does.
        before = {}
    try:
        yield
    finally:
        for each, handler in before.items():
            signal.signal(each, signal.SIG_DFL if handler is None else handler)
