"""Why a measurand cannot be had from a run at all: a channel, the diameter, the air or a method that is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from isothrust.records.reduced import ReducedRun
from isothrust.reduction.figures_formulas import Formula
from isothrust.reduction.figures_lines import HEARD_SYMBOLS

__all__ = ["RunContext", "missing_reason"]

VIBRATION = "vibration"


@dataclass(frozen=True, slots=True)
class RunContext:
    """What a figure needs to know beside the run itself."""

    diameter: float | None = None
    """Nominal [m]."""
    recorded: frozenset[str] = frozenset()
    """Channels that the rig describes and the run has a file for."""


def missing_reason(
    run: ReducedRun, measurand: str, quantity: str, formulas: Mapping[str, Formula], context: RunContext
) -> str | None:
    """Return why the run gives no such figure at any condition; None where it may."""
    if measurand not in formulas:
        return _without_formula(run, measurand)
    formula = formulas[measurand]
    needed = formula.curves
    if run.abscissa == "root-thrust":
        if quantity == "speed":
            return _without_speed(run)
    elif quantity == "thrust" and "thrust" not in needed:
        needed = ("thrust", *needed)
    for name in needed:
        if name == VIBRATION and name not in run.curves and name not in run.absent:
            return _not_reduced("acceleration", "an accelerometer", context)
        if name in HEARD_SYMBOLS and name not in run.curves and name not in run.absent:
            return _not_reduced("sound", "a microphone", context)
        if name not in run.curves:
            return run.absent.get(name, f"the run has no {name} curve")
    if formula.needs_diameter and context.diameter is None:
        return f"no diameter is stated for {run.design}"
    if formula.needs_density and run.density is None:
        return "the air of the run is not known, so it has no density"
    return None


def _without_formula(run: ReducedRun, measurand: str) -> str:
    if run.abscissa == "root-thrust":
        return _without_speed(run)
    return f"{measurand} is not computed by this version"


def _without_speed(run: ReducedRun) -> str:
    return run.absent.get("speed", run.absent.get("thrust", "the run has no speed channel"))


def _not_reduced(channel: str, sensor: str, context: RunContext) -> str:
    if channel in context.recorded:
        return f"{channel} was recorded, but this version does not reduce it"
    return f"the run has no recording from {sensor}"
