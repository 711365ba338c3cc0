"""A motor that brakes gives power back: where the supply cannot take it, its voltage climbs."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.checks.electrical.sag import unloaded_voltage
from isothrust.reduction.evidence import Evidence

__all__ = ["check_regeneration"]

_BAND: Final = 0.02
"""Share by which the voltage may climb over the unloaded supply [1]: leads and a supply that takes current back leave
1 % at the usual braking currents."""
_FEWEST: Final = 2
_TURNING: Final = 0.1
"""Share of top speed above which a rotor has something to give back [1]."""
_BRAKING: Final = 0.02
"""Share of the greatest current, below nothing, that is a braking current [1]."""


def check_regeneration(evidence: Evidence) -> list[Finding]:
    """Return a finding where the supply's voltage climbs over its own while the rotor turns."""
    prepared = evidence.prepared
    voltage, spells = prepared.bins.get("voltage"), prepared.spells
    own = unloaded_voltage(evidence)
    stated = evidence.job.rig.supply_voltage
    reference = own if own is not None else stated
    if voltage is None or reference is None or reference <= 0.0:
        return []
    high = (voltage > (1.0 + _BAND) * reference) & (spells.drive > _TURNING * spells.top)
    count = int(np.count_nonzero(high))
    if count < _FEWEST:
        return []
    fitted = int(np.count_nonzero(high & spells.steady))
    top = float(voltage[high].max())
    at = np.flatnonzero(high)
    said = {None: "", True: ", though the rig says that it sinks current", False: " (the rig says that it sinks none)"}
    return [
        Finding(
            code="supply-regeneration",
            severity="warning" if fitted else "note",
            message=f"the supply climbs to {top:.2f} V, {100.0 * (top / reference - 1.0):.1f} % over its own "
            f"{reference:.2f} V, as the motor brakes{_current(evidence)}{said[evidence.job.rig.sinks_current]}: "
            f"{100.0 * _BAND:.0f} % are allowed",
            channel="voltage",
            start=float(prepared.bins.time[at[0]]),
            end=float(prepared.bins.time[at[-1]]),
            count=count,
            effect=f"power, current and throttle of {fitted} fitted bins belong to a braking motor"
            if fitted
            else "none: no fitted bin lies there",
            done="nothing",
        )
    ]


def _current(evidence: Evidence) -> str:
    current = evidence.prepared.bins.get("current")
    if current is None or not np.any(np.isfinite(current)):
        return ""
    least, most = float(np.nanmin(current)), float(np.nanmax(current))
    return f" and its current goes to {least:.1f} A" if least < -_BRAKING * most else ""
