"""Telling what only comes off and goes back, and for whose sake."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from planner.knockon.access import access_for, carriers_of, heat_of, in_cut_room, near_heat, on_host_near, riders_of
from planner.knockon.graph import ASKED_TEXT, EffectBook
from planner.knockon.outcome import Outcome, disturbed_effect
from planner.knockon.scene import Item
from planner.knockon.strip_choice import cheapest_off
from planner.knockon.watched import is_watched
from planner.knockon.way_words import going_in, going_out, listed
from planner.knockon.ways_out import tick_mm
from planner.model.effects import Access, Cause, CauseKind, EffectKind, Way
from planner.model.job import Cut, OwnTask
from planner.space import gap


@dataclass(frozen=True, slots=True, kw_only=True)
class Stripping:
    """What the cuts, the hot work and the ways out ask to come off."""

    items: dict[str, Item]
    cut_rooms: dict[str, frozenset[str]]
    hot_near: dict[str, frozenset[str]]
    bare: dict[str, frozenset[str]]
    access: dict[str, Access]
    off: frozenset[str]
    ways: dict[str, Way]


def stripping_for(out: Outcome, items: dict[str, Item], led: Mapping[str, Item]) -> Stripping:
    """Work out what has to come off once, at the least hand-minutes.

    ``led``: links made anew that give way, by the runs they get; they block nothing, but mind heat as the others do.
    """
    cuts = out.asked.cuts
    there = {**items, **led}
    holes = {c.id: out.rules.hole(c) for c in cuts}
    cut_rooms = {c.id: in_cut_room(c, holes[c.id], items, out.catalog) for c in cuts}
    hot_near = {c.id: near_heat(holes[c.id], there, out.catalog) if c.welded else frozenset[str]() for c in cuts}
    hot_near |= {task.id: _near_mending(out, task, items, there) for task in out.job.tasks if task.burns}
    for task in (t for t in out.job.tasks if is_watched(t, out.catalog)):
        hot_near[task.id] = _near_watched(out, task, items, there, frozenset().union(*hot_near.values()))
    bare = {c.id: on_host_near(c, holes[c.id], items, out.catalog) for c in cuts}
    wanted = {i for i, item in items.items() if not (item.present and item.final)}
    wanted |= {i for group in (cut_rooms, hot_near, bare) for ids in group.values() for i in ids if i in items}
    wanted |= {i for i in out.asked.taken_off if i in items}
    wanted |= {i for task in out.job.tasks for i in task.off if i in items}
    wanted = {i for i in wanted if not items[i].stays}
    access = access_for(items, wanted, tick_mm=tick_mm(out.vehicle))
    off, ways = cheapest_off(wanted, access, items, out.job.leave_in)
    return Stripping(items=items, cut_rooms=cut_rooms, hot_near=hot_near, bare=bare, access=access, off=off, ways=ways)


def _near_mending(out: Outcome, task: OwnTask, items: dict[str, Item], there: dict[str, Item]) -> frozenset[str]:
    """What minds the heat or the sparks of a mending, but for the part that is mended and what it rides on."""
    parts = out.vehicle.components
    mended = frozenset[str]() if task.mending is None else carriers_of(task.mending.on, parts)
    found = (near_heat(body, there, out.catalog) for body in heat_of(task, items, parts))
    return frozenset(i for near in found for i in near if there[i].subject not in mended)


def _near_watched(
    out: Outcome, task: OwnTask, items: dict[str, Item], there: dict[str, Item], heated: frozenset[str]
) -> frozenset[str]:
    """What minds the heat of an own task and is new, moved or off for other heat anyway: it goes back after this."""
    parts = out.vehicle.components
    own = frozenset().union(*(carriers_of(p, parts) for p in task.fitted))
    near = {i for body in heat_of(task, items, parts) for i in near_heat(body, there, out.catalog)}
    off = {i for i in near if i in heated or not (there[i].present and there[i].final)}
    return frozenset(i for i in off if there[i].subject not in own)


def tell_strip(out: Outcome, strip: Stripping, book: EffectBook) -> None:
    """Effects on parts and links that come off and go back where they were, each with every reason."""
    only_off = [i for i in sorted(strip.off) if strip.items[i].present and strip.items[i].final]
    reasons: dict[str, list[tuple[str, Cause]]] = defaultdict(list)
    for body, subject, cause in _reasons(out, strip):
        reasons[body].append((subject, cause))
    waiting = list(only_off)
    while waiting:
        ready = [i for i in waiting if any(not s or disturbed_effect(book, s) for s, _ in reasons[i])] or waiting
        for i in ready:
            text = f"{strip.items[i].part.name} comes off and goes back"
            book.add(EffectKind.OFF_AND_BACK, strip.items[i].subject, text, [])
            waiting.remove(i)
    for part in sorted(out.asked.taken_off - {strip.items[i].subject for i in only_off}):
        asked = Cause(kind=CauseKind.ASKED, source="", text=ASKED_TEXT)
        book.add(EffectKind.OFF_AND_BACK, part, f"{out.name(part)} comes off and goes back", [asked])
    for i in only_off:
        causes = [
            Cause(kind=c.kind, source=disturbed_effect(book, s) if s else "", text=c.text, mm=c.mm)
            for s, c in reasons[i]
        ]
        book.add(EffectKind.OFF_AND_BACK, strip.items[i].subject, "", causes)


def tell_shut_in(strip: Stripping, book: EffectBook) -> None:
    """Parts that have to pass but find no straight way: their owner has to know one."""
    for body, access in strip.access.items():
        item = strip.items[body]
        if access.ways or not (body in strip.off or not item.present):
            continue
        text = _shut_words(access, strip.items)
        cause = Cause(kind=CauseKind.DOUBT, source=disturbed_effect(book, item.subject), text=text)
        words = f"a way {'out' if item.present else 'in'} for {item.part.name} is to be found by hand"
        book.add(EffectKind.MEASURED, body, words, [cause])


def _shut_words(access: Access, items: dict[str, Item]) -> str:
    shut = "; ".join(
        f"{way.direction} by {listed(sorted(items[b].part.name for b in way.blockers))}" for way in access.shut
    )
    told = f" ({shut})" if shut else ""
    return (
        f"every way of one or two straight legs is shut by what never comes off{told}; "
        "say its `way_out` if you know one"
    )


def _reasons(out: Outcome, strip: Stripping) -> Iterator[tuple[str, str, Cause]]:
    """Every (body, subject it comes from or "" for the job, cause without source)."""
    for part in sorted(out.asked.taken_off):
        yield part, "", Cause(kind=CauseKind.ASKED, source="", text=ASKED_TEXT)
    for task in out.job.tasks:
        for part in task.off:
            yield part, "", Cause(kind=CauseKind.ASKED, source="", text=f"it is off for: {task.title}")
        yield from _mending_reasons(out, strip, task)
    for cut in out.asked.cuts:
        yield from _cut_reasons(out, strip, cut)
    for body in sorted(strip.access):
        if body in strip.off or not strip.items[body].present:
            yield from _passing_reasons(out, strip, body)


def _mending_reasons(out: Outcome, strip: Stripping, task: OwnTask) -> Iterator[tuple[str, str, Cause]]:
    hot = heat_of(task, strip.items, out.vehicle.components)
    for body in sorted(strip.hot_near.get(task.id, frozenset()) & strip.items.keys()):
        mm = max(0.0, min(gap(one, strip.items[body].body).mm for one in hot))
        text = f"it is {out.length(mm)} from heat or sparks: {task.title}"
        yield body, "", Cause(kind=CauseKind.HOT_WORK, source="", text=text, mm=mm)


def _cut_reasons(out: Outcome, strip: Stripping, cut: Cut) -> Iterator[tuple[str, str, Cause]]:
    def told(bodies: Iterable[str], kind: CauseKind, words: str) -> Iterator[tuple[str, str, Cause]]:
        for body in sorted(i for i in bodies if i in strip.items):
            mm = max(0.0, gap(out.rules.hole(cut), strip.items[body].body).mm)
            yield body, cut.id, Cause(kind=kind, source="", text=words.format(mm=out.length(mm)), mm=mm)

    reach = out.length(out.catalog.cut_reach_mm)
    host = out.name(cut.host)
    yield from told(
        strip.cut_rooms[cut.id],
        CauseKind.ROOM_LOST,
        f"it is {{mm}} from where {host} is cut ({cut.id}), {reach} is wanted to work",
    )
    yield from told(strip.hot_near[cut.id], CauseKind.HOT_WORK, f"it is {{mm}} from the welding on {host} ({cut.id})")
    yield from told(
        strip.bare[cut.id],
        CauseKind.HOST_CUT,
        f"{host}, which it is mounted on, is finished {{mm}} from it ({cut.id})",
    )


def _passing_reasons(out: Outcome, strip: Stripping, body: str) -> Iterator[tuple[str, str, Cause]]:
    item = strip.items[body]
    verb = "out" if item.present else "in"
    if body in strip.ways:
        way = strip.ways[body]
        moving = (going_out if item.present else going_in)(way, out.length)
        for other in sorted(way.blockers):
            text = f"it is in the way of getting {item.part.name} {verb}, {moving}"
            yield other, item.subject, Cause(kind=CauseKind.IN_THE_WAY, source="", text=text)
    if body in strip.access:
        for other in sorted(strip.access[body].rooms):
            rooms = f"it is in the working room for undoing {item.part.name}"
            yield other, item.subject, Cause(kind=CauseKind.ROOM_LOST, source="", text=rooms)
    if item.present:
        for other in riders_of(item, strip.items):
            text = f"it is mounted on {item.part.name}"
            yield other, item.subject, Cause(kind=CauseKind.MOUNTED_ON, source="", text=text)
