"""Readings of a waveform file, which are parts of its full scale, in the unit that the rig gives them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from isothrust.errors import Problem, Where
from isothrust.ingest.clock import Clock
from isothrust.ingest.readers.numeric import NumericTable
from isothrust.quantities import CHANNELS, DIMENSIONLESS, parse_unit
from isothrust.records.rig import ChannelPlan
from isothrust.tables.log import LogTable

__all__ = ["clock_of_waveform", "full_scale"]


def clock_of_waveform(table: NumericTable, plans: Mapping[str, ChannelPlan]) -> Clock:
    """Return the clock of a waveform from its first sample: by the rate that the rig states, else by the file's own."""
    stated = next((plan.rate for plan in plans.values() if plan.rate is not None), None)
    time = np.arange(table.rows, dtype=np.float64)
    time /= stated or table.rate or np.nan
    return Clock(time, 0.0, kind="rate")


def full_scale(plan: ChannelPlan, table: LogTable) -> float | Problem:
    """Return what full scale is in the unit that the rig gives the channel, or why nobody can say; 1 for other tables.

    A reading without a unit, or in `1`, stays a part of full scale; one in counts is worth 2^(bits - 1) of them; one in
    volts what the rig says that full scale is. Any other unit can only be that of a file in floating point, which may
    hold the quantity itself.
    """
    if not isinstance(table, NumericTable) or table.rate is None:
        return 1.0
    unit = None if plan.unit is None else parse_unit(plan.unit)
    if unit is None or unit.dimension == DIMENSIONLESS:
        return 1.0
    if unit.dimension == parse_unit("count").dimension:
        return 2.0 ** (table.bits - 1) if table.bits else _unknown(plan, table, "floating point holds no counts", '"1"')
    if unit.dimension == CHANNELS["voltage"].dimension:
        if plan.full_scale is None:
            return _unknown(plan, table, "nothing says how many volts full scale is", None)
        return plan.full_scale / unit.factor
    if table.bits is None:
        return 1.0
    return _unknown(plan, table, f"whole numbers of {table.bits} bits hold no {plan.unit}", '"1"')


def _unknown(plan: ChannelPlan, table: NumericTable, why: str, unit: str | None) -> Problem:
    shown = CHANNELS[plan.quantity].shown
    fix = (
        'write  full_scale = "1.0 V"  with the recorder\'s own value'
        if unit is None
        else f'write  unit = {unit}  and  scale = "… {shown}"  with what full scale is worth'
    )
    return Problem(
        "full-scale-unknown",
        f'{plan.quantity} is to be read in "{plan.unit}", and {why}',
        Where(table.file),
        "what digital full scale means",
        f"{fix} under [channels.{plan.quantity}] in the rig file",
    )
