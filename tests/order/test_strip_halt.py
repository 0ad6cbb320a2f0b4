"""A search that is told to end keeps its best plan and what is proved by then."""

from __future__ import annotations

import threading

import pytest
from brute_force import faults
from test_least_strip import doors, pairs, tank_job

from planner.model.effects import Proof
from planner.order import least_strip
from planner.order.halt import Halt, Stoppable


class AtSolve(Halt):
    """Asks for an end when the ``last``-th solve begins."""

    def __init__(self, last: int) -> None:
        super().__init__()
        self.left = last

    def watch(self, solver: Stoppable | None) -> None:
        self.left -= solver is not None
        if self.left <= 0:
            self.asked = True
        super().watch(solver)


@pytest.mark.parametrize("solves", [1, 2, 3])
def test_stopped_in_the_middle(solves: int) -> None:
    work = doors(8)
    halt = AtSolve(solves)
    strip = least_strip(work, limit_s=2.0, halt=halt)
    assert halt.asked
    assert halt.left >= -1
    assert strip.proof is Proof.FOUND
    assert faults(work, pairs(strip)) == []
    # The cover makes a trip for each door, each door one of its own: 8 x 2 + 8 x 4.
    assert strip.bound <= 48 <= strip.cost


def test_asked_before_it_begins_there_is_a_walked_plan() -> None:
    strip = least_strip(tank_job(), halt=Halt(asked=True))
    assert faults(tank_job(), pairs(strip)) == []
    # The forced trips alone are the least here, so even the walk can be proved.
    assert (strip.cost, strip.bound, strip.proof) == (120, 120, Proof.PROVED)


def test_asked_from_another_thread() -> None:
    work = doors(24)
    halt = Halt()
    timer = threading.Timer(0.3, halt.ask)
    timer.start()
    strip = least_strip(work, limit_s=120.0, halt=halt)
    timer.join()
    assert halt.asked
    assert strip.proof is Proof.FOUND
    assert faults(work, pairs(strip)) == []


def test_no_halt_is_the_same_as_one_never_asked() -> None:
    assert least_strip(doors(4), halt=Halt()) == least_strip(doors(4))
