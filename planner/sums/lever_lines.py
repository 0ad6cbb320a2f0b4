"""The sums of each lever that pushes a cylinder: stroke, ratio, lean, travel at the pad, free play, forces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import partial

from planner.model.figures import Figure
from planner.model.vehicle import Component, Link
from planner.sums.basis import Basis
from planner.sums.brake_limits import PEDAL_PROOF_N, RATIO_PRACTICE
from planner.sums.doubtful import SURE, Known, Sum, Values, spot_doubts_mm
from planner.sums.hydraulics import CHAIN_BASIS, balance_bar_shares, pressure_mpa
from planner.sums.lever import LEVER_BASIS, STEEP_DEG, Lever, LeverError, forces_at, state_at, steepest_deg
from planner.sums.levers_there import PAD, LeverThere
from planner.sums.lines import Asked

PUSH_N = 500.0
"""The most a published service-brake test lets the foot push (UN R13-H annex 3; FMVSS 135 S7.5)."""
FREE_MM = (0.5, 1.5)
"""Rod clearance so that the cylinder's port opens: common practice, no published source."""
_SIZES = ("pivot_x", "pivot_z", "clevis_x", "clevis_z", "pad_x", "pad_z", "seat_x", "seat_z")
SERVO_KIND = "brake-servo"
PEDAL_KIND = "brake-pedal"
_BALANCE_BASIS = Basis(
    source=f"{CHAIN_BASIS.source}; moments about the bearing of the balance bar",
    assumed=(*CHAIN_BASIS.assumed, "balance bar square to the rods"),
    not_covered=(*CHAIN_BASIS.not_covered, "a bar that tilts as one circuit takes more fluid"),
)


def needs_of(there: LeverThere) -> tuple[str, ...]:
    """Names of the figures a lever is made of."""
    return tuple(f"{there.link}.{size}" for size in _SIZES)


def note_lever(there: LeverThere, parts: Mapping[str, Component], links: Mapping[str, Link], known: Known) -> None:
    """Take the sizes of a lever in, each with its doubt; clevis and pad count from the pivot and go with it."""
    lever, part, cylinder = there.lever, parts[there.part], parts[there.cylinder]
    ends = {end.component: end.port for end in links[there.link].ends}
    of = {
        "pivot": (lever.pivot_mm, spot_doubts_mm(part)),
        "clevis": (_less(lever.clevis_mm, lever.pivot_mm), part.port_doubts_mm.get(ends[there.part], SURE)),
        "pad": (_less(lever.pad_mm, lever.pivot_mm), part.port_doubts_mm.get(PAD, SURE)),
        "seat": (lever.mouth_mm, spot_doubts_mm(cylinder, ends[there.cylinder])),
    }
    for name, (point, (x, _, z)) in of.items():
        known.figures[f"{there.link}.{name}_x"] = Figure(point[0], x)
        known.figures[f"{there.link}.{name}_z"] = Figure(point[1], z)
    known.note(f"{there.cylinder}.bore", cylinder.bore_mm, f"`bore` of `{there.cylinder}`")
    known.note(f"{there.cylinder}.stroke", cylinder.stroke_mm, f"`stroke` of `{there.cylinder}`")


def _less(point: tuple[float, float], origin: tuple[float, float]) -> tuple[float, float]:
    return point[0] - origin[0], point[1] - origin[1]


def note_share(levers: tuple[LeverThere, ...], there: LeverThere, known: Known) -> None:
    """Share of the push on a pedal that reaches this cylinder: all of it, or what the balance bar gives it.

    The bar's bearing is taken to lie in the plane of the pad.
    """
    name = f"{there.link}.share"
    others = [o for o in levers if o.part == there.part and o.link != there.link]
    if not others:
        known.note(name, 1.0, "")
        return
    if len(others) > 1:
        known.note(name, None, f"how `{there.part}` shares its push among {len(others) + 1} rods (no sum here does it)")
        return
    (other,) = others
    arms = [abs(each.aside_mm) for each in (there, other)]
    if there.aside_mm * other.aside_mm >= 0.0 or min(arms) <= 0.0:
        ask = f"the rods of `{there.part}` on either side of its pad's middle, as a balance bar has them"
        known.note(name, None, ask)
        return
    known.note(name, balance_bar_shares(arms[0], arms[1])[0], "")


def lever_from(there: LeverThere, values: Values) -> Lever:
    """The lever with its sizes as given; the rod is made to fit.

    Raises
    ------
    LeverError
        It draws the piston back, or turns back at a dead centre: no force or travel of it can be relied on.
    """
    lever = _plain(there, values)
    rest, end = state_at(lever, 0.0), state_at(lever, lever.travel_deg)
    if rest.ratio <= 0.0 or end.stroke_mm <= 0.0:
        raise LeverError("the lever draws the piston back instead of pushing it")
    if end.ratio <= 0.0 or not math.isfinite(end.ratio):
        raise LeverError("a dead centre lies in the travel: the piston comes back while the lever goes on")
    return lever


def _plain(there: LeverThere, values: Values) -> Lever:
    def at(name: str) -> tuple[float, float]:
        return values[f"{there.link}.{name}_x"], values[f"{there.link}.{name}_z"]

    pivot, seat = at("pivot"), at("seat")
    clevis, pad = ((pivot[0] + x, pivot[1] + z) for x, z in (at("clevis"), at("pad")))
    beside = there.lever.beside_mm
    return Lever(
        pivot_mm=pivot,
        clevis_mm=clevis,
        pad_mm=pad,
        mouth_mm=seat,
        push_deg=there.lever.push_deg,
        rod_mm=math.hypot(math.dist(clevis, seat), beside),
        travel_deg=there.lever.travel_deg,
        beside_mm=beside,
    )


def stroke_of(lever: Lever) -> float:
    """Piston travel over the lever's whole travel [mm]."""
    return state_at(lever, lever.travel_deg).stroke_mm


def mean_ratio(lever: Lever) -> float:
    """Pad travel over piston travel, over the whole travel."""
    return pad_arc(lever) / stroke_of(lever)


def pad_arc(lever: Lever) -> float:
    """Way of the pad along its arc, over the whole travel [mm]."""
    return lever.pad_arm_mm * abs(math.radians(lever.travel_deg))


def line_mpa(there: LeverThere, push_n: float) -> Sum:
    """Line pressure for a push at the pad, by the mean ratio [MPa]."""

    def work(values: Values) -> float:
        force = push_n * mean_ratio(lever_from(there, values)) * values[f"{there.link}.share"]
        return pressure_mpa(force, values[f"{there.cylinder}.bore"])

    return work


def lever_lines(there: LeverThere, parts: Mapping[str, Component]) -> Iterator[Asked]:
    """The sums of one lever by itself."""
    rod, sizes, end = there.link, needs_of(there), there.lever.travel_deg
    ask = partial(Asked, about=rod, needs=sizes, basis=LEVER_BASIS)
    yield ask(
        id=f"{rod}.stroke",
        title="stroke of the whole travel",
        unit="mm",
        needs=(*sizes, f"{there.cylinder}.stroke"),
        work=lambda v: stroke_of(_plain(there, v)),
        low=0.0,
        high=lambda v: v[f"{there.cylinder}.stroke"],
        limit="stroke of the cylinder: beyond it the piston meets its end before the lever meets its stop",
    )
    yield _ratio(there, parts)
    yield ask(
        id=f"{rod}.lean",
        title="most the rod leans",
        unit="deg",
        work=lambda v: steepest_deg(lever_from(there, v), end),
        high=STEEP_DEG,
        limit="common practice: more wears the bore",
        practice=True,
        never_below=0.0,
    )
    yield ask(
        id=f"{rod}.pad-travel",
        title="pad way, whole travel",
        unit="mm",
        work=lambda v: pad_arc(lever_from(there, v)),
    )
    for name, gap in zip(FREE_PLAY, FREE_MM, strict=True):
        yield ask(
            id=f"{rod}.{name}",
            title=f"pad play, {gap:g} mm at rod",
            unit="mm",
            work=partial(_free_play, there, gap),
            note="free play: set it between the two (common practice)",
        )
    yield from _forces(there)
    yield from _pressures(there, sizes)


def _forces(there: LeverThere) -> Iterator[Asked]:
    """Forces with the foot's push shared out as the balance bar does."""
    rod, end, share = there.link, there.lever.travel_deg, f"{there.link}.share"
    ask = partial(Asked, about=rod, needs=(*needs_of(there), share), basis=LEVER_BASIS, unit="N")
    yield ask(
        id=f"{rod}.proof-force",
        title=f"force on piston at {PEDAL_PROOF_N:.0f} N",
        work=lambda v: forces_at(lever_from(there, v), end, PEDAL_PROOF_N * v[share]).piston_n,
        note="a pedal and its mounting must take that push without failure (Formula Student rules)",
    )
    yield ask(
        id=f"{rod}.side-force",
        title=f"side force on bore at {PUSH_N:.0f} N",
        work=lambda v: forces_at(lever_from(there, v), end, PUSH_N * v[share]).side_n,
        never_below=0.0,
    )


FREE_PLAY = ("free-play-least", "free-play-most")


def _free_play(there: LeverThere, gap_mm: float, values: Values) -> float:
    return gap_mm * state_at(lever_from(there, values), 0.0).ratio


def _ratio(there: LeverThere, parts: Mapping[str, Component]) -> Asked:
    """Only a brake pedal has a band."""
    ask = partial(
        Asked,
        id=f"{there.link}.ratio",
        about=there.link,
        title="mean ratio, pad to piston",
        unit="to 1",
        needs=needs_of(there),
        work=lambda v: mean_ratio(lever_from(there, v)),
        basis=LEVER_BASIS,
    )
    pedal = parts[there.part]
    if pedal.kind != PEDAL_KIND:
        return ask()
    systems = set(pedal.systems)
    servo = any(p.kind == SERVO_KIND and systems & set(p.systems) for p in parts.values())
    low, high = RATIO_PRACTICE["with servo" if servo else "without servo"]
    words = f"common practice {'with' if servo else 'without'} a servo; trade texts disagree"
    return ask(low=low, high=high, limit=words, practice=True)


def _pressures(there: LeverThere, sizes: tuple[str, ...]) -> Iterator[Asked]:
    needs = (*sizes, f"{there.link}.share", f"{there.cylinder}.bore")
    yield Asked(
        id=f"{there.link}.share",
        about=there.link,
        title="share of the push it gets",
        unit="%",
        needs=(f"{there.link}.share",),
        work=lambda v: 100.0 * v[f"{there.link}.share"],
        basis=_BALANCE_BASIS,
    )
    for name, push in (("pressure", PUSH_N), ("proof-pressure", PEDAL_PROOF_N)):
        yield Asked(
            id=f"{there.link}.{name}",
            about=there.link,
            title=f"line pressure at {push:.0f} N",
            unit="MPa",
            needs=needs,
            work=line_mpa(there, push),
            basis=_BALANCE_BASIS,
        )
