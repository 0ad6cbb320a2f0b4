"""An answer in which nothing makes room for anything: for tests that look at its effects or its parts alone."""

from __future__ import annotations

from collections.abc import Mapping

from planner.model.effects import Effect, Knockons, Proof
from planner.model.vehicle import Component, Link


def bare_answer(after: Mapping[str, Component], links_after: Mapping[str, Link], *effects: Effect) -> Knockons:
    """These parts and links where they are when the job is done, with these effects."""
    return Knockons(
        effects=effects,
        homes={},
        after=dict(after),
        links_after=dict(links_after),
        access={},
        cut_rooms={},
        hot_near={},
        bare={},
        limits={},
        proof=Proof.PROVED,
    )
