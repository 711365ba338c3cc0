"""Every quantity once (name, SI unit, symbol, shown unit), the unit table and its parser."""

from __future__ import annotations

from isothrust.quantities.dimension import DIMENSIONLESS, Dimension
from isothrust.quantities.measurand import MEASURANDS, OF_HEARING, OF_STEPS, Better, ConditionKind, Measurand
from isothrust.quantities.quantity import CHANNELS, QUANTITIES, Quantity
from isothrust.quantities.table import STANDARD_GRAVITY
from isothrust.quantities.unit import Unit
from isothrust.quantities.values import check_dimension, parse_unit, parse_value, split_head

__all__ = [
    "CHANNELS",
    "DIMENSIONLESS",
    "MEASURANDS",
    "OF_HEARING",
    "OF_STEPS",
    "QUANTITIES",
    "STANDARD_GRAVITY",
    "Better",
    "ConditionKind",
    "Dimension",
    "Measurand",
    "Quantity",
    "Unit",
    "check_dimension",
    "parse_unit",
    "parse_value",
    "split_head",
]
