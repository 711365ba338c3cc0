"""What standard air does to a coefficient at equal speed: the Reynolds number changes with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.airstate import AirState
from isothrust.reduction.influences import Fitted
from isothrust.reduction.site import Site

__all__ = ["Referral", "refer_coefficients"]

_UPPER = 0.4
"""Share of top speed above which the common slope is read: below, separation makes it another one."""
_USUAL = 0.06
"""Size of d ln C / d ln n that small blades show above separation [1]; common practice."""
_SHARE = 0.5
"""Doubt of the correction: a slope over speed is Reynolds number for most blades, twist for some [1]."""


@dataclass(frozen=True, slots=True)
class Referral:
    """Correction of one curve, and what stays in doubt."""

    slope: float
    """d ln C / d ln n common to the upper speeds [1]."""
    relative: float
    """The correction [1]."""
    shift: Floats
    """To be added to the coefficients (p,)."""
    doubt: Floats
    """Shift of one standard uncertainty of the correction as a whole (p,)."""
    local: Floats
    """What the local slope would add to the common one's correction, uncorrected (p,)."""


def refer_coefficients(site: Site, air: AirState, fitted: Mapping[str, Fitted]) -> dict[str, Referral]:
    """Return the referral of thrust and torque curves to the Reynolds number of standard air at equal speed.

    A coefficient at the same speed in denser air is the one that a higher speed has in this air: C moves by slope
    times ln Re ratio. The slope is the median over the upper speeds, so that a kink, which is no matter of Reynolds
    number, does not count. With a few speeds only there is no slope: nothing is corrected, and the budget holds what
    blades usually show.
    """
    if air.density is None:
        return {}
    upper = site.basis[site.x >= _UPPER * float(site.x.max())]
    out: dict[str, Referral] = {}
    for name in ("thrust", "torque"):
        if name not in fitted:
            continue
        c = fitted[name].coefficients
        stretched = site.stretch @ c
        if site.sparse:
            unknown = np.zeros_like(c)
            out[name] = Referral(0.0, 0.0, unknown, _USUAL * air.reynolds_ratio * c, unknown)
            continue
        slope = float(np.median((upper @ stretched) / (upper @ c)))
        relative = slope * air.reynolds_ratio
        shift = relative * c
        out[name] = Referral(slope, relative, shift, _SHARE * shift, air.reynolds_ratio * stretched - shift)
    return out
