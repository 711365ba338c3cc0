"""A speed that is off by a whole factor: marks, blades or poles counted wrong."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.reduction.checks.speed.allowed import Allowed, allowed_factors
from isothrust.reduction.evidence import Evidence

__all__ = ["TIMES_THE_TRUTH", "check_factor"]

TIMES_THE_TRUTH: Final = "times the truth"
"""What the message says where the speed itself is off by a factor, and not what it is held against."""

_SAME: Final = 0.02
"""Two factors this near [1] are one."""
_BEYOND: Final = 1.25
"""Beyond this ratio no KV of a data sheet is so far off."""
_ELECTRICAL: Final = 3.5
"""Factor from which it may be the pole pairs of a motor that nobody states."""
_MARKS: Final = (
    (2.0, "two marks counted as one, or each mark twice"),
    (0.5, "one mark in two lost, or two marks stated where there is one"),
    (3.0, "three marks counted as one"),
    (1.0 / 3.0, "one mark in three counted"),
    (4.0, "four marks counted as one"),
)


def check_factor(evidence: Evidence) -> list[Finding]:
    """Return a finding where the speed is off what motor and class allow: fail where the motor says so."""
    witnesses = allowed_factors(evidence)
    if not witnesses:
        return []
    pairs = _stated_pairs(evidence.job)
    against = [w for w in witnesses if w.excludes]
    if not against:
        return [] if pairs is None else [_pairs_differ(*pairs)]
    by_motor = [w for w in against if w.by_motor]
    fitting = _fitting(
        witnesses,
        [*_factors(evidence.job, pairs), *(_pole_factors(evidence.job) if any(w.low > 1.0 for w in by_motor) else [])],
    )
    if fitting is not None:
        return [_finding((by_motor or against)[0], *fitting, sure=bool(by_motor) and _whole(fitting[0]))]
    impossible = [w for w in against if w.rests_on == "voltage" and w.low > 1.0]
    if not impossible:
        return []  # something else than speed is off: power balance, merit and class tell of it
    confirmed = any(w.low <= 1.0 <= w.high < impossible[0].low for w in witnesses)
    return [_impossible(impossible[0], confirmed=confirmed)]


def _fitting(witnesses: list[Allowed], factors: list[tuple[float, str]]) -> tuple[float, str] | None:
    """Return the factor that all witnesses allow, and what it was: the one nearest to the narrowest of them."""
    low, high = max(w.low for w in witnesses), min(w.high for w in witnesses)
    best = _best(witnesses)
    fitting = [(factor, words) for factor, words in factors if low <= factor <= high]
    if fitting:
        return min(fitting, key=lambda one: abs(math.log(best / one[0])))
    if _ELECTRICAL <= low <= high < math.inf:
        return float(round(min(max(best, low), high))), "electrical speed taken for the shaft's"
    return None


def _whole(factor: float) -> bool:
    """Tell whether counting marks, blades or poles gives this factor: then it is no tolerance of KV."""
    return any(abs(f - round(f)) < _SAME for f in (factor, 1.0 / factor))


def _factors(job: RunJob, pairs: tuple[float, float] | None) -> list[tuple[float, str]]:
    """Return the factors that counting wrong gives, with what it was."""
    found = list(_MARKS)
    if pairs is not None:
        found.append((pairs[1] / pairs[0], f"{pairs[0]:g} pole pairs in the rig file where the motor has {pairs[1]:g}"))
    blades = job.design.blades
    if blades is not None and blades > 1:
        found = [(f, f"{words}, or blades counted" if f == blades else words) for f, words in found]
        if all(f != blades for f, _ in found):
            found.append((float(blades), "blades counted"))
    poles = job.motor.pole_pairs if job.motor is not None else None
    if poles is not None and poles > 1.0:
        found.append((poles, f"electrical speed taken for the shaft's, {poles:g} pole pairs"))
        found.append((1.0 / poles, "divided by the pole pairs twice"))
    return found


def _pole_factors(job: RunJob) -> list[tuple[float, str]]:
    """Return what one pole pair too few gives: a speed above all bounds tells it, one below may be a hot motor."""
    poles = job.motor.pole_pairs if job.motor is not None else None
    if poles is None or poles < 2.0:
        return []
    return [(poles / (poles - 1.0), f"{poles - 1.0:g} pole pairs taken for {poles:g}")]


def _stated_pairs(job: RunJob) -> tuple[float, float] | None:
    """Return the pole pairs of the rig file and of the motor where both are stated and differ."""
    plan = job.rig.channels.get("speed")
    rig, motor = (plan.pole_pairs if plan is not None else None), (job.motor.pole_pairs if job.motor else None)
    return (rig, motor) if rig is not None and motor is not None and abs(rig - motor) > 1e-9 else None


def _best(witnesses: list[Allowed]) -> float:
    """Return the factor that the narrowest witness points at."""
    width = [math.log(w.high / w.low) if math.isfinite(w.high) else math.inf for w in witnesses]
    best = witnesses[width.index(min(width))]
    return math.sqrt(best.low * best.high) if math.isfinite(best.high) else best.ratio


def _finding(told: Allowed, factor: float, words: str, *, sure: bool) -> Finding:
    whole = Fraction(factor).limit_denominator(20)
    return Finding(
        code="speed-factor",
        severity="fail" if sure else "warning",
        message=f"speed reads {told.ratio:.2f} times what {told.witness.removeprefix('what ')}: "
        f"{whole} {TIMES_THE_TRUTH} ({words})?",
        channel="speed",
        effect=f"speed is {100.0 * (factor - 1.0):+.0f} %, CT and CP {100.0 * (factor**-2 - 1.0):+.0f} %, shaft power "
        f"{100.0 * (factor - 1.0):+.0f} %, if so",
        done="the run was set aside" if sure else "nothing",
    )


def _impossible(told: Allowed, *, confirmed: bool) -> Finding:
    where = "no motor does that, and no whole factor explains it: speed, KV or voltage is wrong"
    if confirmed:
        where = "coefficients or power agree with the speed, so KV in motors.csv or the voltage is wrong"
    sure = not confirmed and told.ratio > _BEYOND
    return Finding(
        code="speed-factor",
        severity="fail" if sure else "warning",
        message=f"speed reads {told.ratio:.2f} times what {told.witness.removeprefix('what ')}: {where}",
        channel="speed",
        effect="a wrong speed counts twice in a coefficient, once in shaft power",
        done="the run was set aside" if sure else "nothing",
    )


def _pairs_differ(rig: float, motor: float) -> Finding:
    return Finding(
        code="speed-factor",
        severity="warning",
        message=f"the rig file takes {rig:g} pole pairs where motors.csv states {motor:g}: one of the two is wrong",
        channel="speed",
        effect=f"speed is off by {100.0 * (motor / rig - 1.0):+.0f} % if motors.csv is right",
    )
