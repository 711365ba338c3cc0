"""Sound files beside a log."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads
from support.field_expected.patterns import SOUND, SOUND_ONE

__all__ = ["HEARD"]

HEARD: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "indoor-drone-clips/B_S2_D1_067-bebop_000_.wav": (
            Reads(
                SOUND,
                16384,
                1.0239375,
                """
sound 1/32768*- 16384 722 -666 -22804 26413 8.46398925781
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 16000,
            ),
        ),
        "indoor-drone-clips/B_S2_D1_068-bebop_000_.wav": (
            Reads(
                SOUND,
                16384,
                1.0239375,
                """
sound 1/32768*- 16384 -3630 260 -29990 31822 -11.6328735352
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 16000,
            ),
        ),
        "indoor-drone-clips/Membo_0_013-membo_003_.wav": (
            Reads(
                SOUND,
                16384,
                1.0239375,
                """
sound 1/32768*- 16384 -243 621 -3211 3134 1.84069824219
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 16000,
            ),
        ),
        "indoor-drone-clips/mixed_33-bebop_002_.wav": (
            Reads(
                SOUND,
                16384,
                1.0239375,
                """
sound 1/32768*- 16384 5586 -3283 -11435 9712 -4.70141601562
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 16000,
            ),
        ),
        "phone-audio-throttle/motor_m1_no_prop_20pct_000.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 0 -150 -892 3780 65.5396458333
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset +0.002", "offset -0.156"),
                file="sound",
            ),
        ),
        "phone-audio-throttle/motor_m1_no_prop_60pct_000.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 0 1013 -2322 3068 46.707375
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset +0.001", "offset -0.151"),
                file="sound",
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_20pct_000.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 0 -407 -1101 3257 75.43434375
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset +0.002", "offset -0.156"),
                file="sound",
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_20pct_004.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 -107 32 -439 526 -7.16727083333
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset -0.000", "offset -0.000"),
                file="sound",
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_30pct_000.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 0 -301 -6281 5520 -122.870010417
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset -0.004", "offset -0.149"),
                file="sound",
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_30pct_004.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 16 -8 -5050 3210 -6.1904375
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset -0.000", "offset -0.000"),
                file="sound",
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_50pct_000.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 0 1105 -17296 20517 -141.253572917
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset -0.004", "offset -0.131"),
                file="sound",
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_50pct_004.wav": (
            Reads(
                SOUND_ONE,
                96000,
                1.99997917,
                """
sound 1/32768*- 96000 -2950 -1460 -8203 8365 -5.70672916667
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 48000,
            ),
            Reads(
                SOUND,
                0,
                0,
                """

""",
                codes=("channel-missing",),
                says=("has 2 channels, and nothing says which is sound", "offset -0.000", "offset -0.000"),
                file="sound",
            ),
        ),
        "rotor-audio-70pct/allMotors_70_mic1.wav": (
            Reads(
                SOUND,
                721751,
                32.7324263,
                """
sound 1/32768*- 721751 1352 -1403 -22062 13846 -1.00185798149
""",
                codes=("clock-not-shared",),
                file="sound",
                step=1 / 22050,
            ),
        ),
    }
)
