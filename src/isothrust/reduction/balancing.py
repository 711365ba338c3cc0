"""The balance of a sample from its runs with and without trial masses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.errors import UsageError
from isothrust.records.balance import Balance, Trial, UnbalancePart
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.vibration import TurningVector
from isothrust.science.balance import (
    LEAST_CHANGE,
    Correction,
    balance_grade,
    correction_from_amplitudes,
    correction_from_vectors,
    grade_name,
    split_by_turning,
)

__all__ = ["BalanceRun", "find_balance"]

_LOW = 0.4
"""Of the greatest common speed, from which the vectors count [1]: below, an unbalance hardly pulls."""
_WINDOWS_ALIKE = 2.0
"""Neighbouring windows of speed share so many frames that this many count for one [1]."""
_SAME_SPEED = 1e-9
_SLOW_SAMPLING = 2.5
"""Times once per revolution that the accelerometer must be sampled at, at least [1]."""


@dataclass(frozen=True, slots=True)
class BalanceRun:
    """A reduced run with what was on the hub."""

    reduced: ReducedRun
    trial: Trial | None = None
    turned: bool = False
    """True where the propeller was mounted at 180 degrees to its usual place on the hub."""


def find_balance(runs: Sequence[BalanceRun], rotor_mass: float | None, *, top: float | None = None) -> Balance:
    """Return the balance of one sample in one campaign.

    Parameters
    ----------
    runs
        Runs of that sample, with their trial masses.
    rotor_mass
        Of all that turns [kg]; None where it is not known: there is then no grade.
    top
        Service speed that the grade holds at [rad/s]; None: the greatest that the run without a trial reached.

    Raises
    ------
    UsageError
        balance-runs-missing, balance-trials-missing, trial-too-small: with what to run.
    """
    usable = [run for run in runs if _vector(run.reduced) is not None]
    trials = [run for run in usable if run.trial is not None]
    mounting = trials[0].reduced.mounting if trials else ""
    trials = [run for run in trials if run.reduced.mounting == mounting]
    before = next((run for run in usable if run.trial is None and run.reduced.mounting == mounting), None)
    if before is None or not trials:
        raise _missing(runs, usable)
    if trials[0].turned != before.turned:
        raise _missing(runs, usable)
    common = _common([before, *trials])
    vectors = [_at(run, common) for run in (before, *trials)]
    marked = all(_known(run.reduced).marked for run in (before, *trials))
    puts = [_unbalance(run.trial) for run in trials if run.trial is not None]
    correction = _marked(vectors, puts) if marked else _unmarked(vectors, puts, trials)
    _check_change(correction, trials)
    radius = trials[0].trial.radius if trials[0].trial is not None else 0.0
    greatest = top if top is not None else float(_known(before.reduced).speed.max())
    grade = None if rotor_mass is None else float(balance_grade(correction.size, rotor_mass, greatest))
    hub, blade = _split(usable, before, vectors, puts, common) if marked else (None, None)
    return Balance(
        design=before.reduced.design,
        sample=before.reduced.sample,
        campaign=before.reduced.campaign,
        mounting=mounting,
        initial=before.reduced.run,
        trials=tuple(run.reduced.run for run in trials),
        marked=marked,
        correction=_part(correction),
        radius=radius,
        change=correction.change,
        low=float(common.min()),
        high=float(common.max()),
        service_speed=greatest,
        rotor_mass=rotor_mass,
        grade=grade,
        grade_name=None if grade is None else grade_name(grade),
        hub=hub,
        blade=blade,
        notes=_notes(marked=marked, split=hub is not None, mass=rotor_mass),
    )


def _vector(run: ReducedRun) -> TurningVector | None:
    """Return a run's once-per-revolution vector, where its accelerometer was fast enough for it."""
    record = run.vibration
    if record is None or record.turning is None or record.turning.speed.size == 0:
        return None
    turning = record.turning
    fast_enough = turning.speed / (2.0 * np.pi) * _SLOW_SAMPLING <= record.rate
    return turning if fast_enough.any() else None


def _known(run: ReducedRun) -> TurningVector:
    turning = _vector(run)
    assert turning is not None
    return turning


def _common(runs: Sequence[BalanceRun]) -> Floats:
    """Return the speeds that all runs have a vector at, without the slow ones."""
    speeds = _known(runs[0].reduced).speed
    for run in runs[1:]:
        other = _known(run.reduced).speed
        near = np.abs(other[None, :] / speeds[:, None] - 1.0).min(axis=1) < _SAME_SPEED
        speeds = speeds[near]
    if speeds.size:
        speeds = speeds[speeds >= _LOW * float(speeds.max())]
    if speeds.size == 0:
        raise UsageError(
            "the runs have no speed in common at which once per revolution was measured",
            code="balance-runs-missing",
            expected="the same schedule with and without the trial mass",
            fix="run the same ramp once without and once with the trial mass, without taking the propeller off",
        )
    return speeds


@dataclass(frozen=True, slots=True)
class _Vectors:
    """Complex amplitudes (n,) over speeds and axes, and the standard uncertainty of each part."""

    value: np.ndarray
    u: Floats


def _at(run: BalanceRun, speeds: Floats) -> _Vectors:
    turning = _known(run.reduced)
    place = np.argmin(np.abs(turning.speed[None, :] / speeds[:, None] - 1.0), axis=1)
    value = (turning.real + 1j * turning.imaginary)[place].ravel()
    u = np.maximum(turning.uncertainty[place].ravel(), 1e-3 * np.abs(value))
    return _Vectors(value, np.maximum(u, 1e-9) * float(np.sqrt(_WINDOWS_ALIKE)))


def _unbalance(trial: Trial) -> complex:
    return complex(trial.mass * trial.radius * np.exp(1j * trial.angle))


def _marked(vectors: Sequence[_Vectors], puts: Sequence[complex]) -> Correction:
    """Return the mean of what each trial gives, weighted by how well it tells it."""
    before = vectors[0]
    each = [
        correction_from_vectors(before.value, after.value, before.u, after.u, put)
        for after, put in zip(vectors[1:], puts, strict=True)
    ]
    weight = np.array([1.0 / max(float(np.trace(one.covariance)), 1e-300) for one in each])
    value = complex(sum(w * one.unbalance for w, one in zip(weight, each, strict=True)) / weight.sum())
    # all lean on the same run without a mass: their mean is no better known than the best of them
    covariance = np.eye(2) * 0.5 * min(float(np.trace(one.covariance)) for one in each)
    return Correction(value, covariance, max(one.change for one in each))


def _unmarked(vectors: Sequence[_Vectors], puts: Sequence[complex], trials: Sequence[BalanceRun]) -> Correction:
    before = vectors[0]
    strong = np.abs(before.value) > 3.0 * before.u
    if not strong.any() or len(puts) < 3:
        raise _too_few_trials(trials)
    size = np.abs(before.value[strong])
    after = np.stack([np.abs(one.value[strong]) for one in vectors[1:]])
    u_after = np.stack([one.u[strong] for one in vectors[1:]])
    try:
        return correction_from_amplitudes(size, after, before.u[strong], u_after, puts)
    except ValueError as error:
        raise _too_few_trials(trials) from error


def _too_few_trials(trials: Sequence[BalanceRun]) -> UsageError:
    shown = ", ".join(f"{np.degrees(run.trial.angle):.0f} deg" for run in trials if run.trial is not None)
    return UsageError(
        f"without a once-per-revolution mark {len(trials)} run{'' if len(trials) == 1 else 's'} with a trial mass "
        f"({shown}) cannot tell the angle",
        code="balance-trials-missing",
        expected="the same trial mass at three angles that do not lie on one line: 0, 120 and 240 degrees",
        fix="run the other angles, or record a mark on the accelerometer's own clock ([channels.mark])",
    )


def _check_change(correction: Correction, trials: Sequence[BalanceRun]) -> None:
    if correction.change >= LEAST_CHANGE:
        return
    mass = max(run.trial.mass for run in trials if run.trial is not None)
    wanted = 1e3 * mass * 1.6 * LEAST_CHANGE / max(correction.change, 0.02)
    raise UsageError(
        f"the trial mass of {1e3 * mass:.3g} g changed the vector by {100.0 * correction.change:.0f} % of itself",
        code="trial-too-small",
        expected=f"{100.0 * LEAST_CHANGE:.0f} % or more: less drowns in what one run differs from the next by",
        fix=f"repeat the trial with about {wanted:.2g} g at the same radius",
    )


def _split(
    runs: Sequence[BalanceRun],
    before: BalanceRun,
    vectors: Sequence[_Vectors],
    puts: Sequence[complex],
    common: Floats,
) -> tuple[UnbalancePart | None, UnbalancePart | None]:
    """Return what hub and motor, and what the propeller has of the unbalance; None where no mounting was turned."""
    other = [run for run in runs if run.trial is None and run.turned != before.turned and _known(run.reduced).marked]
    if not other:
        return None, None
    speeds = _common([before, other[0]])
    kept = np.isin(common, speeds)
    if not kept.any():
        return None, None
    axes = vectors[0].value.size // common.size
    rows = np.repeat(kept, axes)
    turned = _at(other[0], common[kept])
    first = _Vectors(vectors[0].value[rows], vectors[0].u[rows])
    step = vectors[1].value[rows] - first.value
    u_step = np.hypot(vectors[1].u[rows], first.u)
    hub, blade = split_by_turning(first.value, turned.value)
    u = 0.5 * np.hypot(first.u, turned.u)
    parts = []
    for part in (hub, blade):
        found = correction_from_vectors(part, part + step, u, np.hypot(u, u_step), puts[0])
        # the part's own unbalance is what a correction would take away
        parts.append(_part(Correction(-found.unbalance, found.covariance, found.change)))
    return parts[0], parts[1]


def _part(correction: Correction) -> UnbalancePart:
    return UnbalancePart(correction.size, correction.u_size, correction.angle, correction.u_angle)


def _missing(runs: Sequence[BalanceRun], usable: Sequence[BalanceRun]) -> UsageError:
    if runs and not usable:
        reasons: Mapping[str, str] = {
            run.reduced.run: run.reduced.absent.get("vibration", "once per revolution was not measured") for run in runs
        }
        shown = "; ".join(f"{name}: {why}" for name, why in list(reasons.items())[:3])
        what = f"no run has a vector of once per revolution ({shown})"
    elif not any(run.trial is not None for run in usable):
        what = f"none of the {len(usable)} runs with an accelerometer had a trial mass"
    else:
        what = "no run without a trial mass is of the same mounting as the one with it"
    return UsageError(
        what,
        code="balance-runs-missing",
        expected="two runs of one mounting: one as it is, one with a trial mass on the hub or a blade",
        fix="fill trial mass [g], trial radius [mm], trial angle [deg] and mounting of those runs in runs.csv",
    )


def _notes(*, marked: bool, split: bool, mass: float | None) -> tuple[str, ...]:
    notes = ["the trial mass is taken off before the correction is added"]
    if not marked:
        notes.append("no mark was recorded: found from amplitudes alone, the angle counted as the trial's is")
    if marked and not split:
        notes.append("to tell the propeller from hub and motor, run it once more turned by 180 deg on the hub")
    if mass is None:
        notes.append("no grade: the mass of all that turns is not known")
    return tuple(notes)
