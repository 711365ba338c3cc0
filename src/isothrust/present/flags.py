"""What a flag means, in words for the line below a table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

__all__ = ["FLAG_WORDS", "flag_notes"]

FLAG_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "acceleration-not-stated": "the rig states no uncertainty for the accelerometer: the interval is a lower bound",
        "air-from-book": "the air was taken from the book's default, not read on the day",
        "air-unknown": "the air is not known: figures hold in the air of the day, and there are no coefficients",
        "air-of-the-day": "holds in the air of the day, not referred to standard density",
        "bounds-only": "no prediction: the truth lies between these bounds, which pitch, power and tunnel tests set",
        "calibration-not-stated": "the rig states no uncertainty for a channel: the interval is a lower bound",
        "cell-filter-inside": "no speed channel: read from the load cell, whose own filter makes the rise look slower",
        "electrical-as-recorded": "electrical figures as recorded: the cost of accelerating the rotor is still inside",
        "current-limited": "a limit of current holds full throttle back: the supply's, the controller's or the motor's",
        "extrapolated": "beyond the speeds that were measured: coefficients were carried on, and may do otherwise",
        "inertia-not-removed": "the rotor's inertia is not known: the torque that accelerates it is still inside",
        "kv-stated": "no run tells KV: the value stated in motors.csv stands in, give or take 3 %",
        "motor-inertia-as-stated": "the motor's rotor is taken off as motors.csv states it, without an uncertainty",
        "no-speed-channel": "no tachometer, or none to be believed: figures are over thrust, in the air of the day",
        "obstruction-not-stated": "the rig does not state its area in the slipstream: thrust may be a few per cent low",
        "one-step-only": "one step only: nothing tells how the next one would differ",
        "peak-without-plateau": "the greatest command was not held: the peak is the end of a curve",
        "repeatability-borrowed": "one mounting only: its scatter is borrowed from the campaign's other designs",
        "repeatability-unknown": "no propeller of the campaign was mounted twice: the interval is a lower bound",
        "runs-set-aside": "a run of it was set aside and does not count",
        "fail-accepted": "a run that failed a check was accepted by a decision in the book",
        "scatters-more": "scatters more than the campaign's other designs: its own scatter is used",
        "sensor-delay-inside": "from the command to the reading: what the tachometer is late by is in it",
        "steps-eased": "the controller turns steps into ramps: these figures are the controller's",
        "these-samples-only": "nothing tells how samples differ: the interval is that of the ones that were tested",
        "throttle-as-recorded": "throttle as recorded: the cost of accelerating the rotor is still inside",
        "torque-not-measured": "no torque channel: KV and resistance are from full throttle with several loads",
        "vibration-incomplete": "the accelerometer stood at the end of its range: what shook harder is left out",
    }
)


SAID_ELSEWHERE: Final = frozenset({"obstruction-not-stated"})
"""Flags that no table repeats: it matters between diameters, and comparisons say so where these differ."""


IMPLIED: Final[Mapping[str, str]] = MappingProxyType({"air-unknown": "air-of-the-day"})
"""A flag whose words say what another flag would."""


def flag_notes(flagged: Iterable[tuple[str, str, tuple[str, ...]]]) -> tuple[str, ...]:
    """Return one line a flag: what it means and whom it concerns.

    Parameters
    ----------
    flagged
        Name, measurand in words (empty where there is one only) and flags of each figure.
    """
    figures = [(name, measurand, _shown(flags)) for name, measurand, flags in flagged]
    everybody = list(dict.fromkeys(name for name, _, _ in figures))
    flags = list(dict.fromkeys(flag for _, _, flags in figures for flag in flags))
    return tuple(
        f"{flag}: {FLAG_WORDS.get(flag, 'see the findings of the runs')} ({_holders(flag, figures, everybody)})"
        for flag in flags
    )


def _shown(flags: tuple[str, ...]) -> tuple[str, ...]:
    """Leave out what is said elsewhere, and what another flag says as well."""
    implied = {IMPLIED[flag] for flag in flags if flag in IMPLIED}
    return tuple(flag for flag in flags if flag not in SAID_ELSEWHERE and flag not in implied)


def _holders(flag: str, figures: list[tuple[str, str, tuple[str, ...]]], everybody: list[str]) -> str:
    """Name those whom a flag concerns, and the measurands where it is not all of them."""
    told = []
    whole = []
    for name in everybody:
        own = [(what, flag in flags) for holder, what, flags in figures if holder == name]
        concerned = [what for what, has in own if has]
        if not concerned:
            continue
        if len(concerned) == len(own):
            whole.append(name)
        else:
            told.append(f"{name}: {', '.join(concerned)}")
    if len(whole) == len(everybody) > 1:
        return "all"
    return "; ".join([*([", ".join(whole)] if whole else []), *told])
