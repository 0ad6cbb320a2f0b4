"""Once-only tasks from the catalog's templates, in the trade's order, tied to the parts they are about."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from planner.knockon import Fact, bench_stay_min, template_for
from planner.model.catalog import Demanded, Template, TemplateStep, When, Work
from planner.model.effects import Effect, EffectKind
from planner.model.job import Cut
from planner.model.vehicle import Component, Link
from planner.model.words import DAY_MIN
from planner.model.work import After, Again, Demand, Task
from planner.work.bodies import Ground
from planner.work.circuits import members_after, state_id
from planner.work.pace import paced, shared_out
from planner.work.ports import old_at_its_ports
from planner.work.rod_ends import rod_ends
from planner.work.seats import carriers, covers_its_holes, holes_are_made, keeps_its_seat, leaves_holes, seated

_TEMPLATED = (
    When.MADE,
    When.BOUGHT,
    When.MOVED,
    When.CUT,
    When.WELDED,
    When.LINK_MADE,
    When.LINK_ADJUSTED,
    When.DISTURBED,
)


@dataclass(slots=True)
class TaskBook:
    """Tasks by id, with what ties them to the fitting of bodies."""

    tasks: dict[str, Task] = field(default_factory=dict)
    fit_after: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Body -> tasks to be done before it is first fitted."""
    off_after: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Body -> tasks to be done before it is first taken off."""
    of_subject: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    trial_fits: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    finishes: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Cut -> its finishing tasks, which wait for the trial fits of what goes there."""
    between: dict[str, str] = field(default_factory=dict)
    """Link -> the first of its tasks that is done between its fitted ends."""
    ordering: set[str] = field(default_factory=set)
    """Tasks up to the one by which a part is ordered, or handed over: they cannot wait for what they order."""
    hot: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Cut, or mending -> its steps with heat or sparks on the vehicle."""
    holing: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Cut, part, or "<link>.<host>" -> the steps that drill, cut or heat what holds it, or what it goes through."""
    labelled: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Part -> steps in which its wires are labelled."""
    altering: list[str] = field(default_factory=list)
    """Steps by which a part there is goes to somebody who alters it."""
    mended: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Part, link, circuit or check task -> mendings, and what is like them, that come before whatever looks at it."""
    looks: dict[tuple[str, str], str] = field(default_factory=dict)
    """Rule and thing -> the step by which that is looked at bare."""

    back: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Own task -> parts that must be here for it, and not fitted yet."""
    uses: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Task -> what it uses up."""

    def add(self, subject: str, task: Task) -> None:
        """Note a task about a part, link or cut."""
        self.tasks[task.id] = task
        self.of_subject[subject].append(task.id)

    def looks_at(self, subject: str) -> list[str]:
        """The steps by which a thing is looked at bare."""
        return [task for (_, thing), task in self.looks.items() if thing == subject]

    def wait(self, task: str, others: list[str], lag_min: int = 0) -> None:
        """Let a task wait for others too, and ``lag_min`` after their end."""
        known = self.tasks[task]
        more = tuple(
            After(task=o, lag_min=lag_min) for o in others if o != task and o not in {a.task for a in known.after}
        )
        self.tasks[task] = replace(known, after=known.after + more)


def template_tasks(ground: Ground) -> TaskBook:
    """Tasks for every effect that a template is made for."""
    book = TaskBook()
    effects = {e.id: e for e in ground.knockons.effects}
    welded = {f.subject for f in ground.facts if f.when is When.WELDED}
    for fact in ground.facts:
        # What a mending is made of is its owner's to say: it has no template.
        if fact.when not in _TEMPLATED or not fact.effect or (fact.when is When.CUT and fact.subject in welded):
            continue
        if fact.when is When.MOVED and keeps_its_seat(ground, fact.subject):
            continue
        template = _template(ground, fact)
        if template is not None:
            _from_template(ground, book, template, fact, effects[fact.effect])
    _tie_to_cuts(ground, book)
    _tie_to_trials(ground, book)
    return book


def _template(ground: Ground, fact: Fact) -> Template | None:
    cut = cut_of(ground, fact.subject)
    about = ground.part(cut.host) if cut is not None else ground.part(fact.subject)
    if fact.when is When.DISTURBED and ground.final(fact.subject) is None:
        return None
    return template_for(ground.catalog, fact.when, about.kind, about.group)


def cut_of(ground: Ground, subject: str) -> Cut | None:
    """The cut of that id, None when the subject is no cut."""
    return next((c for c in ground.job.changes if isinstance(c, Cut) and c.id == subject), None)


def _from_template(ground: Ground, book: TaskBook, template: Template, fact: Fact, effect: Effect) -> None:
    subject = fact.subject
    body = ground.final(subject)
    steps = _numbered(ground, template, fact, effect)
    previous: tuple[After, ...] = ()
    fitted_yet = False
    for n, (step, step_min) in steps.items():
        task = step_task(
            ground,
            step,
            effect,
            task_id=_step_id(fact, n),
            title=_title(ground, fact, step) + _marked_through(ground, subject, n, steps),
            demands=_demands(ground, fact, step),
            after=previous,
        )
        task = replace(task, minutes=paced(ground.job, step.work, step_min), again=_again(ground, fact, step, steps))
        if n == _first_made(template) and fact.when is When.LINK_MADE and subject in ground.knockons.runs:
            task = replace(task, notes=ground.knockons.runs[subject].lines)
        book.add(subject, task)
        fitted_yet = fitted_yet or (Demanded.FITTED in step.demands and isinstance(_part(ground, subject), Component))
        if body is not None and not fitted_yet and fact.when not in _LETTER:
            book.fit_after[body].append(task.id)
        old = ground.old(subject) if fact.when in {When.MOVED, When.LINK_MADE} else None
        if old is not None and n == 1 and not step.demands:
            book.off_after[old].append(task.id)
            _label(ground, book, subject, task)
        _note_tools(book, fact, step, task.id)
        if step.work is Work.TRIAL_FIT:
            book.trial_fits[subject].append(task.id)
        if step.work is Work.FINISHING and fact.when in {When.CUT, When.WELDED}:
            book.finishes[subject].append(task.id)
        if fact.when in _OF_LINKS and Demanded.FITTED in step.demands:
            book.between.setdefault(subject, task.id)
        if any(later.away for m, (later, _) in steps.items() if m >= n):
            book.ordering.add(task.id)
        previous = (After(task=task.id, lag_min=_lag_min(ground, subject, step)),)


_Steps = Mapping[int, tuple[TemplateStep, float]]
"""Steps of a template that are done, by their numbers in it, each with its minutes."""


def _numbered(ground: Ground, template: Template, fact: Fact, effect: Effect) -> _Steps:
    """The steps, without those about the part's holes where none are made, or as they are done there.

    The part's own making time is shared out among the others. Holes that it would cover are closed before it is tried.
    """
    seats = any(s.seat for s in template.steps) and holes_are_made(ground, fact.subject, effect)
    part = _part(ground, fact.subject)
    kind = part.kind if isinstance(part, Component | Link) else ""
    numbered = {n: s for n, s in enumerate(template.steps, start=1) if kind not in s.not_of}
    making = {n: s.minutes for n, s in numbered.items() if not s.seat}
    shared = dict(zip(making, shared_out(_total_min(ground, fact), list(making.values())), strict=True))
    leaves = leaves_holes(ground, fact.subject)
    there = {n: _undrilled(s) if s.seat and not seats else s for n, s in numbered.items()}
    done = [(n, s) for n, s in there.items() if s.title and (leaves or not s.left)]
    if covers_its_holes(ground, fact.subject):
        trial = next((k for k, (_, s) in enumerate(done) if s.work is Work.TRIAL_FIT), len(done))
        done = [*done[:trial], *(d for d in done[trial:] if d[1].left), *(d for d in done[trial:] if not d[1].left)]
    return {n: (s, shared.get(n, float(s.minutes))) for n, s in done}


def _undrilled(step: TemplateStep) -> TemplateStep:
    """A step about holes as it is done where none are made; without a title there is none."""
    return replace(step, title=step.undrilled, tools=step.undrilled_tools)


def _marked_through(ground: Ground, subject: str, number: int, steps: _Steps) -> str:
    """What a trial fit's title says besides where the host is drilled only after it: the part is the template."""
    drilled_next = any(step.seat and step.work in HOLING for n, (step, _) in steps.items() if n > number)
    if steps[number][0].work is not Work.TRIAL_FIT or not drilled_next:
        return ""
    hosts = carriers(ground, ground.knockons.after[subject])
    return f", mark its holes through on {' and '.join(ground.name(h) for h in hosts)}"


def _lag_min(ground: Ground, subject: str, step: TemplateStep) -> int:
    """The wait after a step; what is with somebody else is waited for as long as its lead says."""
    part = _part(ground, subject) if step.away else None
    return max(step.lag_min, part.lead_days * DAY_MIN) if isinstance(part, Component | Link) else step.lag_min


def setting_id(part: str, number: int) -> str:
    """Id of a step by which a part that was disturbed is set."""
    return f"{part}.{_LETTER[When.DISTURBED]}{number}"


def _step_id(fact: Fact, number: int) -> str:
    return f"{fact.subject}.{_LETTER.get(fact.when, '')}{number}"


def _again(ground: Ground, fact: Fact, step: TemplateStep, steps: _Steps) -> Again | None:
    """How likely a trial fails, by the owner's word before the catalog's, and what is then done again."""
    chance = step.again
    if step.work is Work.TRIAL_FIT:
        chance = ground.job.again.get(fact.subject, chance)
    return Again(chance=chance, redo=tuple(_step_id(fact, n) for n in step.redo if n in steps)) if chance else None


def _first_made(template: Template) -> int:
    """Number of the step at which a link is cut or ordered: the first away from its fitted ends once it is measured."""
    measured = max((n for n, s in enumerate(template.steps, start=1) if s.work in _BEFORE), default=0)
    away = (n for n, s in enumerate(template.steps, start=1) if n > measured and not s.demands)
    return next(away, 1)


_BEFORE = frozenset({Work.MEASURING, Work.MOCK_UP})
_OF_LINKS = frozenset({When.LINK_MADE, When.LINK_ADJUSTED})
HOLING = frozenset({Work.DRILLING, Work.CUTTING})
"""Kinds of work by which a tool comes through metal."""
_LETTER = {When.DISTURBED: "set", When.LINK_ADJUSTED: "adj"}
"""Settings are made with the part in place; everything else comes before its first fitting or is told otherwise."""


def _note_tools(book: TaskBook, fact: Fact, step: TemplateStep, task: str) -> None:
    """Note which steps bring heat, sparks or a drill to the vehicle, and what is used up."""
    if step.uses:
        book.uses[task] = step.uses
    if step.away and fact.effect.startswith(EffectKind.GROWS.value):
        book.altering.append(task)
    if step.hot:
        book.hot[fact.subject].append(task)
    if step.hot or (step.work in HOLING and _on_the_vehicle(fact, step)):
        book.holing[fact.subject].append(task)


def _on_the_vehicle(fact: Fact, step: TemplateStep) -> bool:
    """Whether a step cuts the vehicle rather than a part at the bench."""
    return step.seat or (fact.when in {When.CUT, When.WELDED} and Demanded.ROOM_CLEAR in step.demands)


def _label(ground: Ground, book: TaskBook, subject: str, task: Task) -> None:
    """Let every wire that comes off a part wait for its label."""
    if task.work is not Work.PLANNING:
        return
    book.labelled[subject].append(task.id)
    for wire in ground.vehicle.links.values():
        item = ground.handled.get(wire.id)
        at_it = wire.group == _WIRES and subject in {e.component for e in wire.ends}
        if at_it and item is not None and item.start:
            book.off_after[wire.id].append(task.id)


_WIRES = "electrics"


def _part(ground: Ground, subject: str) -> object:
    return None if cut_of(ground, subject) is not None else ground.part(subject)


def _total_min(ground: Ground, fact: Fact) -> int | None:
    """The part's own making time, which the template's steps share out."""
    part = _part(ground, fact.subject)
    if fact.when is When.MADE and isinstance(part, Component):
        return part.make_min
    if fact.when is When.LINK_MADE and part is not None and not isinstance(part, Component):
        return getattr(part, "remake_min", None) or None
    if fact.when is When.LINK_ADJUSTED:
        return getattr(part, "adjust_min", None) or None
    return None


def step_task(
    ground: Ground,
    step: TemplateStep,
    effect: Effect,
    *,
    task_id: str,
    title: str,
    demands: Iterable[Demand],
    after: tuple[After, ...],
) -> Task:
    """The task that a template's step is, for one effect."""
    return Task(
        id=task_id,
        title=title,
        work=step.work,
        minutes=paced(ground.job, step.work, step.minutes),
        hands=step.hands,
        demands=tuple(dict.fromkeys(demands)),
        after=after,
        tools=step.tools,
        cautions=cautions_for(ground, step.work, step.cautions, hot=step.hot),
        why=effect.text,
        effect=effect.id,
        keep_min=step.lag_min,
        splits=step.splits,
        stay_min=bench_stay_min(step, ground.catalog),
        # Paint, solvent and fuel are kept from sparks, at the bench too, and an arc from the eyes of who is by.
        apart=step.work is Work.WELDING,
        away=step.away,
    )


def cautions_for(ground: Ground, work: Work, own: tuple[str, ...], *, hot: bool) -> tuple[str, ...]:
    """A step's own cautions after the standing ones of its kind of work; that of tests is for those that run it."""
    standing = ground.catalog.cautions
    keys = [] if work is Work.TESTING else [work.value]
    keys += ["hot work"] if hot else []
    return tuple(dict.fromkeys([*(standing[k] for k in keys if k in standing), *own]))


def _title(ground: Ground, fact: Fact, step: TemplateStep) -> str:
    cut = cut_of(ground, fact.subject)
    if cut is not None:
        words = {"part": cut.id, "host": ground.name(cut.host), "home": ground.name(cut.host)}
        return step.title.format(**words)
    part = ground.part(fact.subject)
    host = part.mounted_on if isinstance(part, Component) else None
    host_name = _hosts_named(ground, part, step) if isinstance(part, Component) and host else "the vehicle"
    kinds = ground.catalog.kinds if isinstance(part, Component) else ground.catalog.link_kinds
    kind = kinds[part.kind].name
    named = part.name if kind in part.name else f"{part.name} ({kind})"
    home = f"its place on {host_name}"
    return step.title.format(part=part.name, named=named, host=host_name, home=home, ends=rod_ends(ground, part))


def _hosts_named(ground: Ground, part: Component, step: TemplateStep) -> str:
    """What holds a part; in the steps about its holes all that is drilled for it."""
    hosts = carriers(ground, part) if step.seat else [str(part.mounted_on)]
    return " and ".join(ground.name(h) for h in hosts)


def _demands(ground: Ground, fact: Fact, step: TemplateStep) -> list[Demand]:
    demands = [Demand(feature=state_id(c), on=True) for c in (*step.conditions, *_handling(ground, fact))]
    if step.hot:
        demands += [Demand(feature=state_id(c), on=True) for c in ground.catalog.hot_conditions]
        demands += _off(ground, ground.knockons.hot_near.get(fact.subject, frozenset()))
    demands += _handed_over(ground, fact, step)
    last = step.work is Work.ADJUSTING
    for demanded in step.demands:
        match demanded:
            case Demanded.FITTED:
                demands += [Demand(feature=b, on=True, last=last) for b in _fitted(ground, fact, whole=last)]
                demands += [Demand(feature=b, on=False) for b in old_at_its_ports(ground, fact.subject)]
            case Demanded.OFF:
                demands += _off(ground, [b for b in (ground.final(fact.subject),) if b is not None])
            case Demanded.OLD_OFF:
                demands += _off(ground, [b for b in (ground.old(fact.subject),) if b is not None])
            case Demanded.LIMITS_FITTED:
                limits = ground.knockons.limits.get(ground.final(fact.subject) or "", frozenset())
                demands += [Demand(feature=b, on=True) for b in sorted(limits) if b in ground.handled]
            case Demanded.ROOM_CLEAR:
                demands += _off(ground, _room(ground, fact.subject))
            case Demanded.HOST_FITTED:
                demands += [Demand(feature=b, on=True) for b in _host(ground, fact.subject)]
            case Demanded.HOST_BARE:
                demands += _off(ground, ground.knockons.bare.get(fact.subject, frozenset()))
    return [*demands, *seated(ground, step, demands)]


def _handed_over(ground: Ground, fact: Fact, step: TemplateStep) -> list[Demand]:
    """A part that is made larger by somebody else goes there itself: it is off."""
    old = ground.old(fact.subject) if step.away and fact.effect.startswith(EffectKind.GROWS.value) else None
    return [] if old is None else _off(ground, [old])


def _handling(ground: Ground, fact: Fact) -> tuple[str, ...]:
    """The states in which a link is set or led elsewhere: those in which it is taken off and fitted."""
    part = None if fact.when is not When.LINK_ADJUSTED else _part(ground, fact.subject)
    return part.needs if isinstance(part, Link) else ()


def _host(ground: Ground, subject: str) -> list[str]:
    """The bodies that hold a part in its last home, as far as they come off or are new."""
    bodies = (ground.final(h) for h in carriers(ground, ground.knockons.after[subject]) if h in ground.knockons.after)
    return [b for b in bodies if b is not None]


def _off(ground: Ground, bodies: frozenset[str] | list[str]) -> list[Demand]:
    return [Demand(feature=b, on=False) for b in sorted(bodies) if b in ground.handled]


def _fitted(ground: Ground, fact: Fact, *, whole: bool) -> list[str]:
    """The bodies that make a subject fitted: the part itself; for a link both its ends, and itself when it is set.

    ``whole``: what is set by hand is set with its whole linkage in place.
    """
    part = ground.part(fact.subject)
    subjects = [fact.subject] if isinstance(part, Component) else [e.component for e in part.ends]
    if fact.when is When.LINK_ADJUSTED:
        subjects.append(fact.subject)
    if whole and part.group in _SET_AS_A_WHOLE:
        systems = part.systems if isinstance(part, Component) else tuple(s for s in (part.system,) if s is not None)
        subjects += [m for s in systems for m in members_after(ground, s)]
    bodies = [ground.final(s) for s in dict.fromkeys(subjects)]
    return [b for b in bodies if b is not None]


_SET_AS_A_WHOLE = frozenset({"throttle", "clutch", "brakes", "steering"})


def _room(ground: Ground, subject: str) -> frozenset[str]:
    """What must be out of the way: the working room of a cut, or whatever still fills a part's new place."""
    if subject in ground.knockons.cut_rooms:
        return ground.knockons.cut_rooms[subject]
    body = ground.final(subject)
    return ground.handled[body].access.excludes if body is not None else frozenset()


def _tie_to_cuts(ground: Ground, book: TaskBook) -> None:
    """A part that goes into a hole waits for the hole; the hole's paint waits for the part's trial fit."""
    for cut in (c for c in ground.job.changes if isinstance(c, Cut)):
        there = ground.knockons.bare[cut.id]
        structural = [t for t in book.of_subject[cut.id] if t not in book.finishes[cut.id]]
        for body in sorted(there):
            item = ground.handled.get(body)
            if item is None or item.start or not item.goal:
                continue
            book.fit_after[body].extend(structural)
            for finish in book.finishes[cut.id]:
                book.wait(finish, book.trial_fits[item.subject])


def _tie_to_trials(ground: Ground, book: TaskBook) -> None:
    """A link is measured, or set, between ends that were tried where they are to stay."""
    for subject, task in book.between.items():
        part = ground.part(subject)
        ends = [e.component for e in part.ends] if isinstance(part, Link) else []
        book.wait(task, [trial for end in ends for trial in book.trial_fits.get(end, [])])
