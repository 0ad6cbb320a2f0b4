"""A plan as JSON: stable keys, ids rather than names, numbers with their unit in the key."""

from __future__ import annotations

import json
from typing import Any

from planner.export.plan_words import checks_of, clean, late_days, ordering_step, piece_of, slot_minutes, trouble_of
from planner.model.answer import Answer
from planner.model.plan import Chain, Odds
from planner.model.work import Task, WorkList

SCHEMA = 1


def write(answer: Answer) -> str:
    """The whole plan as a JSON text."""
    return json.dumps(plan_json(answer), indent=1, ensure_ascii=False) + "\n"


def plan_json(answer: Answer) -> dict[str, Any]:
    """Sessions with their steps, checkpoints, buying list and what the independent checker says, as plain data."""
    job, work, plan = answer.job, answer.work, answer.plan
    data = {
        "schema": SCHEMA,
        "option": job.option,
        "faults_at_start": answer.faults,
        "proof": plan.strip.proof.value,
        "strip_hand_min": plan.strip.cost,
        "strip_bound_hand_min": plan.strip.bound,
        "strip_dislike_hand_min": plan.strip.dislike,
        "work_hand_min": plan.work_min,
        "finish": plan.finish.isoformat() if plan.finish is not None else None,
        "finish_proof": plan.proof.value,
        "earliest": plan.earliest.isoformat() if plan.earliest is not None else None,
        "late_days": late_days(job, plan),
        "trouble": list(trouble_of(plan)),
        "notes": list(plan.notes),
        "checker": list(answer.violations),
        "frontier": [
            {
                "strip_hand_min": p.cost,
                "finish": p.finish.isoformat(),
                "sessions": p.sessions,
                "proved": p.proved,
            }
            for p in plan.frontier
        ],
        "sessions": _sessions(answer),
        "checkpoints": _checkpoints(work),
        "buy": _buys(answer),
        "chain": None if answer.chain is None else _chain(answer, answer.chain),
        "odds": None if answer.odds is None else _odds(answer.odds),
        "wishes": [
            {
                "feature": w.feature,
                "on": w.on,
                "price_hand_min": w.dislike_min,
                "times": w.times,
                "costs_hand_min": w.cost,
                "more_work_hand_min": w.more_min,
                "proved": w.proved,
            }
            for w in answer.wishes
        ],
    }
    cleaned: dict[str, Any] = _cleaned(data)
    return cleaned


def _cleaned(value: Any) -> Any:  # noqa: ANN401  # any plain data
    """Plain data without control characters in its texts."""
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, dict):
        return {clean(key): _cleaned(each) for key, each in value.items()}
    return [_cleaned(each) for each in value] if isinstance(value, list) else value


def _sessions(answer: Answer) -> list[dict[str, Any]]:
    plan = answer.plan
    return [
        {
            "day": session.day.isoformat(),
            "start": session.start.isoformat("minutes"),
            "end": session.end.isoformat("minutes"),
            "hands": session.hands,
            "steps": [_slot(answer, n) for n, slot in enumerate(plan.slots) if slot.session == index],
        }
        for index, session in enumerate(plan.sessions)
    ]


def _slot(answer: Answer, number: int) -> dict[str, Any]:
    slot = answer.plan.slots[number]
    step, item = slot.step, piece_of(answer.work, slot.step)
    return {
        "number": answer.number(number),
        "ref": step.ref,
        "does": "task" if step.on is None else ("on" if step.on else "off"),
        "title": item.title,
        "part": slot.part,
        "parts": slot.parts,
        "start": slot.start.isoformat(),
        "end": slot.end.isoformat(),
        "minutes": slot_minutes(slot),
        "hands": item.hands,
        "float_min": None if answer.chain is None else answer.chain.float_min[number],
        "tools": list(item.tools),
        "cautions": list(item.cautions),
        "why": answer.plan.why[number],
        "notes": list(item.notes) if isinstance(item, Task) else [],
        "steps": [] if isinstance(item, Task) else list(item.steps),
        "checkpoints": list(checks_of(item)),
    }


def _checkpoints(work: WorkList) -> dict[str, Any]:
    return {
        i: {
            "title": c.title,
            "measure": c.measure,
            "limit": c.limit,
            "blocks": list(c.blocks),
            "because_of": c.subject,
            "caution": c.caution,
            "source": c.source,
        }
        for i, c in sorted(work.checkpoints.items())
    }


def _buys(answer: Answer) -> list[dict[str, Any]]:
    work, plan = answer.work, answer.plan
    return [
        {
            "id": b.id,
            "what": b.what,
            "price": b.price,
            "lead_days": b.lead_days,
            "lead_told": b.lead_told,
            "used_up": b.used_up,
            "order_by": plan.order_by[b.id].isoformat() if b.id in plan.order_by else None,
            "order_with_step": ordering_step(answer, b),
            "arrives": plan.arrives[b.id].isoformat() if b.id in plan.arrives else None,
        }
        for b in work.bought
    ]


def _chain(answer: Answer, chain: Chain) -> list[dict[str, Any]]:
    """Steps by the numbers they have in the sessions."""
    return [
        {
            "step": answer.number(tie.slot),
            "held_by": tie.sort,
            "text": tie.text,
            "after_step": None if tie.after is None else answer.number(tie.after),
        }
        for tie in chain.ties
    ]


def _odds(odds: Odds) -> dict[str, Any]:
    return {
        "runs": odds.runs,
        "done_by": [{"day": day.isoformat(), "share": share} for day, share in odds.days],
        "out_of_sessions": odds.late,
        "p50": None if odds.p50 is None else odds.p50.isoformat(),
        "p80": None if odds.p80 is None else odds.p80.isoformat(),
        "p95": None if odds.p95 is None else odds.p95.isoformat(),
        "by_day_to_meet": odds.by,
        "doubt_costs": [{"ref": ref, "days": days} for ref, days in odds.costs],
        "on_binding_chain": [{"ref": ref, "share": share} for ref, share in odds.critical],
        "notes": list(odds.notes),
    }
