"""The sums of linkages: throttle, handbrake, gear change, from the places of their levers, rods and cables."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from planner.model.figures import Figure, LinkageFigures, StageFigures
from planner.model.shapes import Turn, Vec
from planner.model.vehicle import Component, Link
from planner.space import port_mm, pose_mm, rotated
from planner.sums.doubtful import Known, Values, spot_doubts_mm
from planner.sums.lever import LeverError
from planner.sums.lines import Asked
from planner.sums.linkage import (
    LINKAGE_BASIS,
    Chain,
    Hinge,
    Stage,
    followed,
    least_meeting_deg,
    turn_for,
    turns_back,
)

MEETS_DEG = 40.0
"""Least angle of a rod to the lever it works: Norton, Design of Machinery (value from memory)."""
STEPS = (0.25, 0.5, 0.75)
"""Shares of the first lever's travel at which the opening is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkageThere:
    """A linkage of the vehicle. ``needs`` are the names of its figures, ``missing`` what is not there, in words."""

    name: str
    figures: LinkageFigures
    travel_deg: float
    hinge: Hinge
    hinges: tuple[Hinge | None, ...]
    needs: tuple[str, ...]
    missing: tuple[str, ...] = ()


def linkage_lines(
    linkages: Mapping[str, LinkageFigures],
    parts: Mapping[str, Component],
    links: Mapping[str, Link],
    known: Known,
) -> Iterator[Asked]:
    """All sums of every linkage that is told of."""
    for name, figures in linkages.items():
        there = _there(name, figures, parts, links, known)
        known.note(f"{name}.full", figures.full_deg, f"`full` of `figures.linkages.{name}`")
        known.note(f"{name}.pull", figures.pull_mm, f"`pull` of `figures.linkages.{name}`")
        yield from _ends(there)
        if there.missing:
            continue
        if there.hinges[-1] is not None:
            yield from _opening(there)
        yield from _manners(there)


def _ends(there: LinkageThere) -> Iterator[Asked]:
    """What the last lever or cable does for the whole travel."""
    ask = partial(Asked, about=there.name, basis=LINKAGE_BASIS)
    if there.missing or there.hinges[-1] is not None:
        yield ask(
            id=f"{there.name}.turns",
            title="last lever turns",
            unit="deg",
            needs=(*there.needs, f"{there.name}.full"),
            work=lambda v: abs(followed(_going(there, v), there.travel_deg)[-1].turn_deg),
            low=lambda v: v[f"{there.name}.full"],
            limit="from its one stop to its other: with less it is never fully open",
        )
        return
    yield ask(
        id=f"{there.name}.pulls",
        title="cable drawn, whole travel",
        unit="mm",
        needs=(*there.needs, f"{there.name}.pull"),
        work=lambda v: abs(followed(_going(there, v), there.travel_deg)[-1].pull_mm),
        low=lambda v: v[f"{there.name}.pull"],
        limit="what its far end asks for; stretch and wear want more",
    )
    yield ask(
        id=f"{there.name}.gain",
        title="way of the hand or foot over the cable's",
        unit="to 1",
        needs=there.needs,
        work=lambda v: _mean_gain(there, v),
        note="way over way is also pull over push, nothing lost; two cables on one lever share the pull",
    )


def _mean_gain(there: LinkageThere, values: Values) -> float:
    chain = _chain(there, values)
    way = chain.push_arm_mm * abs(math.radians(there.travel_deg))
    return way / abs(followed(chain, there.travel_deg)[-1].pull_mm)


def _opening(there: LinkageThere) -> Iterator[Asked]:
    """The curve of opening, and the way left at full open."""
    ask = partial(Asked, about=there.name, needs=(*there.needs, f"{there.name}.full"), basis=LINKAGE_BASIS)
    yield ask(
        id=f"{there.name}.over-travel",
        title="pad way left at full open",
        unit="mm",
        work=lambda v: _over_mm(there, v),
        low=0.0,
        limit="the last lever must reach its stop before the first one does",
        note="what is left strains levers and rods: a stop under the pedal must take it up (common practice)",
    )
    for share in STEPS:
        yield ask(
            id=f"{there.name}.open-{share * 100:.0f}",
            title=f"open at {share:.0%} of the way",
            unit="%",
            work=partial(_open, there, share),
        )


def _over_mm(there: LinkageThere, values: Values) -> float:
    """Way of the pad left when the last lever is at its stop; negative by what is lacking [mm]."""
    chain, full = _going(there, values), values[f"{there.name}.full"]
    last = followed(chain, there.travel_deg)[-1]
    lack = full - abs(last.turn_deg)
    if lack > 0.0:
        return -chain.push_arm_mm * math.radians(lack) / abs(last.rate)
    at = turn_for(chain, there.travel_deg, full)
    return chain.push_arm_mm * math.radians(abs(there.travel_deg) - abs(at))


def _open(there: LinkageThere, share: float, values: Values) -> float:
    """Opening at a share of the way to full open, or of the whole travel where that does not open it [%]."""
    chain, full = _chain(there, values), values[f"{there.name}.full"]
    most = abs(followed(chain, there.travel_deg)[-1].turn_deg)
    end = there.travel_deg if most <= full else turn_for(chain, there.travel_deg, full)
    return 100.0 * abs(followed(chain, share * end)[-1].turn_deg) / full


def _manners(there: LinkageThere) -> Iterator[Asked]:
    """How well rods and levers meet, and the play at the pad."""
    ask = partial(Asked, about=there.name, needs=there.needs, basis=LINKAGE_BASIS)
    if there.hinges[-1] is not None:
        yield ask(
            id=f"{there.name}.meets",
            title="least angle of rod to lever",
            unit="deg",
            work=lambda v: _meets(there, v),
            low=MEETS_DEG,
            limit="Norton, Design of Machinery (value from memory): with less it pushes on its pivot",
            practice=True,
        )
    yield ask(
        id=f"{there.name}.slack",
        title="pad play, 1 mm of slack at the end",
        unit="mm",
        work=lambda v: _slack_mm(there, v),
        note="a little slack in the last rod or cable lets it come back to its own stop (common practice)",
    )


def _meets(there: LinkageThere, values: Values) -> float:
    return least_meeting_deg(_going(there, values), there.travel_deg)


def _slack_mm(there: LinkageThere, values: Values) -> float:
    chain = _chain(there, values)
    return chain.push_arm_mm / abs(followed(chain, 0.0)[-1].pull_rate_mm)


def _there(
    name: str, figures: LinkageFigures, parts: Mapping[str, Component], links: Mapping[str, Link], known: Known
) -> LinkageThere:
    """Find its parts and links, and take their places in, each with its doubt."""
    missing: list[str] = []
    part = parts.get(figures.part)
    hinge, travel = _first(part, figures, missing, known, name)
    needs = [] if part is None else [*_place(f"{name}.push", part, figures.port, known, missing)]
    hinges: list[Hinge | None] = []
    for number, stage in enumerate(figures.stages, start=1):
        own = f"{name}.{number}"
        ends = _link_ends(stage, part, links, missing, known)
        if ends is None:
            break
        needs += _place(f"{own}.start", part, ends[0], known, missing)
        part = parts.get(ends[1])
        needs += _place(f"{own}.end", part, ends[2], known, missing)
        hinges.append(_hinge(stage, part))
        for side, (of, port) in zip(("near", "far"), stage.outer, strict=False):
            needs += _place(f"{own}.{side}", parts.get(of), port, known, missing)
        if hinges[-1] is None and number < len(figures.stages):
            missing.append(f"`turns` of stage {number} of `figures.linkages.{name}`")
        if (hinges[-1] is None and not stage.outer) or (hinges[-1] is not None and len(stage.outer) == 1):
            missing.append(f"`turns` or both places of `outer` of stage {number} of `figures.linkages.{name}`")
    known.note(f"{name}.there", None if missing else 0.0, ", ".join(dict.fromkeys(missing)))
    return LinkageThere(
        name=name,
        figures=figures,
        travel_deg=travel,
        hinge=hinge,
        hinges=tuple(hinges),
        needs=(f"{name}.there", *needs),
        missing=tuple(missing),
    )


_NO_HINGE = Hinge(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 1.0, 0.0))


def _first(
    part: Component | None, figures: LinkageFigures, missing: list[str], known: Known, name: str
) -> tuple[Hinge, float]:
    """What the first lever turns about and how far: by its own motion, or as the figures say."""
    if part is None:
        missing.append(known.absent("a part", figures.part))
        return _NO_HINGE, 0.0
    turn = part.motion if isinstance(part.motion, Turn) else None
    hinge = _hinge(figures, part)
    travel = figures.travel_deg
    if travel is None and turn is not None:
        travel = turn.far_deg
    if hinge is None:
        missing.append(f"`turns` of `figures.linkages.{name}`")
    if travel is None:
        missing.append(f"`travel` of `figures.linkages.{name}`")
    return hinge or _NO_HINGE, travel or 0.0


def _hinge(told: LinkageFigures | StageFigures, part: Component | None) -> Hinge | None:
    """What a lever turns about, in vehicle axes."""
    if part is None:
        return None
    turn = part.motion if isinstance(part.motion, Turn) else None
    about = told.turns or turn
    if about is None:
        return None
    return Hinge(about_mm=pose_mm(part.pose, about.about_mm), axis=rotated(part.pose.turn_deg, about.axis))


def _link_ends(
    stage: StageFigures, part: Component | None, links: Mapping[str, Link], missing: list[str], known: Known
) -> tuple[str, str, str] | None:
    """The near port, the far part and its port; None when the link does not begin at the part before it."""
    link = links.get(stage.link)
    if link is None:
        missing.append(known.absent("a link", stage.link))
        return None
    if part is None:
        return None
    for near, far in (link.ends, link.ends[::-1]):
        if near.component == part.id:
            return near.port, far.component, far.port
    missing.append(f"a link from `{part.id}`: `{stage.link}` does not begin there")
    return None


def _place(name: str, part: Component | None, port: str, known: Known, missing: list[str]) -> tuple[str, ...]:
    """Take a place in, each coordinate with its doubt."""
    if part is None or (port and port not in part.ports_mm):
        missing.append(f"a place `{port}` of `{'?' if part is None else part.id}`")
        return ()
    at = port_mm(part, port)
    names = []
    for axis, mm, doubt in zip("xyz", at, spot_doubts_mm(part, port), strict=True):
        known.figures[f"{name}_{axis}"] = Figure(mm, doubt)
        names.append(f"{name}_{axis}")
    return tuple(names)


def _chain(there: LinkageThere, values: Values) -> Chain:
    """The linkage with its places as given; rods and cables are made to fit at rest."""

    def at(name: str) -> Vec:
        return values[f"{name}_x"], values[f"{name}_y"], values[f"{name}_z"]

    stages = []
    for number, (told, hinge) in enumerate(zip(there.figures.stages, there.hinges, strict=True), start=1):
        own = f"{there.name}.{number}"
        outer: Sequence[Vec] = [at(f"{own}.{side}") for side, _ in zip(("near", "far"), told.outer, strict=False)]
        stages.append(
            Stage(
                start_mm=at(f"{own}.start"),
                end_mm=at(f"{own}.end"),
                hinge=hinge,
                outer_mm=(outer[0], outer[-1]) if outer else None,
            )
        )
    chain = Chain(hinge=there.hinge, push_mm=at(f"{there.name}.push"), stages=tuple(stages))
    if chain.push_arm_mm < LEAST_ARM_MM:
        raise LeverError(f"`{there.figures.part}` is pushed on its own pivot: name the port where the foot or hand is")
    return chain


LEAST_ARM_MM = 1.0


def _going(there: LinkageThere, values: Values) -> Chain:
    """The same, when it goes one way only: what comes back at a dead centre has no end to be held against."""
    chain = _chain(there, values)
    if turns_back(chain, there.travel_deg):
        raise LeverError("a dead centre lies in the travel: the last lever or cable comes back while the first goes on")
    return chain
