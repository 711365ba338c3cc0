"""What may be behind a fresh run that differs: which of thrust and torque moved tells where to look first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from isothrust.records.agreement import AgreementPart
from isothrust.reduction.figures_words import said

__all__ = ["likely_cause"]

_SHARED: Final = 0.25
"""Two shifts that differ by less than this share of the larger are one shift."""
_ALONE: Final = 0.5
"""A shift of less than this share of the other's is none."""


def likely_cause(parts: Sequence[AgreementPart], quantity: str) -> str:
    """Return where to look, in words that go on from 'look at'.

    Thrust and torque are both taken over density and the square of speed: an error of either of these moves both alike,
    an error of one cell moves one. Common practice of the bench, not a proof.
    """
    if not any(_moved(part) for part in parts):
        places = list(dict.fromkeys(_place(part) for part in parts if any(point.real for point in part.points)))
        return f"what happened near {' and '.join(places)}: the findings there, the tachometer, flutter"
    if quantity == "thrust":
        return "the scale and zero of thrust, voltage and current, and the air"
    if len(parts) == 1:
        return "the scale and zero of thrust, the speed (tachometer, pole pairs), and the air"
    thrust, torque = parts
    larger = max(abs(thrust.difference), abs(torque.difference))
    together = thrust.difference * torque.difference > 0.0
    if together and abs(thrust.difference - torque.difference) < _SHARED * larger:
        return "the air and the speed (tachometer, pole pairs): thrust and torque moved by the same share"
    if abs(torque.difference) < _ALONE * larger or not _moved(torque):
        return "the scale and zero of thrust, and what stands in the slipstream: torque did not move"
    if abs(thrust.difference) < _ALONE * larger or not _moved(thrust):
        return "the scale, arm and zero of torque, and the rotor's inertia: thrust did not move"
    return "the propeller itself: is it this design and sample, are its blades whole"


def _moved(part: AgreementPart) -> bool:
    """Say whether a figure moved as a whole: its mean did, or one point did and the others as far."""
    alike = all(abs(point.difference - part.difference) < _SHARED * abs(part.difference) for point in part.points)
    return part.real or (alike and any(point.real for point in part.points))


def _place(part: AgreementPart) -> str:
    point = next(point for point in part.points if point.real)
    return said(point.condition.quantity, point.condition.value)
