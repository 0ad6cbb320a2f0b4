"""What tests share is what they would have worked out by themselves, and no more than that."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from unittest.mock import Mock, patch

import pytest
from one_run import FOLDER, once_a_run
from worked_once import worked_once

from planner import knockon, order
from planner.order.halt import Halt


def counted() -> Mock:
    """Stands in for what takes long; each result is its own."""
    return Mock(side_effect=lambda *_, **__: object(), __name__="slow", __qualname__="slow")


def asked(slow: Mock, *ask: Callable[[], object]) -> list[object]:
    with patch.object(knockon, "find_knockons", slow), patch.object(order, "scheduled", slow), worked_once():
        return [a() for a in ask]


def test_the_same_is_worked_out_once_and_anything_else_for_itself() -> None:
    slow = counted()
    one, again, whole, named, outside = asked(
        slow,
        lambda: knockon.find_knockons("car", 1.0, limit_s=2),
        lambda: knockon.find_knockons("car", 1.0, limit_s=2),
        lambda: knockon.find_knockons("car", 1, limit_s=2),
        lambda: knockon.find_knockons("car", 1.0, others=2),
        lambda: order.scheduled("work", limit_s=2),
    )
    assert one is again
    assert len({id(r) for r in (one, whole, named, outside)}) == 4
    assert slow.call_count == 4


def test_what_was_stopped_is_not_kept() -> None:
    slow = counted()
    first, second, third = asked(
        slow,
        lambda: order.scheduled("stopped", halt=Halt(asked=True)),
        lambda: order.scheduled("stopped", halt=Halt()),
        lambda: order.scheduled("stopped", halt=Halt()),
    )
    assert first is not second
    assert second is third


def test_processes_of_a_run_hand_on_what_they_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(FOLDER, str(tmp_path))
    assert once_a_run("a car 1.0", lambda: {"found": (1, 2)}) == {"found": (1, 2)}
    assert once_a_run("a car 1.0", lambda: pytest.fail("it was there")) == {"found": (1, 2)}
    assert [p.name for p in tmp_path.iterdir()] == ["a car 1.0"]
    monkeypatch.delenv(FOLDER)
    assert once_a_run("a car 1.0", lambda: 3) == 3
