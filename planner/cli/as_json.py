"""Answers as plain data for `--json`: stable keys, ids rather than names, numbers with their unit in the key."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.cli.show_others import held_json, others_json

if TYPE_CHECKING:
    from planner.model.effects import Cause, Effect, Knockons
    from planner.model.runs import Run

SCHEMA = 1


def knockons_json(knockons: Knockons, faults: int) -> dict[str, Any]:
    """Effects with every cause, new homes and the proof; ``faults`` the vehicle had before anything was done."""
    return {
        "schema": SCHEMA,
        "faults_at_start": faults,
        "proof": knockons.proof.value,
        "cost_hand_min": knockons.cost,
        "bound_hand_min": knockons.bound,
        "trouble": list(dict.fromkeys(knockons.trouble)),
        "homes": {i: {"at_mm": list(p.at_mm), "turn_deg": list(p.turn_deg)} for i, p in sorted(knockons.homes.items())},
        "held": held_json(knockons),
        "others": others_json(knockons),
        "homes_in_contact": knockons.in_contact,
        "effects": [_effect(e) for e in knockons.effects],
        "runs": {i: _run(r) for i, r in sorted(knockons.runs.items())},
    }


def _run(run: Run) -> dict[str, Any]:
    """A link's new run with everything on its cut list."""
    return {
        "made_as": run.sort.value,
        "laid": run.laid.value,
        "points_mm": [[round(v, 1) for v in p] for p in run.points_mm],
        "bend_radius_mm": run.bend_mm,
        "length_mm": round(run.length_mm, 1),
        "no_clear_run_below_mm": round(run.bound_mm, 1),
        "cut_mm": round(run.cut_mm, 1),
        "bends": [
            {
                "begins_mm": round(b.at_mm, 1),
                "angle_deg": round(b.angle_deg, 1),
                "roll_deg": round(b.roll_deg, 1),
                "towards": b.towards,
            }
            for b in run.bends
        ],
        "clips_mm": [round(at) for at in run.clips_mm],
        "nothing_firm_at_mm": [round(at) for at in run.loose_mm],
        "clear_mm": None if run.clear_mm is None else round(run.clear_mm, 1),
        "clear_of": run.clear_of or None,
        "cut_list": list(run.lines),
    }


def _effect(effect: Effect) -> dict[str, Any]:
    return {
        "id": effect.id,
        "kind": effect.kind.value,
        "subject": effect.subject,
        "text": effect.text,
        "causes": [_cause(c) for c in effect.causes],
    }


def _cause(cause: Cause) -> dict[str, Any]:
    return {
        "kind": cause.kind.value,
        "source": cause.source or None,
        "text": cause.text,
        "mm": None if cause.mm is None else round(cause.mm, 2),
        "at_mm": None if cause.at_mm is None else [round(v, 1) for v in cause.at_mm],
    }
