"""A rig: sensors, their calibration, supply and geometry of the stand, as of a date."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

__all__ = ["AlignmentPlan", "ChannelPlan", "ColumnPick", "FilePlan", "Rig", "StatedUncertainty"]


@dataclass(frozen=True, slots=True)
class StatedUncertainty:
    """Standard uncertainty stated by the rig: a part in proportion to the reading and a fixed part."""

    relative: float = 0.0
    """In proportion to the reading [1]; scope rig."""
    absolute: float = 0.0
    """Fixed part, SI unit of the channel; scope run."""


@dataclass(frozen=True, slots=True)
class ColumnPick:
    """One column of a log: by its head's text or by its position from 1 (exactly one of them)."""

    head: str | None = None
    position: int | None = None
    arm: float | None = None
    """Signed lever arm [m] by which this column's force counts as torque; None where none was stated."""
    weight: float = 1.0
    """This column's own scale over the plan's, where each cell has a scale of its own."""
    block: int | None = None
    """Which of the blocks side by side in a sheet the column stands in, from 1; None where the rig does not say."""
    tag: str | None = None
    """Word by which the rows of the column's source are told apart; None where all rows are of one source."""


@dataclass(frozen=True, slots=True)
class ChannelPlan:
    """How one channel is made from columns: SI = sign * ratio * (factor * sum(weight * column) + offset).

    For torque from forces the sum is of force times arm, so `factor` takes the column's unit to N and the arm is in m.
    """

    quantity: str
    """Name from `quantities.CHANNELS`: time, throttle, speed, thrust, torque, voltage, current, …"""
    picks: tuple[ColumnPick, ...] = ()
    file: str = "log"
    """Which of the run's files: 'log', 'vibration' or 'sound'."""
    unit: str | None = None
    """As written in the rig file; None for a time column in ISO 8601 or time of day."""
    factor: float = 1.0
    """SI per column unit (scale of raw counts included)."""
    offset: float = 0.0
    """SI value of a column reading of zero (degC); never a tare."""
    sign: float = 1.0
    ratio: float = 1.0
    """Lever ratio."""
    zero: float | None = None
    """Stated reading at no load [SI, sign and ratio applied]: used only where a run has no spell with the motor off."""
    rate: float | None = None
    """Sample rate [Hz] where the log has no time column, or where this channel keeps a rate of its own."""
    pole_pairs: float | None = None
    """Set only where the column is electrical speed: mechanical speed = electrical / pole_pairs."""
    throttle_range: tuple[float, float] | None = None
    """Column readings (in the column's unit) that mean 0 and 100 %."""
    uncertainty: StatedUncertainty | None = None
    """None: not stated (no value is invented; results carry the flag calibration-not-stated)."""
    sensitivity: float | None = None
    """Sound: V per Pa."""
    full_scale: float | None = None
    """Waveform files: V at digital full scale."""
    distance: float | None = None
    """Sound: microphone distance [m]."""
    calibrator: float | None = None
    """Sound: level of the calibrator whose recording runs.csv names [dB re 20 uPa]."""
    window: float | None = None
    """Speed: over which the tachometer takes its mean [s]; None where not stated."""


@dataclass(frozen=True, slots=True)
class AlignmentPlan:
    """How the time of a waveform file is found on the log's clock: log time = waveform time + offset."""

    by: Literal["offset", "trigger", "correlation"]
    offset: float = 0.0
    """Stated [s]."""
    u_offset: float | None = None
    """Its standard uncertainty [s]; None where not stated."""
    column: ColumnPick | None = None
    """The log's column that a trigger signal is wired to."""
    channel: int | None = None
    """The waveform's channel, from 1, that holds the trigger, or whose level is correlated."""
    against: str | None = None
    """Which of the log's channels the level is correlated with; None: the first of speed, thrust and throttle."""


@dataclass(frozen=True, slots=True)
class FilePlan:
    """What a rig says of one kind of its files as a whole."""

    table: str | None = None
    """Name of the sheet or table in it that is meant."""
    block: int | None = None
    """Which of the blocks side by side, from 1."""
    joined: bool = False
    """True where the blocks are read one after the other, as one recording."""
    alignment: AlignmentPlan | None = None


@dataclass(frozen=True, slots=True)
class Rig:
    """One rig file."""

    name: str
    """File name without suffix: what runs and keys refer to."""
    title: str
    channels: Mapping[str, ChannelPlan]
    motor: str | None = None
    layout: str | None = None
    """'pusher' or 'tractor'."""
    clearance: float | None = None
    """Distance to the nearest wall or floor ahead of or behind the disc [m]."""
    altitude: float | None = None
    """Of the place above sea level [m]; None where not stated."""
    obstruction: float | None = None
    """Stand area in the slipstream [m2]; None where not stated."""
    obstruction_drag: float = 1.0
    """Drag coefficient of that area [1]."""
    u_temperature: float | None = None
    """Standard uncertainty of the temperature readings [K]; None where not stated."""
    u_pressure: float | None = None
    u_humidity: float | None = None
    supply_voltage: float | None = None
    current_limit: float | None = None
    sinks_current: bool | None = None
    controller: Mapping[str, str] = field(default_factory=dict)
    files: Mapping[str, FilePlan] = field(default_factory=dict)
    """'log', 'vibration', 'sound' -> what holds for the file as a whole."""
    extra: Mapping[str, str] = field(default_factory=dict)
