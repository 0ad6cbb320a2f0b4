"""The first Ctrl-C asks the search for its best, the second ends it."""

import signal
import threading
import time
from collections.abc import Iterator

import pytest

from planner.cli.stopping import until_stopped
from planner.order.halt import Halt


@pytest.fixture(autouse=True)
def _key_is_heard() -> Iterator[None]:
    """A test run begun in the background has the key switched off."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def press_after(seconds: float) -> None:
    threading.Timer(seconds, lambda: signal.raise_signal(signal.SIGINT)).start()


def test_an_answer_passes_through() -> None:
    assert until_stopped(lambda halt: 7 if not halt.asked else 0) == 7


def test_the_first_press_asks_and_the_best_is_given(capsys: pytest.CaptureFixture[str]) -> None:
    def search(halt: Halt) -> str:
        for _ in range(400):
            if halt.asked:
                return "the best so far"
            time.sleep(0.02)
        return "never asked"

    press_after(0.3)
    assert until_stopped(search) == "the best so far"
    assert "best plan found so far" in capsys.readouterr().err


def test_the_second_press_ends_it() -> None:
    press_after(0.3)
    press_after(0.9)
    with pytest.raises(KeyboardInterrupt):
        until_stopped(lambda _: time.sleep(30))


def test_a_fault_of_the_search_comes_out_as_it_is() -> None:
    def search(_: Halt) -> None:
        raise ValueError("a ring of demands")

    with pytest.raises(ValueError, match="a ring of demands"):
        until_stopped(search)
