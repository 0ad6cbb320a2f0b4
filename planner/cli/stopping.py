"""Ctrl-C during a search: the first keeps the best found so far, the second ends the command."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import TYPE_CHECKING, TypeVar

from planner.cli.terminal import say

if TYPE_CHECKING:
    from planner.order.halt import Halt

Found = TypeVar("Found")
_LOOK_S = 0.1


def until_stopped(search: Callable[[Halt], Found]) -> Found:
    """Run a search beside the terminal, so that a key pressed is heeded while a solver is at work.

    Parameters
    ----------
    search : callable of Halt to result
        Gives its best answer soon after the halt is asked.

    Raises
    ------
    KeyboardInterrupt
        Ctrl-C was pressed twice.
    """
    from planner.order.halt import Halt

    halt = Halt()
    answer: Future[Found] = Future()
    # A thread left behind at the second Ctrl-C must not keep the command alive.
    threading.Thread(target=_run, args=(answer, search, halt), daemon=True).start()
    while True:
        try:
            return answer.result(timeout=_LOOK_S)
        except TimeoutError:
            if answer.done():
                return answer.result()
        except KeyboardInterrupt:
            if halt.asked:
                raise
            say("stopping: the best plan found so far follows (Ctrl-C again ends at once)", err=True)
            halt.ask()


def _run(answer: Future[Found], search: Callable[[Halt], Found], halt: Halt) -> None:
    try:
        answer.set_result(search(halt))
    except BaseException as error:  # noqa: BLE001  # handed on to whoever waits for the answer
        answer.set_exception(error)
