"""What a reader of a comparison must know: the stand, the samples, the air on which peaks rest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from isothrust.quantities import OF_STEPS
from isothrust.records.book import Design
from isothrust.records.result import Result
from isothrust.reduction.comparing_pairs import THESE_SAMPLES

__all__ = ["DENSITY_BAND", "Stand", "comparison_notes", "split_by_density"]

DENSITY_BAND = 0.02
"""Half-width of the band of density within which peaks are compared, relative: about 1.2 % of a peak (density^0.6)."""
TYPICAL_OBSTRUCTION = 12e-4
"""[m2] used to say how much an unstated obstruction may matter."""
PEAK = "peak-"


@dataclass(frozen=True, slots=True)
class Stand:
    """What the rig file says of the stand, as far as comparisons need it."""

    layout: str | None = None
    obstruction: float | None = None
    """[m2]; None where it is not stated."""
    supply_voltage: float | None = None
    """[V]"""


def split_by_density(
    results: Sequence[Result], densities: Mapping[tuple[str, str], float]
) -> tuple[list[Result], list[Result]]:
    """Return the results that may be ranked, and peaks from air too different, absent with the reason.

    Peaks are as recorded on the day; other figures are in standard air already.
    """
    valued = [result for result in results if result.value is not None]
    if not valued or not valued[0].measurand.startswith(PEAK):
        return valued, []
    air = {result.design: _density(result, densities) for result in valued}
    known = [density for density in air.values() if density is not None]
    if not known:
        return valued, []
    middle = median(known)
    inside, outside = [], []
    for result in valued:
        density = air[result.design]
        if density is not None and abs(density / middle - 1.0) > DENSITY_BAND:
            reason = (
                f"its peak was measured in air of {density:.3f} kg/m3, "
                f"outside the band compared here ({middle:.3f} kg/m3 ± {100 * DENSITY_BAND:.0f} %)"
            )
            outside.append(_without_value(result, reason))
        else:
            inside.append(result)
    return inside, outside


def _without_value(result: Result, reason: str) -> Result:
    return replace(
        result,
        value=None,
        standard_uncertainty=None,
        interval=None,
        interval_of_design=None,
        interval_as_sold=None,
        degrees_of_freedom=None,
        budget=(),
        sample_contributions=(),
        absent=reason,
    )


def _density(result: Result, densities: Mapping[tuple[str, str], float]) -> float | None:
    found = [densities[result.campaign, run] for run in result.runs if (result.campaign, run) in densities]
    return math.fsum(found) / len(found) if found else None


def comparison_notes(
    measurand: str, designs: Sequence[Design], stand: Stand, statement: str | None, *, mixed: bool
) -> tuple[str, ...]:
    """Return the notes that belong below a comparison."""
    notes = []
    if mixed:
        notes.append("Blade counts are mixed on request: this is not a comparison of like with like.")
    if statement == THESE_SAMPLES:
        notes.append(
            "These samples only: no design of the campaign has two samples, so how far another sample would differ "
            "is not known."
        )
    if measurand.startswith(PEAK):
        supply = f" on {stand.supply_voltage:.4g} V" if stand.supply_voltage is not None else ""
        notes.append(f"Peaks hold for this motor and supply{supply}, in the air of the day.")
    if measurand in OF_STEPS:
        notes.append("Steps hold for this motor, controller and supply and the same throttle, in the air of the day.")
    notes += _obstruction_note(designs, stand)
    return tuple(notes)


def _obstruction_note(designs: Sequence[Design], stand: Stand) -> list[str]:
    """Warn where what the stand takes from the thrust depends on the diameter and nobody stated it."""
    diameters = [design.diameter for design in designs if design.diameter is not None]
    if stand.obstruction is not None or not diameters or min(diameters) == max(diameters):
        return []
    small, large = (_share(diameter) for diameter in (min(diameters), max(diameters)))
    layout = "" if stand.layout is None else f" ({stand.layout})"
    note = (
        f"Diameters differ and the rig does not state its obstruction{layout}: 12 cm2 of stand in the slipstream would "
        f"take {100 * small:.1f} % of the thrust from the smallest and {100 * large:.1f} % from the largest."
    )
    return [note]


def _share(diameter: float) -> float:
    """Return S CD/(4 A) with CD 1."""
    return TYPICAL_OBSTRUCTION / (math.pi * diameter**2)
