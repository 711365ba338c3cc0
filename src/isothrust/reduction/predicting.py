"""Predictions of a design on a motor: full throttle, hover, endurance, the rotor's answer, and bounds of airspeed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from isothrust.records.book import Design
from isothrust.records.load import PropellerLoad
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Craft, Estimated, Place, Power
from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution
from isothrust.records.result import Result
from isothrust.reduction.figures_words import said
from isothrust.reduction.machines import Batch, absent, estimated
from isothrust.science.airspeed import Craft as Flown
from isothrust.science.airspeed import Line, climb_bounds, level_flight_bounds
from isothrust.science.arrays import floats
from isothrust.science.flight import (
    constant_power_endurance,
    control_bandwidth,
    hover_thrust,
    rotor_time_constant,
    thrust_to_weight,
)
from isothrust.science.machine import (
    Ceiling,
    full_throttle_torque,
    load_at,
    no_load_speed,
    state_at_thrust,
    thrust_ceiling,
)
from isothrust.science.momentum import induced_velocity
from isothrust.science.operating import COPPER, OperatingPoint
from isothrust.science.rotor import tip_mach

__all__ = ["BOUNDS", "EXTRAPOLATED", "Ground", "predict_figures"]

EXTRAPOLATED: Final = "extrapolated"
"""Flag: the speed lies beyond those that were measured."""
LIMITED: Final = "current-limited"
"""Flag: a limit of current holds full throttle back."""
BOUNDS: Final = "bounds-only"
"""Flag: no value, only bounds between which it lies."""
NEAR: Final = 0.005
"""Relative step of speed about a point for the slope of the torque."""
PARTS: Final = 50
"""Of the charge, over which endurance is integrated."""
LINE_POINTS: Final = 80


@dataclass(frozen=True, slots=True)
class Ground:
    """What predictions of one design rest on."""

    batch: Batch
    """The winding as warm as at full throttle."""
    hover_batch: Batch
    """The same, as warm as in hover."""
    load: PropellerLoad
    motor: MotorModel
    power: Power
    place: Place
    design: Design
    craft: Craft | None = None
    extrapolate: bool = False
    inertia: Result | None = None
    """Of everything that turned on the campaign's motor."""
    inertia_shift: float | None = 0.0
    """What this motor's rotor has more than that one's [kg m2]; None where it is not known."""
    inertia_absent: str = ""
    flags: Sequence[str] = field(default_factory=tuple)

    def error(self, name: str) -> float | None:
        """Return how far predictions of designs left out were off, relative."""
        return self.motor.prediction_errors.get(name)


def predict_figures(ground: Ground) -> tuple[Estimated, ...]:
    """Return every figure, each with its value, its bounds, or the reason why there is none."""
    figures = list(_full_throttle(ground))
    if ground.craft is not None:
        figures += _craft_figures(ground, ground.craft)
    return tuple(figures)


def _full_throttle(ground: Ground) -> list[Estimated]:
    ceiling = thrust_ceiling(ground.batch.machine)
    point = ceiling.point
    make = _Maker(ground, float(point.speed[0]), "at full throttle")
    if point.motor_limited[0] or point.supply_limited[0]:
        make.flags.append(LIMITED)
    figures = [
        make("peak-thrust", ceiling.thrust, "thrust"),
        make("peak-speed", point.speed, "speed"),
        make("peak-current", point.current, "current"),
        make("peak-electrical-power", floats(point.current * point.voltage), "current"),
        make("peak-shaft-power", floats(point.torque * point.speed), None),
        make("peak-voltage", point.voltage, None),
    ]
    diameter = ground.design.diameter
    if diameter is None:
        figures += [absent(name, "propellers.csv states no diameter") for name in DISC]
    else:
        mach = tip_mach(point.speed / (2.0 * np.pi), diameter, ground.place.speed_of_sound)
        figures.append(make("static-tip-mach", mach, "speed"))
        induced = induced_velocity(ceiling.thrust, ground.place.density, diameter)
        figures.append(make("static-inflow-ratio", floats(induced / (point.speed * diameter / 2.0)), None))
    return figures


def _craft_figures(ground: Ground, craft: Craft) -> list[Estimated]:
    ceiling = thrust_ceiling(ground.batch.machine)
    peak = _Maker(ground, float(ceiling.point.speed[0]), "at full throttle")
    figures = [
        peak("craft-peak-current", floats(craft.rotors * ceiling.point.current), "current"),
        peak("thrust-to-weight", thrust_to_weight(ceiling.thrust, craft.mass, craft.rotors), "thrust"),
    ]
    wanted = float(hover_thrust(craft.mass, craft.rotors))
    if not ceiling.thrust[0] >= wanted:
        reason = _too_heavy(ground, wanted, float(ceiling.thrust[0]))
        return [*figures, *(absent(name, reason) for name in (*HOVER, *AIRSPEED))]
    state = state_at_thrust(ground.hover_batch.machine, wanted)
    hover = _Maker(ground, float(state.speed[0]), "in hover", batch=ground.hover_batch)
    figures += _hover(ground, craft, hover, state)
    figures += _response(ground, hover, state)
    figures += _airspeeds(ground, craft, ceiling)
    return figures


DISC: Final = ("static-tip-mach", "static-inflow-ratio")
HOVER: Final = (
    "hover-speed",
    "hover-duty",
    "hover-throttle",
    "hover-current",
    "hover-electrical-power",
    "craft-hover-current",
    "craft-hover-power",
    "endurance",
    "hover-time-constant",
    "control-bandwidth",
)
AIRSPEED: Final = ("climb-speed", "level-flight-speed")


def _too_heavy(ground: Ground, wanted: float, most: float) -> str:
    limits = "" if ground.power.current_limit is None else f" within {ground.power.current_limit:g} A"
    if not np.isfinite(most):
        return f"hover takes {said('thrust', wanted)} a rotor, and the motor does not turn it{limits}"
    return f"hover takes {said('thrust', wanted)} a rotor, full throttle gives {said('thrust', most)}{limits}"


class _Maker:
    """Makes figures that hold at one speed: refused, or marked, where that speed was not measured."""

    def __init__(self, ground: Ground, speed: float, where: str, *, batch: Batch | None = None) -> None:
        self.ground, self.speed = ground, speed
        self.batch = batch or ground.batch
        load = ground.load
        slack = 1e-9 * load.high
        self.flags = list(ground.flags)
        self.reason = ""
        if load.low - slack <= speed <= load.high + slack:
            return
        if not np.isfinite(speed):
            self.reason = f"the motor does not turn this propeller {where}"
        elif ground.extrapolate and ground.load.speed[0] <= speed <= ground.load.speed[-1]:
            self.flags.append(EXTRAPOLATED)
        else:
            reach = "even what may be extrapolated" if ground.extrapolate else "the measured speeds"
            ends = (load.speed[0], load.speed[-1]) if ground.extrapolate else (load.low, load.high)
            told = f"{said('speed', float(ends[0]))} to {said('speed', float(ends[1]))}"
            advice = "" if ground.extrapolate else "; --extrapolate carries the curves on, with a wider interval"
            self.reason = f"{where} it would turn at {said('speed', speed)}, beyond {reach}, {told}{advice}"

    def __call__(self, name: str, values: Floats, error: str | None, beside: Sequence[Contribution] = ()) -> Estimated:
        """Return a figure; `error` names which prediction error it has."""
        if self.reason:
            return absent(name, self.reason)
        known = None if error is None else self.ground.error(error)
        return estimated(self.batch, name, values, error=known, beside=beside, flags=self.flags)


def _hover(ground: Ground, craft: Craft, make: _Maker, state: OperatingPoint) -> list[Estimated]:
    power = floats(state.voltage * state.current)
    return [
        make("hover-speed", state.speed, None),
        make("hover-duty", state.duty, None),
        _throttle(ground, make, state.duty),
        make("hover-current", state.current, "current-mid"),
        make("hover-electrical-power", power, "current-mid"),
        make("craft-hover-current", floats(craft.rotors * state.current), "current-mid"),
        make("craft-hover-power", floats(craft.rotors * power), "current-mid"),
        _endurance(ground, make, floats(craft.rotors * power)),
    ]


def _throttle(ground: Ground, make: _Maker, duty: Floats) -> Estimated:
    """Return the throttle that gives a duty on the controller whose map was found; another one's is not known."""
    known = ground.motor.duty
    if known is None:
        reason = ground.motor.unidentified.get("duty", "the controller's map from throttle to duty is not known")
        return absent("hover-throttle", reason)
    if not known.duty[0] <= duty[0] <= known.duty[-1]:
        return absent("hover-throttle", "the duty lies outside the map that was found")
    throttle = floats(np.interp(duty, known.duty, known.throttle))
    steep = float(np.interp(duty[0], known.duty, np.gradient(known.throttle, known.duty)))
    u = steep * float(np.interp(throttle[0], known.throttle, known.uncertainty))
    map_line = Contribution("map from throttle to duty", f"motor {ground.motor.name} duty", "campaign", u, np.inf)
    return make("hover-throttle", throttle, None, [map_line])


def _endurance(ground: Ground, make: _Maker, power: Floats) -> Estimated:
    supply = ground.power
    if supply.usable_energy is None:
        return absent("endurance", "no usable energy is stated: --usable-energy")
    end = supply.voltage if supply.empty_voltage is None else supply.empty_voltage
    places = (np.arange(PARTS) + 0.5) / PARTS
    voltages = supply.voltage + places * (end - supply.voltage)
    time = constant_power_endurance(power, supply.usable_energy, voltages, supply.resistance)
    if not np.isfinite(time[0]):
        return absent("endurance", "the battery cannot give the power of hover down to its empty voltage")
    return make("endurance", time, "current-mid")


def _response(ground: Ground, make: _Maker, state: OperatingPoint) -> list[Estimated]:
    inertia = ground.inertia
    if inertia is None or inertia.value is None or ground.inertia_shift is None:
        reason = ground.inertia_absent or "the rotor's inertia is not known"
        return [absent(name, reason) for name in ("hover-time-constant", "control-bandwidth")]
    machine, motor = ground.hover_batch.machine, ground.motor
    torques = [load_at(machine.speed, machine.torque, state.speed * (1.0 + step)) for step in (-NEAR, NEAR)]
    slope = floats((torques[1] - torques[0]) / (2.0 * NEAR * state.speed))
    turning = inertia.value + ground.inertia_shift
    resistance = floats(machine.constants.resistance) * (1.0 + COPPER * floats(machine.warmth))
    tau = rotor_time_constant(
        turning, slope, machine.constants.kv, resistance, viscous=floats(machine.constants.viscous)
    )
    # The time goes as the inertia, whose errors move no other figure.
    other = (motor.u_rotor_inertia or 0.0) if ground.inertia_shift else 0.0
    u = np.hypot(inertia.standard_uncertainty or 0.0, other) / turning
    dof = inertia.degrees_of_freedom or np.inf
    key = f"design {inertia.design} rotor inertia"
    beside = [Contribution("rotor inertia", key, "sample", float(u * tau[0]), dof)]
    band = control_bandwidth(tau)
    beside_band = [Contribution("rotor inertia", key, "sample", float(-u * band[0]), dof)]
    return [
        make("hover-time-constant", tau, None, beside),
        make("control-bandwidth", band, None, beside_band),
    ]


def _airspeeds(ground: Ground, craft: Craft, ceiling: Ceiling) -> list[Estimated]:
    pitch, diameter = ground.design.pitch, ground.design.diameter
    if not pitch or diameter is None:
        return [absent(name, "propellers.csv states no pitch or no diameter") for name in AIRSPEED]
    make = _Maker(ground, float(ceiling.point.speed[0]), "at full throttle")
    if make.reason:
        return [absent(name, make.reason) for name in AIRSPEED]
    central = ground.batch.central
    static = float(ceiling.point.speed[0])
    speed = np.linspace(static, max(float(no_load_speed(central)[0]), static), LINE_POINTS)
    thrust = np.array([float(load_at(central.speed, central.thrust, one)[0]) for one in speed])
    shaft = full_throttle_torque(central, speed[:, None])[:, 0] * speed
    line = Line(speed, thrust, shaft, diameter, pitch)
    flown = Flown(craft.mass, craft.rotors, craft.drag_area or 0.0, ground.place.density)
    flags = [*make.flags, BOUNDS]
    found = [_bounded("climb-speed", climb_bounds, flown, line, flags)]
    if craft.drag_area is None:
        found.append(absent("level-flight-speed", "no drag area is stated: --drag-area"))
    else:
        found.append(_bounded("level-flight-speed", level_flight_bounds, flown, line, flags))
    return found


def _bounded(
    name: str,
    bounds: Callable[[Flown, Line], tuple[float, float]],
    flown: Flown,
    line: Line,
    flags: Sequence[str],
) -> Estimated:
    return Estimated(name, None, interval=bounds(flown, line), flags=tuple(flags))
