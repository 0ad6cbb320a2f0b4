"""What was heated under a watch that nobody ended on its day is looked over before any other work.

The watch itself is taken as ended: any new heat has it set up, and looked at, anew.
"""

from __future__ import annotations

from dataclasses import replace

from planner.log.rewatched import rewatched_in
from planner.model.catalog import Work
from planner.model.standing import Standing
from planner.model.steps import ended_id, step_of_key
from planner.model.work import After, Feature, Task, Toggle, WorkList
from planner.units.spoken import day_words


def with_looks(work: WorkList, standing: Standing) -> WorkList:
    """Add a look for each such watch, and let everything that is not done wait for it."""
    looks = [_look(work, standing, f) for f in standing.unended if f in work.features]
    if not looks:
        return work
    after = tuple(After(task=t.id) for t in looks)
    # A test that was made is not made again because of it: it disturbs nothing.
    tasks = {i: t if i in standing.finished else replace(t, after=(*after, *t.after)) for i, t in work.tasks.items()}
    features = {i: _after(f, tuple(t.id for t in looks)) for i, f in work.features.items()}
    return replace(work, tasks={**{t.id: t for t in looks}, **tasks}, features=features)


def _look(work: WorkList, standing: Standing, feature: str) -> Task:
    known, since = work.features[feature], standing.unended[feature]
    leaving = known.turn_off
    hot = [t for t in work.tasks.values() if any(d.feature == feature and d.on for d in t.demands)]
    heated = [t.title for t in hot if _may_be_begun(t, standing, feature)]
    return Task(
        id=ended_id(feature, standing.toggles.get((feature, True), 0)),
        title=f"Look at what was heated on {day_words(since)} and all round it, at the far side, behind trim and in "
        "box sections: nobody wrote down that the watch was kept to its end",
        work=Work.TESTING,
        minutes=1 if leaving is None else leaving.minutes,
        tools=() if leaving is None else leaving.tools,
        cautions=() if leaving is None else leaving.cautions,
        notes=(
            *((f"What may have been begun or done under it: {'; '.join(heated)}",) if heated else ()),
            *(() if leaving is None else (leaving.title, *leaving.steps)),
            f"Taken as ended with this: for new heat {known.name} is set up anew",
        ),
        why=f"{known.name}, set up on {day_words(since)}, was still on when the day was over",
    )


def _may_be_begun(task: Task, standing: Standing, state: str) -> bool:
    """Whether hot work was done since a state was entered, or is open with nothing before it to be done."""
    if task.id in standing.finished:
        ends = (line.at for key, line in standing.done.items() if step_of_key(key).ref == task.id)
        return max(ends, default=standing.unended[state]) >= standing.unended[state]
    return all(a.task in standing.finished for a in task.after)


def _after(feature: Feature, looks: tuple[str, ...]) -> Feature:
    def later(toggle: Toggle | None) -> Toggle | None:
        return None if toggle is None else replace(toggle, after=(*looks, *toggle.after))

    return replace(feature, turn_on=later(feature.turn_on), turn_off=later(feature.turn_off))


def with_watches_kept(work: WorkList, standing: Standing) -> WorkList:
    """While a watch is on under which another one failed, it is not left before that is kept once more."""
    features = dict(work.features)
    for ref in rewatched_in(work, standing):
        for state in sorted({d.feature for d in work.tasks[ref].demands if d.on} & work.ending):
            known, leaving = features[state], features[state].turn_off
            if leaving is not None and standing.states.get(state) and state not in standing.unended:
                features[state] = replace(known, turn_off=replace(leaving, after=(*leaving.after, ref)))
    return replace(work, features=features)
