"""Brake fluid grades: least boiling points, what mixes. Source: FMVSS 116; ISO 4925:2005 from memory."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid:
    """A grade: least boiling points fresh and with 3.7 % water [degC]; silicone does not mix with the others."""

    name: str
    dry_c: float
    wet_c: float
    silicone: bool
    source: str


_FMVSS = "FMVSS 116, 49 CFR 571.116 S5.1.1, S5.1.2"
_ISO = "ISO 4925:2005 (value from memory)"
FLUIDS = {
    f.name: f
    for f in (
        Fluid(name="DOT 3", dry_c=205, wet_c=140, silicone=False, source=_FMVSS),
        Fluid(name="DOT 4", dry_c=230, wet_c=155, silicone=False, source=_FMVSS),
        Fluid(name="DOT 5", dry_c=260, wet_c=180, silicone=True, source=_FMVSS),
        Fluid(name="DOT 5.1", dry_c=260, wet_c=180, silicone=False, source=_FMVSS),
        Fluid(name="ISO 4925 class 6", dry_c=250, wet_c=165, silicone=False, source=_ISO),
    )
}


def mixes(one: str, other: str) -> bool:
    """Whether two grades may meet in a circuit: silicone and glycol fluids may not.

    Raises
    ------
    KeyError
        A grade is not known here.
    """
    return FLUIDS[one].silicone == FLUIDS[other].silicone
