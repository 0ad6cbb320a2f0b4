"""The fold of a log against a plain reading of the same lines, and the road gate on random logs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from random import Random

import pytest
from plain_reading import PlainReading
from random_logs import feature, random_log, random_work

from planner.log.bags import bag_of, bags_waiting
from planner.log.entries import entry_of, line_of
from planner.log.fold import fold
from planner.log.road import road_of
from planner.model.log import DoneLine, Entry, KeptLine, SignedLine, UndoLine, Verdict
from planner.model.plan import NOTHING_LEFT
from planner.model.standing import Agreed, Basis
from planner.model.words import Work
from planner.model.work import After, Demand, Task, WorkList


def agreed_of(work: WorkList) -> Agreed:
    """An agreed plan of every task, in no session."""
    return Agreed(
        made=date(2026, 5, 1),
        project="test",
        job="job",
        option=None,
        inputs={},
        pace={},
        homes={},
        work=work,
        plan=NOTHING_LEFT,
        keys=tuple(work.tasks),
        named={t: i for i, t in enumerate(work.tasks, start=1)},
    )


def compare(seed: int) -> bool:
    """Compare fold and plain reading of one random log; gives whether the road is free."""
    rng = Random(seed)
    work = random_work(rng)
    entries = random_log(rng, work, rng.randint(0, 6 * len(work.tasks)))
    standing = fold(entries, Basis(work=work, keys=tuple(work.tasks)))
    plain = PlainReading(entries, work)
    assert {t for t in work.tasks if plain.stands(t)} == standing.finished, seed
    for part in work.features.values():
        assert standing.states.get(part.id, part.start) is plain.state(part.id), seed
    road = road_of(agreed_of(work), standing)
    free = not road.road
    assert free is plain.road(), seed
    if free:
        assert not road.moving, seed
        assert not road.testing, seed
    return free


def test_any_log_folds_to_what_a_plain_reading_says() -> None:
    free = sum(compare(seed) for seed in range(600))
    # Neither answer may be so rare that the test says nothing about it.
    assert 30 < free < 570


@pytest.mark.slow
def test_the_road_gate_on_ten_thousand_random_logs() -> None:
    free = sum(compare(seed) for seed in range(1_000, 11_000))
    assert 500 < free < 9_500


def test_every_line_comes_back_from_plain_data() -> None:
    for seed in range(60):
        rng = Random(seed)
        for entry in random_log(rng, random_work(rng), 30):
            data = {"v": 1, "n": entry.n, "at": entry.at.isoformat(), **line_of(entry)}
            back: Entry = entry_of(data)
            assert back == entry


def test_a_bag_goes_with_the_part_from_its_old_home_to_its_new_one() -> None:
    work = random_work(Random(3))
    old, new = (replace(feature(i), subject="battery") for i in ("battery", "battery@new"))
    work = replace(work, features={**work.features, "battery": old, "battery@new": replace(new, start=False)})
    agreed = replace(
        agreed_of(work), keys=("battery:off#1", "battery@new:on#1"), named={"battery:off#1": 7, "battery@new:on#1": 9}
    )
    empty = fold((), agreed.basis)
    assert bag_of(agreed, empty, "battery:off#1") == "bag and label: 7 battery"
    assert bag_of(agreed, empty, "battery@new:on#1") == ""
    lines = (
        DoneLine(n=1, key="battery:off#1", guess_min=10, work="planning"),
        KeptLine(n=2, of="battery", where="tin on the shelf"),
    )
    filled = fold(lines, agreed.basis)
    assert bag_of(agreed, filled, "battery@new:on#1") == "bolts: bag 7 battery, put away: tin on the shelf"
    assert bags_waiting(work.features, agreed.named, filled) == {"battery": 7}


def test_the_bag_is_that_of_the_last_time_off_even_where_that_step_has_the_lower_number() -> None:
    """Off (9), into the new home, off again by a step that was numbered 4: the bolts went into bag 4 last."""
    work = random_work(Random(3))
    old, new = (replace(feature(i), subject="battery") for i in ("battery", "battery@new"))
    work = replace(work, features={"battery": old, "battery@new": replace(new, start=False)})
    named = {"battery:off#1": 9, "battery@new:on#1": 11, "battery@new:off#1": 4, "battery@new:on#2": 5}
    agreed = replace(agreed_of(work), named=named)
    keys = ("battery:off#1", "battery@new:on#1", "battery@new:off#1")
    lines = [DoneLine(n=n, key=k, guess_min=10, work="planning") for n, k in enumerate(keys, start=1)]
    assert bags_waiting(work.features, named, fold(lines[:2], agreed.basis)) == {}
    off_again = fold(lines, agreed.basis)
    assert bags_waiting(work.features, named, off_again) == {"battery": 4}
    assert bag_of(agreed, off_again, "battery@new:on#2") == "bolts: bag 4 battery"


def test_a_pipe_fitted_while_its_circuit_is_told_to_be_closed_takes_back_what_was_proved_of_the_circuit() -> None:
    """Its fitting is undone in the log and written again: nobody can have fitted it without opening the circuit."""
    circuit, pipe = feature("circuit"), feature("pipe")
    opened = (Demand(feature="circuit", on=False),)
    on, off = (replace(t, demands=opened) for t in pipe.toggles)
    bled = Task(
        id="bled",
        title="Pedal firm",
        work=Work.TESTING,
        minutes=10,
        demands=(Demand(feature="circuit", on=True, last=True),),
    )
    dry = replace(bled, id="dry", demands=(Demand(feature="pipe", on=True, last=True),))
    work = WorkList(
        features={"circuit": circuit, "pipe": replace(pipe, start=False, turn_on=on, turn_off=off)},
        tasks={"bled": bled, "dry": dry},
        checkpoints={},
        buys={},
    )
    keys = ("circuit:off#1", "pipe:on#1", "circuit:on#1", "bled", "dry")
    lines = [DoneLine(n=n, key=k, guess_min=10, work="testing") for n, k in enumerate(keys, start=1)]
    basis = Basis(work=work, keys=keys)
    assert fold(lines, basis).finished == {"bled", "dry"}
    undone = fold([*lines, UndoLine(n=6, cancels=2), replace(lines[1], n=7)], basis)
    assert undone.finished == set()
    assert undone.reopened["bled"].why == "circuit fitted must have been changed after it"


def test_a_check_that_does_not_apply_stays_so_until_what_it_is_about_is_changed() -> None:
    """It hangs on its own part and its own work; what became of another test says nothing of either."""
    point = Task(id="a", title="a", work=Work.TESTING, minutes=5, checkpoint="a")
    about = replace(
        point, id="b", checkpoint="b", after=(After(task="a"), After(task="drilled")),
        demands=(Demand(feature="pipe", on=True, last=True),),
    )  # fmt: skip
    drilled = Task(id="drilled", title="drilled", work=Work.DRILLING, minutes=5)
    other = replace(drilled, id="other")
    work = WorkList(
        features={"pipe": feature("pipe")},
        tasks={t.id: t for t in (drilled, other, replace(point, after=(After(task="other"),)), about)},
        checkpoints={},
        buys={},
    )
    basis = Basis(work=work, keys=tuple(work.tasks))
    done = [DoneLine(n=n, key=k, guess_min=5, work="drilling") for n, k in enumerate(("drilled", "other"), start=1)]
    passed = SignedLine(n=3, checkpoint="a", key="a", verdict=Verdict.PASSED, limit="")
    waived = replace(passed, n=4, checkpoint="b", key="b", verdict=Verdict.NOT_APPLICABLE)
    lines: list[Entry] = [*done, passed, waived]

    def finished(*more: Entry) -> bool:
        return "b" in fold([*lines, *(replace(e, n=5 + i) for i, e in enumerate(more))], basis).finished

    failed = replace(passed, verdict=Verdict.FAILED)
    assert finished(failed)
    assert finished(replace(failed, redo=("other",)), replace(done[1]), passed)
    assert not finished(replace(failed, redo=("drilled",)))
    assert not finished(replace(failed, redo=("b",)))
    assert not finished(DoneLine(key="pipe:off#1", guess_min=5, work="planning"))
    lines[3] = replace(waived, verdict=Verdict.PASSED)
    assert not finished(failed)


def test_what_is_built_hangs_on_no_answer_on_paper() -> None:
    """By hand: an insurer's answer that comes late says nothing of how a wire is clipped, a check of a hole does."""
    ask = Task(id="ask", title="ask", work=Work.PLANNING, minutes=5)
    told = replace(ask, id="told", work=Work.TESTING, checkpoint="told", after=(After(task="ask"),))
    bored = replace(ask, id="bored", work=Work.DRILLING, after=(After(task="told"),))
    left_alone = (Demand(feature="wire", on=True, last=True),)
    clipped = replace(bored, id="clipped", after=(After(task="bored"),), demands=left_alone)

    def finished(asked: Task) -> frozenset[str]:
        work = WorkList(
            features={"wire": feature("wire")},
            tasks={t.id: t for t in (asked, told, bored, clipped)},
            checkpoints={},
            buys={},
        )
        done = [DoneLine(n=n, key=k, guess_min=5, work="") for n, k in enumerate(("ask", "bored", "clipped"), start=1)]
        late = SignedLine(n=4, checkpoint="told", key="told", verdict=Verdict.PASSED, limit="")
        return fold([*done, late], Basis(work=work, keys=tuple(work.tasks))).finished

    assert finished(ask) == {"ask", "told", "bored", "clipped"}
    assert finished(replace(ask, work=Work.DRILLING)) == {"ask", "told", "bored"}
