"""One run's vibration: curves of its mean square, what moves them, and the record of what it is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import get_args

import numpy as np

from isothrust.records.curve import CurveName, Influence, SmoothCurve
from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats, Recording
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import StatedUncertainty
from isothrust.records.vibration import Vibration
from isothrust.reduction.checks.vibration.clipped import check_limits
from isothrust.reduction.checks.vibration.lines import check_mains, check_resonances
from isothrust.reduction.checks.vibration.sampled import check_aliased, check_sampling
from isothrust.reduction.influences import ShiftList
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.site import Site
from isothrust.reduction.vibrating_bands import spectrum_map, thrust_bands
from isothrust.reduction.vibrating_curves import FEWEST, POWER, SquareFit, fit_square, site_of
from isothrust.reduction.vibrating_frames import Frames, make_frames, sampling_of
from isothrust.reduction.vibrating_lines import fixed_lines
from isothrust.reduction.vibrating_marks import read_marks
from isothrust.reduction.vibrating_off import off_orders
from isothrust.reduction.vibrating_orders import order_curves, order_points, turning_vector

__all__ = ["VibrationResult", "reduce_vibration", "with_vibration"]

NOT_STATED = "acceleration-not-stated"
"""Flag: the rig states no uncertainty for the accelerometer."""
LOWER_BOUND = "vibration-incomplete"
"""Flag: an axis stood at its limit; what was above is not in the figures."""
_TRIAL = "a trial mass was on the rotor: the run serves balancing, and its vibration is not the propeller's"


@dataclass(frozen=True, slots=True)
class VibrationResult:
    """What an accelerometer gave."""

    curves: Mapping[str, SmoothCurve] = field(default_factory=dict)
    influences: tuple[Influence, ...] = ()
    record: Vibration | None = None
    findings: tuple[Finding, ...] = ()
    flags: tuple[str, ...] = ()
    absent: Mapping[str, str] = field(default_factory=dict)


def reduce_vibration(recording: Recording, prepared: Prepared) -> VibrationResult | None:
    """Return what the run's accelerometer gives; None where there is none."""
    channel = prepared.loads.channels.get("acceleration")
    if channel is None:
        return None
    channel = _in_columns(channel)
    sampling = sampling_of(channel)
    if sampling.unusable is not None:
        why = f"acceleration was recorded, but {sampling.unusable}"
        return VibrationResult(findings=tuple(check_sampling(sampling)), absent={"vibration": why})
    limits, findings = check_limits(channel)
    findings += check_aliased(sampling, prepared)
    frames = make_frames(channel, sampling, prepared, limits)
    if frames.x.size < FEWEST:
        return VibrationResult(findings=tuple(findings), absent={"vibration": _too_few(frames)})
    site = site_of(frames)
    fits = _fits(site, frames)
    stated = _stated(prepared)
    flags = [] if stated is not None else [NOT_STATED]
    if frames.left_out:
        flags.append(LOWER_BOUND)
    record, about = _record(recording, prepared, channel, frames)
    record = replace(record, clipped=tuple(int(count) for count in np.count_nonzero(limits, axis=0)))
    findings += about
    if prepared.job.run.trial is not None:
        # its vector serves balancing; as a figure of the propeller it would be wrong
        return VibrationResult(record=record, findings=tuple(findings), absent={"vibration": _TRIAL})
    return VibrationResult(
        curves={name: _curve(name, fit, site) for name, fit in fits.items()},
        influences=tuple(_influences(recording, prepared, site, frames, fits)),
        record=record,
        findings=tuple(findings),
        flags=tuple(flags),
    )


def with_vibration(run: ReducedRun, result: VibrationResult | None) -> ReducedRun:
    """Return the run with its vibration; sources that move other curves as well stay one source."""
    if result is None:
        return run
    keys = {influence.key: place for place, influence in enumerate(run.influences)}
    influences = list(run.influences)
    for influence in result.influences:
        place = keys.get(influence.key)
        if place is None:
            influences.append(influence)
        else:
            before = influences[place]
            influences[place] = replace(before, shifts={**before.shifts, **influence.shifts})
    whole = replace(
        run,
        curves={**run.curves, **result.curves},
        influences=tuple(influences),
        findings=(*run.findings, *result.findings),
        flags=tuple(dict.fromkeys((*run.flags, *result.flags))),
        absent={**run.absent, **result.absent},
        vibration=result.record,
    )
    if result.record is None:
        return whole
    return replace(whole, vibration=replace(result.record, bands=thrust_bands(whole)))


def _record(
    recording: Recording, prepared: Prepared, channel: Channel, frames: Frames
) -> tuple[Vibration, list[Finding]]:
    """Return what the vibration is made of, thrust bands left open, and what is told of it."""
    findings: list[Finding] = []
    marks = read_marks(recording.channels.get("mark"), prepared)
    if marks is not None:
        findings += marks.findings
    points, without = None, None
    if prepared.abscissa != "speed":
        without = "the run has no speed that orders could be followed by"
    else:
        points = order_points(channel, frames, prepared, marks)
        without = None if points is not None else "no steady stretch is long enough to follow orders in"
    curves = () if points is None else order_curves(points, frames, prepared.job.design.blades)
    lines = fixed_lines(channel, frames, prepared, curves)
    findings += check_resonances(lines, curves, frames.axes)
    findings += check_mains(lines, float(frames.mean_square.sum(axis=1).min()))
    record = Vibration(
        rate=frames.sampling.rate,
        low=frames.low,
        high=frames.high,
        axes=frames.axes,
        window=frames.window,
        clipped=(),
        orders=curves,
        lines=lines,
        map=spectrum_map(frames),
        turning=None if points is None else turning_vector(points),
        off_orders=off_orders(frames, prepared, lines),
        without_orders=without,
    )
    return record, findings


def _stated(prepared: Prepared) -> StatedUncertainty | None:
    plan = prepared.job.rig.channels.get("acceleration")
    return None if plan is None else plan.uncertainty


def _in_columns(channel: Channel) -> Channel:
    return channel if channel.values.ndim == 2 else replace(channel, values=channel.values[:, None])


def _too_few(frames: Frames) -> str:
    if frames.left_out:
        return "acceleration was recorded, but an axis stood at its limit wherever the rotor turned steadily"
    count = frames.x.size
    return (
        f"acceleration was recorded, but the rotor turned steadily in {count} stretch{'' if count == 1 else 'es'} of "
        f"{frames.window:.1f} s, and {FEWEST} are needed"
    )


def _fits(site: Site, frames: Frames) -> dict[str, SquareFit]:
    """Return the fits of all axes together and of each."""
    fits: dict[str, SquareFit] = {"vibration": fit_square(site, frames.mean_square.sum(axis=1))}
    if len(frames.axes) > 1:
        for place, axis in enumerate(frames.axes):
            fits[f"vibration-{axis}"] = fit_square(site, frames.mean_square[:, place])
    return fits


def _curve(name: str, fit: SquareFit, site: Site) -> SmoothCurve:
    assert name in get_args(CurveName)
    return SmoothCurve(
        name=name,  # type: ignore[arg-type]
        knots=site.knots,
        coefficients=fit.fit.coefficients,
        covariance=fit.fit.covariance,
        low=float(site.x.min()),
        high=float(site.x.max()),
        degrees_of_freedom=fit.degrees_of_freedom,
        residual_sd=fit.residual_sd,
        correlation=fit.correlation,
    )


def _influences(
    recording: Recording, prepared: Prepared, site: Site, frames: Frames, fits: Mapping[str, SquareFit]
) -> list[Influence]:
    """Return what moves all axes alike: scale, fixed part, speed, and where the recording lies on the log's clock."""
    found = ShiftList(prepared.job)
    one = np.ones(
        site.basis.shape[1]
    )  # the functions of a spline add up to one: a factor moves every coefficient alike
    stated = _stated(prepared)
    if stated is not None and stated.relative:
        found.of_rig("acceleration scale", dict.fromkeys(fits, 2.0 * stated.relative * one))
    if stated is not None and stated.absolute:
        found.of_run("acceleration fixed part", _fixed(site, fits, stated.absolute))
    speed = prepared.job.rig.channels.get("speed")
    if prepared.abscissa == "speed" and speed is not None and speed.uncertainty is not None:
        share = speed.uncertainty.relative
        turned = {n: -share * (POWER * one + site.stretch @ fit.fit.coefficients) for n, fit in fits.items()}
        found.of_rig("speed scale", turned)
    alignment = recording.alignments.get("vibration")
    if alignment is not None and alignment.u_offset:
        late = alignment.u_offset * frames.slope / frames.x
        slopes = {n: fit.fit.gain @ (late * (POWER + _steepness(site, fit))) for n, fit in fits.items()}
        found.of_run("vibration alignment", slopes, degrees_of_freedom=alignment.degrees_of_freedom)
    return found.items


def _steepness(site: Site, fit: SquareFit) -> Floats:
    """Return x f' of a fitted curve at the frames (m,)."""
    return np.asarray(site.basis @ (site.stretch @ fit.fit.coefficients))


def _fixed(site: Site, fits: Mapping[str, SquareFit], error: float) -> dict[str, Floats]:
    """Return the shifts for an error of every RMS of so much [m/s2]."""
    out: dict[str, Floats] = {}
    for name, fit in fits.items():
        rms = np.exp(0.5 * (site.basis @ fit.fit.coefficients)) * site.x ** (POWER / 2)
        out[name] = np.asarray(fit.fit.gain @ (2.0 * error / rms))
    return out
