"""Telling what is new, what goes, what moves and what becomes of the links, each with all its causes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.knockon.conflicts import Conflict, run_of
from planner.knockon.graph import ASKED_TEXT, EffectBook, effect_id
from planner.knockon.link_change import STILL_MM, Fate
from planner.knockon.options import Sort, shift_between
from planner.knockon.outcome import Outcome, disturbed_effect, is_carried, links_at
from planner.knockon.placed import moved_from, settled
from planner.knockon.remakes import MM3_A_LITRE, volume_mm3
from planner.knockon.runs import NO_RUNS, RunBook
from planner.knockon.tell_relations import relation_pushers
from planner.knockon.tell_runs import run_words, unclear_words
from planner.model.effects import Cause, CauseKind, EffectKind
from planner.model.shapes import Pose
from planner.model.vehicle import Link
from planner.space import Body, extent_mm

_ASKED = Cause(kind=CauseKind.ASKED, source="", text=ASKED_TEXT)


def tell_asked(out: Outcome, book: EffectBook) -> None:
    """Effects the job asks for in so many words."""
    asked = out.asked
    for part in sorted(asked.new):
        host = asked.base[part].mounted_on
        where = f" on {out.name(host)}" if host is not None else ""
        book.add(EffectKind.NEW, part, f"{out.name(part)} is added{where}", [_ASKED])
    for part, heir in sorted(asked.gone.items()):
        instead = f", {out.name(heir)} takes over" if heir else ""
        book.add(EffectKind.GONE, part, f"{out.name(part)} goes{instead}", [_ASKED])
    for part in sorted(asked.moved):
        present = out.vehicle.components[part]
        words = out.shift_words(shift_between(present.pose, asked.base[part].pose))
        book.add(EffectKind.MOVES, part, f"{out.name(part)} moves {words}", [_ASKED])
    for part in sorted(asked.grown):
        book.add(EffectKind.GROWS, part, f"{out.name(part)} becomes larger", [_ASKED])
    for cut in asked.cuts:
        how = "cut and a doubler welded round it" if cut.welded else "cut"
        book.add(EffectKind.CUT, cut.id, f"{out.name(cut.host)} is {how} ({cut.id})", [_ASKED])
    for link in sorted(asked.links_new):
        book.add(EffectKind.NEW, link, f"{out.name(link)} is added", [_ASKED])


def tell_moves(out: Outcome, book: EffectBook) -> None:
    """Effects on parts that have to make room, breadth first so that each cause is told before its effect."""
    pushed = {part: list(_pushers(out, part)) for part in _movers(out)}
    while pushed:
        ready = [p for p, by in pushed.items() if any(disturbed_effect(book, other) for other, _ in by)]
        for part in ready or list(pushed)[:1]:
            _tell_move(out, book, part, pushed.pop(part))


def _movers(out: Outcome) -> list[str]:
    gone = [p for p, o in out.answer.chosen.items() if o.sort is Sort.GO]
    moved = [
        i
        for i, p in out.answer.placed.items()
        if i in out.asked.carried or (i not in out.asked.fixed and moved_from(p.part, out.base[i].part))
    ]
    return sorted({*gone, *moved})


def _pushers(out: Outcome, part: str) -> Iterator[tuple[str, Cause]]:
    """Everything that forbids a part to be where it was, each as (subject it comes from, cause without source)."""
    placed = out.base[part]
    for i, other in settled(out.answer.placed, out.base, out.asked.fixed).items():
        if i != part:
            for conflict in out.rules.between(placed, other):
                yield i, _cause(conflict)
    for conflict in out.rules.cut_away(placed):
        yield conflict.other, _cause(conflict)
    yield from relation_pushers(out, part)
    host = placed.part.mounted_on
    if part in out.asked.homeless and host is not None:
        text = f"{out.name(host)} goes, which it is mounted on"
        yield host, Cause(kind=CauseKind.MOUNTED_ON, source="", text=text)
    if host is not None and (part in out.asked.carried or is_carried(placed.part, out.answer.placed, out.base)):
        text = f"it is mounted on {out.name(host)}, which moves"
        yield host, Cause(kind=CauseKind.MOUNTED_ON, source="", text=text)


def _cause(conflict: Conflict) -> Cause:
    return Cause(kind=conflict.kind, source="", text=conflict.text, mm=conflict.mm, at_mm=conflict.at_mm)


def _tell_move(out: Outcome, book: EffectBook, part: str, pushers: list[tuple[str, Cause]]) -> None:
    option = out.answer.chosen.get(part)
    causes = [replace(cause, source=disturbed_effect(book, other)) for other, cause in pushers]
    known = [c for c in causes if c.source]
    if not known:
        known = list(_spared_links(out, book, part))
    if option is not None and option.sort is Sort.GO:
        book.add(EffectKind.GONE, part, f"{out.name(part)} goes: there is no need of it", known or causes)
        return
    before = out.vehicle.components[part].pose
    after = out.answer.placed[part].part.pose
    words = out.shift_words(shift_between(before, after))
    turned = " and is turned" if before.turn_deg != after.turn_deg else ""
    into = f", into {out.asked.spaces[option.space].name}" if option is not None and option.space else ""
    if option is not None and option.sort is Sort.REMADE:
        anew = remade_words(out, part)
        book.add(EffectKind.REMADE, part, f"{out.name(part)} is {anew}, {words}{into}", known or causes)
        return
    book.add(EffectKind.MOVES, part, f"{out.name(part)} moves {words}{turned}{into}", known or causes)


def remade_words(out: Outcome, part: str) -> str:
    """The new shape of a part: "made anew as 210 mm x 95 mm x 160 mm (3.1 l)"."""
    made = out.answer.placed[part].part
    low, high = extent_mm(made.solids, Pose())
    size = [b - a for a, b in zip(low, high, strict=True)]
    thick = 0.0 if made.remake is None else made.remake.thick_mm
    litres = volume_mm3((size[0], size[1], size[2]), thick) / MM3_A_LITRE
    return f"made anew as {' x '.join(out.length(s) for s in size)} ({litres:.1f} l)"


def _spared_links(out: Outcome, book: EffectBook, part: str) -> Iterator[Cause]:
    """Links to moved parts that a voluntary move keeps from being made anew."""
    for link in links_at(out.asked.links, part):
        other = next(e.component for e in link.ends if e.component != part)
        source = disturbed_effect(book, other)
        if source:
            text = f"moving it as well spares {link.name} from being made anew"
            yield Cause(kind=CauseKind.LINKED_TO, source=source, text=text)


def tell_links(out: Outcome, book: EffectBook, runs: RunBook = NO_RUNS) -> None:
    """Effects on links: gone with an end, made anew (with the run found), adjusted."""
    for gone, end in sorted(out.asked.links_gone.items()):
        cause = _end_lost(out, book, end) if end else _ASKED
        book.add(EffectKind.GONE, gone, f"{out.name(gone)} goes", [cause])
    for link in out.asked.links.values():
        outcome = out.links.get(link.id)
        if outcome is None:
            _tell_endless(out, book, link)
        elif outcome.fate is not Fate.NOTHING:
            _tell_link(out, book, link, runs)


def _tell_endless(out: Outcome, book: EffectBook, link: Link) -> None:
    lost = next(e.component for e in link.ends if e.component not in out.answer.placed)
    book.add(EffectKind.GONE, link.id, f"{link.name} goes", [_end_lost(out, book, lost)])


def _end_lost(out: Outcome, book: EffectBook, end: str) -> Cause:
    text = f"{out.name(end)} goes, which it is joined to"
    return Cause(kind=CauseKind.LINKED_TO, source=disturbed_effect(book, end), text=text)


def _tell_link(out: Outcome, book: EffectBook, link: Link, runs: RunBook) -> None:
    outcome, run = out.links[link.id], run_words(out, runs, link.id)
    new = effect_id(EffectKind.NEW, link.id) in book.ids()
    # What the job lays anew is led to its moved ends as it is laid: as long as it reaches there is nothing to tell.
    reaches = outcome.change.fate in {Fate.NOTHING, Fate.ADJUST}
    causes = [] if new and reaches else list(_end_causes(out, book, link))
    for part in outcome.hit_by:
        text = out.rules.hit_words(link, _run(out, link), out.answer.placed[part])
        causes.append(Cause(kind=CauseKind.CLASH, source=disturbed_effect(book, part), text=text))
    if new and outcome.fate is Fate.ADJUST:
        return
    if new:
        words = f"the run of {link.name} is to be found anew on the vehicle"
        words = unclear_words(out, runs, link.id) if link.id in runs.unclear else words
        book.add(EffectKind.MEASURED, link.id, words, causes or list(_end_causes(out, book, link)))
    elif outcome.fate is Fate.REMAKE:
        book.add(EffectKind.REMADE, link.id, f"{link.name} is made anew{': ' if run else ''}{run}", causes)
    else:
        book.add(EffectKind.ADJUSTED, link.id, f"{link.name} is re-clipped and set", causes)


def _run(out: Outcome, link: Link) -> Body:
    """The run in which a link was hit: its present one, or the one the job gives it."""
    if link.id in out.vehicle.links:
        return out.rules.present_run(link.id)
    return run_of(link, {i: p.part for i, p in out.base.items()})


def _end_causes(out: Outcome, book: EffectBook, link: Link) -> Iterator[Cause]:
    change = out.links[link.id].change
    if change.fate is Fate.NOTHING:
        return
    longer = change.longer_mm
    spare = link.slack_mm + link.adjust_mm if not link.rigid else link.adjust_mm
    if abs(longer) <= STILL_MM:
        length = f"by {out.length(change.shift_mm)}, and it stays as long"
    else:
        length = _length_words(out, link, longer, spare)
    for end in link.ends:
        source = disturbed_effect(book, end.component)
        new_to_new = link.id in out.asked.links_new and source == effect_id(EffectKind.NEW, end.component)
        if source and not new_to_new:
            text = f"its end on {out.name(end.component)} moves{length if length[0] == ':' else ' ' + length}"
            yield Cause(kind=CauseKind.LINKED_TO, source=source, text=text, mm=longer)


def _length_words(out: Outcome, link: Link, longer_mm: float, spare_mm: float) -> str:
    """What the move of an end asks of a link's length; a limp one that has too much still reaches."""
    much = out.length(abs(longer_mm))
    if not link.rigid and longer_mm < 0.0:
        return f": its run gets {much} shorter, so it still reaches, and what is over is led in a wider bend"
    length = f": it would have to be {much} {'longer' if longer_mm > 0.0 else 'shorter'}"
    follows = f", where it can take {out.length(spare_mm)}"
    return length + (", and a bent, stiff run cannot follow" if link.rigid and link.via_mm else follows)
