"""Orders of the ballpoint pen of D. G. Ullman, The Mechanical Design Process (figure on p. 341).

Six parts, five connections; connection 3 comes before 4, and 1 before 5; one valid order is 2, 3, 4, 1, 5: button,
body, head with tube and ink, cap (from the source). That just these two rules leave 30 = 5!/4 orders was worked out
apart; the source does not print it.
"""

from __future__ import annotations

from itertools import permutations

from all_orders import all_orders, orders_left_free
from worklists import task, work_list

from planner.order import least_strip
from planner.order.thread import thread_of

PEN = work_list([], [task("1"), task("2"), task("3"), task("4", after=["3"]), task("5", after=["1"])])


def test_all_thirty_orders_are_allowed_and_no_other() -> None:
    found = {"".join(s.ref for s in steps) for steps in all_orders(PEN)}
    asked = {"".join(row) for row in permutations("12345")}
    assert found == {row for row in asked if row.index("3") < row.index("4") and row.index("1") < row.index("5")}
    assert len(found) == 30
    assert "23415" in found


def test_the_thread_of_any_order_leaves_all_thirty_free() -> None:
    for steps in all_orders(PEN):
        assert orders_left_free(thread_of(PEN, steps)) == 30
    assert orders_left_free(thread_of(PEN, least_strip(PEN).steps)) == 30
