"""A motor without torque sensing: what voltage, current and speed at full duty tell of it, and what they do not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from isothrust.records.motor import CONSTANTS, MotorModel
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.motor_duty import supply_line
from isothrust.reduction.motor_words import missing_channels, without_balance
from isothrust.science.drive_model import RigDoubt
from isothrust.science.operating import COPPER

__all__ = ["motor_without_torque"]

_WARMTH: Final = (40.0, 25.0)
"""How warm a winding is at the end of a run to full throttle, and its doubt [K]: no torque says what heat it got."""
_MOTOR_CURRENT: Final = 0.015
"""Share by which the motor's current differs from the supply's at full duty: the controller's own loss [1]."""
_TIMES: Final = ("never", "once", "twice")
_APART: Final = 0.15
"""Currents must differ by this share for KV and resistance to be told apart [1]."""


def motor_without_torque(
    name: str, runs: Sequence[ReducedRun], doubt: RigDoubt, flags: tuple[str, ...] = ()
) -> MotorModel:
    """Return KV and resistance from V = omega/KV + R i at full duty with several loads; the rest is absent.

    At full duty the motor's current is the supply's, but for the controller's loss, which is budgeted.
    """
    voltage, current, speed = _full(runs)
    kv, resistance, covariance, why = _line(voltage, current, speed, doubt)
    if voltage.size == 0:
        why = _no_full(runs)
    covered = np.full((len(CONSTANTS), len(CONSTANTS)), np.nan)
    unidentified = {"kv": why, "resistance": why} if why else {}
    if not why:
        covered[:2, :2] = covariance
    unidentified |= without_balance(runs)
    return MotorModel(
        name,
        "found",
        kv=kv,
        resistance=resistance,
        loss_resistance=None,
        friction=None,
        viscous=None,
        idle_power=None,
        covariance=covered,
        warmth=_WARMTH[0],
        u_warmth=_WARMTH[1],
        degrees_of_freedom=max(1.0, voltage.size - 2.0),
        supply=supply_line(runs),
        runs=tuple(run.run for run in runs),
        designs=tuple(sorted({run.design for run in runs})),
        unidentified={constant: unidentified[constant] for constant in CONSTANTS if constant in unidentified},
        flags=(*flags, "torque-not-measured"),
    )


def _full(runs: Sequence[ReducedRun]) -> tuple[Floats, Floats, Floats]:
    """Return voltage, current and speed at full duty of all runs (n,)."""
    found: list[tuple[float, float, float]] = []
    for run in runs:
        p = run.drive
        if p is None or p.full is None or p.voltage is None or p.current is None:
            continue
        at = p.full > 0.5
        found += zip(p.voltage[at].tolist(), p.current[at].tolist(), p.speed[at].tolist(), strict=True)
    rows = np.array(found).reshape(-1, 3)
    return rows[:, 0], rows[:, 1], rows[:, 2]


def _line(
    voltage: Floats, current: Floats, speed: Floats, doubt: RigDoubt
) -> tuple[float | None, float | None, Floats, str]:
    none = np.full((2, 2), np.nan)
    if voltage.size < 3:
        return (
            None,
            None,
            none,
            f"full throttle was recorded {_TIMES[voltage.size]}: three times with unlike loads is wanted",
        )
    if float(np.ptp(current)) < _APART * float(current.max()):
        return (
            None,
            None,
            none,
            "all runs draw the same current at full throttle: propellers of unlike load are wanted",
        )
    kt, resistance, covariance = _solved(voltage, current, speed, _WARMTH[0])
    if kt <= 0.0 or resistance <= 0.0:
        return (
            None,
            None,
            none,
            "voltage, speed and current at full throttle contradict each other: no motor is like that",
        )
    hot, cold = (_solved(voltage, current, speed, _WARMTH[0] + sign * _WARMTH[1]) for sign in (1.0, -1.0))
    by_warmth = 0.5 * np.array([hot[0] - cold[0], hot[1] - cold[1]])
    kv = 1.0 / kt
    turn = np.diag([-(kv**2), 1.0])
    out = turn @ (covariance + np.outer(by_warmth, by_warmth)) @ turn.T
    out[0, 0] += (kv * float(np.hypot(doubt.voltage, doubt.speed))) ** 2
    shared = np.array([doubt.voltage, doubt.current, _MOTOR_CURRENT])
    out[1, 1] += resistance**2 * float(np.sum(shared**2))
    out[0, 1] -= kv * resistance * doubt.voltage**2
    out[1, 0] = out[0, 1]
    return kv, resistance, out, ""


def _solved(voltage: Floats, current: Floats, speed: Floats, warmth: float) -> tuple[float, float, Floats]:
    """Return 1/KV and resistance by least squares, with their covariance (2, 2), the mean run's winding so warm.

    Warmth goes with the square of current: runs of one schedule heat their winding for the same time.
    """
    mean = float(current.mean())
    design = np.stack([speed, current * (1.0 + COPPER * warmth * (current / mean) ** 2)], axis=1)
    size = np.linalg.norm(design, axis=0)
    scaled = design / size
    solution = np.linalg.solve(scaled.T @ scaled, scaled.T @ voltage) / size
    rest = voltage - design @ solution
    noise = max(float(np.sum(rest**2)) / max(1, voltage.size - 2), (1e-3 * float(voltage.mean())) ** 2)
    covariance = np.linalg.inv(scaled.T @ scaled) * noise / np.outer(size, size)
    return float(solution[0]), float(solution[1]), covariance


def _no_full(runs: Sequence[ReducedRun]) -> str:
    """Say why there is no reading at full throttle."""
    points = [run.drive for run in runs if run.drive is not None]
    if not any(each.voltage is not None and each.current is not None for each in points):
        return missing_channels(runs)
    if not any(each.throttle is not None for each in points):
        return "no run has a throttle channel: duty is known nowhere"
    return "no run stays at 100 % throttle for a fifth of a second: duty is known nowhere"
