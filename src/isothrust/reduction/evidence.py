"""What the checks of a whole run look at: the recording, what became of it, and what was fitted."""

from __future__ import annotations

from dataclasses import dataclass

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.reduction.airstate import AirState
from isothrust.reduction.electrics import Electrics
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared

__all__ = ["Evidence"]


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reduced run with everything on the way; a check reads it and changes nothing."""

    recording: Recording
    """As read: zeros inside, nothing left out."""
    prepared: Prepared
    """Cleaned loads, bins, spells, transients."""
    air: AirState
    mechanics: Mechanics
    electrics: Electrics

    @property
    def job(self) -> RunJob:
        """Run, rig, design and motor."""
        return self.prepared.job
