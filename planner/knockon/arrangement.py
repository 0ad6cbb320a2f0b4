"""Where everything is when a job is done, and what has become of each part whose home was chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from planner.knockon.options import Option, Sort
from planner.knockon.placed import Placed
from planner.model.effects import Proof


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """Where everything is when the job is done.

    ``placed`` holds every part that is there; ``chosen`` the option of each part whose home was chosen; ``stuck`` the
    parts that, together, cannot be placed when ``proof`` is NONE. Costs are thousandths of a hand-minute.
    """

    proof: Proof
    placed: dict[str, Placed]
    chosen: dict[str, Option]
    cost: int
    bound: int
    stuck: tuple[str, ...] = ()
    contact: bool = False
    """Whether the proof covers homes in contact as well as those on the grid (to half a hand-minute)."""
    tried: dict[str, int] = field(default_factory=dict)
    """How many homes of each stuck part were looked at."""


STAYS = "stays"


def fate_of(option: Option, base: Mapping[str, Placed]) -> str | None:
    """What becomes of a part, in so far as two answers differ in it: the space counts, the place in it does not.

    None for *elsewhere*, which may be anything.
    """
    match option.sort:
        case Sort.STAY:
            return STAYS
        case Sort.FOLLOW:
            return STAYS if option.pose == base[option.part].part.pose else "follows"
        case Sort.GO:
            return "goes"
        case Sort.ELSEWHERE:
            return None
        case _:
            return f"{option.sort} {option.space}"


def fates_of(answer: Arrangement, base: Mapping[str, Placed]) -> dict[str, str]:
    """What becomes of every part of an answer that does not stay."""
    fates = {part: fate_of(option, base) for part, option in answer.chosen.items()}
    return {part: fate for part, fate in sorted(fates.items()) if fate is not None and fate != STAYS}
