"""A supply at its current limit: the command goes on rising, current stands, voltage and thrust collapse."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.evidence import Evidence

__all__ = ["check_supply_limit"]

_FLAT: Final = 0.985
"""Share of the greatest current above which current stands as good as still [1]."""
_RISE: Final = 0.012
"""Least rise of the command meanwhile [1]: current of a propeller moves by 1.5 % over 0.6 % of throttle."""
_FALL: Final = 0.015
"""Least fall of voltage between the first and the last third of it [1]: at the same current a supply on its leads
falls by nothing."""
_FEWEST: Final = 5
_MOST: Final = 0.02
"""Share of the bins, those with the greatest current, that are not asked what the greatest current is [1]."""


def check_supply_limit(evidence: Evidence) -> list[Finding]:
    """Return a finding where current stands still while the command rises and voltage falls."""
    prepared = evidence.prepared
    current, voltage, throttle = (prepared.steady(name) for name in ("current", "voltage", "throttle"))
    if current is None or voltage is None or throttle is None or current.size < _FEWEST:
        return []
    most = float(np.sort(current)[int((1.0 - _MOST) * (current.size - 1))])
    flat = current >= _FLAT * most
    rise = float(np.ptp(throttle[flat]))
    if most <= 0.0 or np.count_nonzero(flat) < _FEWEST or rise < _RISE:
        return []
    order = np.argsort(throttle[flat], kind="stable")
    third = max(1, order.size // 3)
    first, last = order[:third], order[-third:]
    fall = 1.0 - float(np.median(voltage[flat][last])) / float(np.median(voltage[flat][first]))
    x = prepared.site.x[flat]
    if fall < _FALL or float(np.median(x[last])) > float(np.median(x[first])):
        return []
    at = np.flatnonzero(prepared.spells.steady)[flat]
    low, high = float(throttle[flat].min()), float(throttle[flat].max())
    limit = evidence.job.rig.current_limit
    stated = "" if limit is None else f" (the rig states {limit:.3g} A)"
    return [
        Finding(
            code="supply-limit",
            severity="warning",
            message=f"the current stands at {float(np.median(current[flat])):.3g} A{stated} while the command goes "
            f"from {100.0 * low:.1f} to {100.0 * high:.1f} %, and the voltage falls by "
            f"{100.0 * fall:.1f} %: the supply gives no more",
            channel="current",
            start=float(prepared.bins.time[at[0]]),
            end=float(prepared.bins.time[at[-1]]),
            count=int(np.count_nonzero(flat)),
            effect=f"nothing above {100.0 * low:.0f} % throttle is a throttle; peak thrust, power and current are "
            "the supply's and a lower bound of the motor's",
            done="nothing: thrust against speed and power stands",
        )
    ]
