"""Sound files beside a log."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads
from support.field_expected.patterns import SOUND, SOUND_ONE

__all__ = ["HEARD"]


def _heard(line: str, rows: int, rate: int, *, rig: str = SOUND) -> Reads:
    channels = f"sound 1/32768*- {rows} {line}"
    seconds = (rows - 1) / rate
    return Reads(rig, rows, seconds, channels, codes=("clock-not-shared",), file="sound", step=1 / rate)


def _drone(line: str) -> tuple[Expected, ...]:
    return (_heard(line, 16384, 16000),)


def _phone(line: str, left: str, right: str) -> tuple[Expected, ...]:
    """Two channels: one is chosen by its number; without a choice there is none, and the offset of each is told."""
    says = ("has 2 channels, and nothing says which is sound", f"offset {left}", f"offset {right}")
    unchosen = Reads(SOUND, 0, 0, "", codes=("channel-missing",), says=says, file="sound")
    return _heard(line, 96000, 48000, rig=SOUND_ONE), unchosen


HEARD: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "indoor-drone-clips/B_S2_D1_067-bebop_000_.wav": _drone("722 -666 -22804 26413 8.46398925781"),
        "indoor-drone-clips/B_S2_D1_068-bebop_000_.wav": _drone("-3630 260 -29990 31822 -11.6328735352"),
        "indoor-drone-clips/Membo_0_013-membo_003_.wav": _drone("-243 621 -3211 3134 1.84069824219"),
        "indoor-drone-clips/mixed_33-bebop_002_.wav": _drone("5586 -3283 -11435 9712 -4.70141601562"),
        "phone-audio-throttle/motor_m1_no_prop_20pct_000.wav": _phone(
            "0 -150 -892 3780 65.5396458333", "+0.002", "-0.156"
        ),
        "phone-audio-throttle/motor_m1_no_prop_60pct_000.wav": _phone(
            "0 1013 -2322 3068 46.707375", "+0.001", "-0.151"
        ),
        "phone-audio-throttle/motor_m1_prop_20pct_000.wav": _phone("0 -407 -1101 3257 75.43434375", "+0.002", "-0.156"),
        "phone-audio-throttle/motor_m1_prop_20pct_004.wav": _phone(
            "-107 32 -439 526 -7.16727083333", "-0.000", "-0.000"
        ),
        "phone-audio-throttle/motor_m1_prop_30pct_000.wav": _phone(
            "0 -301 -6281 5520 -122.870010417", "-0.004", "-0.149"
        ),
        "phone-audio-throttle/motor_m1_prop_30pct_004.wav": _phone("16 -8 -5050 3210 -6.1904375", "-0.000", "-0.000"),
        "phone-audio-throttle/motor_m1_prop_50pct_000.wav": _phone(
            "0 1105 -17296 20517 -141.253572917", "-0.004", "-0.131"
        ),
        "phone-audio-throttle/motor_m1_prop_50pct_004.wav": _phone(
            "-2950 -1460 -8203 8365 -5.70672916667", "-0.000", "-0.000"
        ),
        "rotor-audio-70pct/allMotors_70_mic1.wav": (_heard("1352 -1403 -22062 13846 -1.00185798149", 721751, 22050),),
    }
)
