"""How a design and a motor suit each other: what binds, what would help, with the uncertainty of each figure."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from isothrust.records.load import PropellerLoad
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Estimated, Match, Power, WindingSweep
from isothrust.records.recording import Floats
from isothrust.reduction.machines import Batch, absent, estimated, machine_batch, pruned
from isothrust.reduction.matching_words import match_sentences
from isothrust.reduction.propellerload import extended_load
from isothrust.reduction.warming import Heating, warm_at_full_throttle
from isothrust.science.arrays import floats
from isothrust.science.machine import Ceiling, Machine, thrust_ceiling
from isothrust.science.matching import (
    WindingChoice,
    binding,
    efficient_winding,
    enlarged,
    strongest_winding,
    thrust_over_winding,
)

__all__ = ["STANDARD_TEMPERATURE", "match_design", "winding_sweep"]

RESERVE: Final = 2.0
"""Thrust ceiling over hover thrust with which a craft can still be flown."""
STEP: Final = 0.01
"""Relative step of the finite differences that sensitivities are taken by."""
SWEEP: Final = (0.6, 1.6)
"""KV drawn, over the motor's own."""
SWEEP_POINTS: Final = 41
STANDARD_TEMPERATURE: Final = 288.15
"""Of the air that the load holds in [K]."""
BEYOND: Final = "extrapolated"
LIMITS: Final = "the current that heat or a supply allows is not stated: thrust rises with KV as far as anybody winds"


def match_design(
    load: PropellerLoad, motor: MotorModel, power: Power, hover: float | None, heating: Heating | None = None
) -> Match:
    """Return how a design, in the air that the load holds for, suits a motor; `hover` is a thrust [N] to be held."""
    # Other windings run at other speeds: the table is carried on; what lies beyond is marked, its interval wider.
    batch = warm_at_full_throttle(machine_batch(extended_load(load), motor, power), heating, STANDARD_TEMPERATURE)
    ceiling = thrust_ceiling(batch.machine)
    match = Match(load.design, load.campaign, motor, power, None, (), flags=load.flags)
    if not np.isfinite(ceiling.thrust[0]):
        return replace(match, absent="the motor does not turn this propeller at this voltage")
    flags = () if load.low <= ceiling.point.speed[0] <= load.high * (1.0 + 1e-9) else (BEYOND,)
    bound = binding(batch.machine, ceiling)
    few = pruned(batch, ceiling.thrust)
    figures = [
        estimated(batch, "peak-thrust", ceiling.thrust, error=motor.prediction_errors.get("thrust"), flags=flags),
        estimated(batch, "peak-speed", ceiling.point.speed, error=motor.prediction_errors.get("speed"), flags=flags),
        estimated(
            batch, "peak-current", ceiling.point.current, error=motor.prediction_errors.get("current"), flags=flags
        ),
        estimated(batch, "torque-in-hand", bound.torque_in_hand, flags=flags),
        estimated(batch, "speed-in-hand", bound.speed_in_hand, flags=flags),
        estimated(batch, "greatest-power-speed", bound.power_speed),
        _next_size(batch, ceiling, flags),
        *_windings(few, motor, power, hover),
    ]
    whole = replace(
        match,
        bound="torque" if bound.torque_bound[0] else "speed",
        figures=tuple(figures),
        sensitivities=_sensitivities(batch, motor, power),
        sweep=_sweep(few, load),
        flags=(*load.flags, *flags),
    )
    return replace(whole, sentences=match_sentences(whole))


def winding_sweep(load: PropellerLoad, motor: MotorModel, power: Power, heating: Heating | None = None) -> WindingSweep:
    """Return the thrust at full throttle over KV alone, for a picture."""
    batch = warm_at_full_throttle(machine_batch(extended_load(load), motor, power), heating, STANDARD_TEMPERATURE)
    return _sweep(pruned(batch, thrust_ceiling(batch.machine).thrust), load)


def _next_size(batch: Batch, ceiling: Ceiling, flags: tuple[str, ...]) -> Estimated:
    gain = floats(thrust_ceiling(enlarged(batch.machine)).thrust / ceiling.thrust - 1.0)
    return estimated(batch, "next-size-gain", gain, flags=flags)


def _windings(few: Batch, motor: MotorModel, power: Power, hover: float | None) -> list[Estimated]:
    """Return the KV of greatest thrust and those of least power at a hover thrust."""
    assert motor.kv is not None
    found = []
    if motor.max_current is None and power.current_limit is None:
        found.append(absent("strongest-kv", LIMITS))
    else:
        found += _chosen(few, "strongest-kv", strongest_winding(few.machine), "it lies beyond all KV looked at")
    if hover is None:
        reason = "no hover thrust is stated: --hover"
        return [*found, *(absent(name, reason) for name in ("efficient-kv", "efficient-kv-with-reserve"))]
    for name, reserve in (("efficient-kv", 1.0), ("efficient-kv-with-reserve", RESERVE)):
        choice = efficient_winding(few.machine, hover, reserve=reserve)
        times = "" if reserve == 1.0 else f"{reserve:g} times "
        found += _chosen(few, name, choice, f"no winding of this size reaches {times}that thrust within the limits")
    return found


def _chosen(few: Batch, name: str, choice: WindingChoice, reason: str) -> list[Estimated]:
    if not np.isfinite(choice.ratio[0]):
        return [absent(name, reason)]
    if choice.at_edge[0]:
        return [absent(name, "it lies beyond 0.4 to 2.5 times the motor's KV, where nobody winds this size")]
    return [estimated(few, name, floats(choice.ratio * floats(few.machine.constants.kv)))]


def _sensitivities(batch: Batch, motor: MotorModel, power: Power) -> dict[str, float]:
    """Return d ln T/d ln x of the thrust ceiling for what a buyer can change."""

    def slope(name: str) -> float:
        up, down = (
            float(thrust_ceiling(_moved(batch.central, name, 1.0 + sign * STEP)).thrust[0]) for sign in (1.0, -1.0)
        )
        return float(np.log(up / down) / np.log((1.0 + STEP) / (1.0 - STEP)))

    limits = motor.max_current is not None or power.current_limit is not None
    names = ("kv", "resistance", "voltage", *(("current-limit",) if limits else ()))
    return {name: slope(name) for name in names}


def _moved(machine: Machine, name: str, factor: float) -> Machine:
    """Return the machine with one property changed and all others as they are: no rewinding."""
    if name in {"kv", "resistance"}:
        changed = {name: floats(getattr(machine.constants, name)) * factor}
        return machine._replace(constants=machine.constants._replace(**changed))
    if name == "voltage":
        return machine._replace(supply=machine.supply._replace(voltage=floats(machine.supply.voltage) * factor))
    supply = machine.supply._replace(current_limit=floats(machine.supply.current_limit) * factor)
    return machine._replace(supply=supply, heat_limit=floats(machine.heat_limit) * factor)


def _sweep(few: Batch, load: PropellerLoad) -> WindingSweep:
    ratios = np.geomspace(*SWEEP, SWEEP_POINTS)
    thrust = thrust_over_winding(few.machine, ratios)
    steps = len(few.causes)
    effects = 0.5 * (thrust[1 : 1 + steps] - thrust[1 + steps :])
    free = few.central._replace(heat_limit=np.inf, supply=few.machine.supply._replace(current_limit=np.inf))
    kv = floats(few.central.constants.kv)[0] * ratios
    beyond = thrust[0] > _thrust_at(load)
    return WindingSweep(
        floats(kv),
        floats(thrust[0]),
        floats(np.sqrt(np.nansum(effects**2, axis=0))),
        thrust_over_winding(free, ratios)[0],
        float(kv[np.argmax(beyond)]) if beyond.any() else float("inf"),
    )


def _thrust_at(load: PropellerLoad) -> float:
    """Return the thrust at the greatest speed that was measured."""
    inside: Floats = load.thrust[load.speed <= load.high * (1.0 + 1e-9)]
    return float(inside[-1]) * (1.0 + 1e-6)
