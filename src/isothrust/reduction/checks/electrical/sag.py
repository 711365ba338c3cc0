"""A supply whose voltage falls under load: full throttle is then not one throttle, nor is any other."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.checks.electrical.resting import at_rest, usual_bins
from isothrust.reduction.evidence import Evidence

__all__ = ["check_sag", "unloaded_voltage"]

_BAND: Final = 0.08
"""Share of its voltage that a supply may lose over a run [1]: a good bench supply on its leads loses 2 to 6 % at 40 A;
8 % at the top is more than 1 % of throttle at the thrusts that propellers are compared at."""
_LEAST: Final = 0.03
"""Share of the steady bins, those with the least voltage, that stand for the loaded supply [1]."""
_FEWEST: Final = 5


def unloaded_voltage(evidence: Evidence) -> float | None:
    """Return the voltage [V] with the motor off at the beginning of the run; None where no spell shows it."""
    spells = at_rest(evidence, "voltage")
    return float(np.median(spells[0])) if spells else None


def check_sag(evidence: Evidence) -> list[Finding]:
    """Return a finding where the loaded supply falls below what it was set to (or was unloaded) by more than the band.

    Where the book states the supply's voltage, less of it is a fault of the bench; where it does not, as with a
    battery, it is in the nature of the thing, and only what a throttle means is lost.
    """
    voltage = evidence.prepared.steady("voltage")
    stated = evidence.job.rig.supply_voltage
    reference = stated if stated is not None else unloaded_voltage(evidence)
    if voltage is None or reference is None or reference <= 0.0 or voltage.size < _FEWEST:
        return []
    low = np.argsort(voltage, kind="stable")[: max(_FEWEST, round(_LEAST * voltage.size))]
    loaded = float(np.median(voltage[low]))
    share = 1.0 - loaded / reference
    if share < _BAND:
        return []
    return [_finding(evidence, voltage, low, (loaded, reference))]


def _finding(evidence: Evidence, voltage: Floats, low: np.ndarray, levels: tuple[float, float]) -> Finding:
    loaded, reference = levels
    stated = evidence.job.rig.supply_voltage is not None
    usual, where = usual_bins(evidence)
    there = 100.0 * (1.0 - float(np.median(voltage[usual])) / reference)
    time = evidence.prepared.bins.time[evidence.prepared.spells.steady][low]
    return Finding(
        code="supply-sag",
        severity="warning" if stated else "note",
        message=f"the supply falls to {loaded:.2f} V under load, {100.0 * (1.0 - loaded / reference):.1f} % below the "
        f"{reference:.2f} V {'that the rig states' if stated else 'it has with the motor off'} "
        f"({100.0 * _BAND:.0f} % are allowed)",
        channel="voltage",
        start=float(time.min()),
        end=float(time.max()),
        count=int(low.size),
        effect=f"throttle and current at {where} are {there:+.1f} % off those at {reference:.2f} V, and full throttle "
        f"gives {100.0 * (1.0 - loaded / reference):.0f} % less speed than it might; thrust against power stands",
        done="nothing: throttle and current hold at the voltage of the moment",
    )
