"""Thrust over KV as the datasets and the words of a chart, in shown units."""

from __future__ import annotations

from collections.abc import Mapping

from isothrust.present.charts.canvas import Caption
from isothrust.present.charts.catalogue import CHARTS
from isothrust.present.charts.curve_rows import Row
from isothrust.quantities import parse_unit
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Power, WindingSweep

__all__ = ["winding_caption", "winding_datasets"]

KV = parse_unit("rpm/V")
THRUST = parse_unit("gf")
HALF_WIDTH = 1.96
DIGITS = 6


def winding_datasets(
    sweeps: Mapping[str, WindingSweep], slots: Mapping[str, int], motor: MotorModel
) -> dict[str, list[Row]]:
    """Return the datasets of a curve chart: within the limits told apart, without them as context."""
    chosen: list[Row] = []
    context: list[Row] = []
    ends: list[Row] = []
    for design, sweep in sweeps.items():
        told = {"design": design, "slot": slots[design]}
        for kv, thrust, u, free in zip(
            sweep.kv.tolist(), sweep.thrust.tolist(), sweep.uncertainty.tolist(), sweep.unlimited.tolist(), strict=True
        ):
            x = _shown(KV.from_si(kv))
            low, high = (_shown(THRUST.from_si(thrust + sign * HALF_WIDTH * u)) for sign in (-1.0, 1.0))
            chosen.append({**told, "x": x, "y": _shown(THRUST.from_si(thrust)), "low": low, "high": high})
            if free > thrust * (1.0 + 1e-6):
                context.append({"design": design, "x": x, "y": _shown(THRUST.from_si(free))})
        ends.append({**told, "x": chosen[-1]["x"], "y": chosen[-1]["y"]})
    own = [] if motor.kv is None else [{"x": _shown(KV.from_si(motor.kv))}]
    return {"context": context, "chosen": chosen, "ends": ends, "point": own}  # type: ignore[dict-item]


def winding_caption(campaign: str, motor: MotorModel, power: Power, sweeps: Mapping[str, WindingSweep]) -> Caption:
    """Return the words of the chart."""
    limits = []
    if power.current_limit is not None:
        limits.append(f"{power.current_limit:g} A into the controller")
    if motor.max_current is not None:
        limits.append(f"{motor.max_current:g} A in motor {motor.name}, by heat, in proportion to KV")
    told = f"Limits: {'; '.join(limits)}." if limits else "No limit of current is stated: thrust rises with KV."
    notes = [
        "Same size of motor: winding resistance as 1/KV², friction torque as it is. Dashed line: the motor's own KV.",
        told
        + (" Grey: without the limits." if limits else "")
        + " Band: 95 %. The vertical axis does not begin at zero.",
    ]
    beyond = [design for design, sweep in sweeps.items() if sweep.beyond < float("inf")]
    if beyond:
        kv = min(sweeps[design].beyond for design in beyond)
        notes.append(f"From {KV.from_si(kv):.0f} rpm/V on, speeds lie beyond those measured: {', '.join(beyond)}.")
    line = f"Campaign {campaign} · motor {motor.name} · {power.words} · standard air"
    return Caption(CHARTS["thrust-over-kv"].title, (line,), tuple(notes))


def _shown(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")
