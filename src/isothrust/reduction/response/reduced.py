"""The response of a run as it is stored: steps and kinds of step, figures, findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from isothrust.records.finding import Finding
from isothrust.records.reduced import Figure
from isothrust.records.response import Response
from isothrust.reduction.inertias import ring_reason
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.response.figures import response_figures, without_steps
from isothrust.reduction.response.find import StepsFound, find_steps
from isothrust.reduction.response.kinds import APART
from isothrust.reduction.response.rotor import rotor_facts

__all__ = ["respond", "told_flattened"]

FLATTENED: Final = "steps-flattened"
"""Code of the finding …"""
EASED: Final = "steps-eased"
"""… and flag of the figures that it concerns."""
_LEVELLED: Final = frozenset(
    {"spin-up-rate", "rise-time", "response-time", "dead-time", "settling-time", "thrust-rise-rate"}
)


def respond(prepared: Prepared, mechanics: Mechanics) -> tuple[Response | None, list[Figure], list[Finding]]:
    """Return the response of a run of kind steps, its figures and what is told of it; nothing of other kinds."""
    if prepared.job.run.kind != "steps":
        return None, [], []
    steps = find_steps(prepared)
    ring = ring_reason(prepared.job)
    figures = response_figures(prepared, steps, mechanics) if ring is None else without_steps(ring)
    rotor = rotor_facts(prepared, steps, mechanics)
    response = Response(
        followed=steps.followed,
        steps=tuple(sorted((one for kind in steps.kinds for one in kind.steps), key=lambda one: one.start)),
        kinds=tuple(kind.kind for kind in steps.kinds),
        interval=steps.interval,
        window=steps.window,
        window_known=steps.window_known,
        falls=rotor.falls,
        falls_because=rotor.because,
        inertias=rotor.inertias,
        friction=rotor.friction,
        drive_damping=rotor.damping,
    )
    return response, figures, [*_no_steps(steps), *_left_out(steps), *_too_coarse(steps)]


def told_flattened(figures: Sequence[Figure], findings: Iterable[Finding]) -> tuple[Figure, ...]:
    """Return the figures, those of steps up marked where the controller turned the steps into ramps."""
    if all(finding.code != FLATTENED for finding in findings):
        return tuple(figures)
    return tuple(
        replace(one, flags=(*one.flags, EASED)) if one.measurand in _LEVELLED and one.value is not None else one
        for one in figures
    )


def _no_steps(steps: StepsFound) -> list[Finding]:
    if not steps.absent:
        return []
    return [
        Finding(
            code="no-steps",
            severity="warning",
            message=steps.absent,
            channel="throttle",
            effect="the run gives no spin-up rate, no rise time and nothing else of steps",
            done="levels and curves were reduced all the same",
        )
    ]


def _left_out(steps: StepsFound) -> list[Finding]:
    """Tell the repeats that were left out of the means because they stand apart from the others."""
    out = []
    for kind in steps.kinds:
        apart = [one for one in kind.steps if not one.used and one.why == APART]
        if not apart:
            continue
        out.append(
            Finding(
                code="steps-left-out",
                severity="note",
                message=f"the times from 10 to 90 % of {len(apart)} of {kind.kind.count} steps {kind.kind.direction} "
                "stand apart from the others'",
                channel=steps.followed,
                start=apart[0].start,
                end=apart[-1].end,
                count=len(apart),
                effect="rates and times are means over the others",
                done="left out of the means",
            )
        )
    return out


def _too_coarse(steps: StepsFound) -> list[Finding]:
    coarse = [kind for kind in steps.kinds if kind.kind.absent.startswith("readings are too far apart")]
    if not coarse:
        return []
    return [
        Finding(
            code="steps-too-coarse",
            severity="note",
            message=f"{1.0 / steps.interval:.3g} readings a second: {coarse[0].kind.absent.partition(': ')[2]}",
            channel=steps.followed,
            count=sum(kind.kind.count for kind in coarse),
            effect="the run gives no rates and no times of its steps",
            done="levels and curves were reduced all the same",
        )
    ]
