"""A unit: its text, how it converts to SI, and its dimension."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from isothrust.quantities.dimension import Dimension

    Number = TypeVar("Number", float, NDArray[np.float64])

__all__ = ["Unit"]


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of measurement: SI value = factor * value + offset."""

    text: str
    """As written."""
    factor: float
    """SI units in one of this unit."""
    offset: float
    """SI value of a reading of zero: only degC and degF have one."""
    dimension: Dimension

    def __mul__(self, other: Unit) -> Unit:
        """Return the product: raw counts times a scale give the scaled unit."""
        if self.offset or other.offset:
            message = "a temperature with an offset has no product"
            raise ValueError(message)
        return Unit(f"{self.text} {other.text}", self.factor * other.factor, 0.0, self.dimension * other.dimension)

    def to_si(self, value: Number) -> Number:
        """Return `value`, given in this unit, in SI (a float or an array)."""
        return value * self.factor + self.offset

    def from_si(self, value: Number) -> Number:
        """Return `value`, given in SI, in this unit (a float or an array)."""
        return (value - self.offset) / self.factor
