"""Which run lends its rotor inertia to one that has none of its own.

What turns is the propeller, its adapter and the motor's bell: a donor shares the motor. First comes another run of the
same sample (steps and coasts before ramps and holds), then another sample of the same design, its uncertainty widened
by what samples differ by. Among equals a run of the same campaign goes first, so that a later campaign does not move
the figures of an earlier one; then the least uncertain; then the order of names.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from isothrust.quantities import parse_unit
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import Estimate, ReducedRun

__all__ = ["UNKNOWN_SPREAD", "Donor", "Lender", "borrowed_finding", "choose_donor"]

_GRAM_CENTIMETRE2: Final = parse_unit("g cm2")
UNKNOWN_SPREAD: Final = 0.1
"""Relative standard deviation from sample to sample, where no two samples of a design were measured on one motor."""


@dataclass(frozen=True, slots=True)
class Lender:
    """A run that found the rotor inertia from its own recording."""

    job: RunJob
    reduced: ReducedRun
    inertia: Estimate


@dataclass(frozen=True, slots=True)
class Donor:
    """What a run borrows, and from whom."""

    inertia: Estimate
    lender: Lender
    same_sample: bool


def choose_donor(job: RunJob, lenders: Iterable[Lender]) -> Donor | None:
    """Return the best donor for a run, None where there is none."""
    everyone = [lender for lender in lenders if lender.inertia.value > 0.0]
    fitting = [lender for lender in everyone if _may_lend(lender.job, job)]
    if not fitting:
        return None
    best = min(fitting, key=lambda lender: _rank(lender, job))
    same_sample = best.job.run.sample == job.run.sample
    inertia = _same(best) if same_sample else _widened(best, _sample_spread(everyone))
    return Donor(inertia, best, same_sample)


def borrowed_finding(donor: Donor, run: str) -> Finding:
    """Return the note that a run carries with a borrowed inertia."""
    inertia = donor.inertia
    return Finding(
        "inertia-borrowed",
        "note",
        f"The run does not fix its rotor inertia; {_GRAM_CENTIMETRE2.from_si(inertia.value):.4g} g cm2, known within "
        f"{100 * inertia.uncertainty / inertia.value:.2g} % (standard uncertainty), comes from {inertia.origin}.",
        run=run,
        done="inertial torque taken out with it",
    )


def _may_lend(lender: RunJob, borrower: RunJob) -> bool:
    if (lender.run.campaign, lender.run.name) == (borrower.run.campaign, borrower.run.name):
        return False
    if lender.run.added_inertia != borrower.run.added_inertia:
        return False  # what turns is not the same
    if not borrower.run.design or lender.run.design != borrower.run.design:
        return False
    if borrower.rig.motor is None or lender.rig.motor is None:
        # Nobody says which motor it was: within one campaign it is one and the same.
        return lender.run.campaign == borrower.run.campaign and lender.rig.motor == borrower.rig.motor
    return lender.rig.motor == borrower.rig.motor


def _rank(lender: Lender, borrower: RunJob) -> tuple[int, bool, float, str, str]:
    run = lender.job.run
    kinds = ("steps", "coast")
    tier = 2 if run.sample != borrower.run.sample else int(run.kind not in kinds)
    relative = lender.inertia.uncertainty / lender.inertia.value
    return tier, run.campaign != borrower.run.campaign, relative, run.campaign, run.name


def _same(lender: Lender) -> Estimate:
    run, own = lender.job.run, lender.inertia
    origin = f"{run.kind} run {run.campaign}/{run.name} of the same sample"
    return Estimate(own.value, own.uncertainty, own.degrees_of_freedom, origin)


def _widened(lender: Lender, spread: tuple[float, float]) -> Estimate:
    """Return the inertia of another sample: both samples stray from their design's mean, hence twice the variance."""
    run, own = lender.job.run, lender.inertia
    relative, freedom = spread
    between = math.sqrt(2.0) * relative * own.value
    uncertainty = math.hypot(own.uncertainty, between)
    # Welch-Satterthwaite (JCGM 100, G.2b); a part without uncertainty takes no freedom away.
    parts = [(own.uncertainty, own.degrees_of_freedom), (between, freedom)]
    lost = sum(part**4 / dof for part, dof in parts if part > 0.0)
    origin = f"{run.kind} run {run.campaign}/{run.name} of sample {run.sample}, widened by what samples differ by"
    return Estimate(own.value, uncertainty, uncertainty**4 / lost if lost > 0.0 else math.inf, origin)


def _sample_spread(lenders: Sequence[Lender]) -> tuple[float, float]:
    """Return the relative standard deviation between samples of a design on one motor, pooled, with its freedom."""
    groups: dict[tuple[str, str | None], dict[str, list[float]]] = {}
    for lender in lenders:
        run = lender.job.run
        samples = groups.setdefault((run.design, lender.job.rig.motor), {})
        samples.setdefault(run.sample, []).append(lender.inertia.value)
    squares, freedom = 0.0, 0
    for samples in groups.values():
        means = [sum(values) / len(values) for values in samples.values()]
        centre = sum(means) / len(means)
        squares += sum((mean / centre - 1.0) ** 2 for mean in means)
        freedom += len(means) - 1
    # One pair of samples alone tells too little of how much samples differ: the usual tenth stands until there are two.
    return (math.sqrt(squares / freedom), float(freedom)) if freedom >= 2 else (UNKNOWN_SPREAD, math.inf)
