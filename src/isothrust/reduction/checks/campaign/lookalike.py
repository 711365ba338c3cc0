"""A run whose curves are those of another design, or of another sample: the wrong propeller on the hub, or in the row.

Curves are compared as T/(rho omega2) and Q/(rho omega2): the diameter that a row's design brings along stays out of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Final, NamedTuple

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence
from isothrust.science.splines import basis_matrix

__all__ = ["check_lookalike"]

_STEP: Final = 0.08
"""Ratio of the speeds at which curves are compared, less one."""
_LOWEST: Final = 0.4
"""Share of a run's own top below which its curve is left alone: noise and zeros weigh most there."""
_FEWEST: Final = 2
_CURVES: Final = ("thrust", "torque")
_KINDS: Final = frozenset({"ramp", "holds"})


class _Grounds(NamedTuple):
    """What must be true of distances before a label is doubted."""

    least_scatter: float
    """Usual distance of two runs of one label, at least: as a root mean square of logarithms [1]."""
    most_scatter: float
    near: float
    """In usual distances: another label's runs are as near as its own would be …"""
    sample: float
    """… or as near as one more sample may well be [1]."""
    far: float
    """In usual distances: no run of its own label is as near as this."""
    least: float
    """No run of its own label is nearer than this [1]."""
    times: float
    """How much further its own label is than the other one."""
    own: int
    """Other runs of its own label, at least."""
    other: int


_DESIGN: Final = _Grounds(0.012, 0.03, near=3.0, sample=0.06, far=5.0, least=0.05, times=3.0, own=1, other=2)
_SAMPLE: Final = _Grounds(0.006, 0.012, near=1.5, sample=0.0, far=5.0, least=0.03, times=5.0, own=2, other=2)


def check_lookalike(evidence: CampaignEvidence) -> list[Finding]:
    """Return a fail for each run that is far from its own design's and among another's, a warning for samples."""
    runs = [run for run in evidence.runs if run.kind in _KINDS and set(_CURVES) <= set(run.curves)]
    runs = [run for run in runs if run.abscissa == "speed" and run.density is not None]
    distances = _distances(runs)
    out = [_of_design(found) for found in _doubtful([run.design for run in runs], runs, distances, _DESIGN)]
    doubted = {finding.run for finding in out}
    for design in dict.fromkeys(run.design for run in runs):
        own = [k for k, run in enumerate(runs) if run.design == design and run.run not in doubted]
        members = [runs[k] for k in own]
        found = _doubtful([run.sample for run in members], members, distances[np.ix_(own, own)], _SAMPLE)
        out += [_of_sample(one) for one in found]
    return out


def _distances(runs: Sequence[ReducedRun]) -> Floats:
    """Return how far the curves of each two runs are apart (n, n): root mean square of logarithms.

    Not a number where two runs have hardly a speed in common.
    """
    shapes = _shapes(runs)
    out = np.full((len(runs), len(runs)), np.nan)
    for k, shape in enumerate(shapes):
        square = (shapes - shape) ** 2
        common = np.count_nonzero(np.isfinite(square), axis=1)
        enough = common >= _FEWEST * len(_CURVES)
        out[k, enough] = np.sqrt(np.nansum(square[enough], axis=1) / common[enough])
    return out


def _shapes(runs: Sequence[ReducedRun]) -> Floats:
    """Return logarithms of all curves at common speeds (n, curves x speeds); not a number where none was measured."""
    low = min((run.curves["thrust"].low for run in runs), default=1.0)
    high = max((run.curves["thrust"].high for run in runs), default=1.0)
    speeds = low * (1.0 + _STEP) ** np.arange(int(np.log(high / low) / np.log1p(_STEP)) + 1)
    out = np.full((len(runs), len(_CURVES), speeds.size), np.nan)
    for k, run in enumerate(runs):
        for row, name in enumerate(_CURVES):
            curve = run.curves[name]
            inside = (speeds >= max(curve.low, _LOWEST * curve.high)) & (speeds <= curve.high)
            values = basis_matrix(speeds[inside], curve.knots) @ curve.coefficients
            out[k, row, inside] = np.log(np.where(values > 0.0, values, np.nan))
    return out.reshape(len(runs), len(_CURVES) * speeds.size)


class _Doubt(NamedTuple):
    """A run that looks like another label's."""

    run: ReducedRun
    other: str
    far: float
    """Distance of the nearest run of its own label [1]."""
    near: float
    """Distance within which most of the other label's runs lie [1]."""


def _doubtful(labels: Sequence[str], runs: Sequence[ReducedRun], distances: Floats, grounds: _Grounds) -> list[_Doubt]:
    """Return the runs that are far from all of their own label and among those of exactly one other."""
    members = {label: [k for k, own in enumerate(labels) if own == label] for label in dict.fromkeys(labels)}
    usual = _usual(members, distances, grounds)
    out: list[_Doubt] = []
    for k, label in enumerate(labels):
        own = _known(distances[k, [j for j in members[label] if j != k]])
        if own.size < grounds.own or own.min() < max(grounds.far * usual, grounds.least):
            continue
        near = {
            other: _most(theirs)
            for other, places in members.items()
            if other != label and (theirs := _known(distances[k, places])).size >= grounds.other
        }
        alike = [other for other, distance in near.items() if distance < max(grounds.near * usual, grounds.sample)]
        if len(alike) == 1 and own.min() > grounds.times * near[alike[0]]:
            out.append(_Doubt(runs[k], alike[0], float(own.min()), near[alike[0]]))
    return out


def _usual(members: Mapping[str, Sequence[int]], distances: Floats, grounds: _Grounds) -> float:
    """Return the usual distance of two runs of one label, over all labels."""
    pairs = [distances[i, j] for places in members.values() for i, j in combinations(places, 2)]
    known = _known(np.array(pairs))
    usual = float(np.median(known)) if known.size else grounds.most_scatter
    return float(np.clip(usual, grounds.least_scatter, grounds.most_scatter))


def _known(values: Floats) -> Floats:
    return values[np.isfinite(values)]


def _most(distances: Floats) -> float:
    """Return the distance within which two thirds of the runs lie, and both of two."""
    return float(np.sort(distances)[-(-2 * distances.size // 3) - 1])


def _of_design(doubt: _Doubt) -> Finding:
    run = doubt.run
    return Finding(
        code="design-doubtful",
        severity="fail",
        message=f"the curves of run {run.run} are {_per_cent(doubt.far)} or more off all others of {run.design}, and "
        f"within {_per_cent(doubt.near)} of those of {doubt.other}: the wrong propeller on the hub, or in the row",
        run=run.run,
        effect=f"the figures of {run.design} would move by a share of {_per_cent(doubt.far)}",
        done="the run was set aside",
    )


def _of_sample(doubt: _Doubt) -> Finding:
    run = doubt.run
    return Finding(
        code="sample-doubtful",
        severity="warning",
        message=f"the curves of run {run.run} are {_per_cent(doubt.far)} or more off all others of sample {run.sample} "
        f"of {run.design}, and within {_per_cent(doubt.near)} of those of sample {doubt.other}",
        run=run.run,
        effect="none on the mean of the design; the scatter of its samples looks smaller than it is",
    )


def _per_cent(distance: float) -> str:
    return f"{100.0 * float(np.expm1(distance)):.1f} %"
