"""An open circuit in `status`: whoever reads `no` must not think that fuel or fluid runs out."""

from __future__ import annotations

from planner.cli.show_status import state_words
from planner.model.words import Work
from planner.model.work import Feature, Toggle


def feature(name: str, minutes: int) -> Feature:
    toggle = Toggle(
        feature=name,
        on=False,
        title="fuel: undo the joint, cap both ends",
        work=Work.DRAINING,
        minutes=minutes,
        hands=1,
    )
    return Feature(id=name, name="fuel closed", subject="fuel", start=True, goal=True, turn_on=None, turn_off=toggle)


def test_an_open_circuit_says_how_its_ends_were_left() -> None:
    told = state_words(feature("circuit:fuel", 20), on=False)
    assert told == "fuel closed: no, opened for this job (`fuel: undo the joint, cap both ends`)"


def test_other_states_are_yes_or_no() -> None:
    assert state_words(feature("circuit:fuel", 20), on=True) == "fuel closed: yes"
    assert state_words(feature("circuit:fuel", 0), on=False) == "fuel closed: no"
    assert state_words(feature("state:fuel", 20), on=False) == "fuel closed: no"
