"""A propeller on a motor as one batch: the case itself and, for each source of error, the case moved by it.

Figures of all cases come from one pass; half the difference of a source's two cases is its contribution (JCGM 100,
5.1.3, sensitivities by finite steps of one standard uncertainty).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

import numpy as np

from isothrust.records.curve import Scope
from isothrust.records.load import PropellerLoad
from isothrust.records.motor import CONSTANTS, MotorModel
from isothrust.records.prediction import Estimated, Power
from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution
from isothrust.science.arrays import floats
from isothrust.science.machine import Machine
from isothrust.science.operating import DriveConstants, SupplyLine
from isothrust.science.uncertainty import combine, coverage_interval

__all__ = ["Batch", "ErrorCause", "absent", "estimated", "machine_batch", "pruned"]

CONSTANT_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "kv": "motor KV",
        "resistance": "motor resistance",
        "loss_resistance": "controller resistance",
        "friction": "motor friction",
        "viscous": "motor friction that rises with speed",
        "idle_power": "controller's own power",
    }
)


@dataclass(frozen=True, slots=True)
class ErrorCause:
    """A source of error, without its size."""

    source: str
    key: str
    scope: Scope
    degrees_of_freedom: float


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """1 + 2 s cases: as it is, each of s sources upwards, each downwards."""

    machine: Machine
    causes: tuple[ErrorCause, ...]
    motor: MotorModel

    @property
    def count(self) -> int:
        """How many cases."""
        return 1 + 2 * len(self.causes)

    @property
    def central(self) -> Machine:
        """The first case alone."""
        return self.rows(slice(0, 1))

    def rows(self, which: slice | Sequence[int]) -> Machine:
        """Return some of the cases."""
        machine = self.machine
        return machine._replace(
            constants=DriveConstants(*(floats(value)[which] for value in machine.constants)),
            torque=machine.torque[which],
            thrust=machine.thrust[which],
            warmth=floats(machine.warmth)[which],
        )


def machine_batch(
    load: PropellerLoad, motor: MotorModel, power: Power, *, rotors: int = 1, limit_heat: bool = True
) -> Batch:
    """Return the batch of a design on a motor; constants that are not known count as nil."""
    causes = [ErrorCause(one.source, one.key, one.scope, one.degrees_of_freedom) for one in load.sources]
    count = 1 + 2 * (len(causes) + len(CONSTANTS) + 1)
    thrust, torque = np.tile(load.thrust, (count, 1)), np.tile(load.torque, (count, 1))
    constants = np.tile([_known(motor, name) for name in CONSTANTS], (count, 1))
    warmth = np.full(count, motor.warmth)
    steps = count // 2
    for place, source in enumerate(load.sources, 1):
        for row, sign in ((place, 1.0), (place + steps, -1.0)):
            thrust[row] += sign * source.thrust
            torque[row] += sign * source.torque
    for name, column in zip(CONSTANTS, _columns(motor).T, strict=True):
        causes.append(
            ErrorCause(CONSTANT_WORDS[name], f"motor {motor.name} {name}", "campaign", motor.degrees_of_freedom)
        )
        constants[len(causes)] += column
        constants[len(causes) + steps] -= column
    causes.append(ErrorCause("winding temperature", f"motor {motor.name} warmth", "run", np.inf))
    warmth[len(causes)] += motor.u_warmth
    warmth[len(causes) + steps] -= motor.u_warmth
    heat = motor.max_current if limit_heat and motor.max_current is not None else np.inf
    supply_limit = np.inf if power.current_limit is None else power.current_limit
    machine = Machine(
        DriveConstants(*(floats(column) for column in constants.T)),
        load.speed,
        torque,
        thrust,
        SupplyLine(power.voltage, power.resistance * rotors, supply_limit),
        warmth,
        heat,
    )
    return Batch(machine, tuple(causes), motor)


def pruned(batch: Batch, values: Floats, share: float = 1e-3) -> Batch:
    """Return the batch without the sources that hardly move a figure (count,): a sweep has no time for them."""
    effects = _effects(values)
    total = float(np.sum(effects**2))
    kept = [place for place, effect in enumerate(effects) if effect**2 > share * total]
    steps = len(batch.causes)
    rows = [0, *(1 + place for place in kept), *(1 + steps + place for place in kept)]
    return replace(batch, machine=batch.rows(rows), causes=tuple(batch.causes[place] for place in kept))


def absent(name: str, reason: str, *, flags: Sequence[str] = ()) -> Estimated:
    """Return a figure that there is none of."""
    return Estimated(name, None, flags=tuple(flags), absent=reason)


def estimated(
    batch: Batch,
    name: str,
    values: Floats,
    *,
    error: float | None = None,
    beside: Sequence[Contribution] = (),
    flags: Sequence[str] = (),
) -> Estimated:
    """Return a figure from its values in all cases (count,), with budget and interval.

    `error` is how far predictions of designs left out were off, relative: where that is more than the known sources
    other than the rig's explain, the rest is a source of its own. `beside` moves this figure and no other.
    """
    value = float(values[0])
    if not np.isfinite(value):
        return absent(name, "it cannot be reached", flags=flags)
    lines = [
        Contribution(cause.source, cause.key, cause.scope, float(effect), cause.degrees_of_freedom)
        for cause, effect in zip(batch.causes, _effects(values), strict=True)
        if abs(effect) > 1e-9 * abs(value)
    ]
    lines += beside
    model = _model_error(batch.motor, value, lines, error)
    if model is not None:
        lines.append(model)
    if not lines:
        return Estimated(name, value, 0.0, (value, value), np.inf, (), tuple(flags))
    contributions, dofs = (
        np.array([getattr(line, part) for line in lines]) for part in ("contribution", "degrees_of_freedom")
    )
    u, dof = combine([line.key for line in lines], contributions, dofs)
    low, high = coverage_interval(value, u, dof)
    lines.sort(key=lambda line: -abs(line.contribution))
    return Estimated(name, value, float(u), (float(low), float(high)), float(dof), tuple(lines), tuple(flags))


def _effects(values: Floats) -> Floats:
    """Return half the difference of each source's two cases; one-sided where one of them cannot be reached."""
    steps = (values.size - 1) // 2
    up, down = values[1 : 1 + steps] - values[0], values[0] - values[1 + steps :]
    both = 0.5 * (up + down)
    return floats(np.nan_to_num(np.where(np.isfinite(both), both, np.where(np.isfinite(up), up, down))))


def _model_error(
    motor: MotorModel, value: float, lines: Sequence[Contribution], error: float | None
) -> Contribution | None:
    if error is None or not np.isfinite(error):
        return None
    explained = sum(line.contribution**2 for line in lines if line.scope != "rig")
    rest = (error * value) ** 2 - explained
    if rest <= 0.0:
        return None
    words = "what predictions of designs left out were off by"
    # From about one error a design; fewer than three tell hardly more than the order of size.
    dof = float(max(len(motor.designs), 1))
    return Contribution(words, f"motor {motor.name} predictions", "campaign", float(np.sqrt(rest)), dof)


def _known(motor: MotorModel, name: str) -> float:
    value = getattr(motor, name)
    return 0.0 if value is None else float(value)


def _columns(motor: MotorModel) -> Floats:
    """Return L with L L' = covariance: a column moves a constant, and those after it that go along."""
    covariance = np.nan_to_num(np.asarray(motor.covariance, dtype=np.float64))
    scale = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    unit = np.where(scale > 0.0, scale, 1.0)
    correlation = covariance / np.outer(unit, unit)
    values, vectors = np.linalg.eigh(correlation)
    # A fit's covariance may be singular to rounding: QR of its square root gives the triangle all the same.
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    lower = np.linalg.qr(root.T).R.T
    signs = np.where(np.diag(lower) < 0.0, -1.0, 1.0)
    return floats(lower * signs * unit[:, None])
