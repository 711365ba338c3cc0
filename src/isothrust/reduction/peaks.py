"""Peaks: means over the last settled spell at the greatest command, as recorded on the day."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution, Figure
from isothrust.records.rig import StatedUncertainty
from isothrust.reduction.prepare import Prepared

__all__ = ["peak_figures"]

_LEAST = 0.2
"""Shortest plateau that counts [s]."""


def peak_figures(
    prepared: Prepared, stated: Mapping[str, StatedUncertainty], corrections: Mapping[str, Floats], lag: float
) -> list[Figure]:
    """Return peak-thrust, peak-electrical-power and peak-current of the run.

    `corrections` holds, over all bins, what must be added to a quantity to take its inertial part out.
    `lag` is the throttle's lead over the readings [s].
    """
    plateau = _plateau(prepared, lag)
    named = {"peak-thrust": "thrust", "peak-electrical-power": "electrical-power", "peak-current": "current"}
    return [_peak(prepared, stated, corrections, plateau, name, quantity) for name, quantity in named.items()]


def _plateau(prepared: Prepared, lag: float) -> np.ndarray:
    """Bins of the last 0.2 s or more at the greatest command, settled; none where the command has no plateau."""
    bins, spells = prepared.bins, prepared.spells
    throttle = bins.get("throttle")
    none = np.zeros(bins.time.size, dtype=bool)
    if throttle is None or not spells.powered.any():
        return none
    command = np.where(spells.powered, np.nan_to_num(throttle), 0.0)
    at_top = command >= float(command.max()) - 0.004
    edges = np.diff(at_top.astype(np.int8), prepend=0, append=0)
    starts, ends = np.flatnonzero(edges > 0), np.flatnonzero(edges < 0) - 1
    spell = int(np.argmax(bins.time[ends] - bins.time[starts]))
    start, end = float(bins.time[starts[spell]]) - 0.5 * bins.width, float(bins.time[ends[spell]]) + 0.5 * bins.width
    if end - start < _LEAST:
        return none
    first = max(start + lag, end - max(_LEAST, 0.5 * (end - start)))
    inside = (bins.time > first) & (bins.time <= end)
    settled = inside & (np.abs(spells.slope) < 0.1 * spells.top)
    return settled if np.count_nonzero(settled) >= 2 or bins.width >= _LEAST else none


def _peak(
    prepared: Prepared,
    stated: Mapping[str, StatedUncertainty],
    corrections: Mapping[str, Floats],
    plateau: np.ndarray,
    name: str,
    quantity: str,
) -> Figure:
    values = _reading(prepared, quantity)
    if values is None:
        return Figure(name, None, absent=f"the run has no {quantity} channel")
    run = prepared.job.run
    corrected = values + corrections.get(quantity, np.zeros(values.size))
    flags: tuple[str, ...] = ()
    if np.any(plateau & np.isfinite(corrected)):
        inside = corrected[plateau & np.isfinite(corrected)]
        value = float(np.mean(inside))
        noise = float(np.std(inside, ddof=1) / np.sqrt(max(1.0, inside.size / 4.0))) if inside.size > 2 else 0.0
    else:
        steady, drive = prepared.spells.steady, prepared.spells.drive
        near = steady & (drive >= 0.97 * float(drive[steady].max())) & np.isfinite(corrected)
        if not near.any():
            return Figure(name, None, absent=f"the {quantity} channel has nothing at the top of the run")
        value, noise = _at_top(drive[near], corrected[near])
        flags = ("peak-without-plateau",)
    budget = [Contribution("noise", f"run {run.campaign}/{run.name} {name} noise", "run", noise, 5.0)]
    budget += _stated(prepared, stated, quantity, value)
    return Figure(name, value, tuple(entry for entry in budget if entry.contribution != 0.0), flags)


def _at_top(x: Floats, y: Floats) -> tuple[float, float]:
    """Value at the greatest x of a straight line through the last few per cent of the range, and its uncertainty."""
    if x.size < 4:
        return float(np.max(y)), float(np.std(y)) if y.size > 1 else 0.0
    u = x - float(x.max())
    design = np.stack([np.ones_like(u), u], axis=1)
    solution, _, rank, _ = np.linalg.lstsq(design, y, rcond=None)
    if rank < 2:
        return float(np.mean(y)), float(np.std(y, ddof=1) / np.sqrt(y.size))
    residual = y - design @ solution
    inverse = np.linalg.inv(design.T @ design)
    return float(solution[0]), float(np.sqrt(inverse[0, 0] * np.sum(residual**2) / (y.size - 2) * 4.0))


def _reading(prepared: Prepared, quantity: str) -> Floats | None:
    direct = prepared.bins.get(quantity)
    if direct is not None or quantity != "electrical-power":
        return direct
    voltage, current = prepared.bins.get("voltage"), prepared.bins.get("current")
    return voltage * current if voltage is not None and current is not None else None


def _stated(
    prepared: Prepared, stated: Mapping[str, StatedUncertainty], quantity: str, value: float
) -> list[Contribution]:
    rig = prepared.job.rig.name
    run = f"{prepared.job.run.campaign}/{prepared.job.run.name}"
    out: list[Contribution] = []
    parts = {"thrust": ("thrust",), "current": ("current",), "electrical-power": ("voltage", "current")}[quantity]
    for channel in parts:
        u = stated.get(channel)
        if u is not None:
            out.append(
                Contribution(f"{channel} scale", f"rig {rig} {channel} scale", "rig", u.relative * value, np.inf)
            )
    zero = prepared.loads.zeros.get(quantity)
    if zero is not None:
        out.append(Contribution(f"{quantity} zero", f"run {run} {quantity} zero", "run", zero.uncertainty, np.inf))
    elif quantity == "current" and (u := stated.get("current")) is not None:
        out.append(Contribution("current offset", f"run {run} current offset", "run", u.absolute, np.inf))
    return out
