"""A design's pooled thrust and torque over speed, with each source of error kept apart by its key."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from isothrust.records.load import LoadSource, PropellerLoad
from isothrust.records.prediction import Place
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.reduction.pooling import CampaignRuns, Question, pool_campaign
from isothrust.reduction.pooling_runs import counts_for
from isothrust.science.air import air_viscosity

__all__ = ["extended_load", "load_at_place", "propeller_load"]

POINTS: Final = 33
"""Speeds of the table: a coefficient varies too slowly for more to tell."""
REACH: Final = 1.5
"""An extrapolated table goes this far beyond the measured speeds, both ways."""
BEYOND: Final = 0.15
"""Standard uncertainty of the change of a coefficient, relative, per e-fold of speed beyond what was measured; to it is
added the slope at the end, since a coefficient may go on as it went or stay."""
ALONE: Final = frozenset({"mounting", "sample"})
"""Scopes whose effects on thrust and on torque are taken as independent: how far they go together is not known."""
THESE_ONLY: Final = "these-samples-only"


def propeller_load(campaign: CampaignRuns, design: str, density: float) -> tuple[PropellerLoad | None, str]:
    """Return a design's table in air of the book's standard density, or None and the reason.

    Errors are those of the design: samples count as some of many, where anything tells how samples scatter.
    """
    speeds = _speeds(campaign, design)
    if speeds is None:
        return None, _why_not(campaign, design)
    questions = [Question(name, "speed", tuple(speeds.tolist()), (design,)) for name in ("thrust", "torque")]
    results = pool_campaign(campaign, questions)
    thrusts, torques = results[: speeds.size], results[speeds.size :]
    there = np.array([a.value is not None and b.value is not None for a, b in zip(thrusts, torques, strict=True)])
    if int(there.sum()) < 4:
        missing = next((result.absent for result in (*torques, *thrusts) if result.absent), None)
        return None, missing or "it was measured at too few speeds"
    kept = [index for index, fine in enumerate(there) if fine]
    thrusts, torques = [thrusts[k] for k in kept], [torques[k] for k in kept]
    flags = dict.fromkeys(flag for result in (*thrusts, *torques) for flag in result.flags)
    if all(result.interval_of_design is None for result in thrusts):
        flags[THESE_ONLY] = None
    return (
        PropellerLoad(
            design=design,
            campaign=campaign.name,
            runs=tuple(dict.fromkeys(run for result in thrusts for run in result.runs)),
            speed=speeds[there],
            thrust=_values(thrusts),
            torque=_values(torques),
            density=density,
            sources=_sources(thrusts, torques),
            low=float(speeds[there][0]),
            high=float(speeds[there][-1]),
            flags=tuple(flags),
        ),
        "",
    )


def load_at_place(load: PropellerLoad, place: Place, standard_temperature: float = 288.15) -> PropellerLoad:
    """Return the table in the air of a place, coefficients kept at equal speed; Reynolds number becomes a source.

    The shift is |dlnC/dln n| |ln(rho mu0/(rho0 mu))|, with the slope of the design's own curve.
    """
    ratio = place.density / load.density
    reynolds = abs(np.log(ratio * float(air_viscosity(standard_temperature)) / place.viscosity))
    sources = [replace(source, thrust=source.thrust * ratio, torque=source.torque * ratio) for source in load.sources]
    thrust, torque = load.thrust * ratio, load.torque * ratio
    if reynolds > 1e-4:
        none = np.zeros_like(thrust)
        moved = {name: _slope(load.speed, values) * reynolds * values for name, values in _both(thrust, torque)}
        key = f"campaign {load.campaign} {load.design} Reynolds number of the place"
        words = "Reynolds number in the air of the place"
        sources += [
            LoadSource(words, f"{key}, thrust", "campaign", np.inf, moved["thrust"], none),
            LoadSource(words, f"{key}, torque", "campaign", np.inf, none, moved["torque"]),
        ]
    return replace(load, thrust=thrust, torque=torque, sources=tuple(sources), density=place.density)


def extended_load(load: PropellerLoad) -> PropellerLoad:
    """Return the table carried on beyond the measured speeds at level coefficients, and what else they may do there."""
    step = np.linspace(1.0, REACH, 9)[1:]
    speed = np.concatenate([load.low / step[::-1], load.speed, load.high * step])
    distance = np.log(np.maximum(speed / load.high, 1.0)) + np.log(np.maximum(load.low / speed, 1.0))

    def carried(values: Floats) -> Floats:
        inside = np.clip(speed, load.low, load.high)
        return np.asarray(np.interp(inside, load.speed, values / load.speed**2) * speed**2)

    none = np.zeros_like(speed)
    sources = [replace(source, thrust=carried(source.thrust), torque=carried(source.torque)) for source in load.sources]
    for name, values in _both(load.thrust, load.torque):
        slope = _slope(load.speed, values)
        steep = np.where(speed > load.high, slope[-1], slope[0])
        effect = (BEYOND + steep) * distance * carried(values)
        parts = {"thrust": none, "torque": none, name: effect}
        words = f"{name} beyond the measured speeds"
        key = f"campaign {load.campaign} {load.design} {words}"
        sources.append(LoadSource(words, key, "sample", np.inf, parts["thrust"], parts["torque"]))
    return replace(load, speed=speed, thrust=carried(load.thrust), torque=carried(load.torque), sources=tuple(sources))


def _both(thrust: Floats, torque: Floats) -> tuple[tuple[str, Floats], tuple[str, Floats]]:
    return ("thrust", thrust), ("torque", torque)


def _slope(speed: Floats, values: Floats) -> Floats:
    """Return |dlnC/dln n|, straight over a third of the table: the wiggles of a fit are no Reynolds effect."""
    logs, coefficient = np.log(speed), np.log(np.maximum(values / speed**2, 1e-30))
    width = max(speed.size // 3, 2)
    slopes = []
    for place in range(speed.size):
        start = min(max(place - width // 2, 0), speed.size - width)
        part = slice(start, start + width)
        slopes.append(np.polyfit(logs[part], coefficient[part], 1)[0])
    return np.asarray(np.abs(np.array(slopes)), dtype=np.float64)


def _counting(campaign: CampaignRuns, design: str) -> list[ReducedRun]:
    return [run for run in campaign.runs if run.design == design and counts_for(run, "thrust")]


def _speeds(campaign: CampaignRuns, design: str) -> Floats | None:
    """Return the speeds of the table: over all that any run measured of both loads."""
    ranges = [
        (
            max(run.curves[name].low for name in ("thrust", "torque")),
            min(run.curves[name].high for name in ("thrust", "torque")),
        )
        for run in _counting(campaign, design)
        if run.abscissa == "speed" and {"thrust", "torque"} <= run.curves.keys()
    ]
    if not ranges:
        return None
    return np.linspace(min(low for low, _ in ranges), max(high for _, high in ranges), POINTS)


def _why_not(campaign: CampaignRuns, design: str) -> str:
    """Return why a design has no table."""
    runs = _counting(campaign, design)
    if not runs:
        aside = any(one.design == design for one in campaign.set_aside)
        missing = campaign.missing.get(design)
        return missing or ("all of its runs are set aside" if aside else f"campaign {campaign.name} has no run of it")
    if any(run.abscissa != "speed" for run in runs):
        return "its runs have no speed to give thrust and torque over"
    reasons = dict.fromkeys(
        reason for run in runs for name, reason in run.absent.items() if name in {"thrust", "torque"}
    )
    return "; ".join(reasons) or "its runs have no thrust or no torque curve"


def _values(results: Iterable[Result]) -> Floats:
    return np.array([result.value for result in results], dtype=np.float64)


def _sources(thrusts: Sequence[Result], torques: Sequence[Result]) -> tuple[LoadSource, ...]:
    """Return every source once, with its effects at all speeds."""
    found: dict[str, LoadSource] = {}
    for name, results in (("thrust", thrusts), ("torque", torques)):
        for index, result in enumerate(results):
            for line in (*result.budget, *result.sample_contributions):
                apart = line.scope in ALONE or line.key.endswith(" noise")
                key = f"{line.key}, {name}" if apart else line.key
                source = found.get(key)
                if source is None:
                    none = np.zeros((2, len(results)))
                    source = found[key] = LoadSource(
                        line.source, key, line.scope, line.degrees_of_freedom, none[0], none[1]
                    )
                getattr(source, name)[index] += line.contribution
    return tuple(found.values())
