"""Every chart by its name: what it shows, over what, with which words and units on its axes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from isothrust.present.shown import measurand_words
from isothrust.quantities import MEASURANDS

__all__ = ["CHARTS", "Chart", "axis_title"]

Kind = Literal["bands", "curves", "ranking", "recording", "sound-map", "steps", "torque", "winding"]
Abscissa = Literal["speed", "thrust"]


def axis_title(measurand: str) -> str:
    """Return an axis's title: the quantity and its unit, also where that is one.

    Examples
    --------
    >>> axis_title("shaft-efficiency"), axis_title("figure-of-merit")
    ('Shaft efficiency [gf/W]', 'Figure of merit [1]')
    """
    words = measurand_words(measurand)
    return f"{words[:1].upper()}{words[1:]} [{MEASURANDS[measurand].label}]"


TITLES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "ranking": "Ranking",
        "recording": "Recording",
        "winding": "Thrust at full throttle against KV",
        "bands": "One-third octaves at equal thrust",
        "sound-map": "Sound against thrust",
    }
)
"""Of charts that show no measurand over another."""
AXES: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "bands": ("Mid-band frequency [Hz]", "Level of the band [dB]"),
        "sound-map": ("Thrust [gf]", "Frequency [Hz]"),
        "steps": ("Time from the command [ms]", "Speed, in proportion to the step [%]"),
        "winding": ("KV [rpm/V]", "Thrust at full throttle [gf]"),
    }
)
"""Titles of the axes along the bottom and up the side, of charts whose axes are no measurands."""


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart of the catalogue."""

    name: str
    kind: Kind
    about: str
    """What it is good for, in one line."""
    measurand: str | None = None
    """What is shown; None where the caller says (ranking) or where it is no measurand (recording)."""
    abscissa: Abscissa | None = None
    from_zero: bool = True
    """False where the curve varies slowly: an axis from zero would flatten every difference."""
    by_blades: bool = False
    """True where lines are told apart by blade count, all of them in one look."""

    @property
    def title(self) -> str:
        """What the chart shows, in words."""
        if self.measurand is None or self.abscissa is None:
            if self.kind == "steps":
                return f"Steps {self.name.removeprefix('step-')}"
            return TITLES[self.kind]
        words = measurand_words(self.measurand)
        blades = " by blade count" if self.by_blades else ""
        return f"{words[:1].upper()}{words[1:]} against {self.abscissa}{blades}"

    @property
    def x_title(self) -> str:
        """The title of the axis along the bottom."""
        if self.kind in AXES:
            return AXES[self.kind][0]
        return "" if self.abscissa is None else axis_title(self.abscissa)

    @property
    def y_title(self) -> str:
        """The title of the axis up the side."""
        if self.kind in AXES:
            return AXES[self.kind][1]
        return "" if self.measurand is None else axis_title(self.measurand)


def _by_name(*charts: Chart) -> Mapping[str, Chart]:
    return MappingProxyType({chart.name: chart for chart in charts})


def _over_speed(measurand: str, about: str, *, from_zero: bool = False, by_blades: bool = False) -> Chart:
    return Chart(measurand, "curves", about, measurand, "speed", from_zero=from_zero, by_blades=by_blades)


def _over_thrust(measurand: str, about: str, *, from_zero: bool = False) -> Chart:
    return Chart(measurand, "curves", about, measurand, "thrust", from_zero=from_zero)


CHARTS: Final = _by_name(
    _over_speed("thrust", "how much a propeller pushes at each speed", from_zero=True),
    _over_speed("thrust-coefficient", "thrust with speed squared taken out: twist, Reynolds effect and flutter show"),
    _over_speed("power-coefficient", "shaft power with speed cubed taken out: what the motor has to turn"),
    _over_speed("figure-of-merit", "how near a hovering propeller comes to the ideal of momentum theory"),
    _over_speed("inflow-ratio", "testers' advance ratio; comparable at equal blade count only", by_blades=True),
    _over_thrust("shaft-efficiency", "thrust per mechanical watt: the propeller alone"),
    _over_thrust("electrical-efficiency", "thrust per electrical watt: propeller, motor and controller together"),
    _over_thrust("electrical-power", "what the battery has to give for a thrust", from_zero=True),
    _over_thrust("speed", "the speed that a thrust needs"),
    Chart("torque-speed", "torque", "what propellers ask for and the motor gives at each throttle", "torque", "speed"),
    Chart("step-up", "steps", "how the speed of each design answers a step up, one over the other"),
    Chart("step-down", "steps", "the same of a step down: braked or let run out"),
    Chart(
        "thrust-over-kv",
        "winding",
        "what other windings of the motor's size would give, within the limits of current and without",
        from_zero=False,
    ),
    _over_thrust("sound-level", "how loud it is at a thrust: level weighted A at the stated distance"),
    Chart("bands", "bands", "where in the spectrum each design is loud, at equal thrust", from_zero=False),
    Chart("sound-map", "sound-map", "one run's spectrogram against thrust, with the blades' tones marked"),
    Chart("ranking", "ranking", "each design's value and interval at one condition, ties joined by a bar"),
    Chart("recording", "recording", "one run over time, with the span of each finding"),
)
"""Every chart that can be asked for."""
