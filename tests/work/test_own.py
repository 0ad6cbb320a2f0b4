"""The owner's own tasks."""

from __future__ import annotations

from workshop import bracket, demands, first_of, hole, scuttle, worked

from planner.model.job import Add, OwnTask, Remove, TakeOff
from planner.model.work import After, Demand

MADE = Add(component=bracket())


def own(name: str, **more: object) -> OwnTask:
    return OwnTask(id=name, title=name, minutes=40, **more)  # type: ignore[arg-type]


def test_after_and_before_other_own_tasks_and_changes() -> None:
    work, _ = worked(
        scuttle(),
        MADE,
        hole((0, -800, 300)),
        tasks=(own("a", before=("bracket",)), own("b", after=("a", "slot")), own("c", after=("bracket",))),
    )
    of_bracket = {i for i in work.tasks if i.startswith("bracket.")}
    of_slot = {i for i in work.tasks if i.startswith("slot.")}
    assert of_bracket
    assert of_slot
    for i in of_bracket:
        assert "a" in first_of(work, i)
    assert {"a", *of_slot} <= first_of(work, "b")
    assert of_bracket <= first_of(work, "c")
    assert {"a", "b", "c"} <= first_of(work, "first-start")


def test_order_of_the_file_does_not_matter() -> None:
    work, _ = worked(scuttle(), tasks=(own("late", after=("early",)), own("early"), own("first", before=("early",))))
    assert first_of(work, "late") >= {"early", "first"}


def test_off_and_fitted() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"), tasks=(own("t", off=("tank",), fitted=("horn",)),))
    assert demands(work.tasks["t"], "tank") == Demand(feature="tank", on=False)
    assert demands(work.tasks["t"], "horn") == Demand(feature="horn", on=True)


def test_minutes_hands_and_tools_are_kept() -> None:
    work, _ = worked(scuttle(), tasks=(own("t", hands=2, tools=("brush",)),), pace={"planning": 3.0})
    task = work.tasks["t"]
    assert (task.minutes, task.hands, task.tools) == (40, 2, ("brush",))


def test_lag_of_an_own_task_holds_what_follows() -> None:
    """Paint needs its twelve hours before the next coat, and before the part that is said to come after."""
    paint = own("paint", lag_min=720, before=("bracket",))
    work, _ = worked(scuttle(), MADE, tasks=(paint, own("second-coat", after=("paint",))))
    assert work.tasks["paint"].keep_min == 720
    assert After(task="paint", lag_min=720) in work.tasks["second-coat"].after
    waits = [a for i, t in work.tasks.items() if i.startswith("bracket.") for a in t.after if a.task == "paint"]
    assert waits
    assert {a.lag_min for a in waits} == {720}


def test_taken_off_part_is_off_once() -> None:
    work, _ = worked(scuttle(), TakeOff(part="horn"))
    assert demands(work.tasks["horn.off"], "horn") == Demand(feature="horn", on=False)
    horn = work.features["horn"]
    assert (horn.start, horn.goal) == (True, True)


def test_after_a_part_that_goes_is_once_it_is_off() -> None:
    work, _ = worked(scuttle(), Remove(part="horn"), tasks=(own("bung", after=("horn",)),))
    assert demands(work.tasks["bung"], "horn") == Demand(feature="horn", on=False)


def test_after_a_gate() -> None:
    """A look after the first start comes before the road test; a drive, and what follows it, after."""
    work, _ = worked(
        scuttle(),
        MADE,
        tasks=(
            own("note", after=("hill",)),
            own("look", after=("first-start",)),
            own("hill", after=("road-test", "bracket"), fitted=("horn",)),
            own("load", before=("hill", "bracket")),
        ),
    )
    assert first_of(work, "note") >= {"hill", "load", "road-test", "look", "first-move", "first-start"}
    assert first_of(work, "look") >= {"first-start", "load"}
    assert not first_of(work, "look") & {"road-test", "hill", "note"}
    assert "look" in first_of(work, "road-test")
    assert not any("hill" in first_of(work, i) for i in work.tasks if i != "note")
