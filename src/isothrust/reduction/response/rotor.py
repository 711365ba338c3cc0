"""What steps tell of rotor and drive: does the controller brake, what inertia do ups, downs and coasts each show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from isothrust.records.estimate import Estimate
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.response.edges import OFF
from isothrust.reduction.response.find import StepsFound
from isothrust.reduction.response.kinds import KindFound
from isothrust.reduction.response.levels import Passage
from isothrust.reduction.response.timing import FAST
from isothrust.reduction.torquing import TorqueFit, inertia_by
from isothrust.reduction.transients import Transients
from isothrust.science.splines import basis_matrix

__all__ = ["RotorFacts", "rotor_facts"]

_BRAKES: Final = 1.35
"""Times a free coast's rate from which on a fall is braked [1]."""
_COASTS: Final = 1.15
"""Times a free coast's rate up to which a fall is a coast [1]."""
_BACK: Final = 0.5
"""Current that must flow back to be told from an offset [A]."""
_MIDDLE: Final = (0.35, 0.75)
"""Share of the way down that is compared."""
_AFTER: Final = 4.0
"""Delays of the torque channel until which it still shows what was before the cut."""
_COAST: Final = (0.4, 0.9)
"""Share of the speed at the cut between which friction is read."""
_CURVE: Final = 0.005
"""What the torque curve between few levels leaves open of each inertia, standard, in proportion."""
_LATE: Final = 0.87
"""Middle of the share of the way that the time constant is read over."""
_STRAIGHT: Final = 0.03
"""What a drive's loss of torque with speed is off a constant, standard, in proportion."""


@dataclass(frozen=True, slots=True)
class RotorFacts:
    """What steps tell beside times and rates."""

    falls: Literal["braking", "coasting", "not known"] = "not known"
    because: str = ""
    inertias: Mapping[str, Estimate] = field(default_factory=lambda: MappingProxyType({}))
    friction: Estimate | None = None
    damping: Estimate | None = None


def rotor_facts(prepared: Prepared, steps: StepsFound, mechanics: Mechanics) -> RotorFacts:
    """Return what the steps of a run tell of its rotor and drive."""
    if steps.followed != "speed":
        return RotorFacts(because="there is no speed")
    down, up = steps.main("down"), steps.main("up")
    torque = mechanics.torque
    falls, because = _falls(prepared, steps, down, torque)
    if torque is None or prepared.transients is None:
        return RotorFacts(falls, because)
    return RotorFacts(
        falls,
        because,
        _inertias(prepared, prepared.transients, torque) if steps.interval <= FAST else {},
        _friction(prepared, steps, torque),
        _damping(up, torque, prepared),
    )


def _falls(
    prepared: Prepared, steps: StepsFound, down: KindFound | None, torque: TorqueFit | None
) -> tuple[Literal["braking", "coasting", "not known"], str]:
    """Return whether the controller brakes on a step down, and what shows it."""
    if down is None or down.timing is None:
        return "not known", "no step down could be timed"
    current = prepared.loads.channels.get("current")
    if current is not None:
        back = float(np.median([_least_current(one, current) for one in down.timing.passages]))
        if back < -_BACK:
            return "braking", f"{-back:.1f} A flow back into the supply on the way down"
    free = _free_fall(prepared, steps, down, torque)
    if free is None:
        return "not known", "the run has no coast to compare with, and no torque and inertia to work one out"
    rate, said = free
    ratio = float(np.median([_steepness(one) for one in down.timing.passages])) / rate
    if ratio > _BRAKES:
        return "braking", f"speed falls {ratio:.2f} times as fast as {said}"
    if ratio < _COASTS:
        return "coasting", f"speed falls as fast as {said} ({ratio:.2f} of it)"
    return "not known", f"speed falls {ratio:.2f} times as fast as {said}: too little to tell"


def _least_current(one: Passage, current: Channel) -> float:
    inside = (
        (current.time >= one.edge.start) & (current.time <= one.edge.start + 0.3) & (current.time <= one.edge.until)
    )
    values = current.values[inside]
    return float(np.quantile(values, 0.1)) if values.size else 0.0


def _speeds(one: Passage) -> Floats:
    return np.asarray(one.before + one.share * (one.after - one.before))


def _steepness(one: Passage) -> float:
    """Return how fast a fall is in the middle of its way, in rad/s2."""
    inside = np.flatnonzero((one.share > _MIDDLE[0]) & (one.share < _MIDDLE[1]))
    if inside.size < 2:
        inside = np.array([np.argmin(np.abs(one.share - 0.4)), np.argmin(np.abs(one.share - 0.8))])
    first, last = int(inside[0]), int(inside[-1])
    speeds = _speeds(one)
    return float((speeds[first] - speeds[last]) / max(one.time[last] - one.time[first], 1e-6))


def _free_fall(
    prepared: Prepared, steps: StepsFound, down: KindFound, torque: TorqueFit | None
) -> tuple[float, str] | None:
    """Return how fast a rotor left to itself slows in the middle of the step down [rad/s2], and from where that is."""
    high, low = down.kind.from_level, down.kind.to_level
    fast, slow = (high + share * (low - high) for share in _MIDDLE)
    throttle = prepared.loads.channels.get("throttle")
    if throttle is not None:
        cut = np.flatnonzero((throttle.values[:-1] >= OFF) & (throttle.values[1:] < OFF))
        for start in throttle.time[cut + 1].tolist():
            rate = _rate_between(steps.channel, start, fast, slow)
            if rate is not None:
                return rate, "in the run's own coast with the motor off"
    if torque is None or torque.inertia is None:
        return None
    speed = 0.5 * (fast + slow)
    return _aero(prepared, torque, speed) / torque.inertia.value, "the air alone would slow it (by torque and inertia)"


def _rate_between(channel: Channel, start: float, fast: float, slow: float) -> float | None:
    after = channel.time >= start
    time, value = channel.time[after], channel.values[after]
    above, below = np.flatnonzero(value < fast), np.flatnonzero(value < slow)
    if value.size == 0 or value[0] < fast or not below.size:
        return None
    took = float(time[below[0]] - time[above[0]])
    return (float(value[above[0]]) - float(value[below[0]])) / took if took > 0.0 else None


def _aero(prepared: Prepared, torque: TorqueFit, speed: float) -> float:
    """Return the aerodynamic torque at a speed in the air of the day [N m]."""
    x = np.clip(np.array([speed]), prepared.site.knots[0], prepared.site.knots[-1])
    coefficient = float((basis_matrix(x, prepared.site.knots) @ torque.curve.fit.coefficients)[0])
    return torque.given.density * speed**2 * coefficient


def _inertias(prepared: Prepared, transients: Transients, torque: TorqueFit) -> dict[str, Estimate]:
    """Return the rotor inertia by steps up, steps down and the coast, each from its own transients alone."""
    parts: dict[int, int] = {}
    for number in np.unique(transients.segment).tolist():
        of = transients.segment == number
        speed = transients.values["speed"][of]
        off = "throttle" in transients.values and float(transients.values["throttle"][of][-1]) < OFF
        parts[number] = 2 if off else 0 if speed[-1] > speed[0] else 1
    found = inertia_by(prepared.site, torque.given, transients, parts)
    return {
        name: Estimate(
            found[kind].inertia,
            float(np.hypot(found[kind].u_inertia, _CURVE * found[kind].inertia)),
            10.0,
            f"{name} alone, the delay of all transients",
        )
        for kind, name in enumerate(("steps up", "steps down", "coast"))
        if kind in found
    }


def _friction(prepared: Prepared, steps: StepsFound, torque: TorqueFit) -> Estimate | None:
    """Return bearing and iron drag: what the cell reads while the rotor coasts with the phases off."""
    throttle, cell = prepared.loads.channels.get("throttle"), prepared.loads.channels.get("torque")
    if throttle is None or cell is None:
        return None
    cut = np.flatnonzero((throttle.values[:-1] >= OFF) & (throttle.values[1:] < OFF))
    if not cut.size:
        return None
    start = float(throttle.time[cut[-1] + 1]) + _AFTER * max(torque.lag.value, 0.0) + 0.02
    speed = np.interp(cell.time, steps.channel.time, steps.channel.values)
    at_cut = float(np.interp(float(throttle.time[cut[-1]]), steps.channel.time, steps.channel.values))
    inside = (cell.time > start) & (speed > _COAST[0] * at_cut) & (speed < _COAST[1] * at_cut)
    if np.count_nonzero(inside) < 8:
        return None
    values = -cell.values[inside]
    zero = prepared.loads.zeros.get("torque")
    scatter = float(np.std(values, ddof=1)) / np.sqrt(max(values.size / 20.0, 1.0))
    u = float(np.hypot(scatter, zero.uncertainty if zero is not None else 0.0))
    return Estimate(float(np.mean(values)), u, 5.0, "torque cell in the coast")


def _damping(up: KindFound | None, torque: TorqueFit, prepared: Prepared) -> Estimate | None:
    """Return what torque the drive loses with speed: J/lag = D + dQ_aero/d omega where the step settles."""
    if up is None or up.kind.lag is None or up.kind.u_lag is None or torque.inertia is None:
        return None
    speed, inertia = up.kind.to_level, torque.inertia
    # the time constant is that of the way from 75 to 95 %: the air's pull is the chord from there to the level
    between = speed - (1.0 - _LATE) * (speed - up.kind.from_level)
    air = (_aero(prepared, torque, speed) - _aero(prepared, torque, between)) / (speed - between)
    total = inertia.value / up.kind.lag
    damping = total - air
    parts = (up.kind.u_lag / up.kind.lag, inertia.uncertainty / inertia.value)
    u = float(np.hypot(total * float(np.hypot(*parts)), _STRAIGHT * damping))
    if not damping > 2.0 * u:
        return None
    return Estimate(damping, u, 10.0, "time constant of the steps up, inertia and torque curve")
