"""One table of a file, and the channels that are read from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from isothrust.errors import Problem
from isothrust.records.rig import ChannelPlan
from isothrust.tables.log import LogTable

__all__ = ["Part", "Plans"]

Plans = Mapping[str, ChannelPlan]


@dataclass(frozen=True, slots=True)
class Part:
    """One table of a file, and the channels that are read from it."""

    table: LogTable
    plans: Plans
    absent: Mapping[str, Problem]
    """Channels that this table cannot give, and why."""
