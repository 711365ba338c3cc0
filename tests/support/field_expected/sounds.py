"""Waveforms: witness is the wave module of the standard library; full scale is 1."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Table

__all__ = ["SOUNDS"]

SOUNDS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "indoor-drone-clips/B_S2_D1_067-bebop_000_.wav": (
            Table(
                """
1 - 16384 0.02203369140625 -0.02032470703125 -0.6959228515625 0.806060791015625 0.00025830045342445374
            """,
                width=1,
                heads=("channel 1",),
            ),
        ),
        "indoor-drone-clips/B_S2_D1_068-bebop_000_.wav": (
            Table(
                """
1 - 16384 -0.11077880859375 0.0079345703125 -0.91522216796875 0.97113037109375 -0.0003550071269273758
            """,
                width=1,
                heads=("channel 1",),
            ),
        ),
        "indoor-drone-clips/Membo_0_013-membo_003_.wav": (
            Table(
                """
1 - 16384 -0.007415771484375 0.018951416015625 -0.097991943359375 0.09564208984375 5.61736524105072e-05
            """,
                width=1,
                heads=("channel 1",),
            ),
        ),
        "indoor-drone-clips/mixed_33-bebop_002_.wav": (
            Table(
                """
1 - 16384 0.17047119140625 -0.100189208984375 -0.348968505859375 0.29638671875 -0.00014347583055496216
            """,
                width=1,
                heads=("channel 1",),
            ),
        ),
        "phone-audio-throttle/motor_m1_no_prop_20pct_000.wav": (
            Table(
                """
1 - 96000 0 -0.00457763671875 -0.0272216796875 0.1153564453125 0.002000111262003581
2 - 96000 0 -0.005950927734375 -0.762969970703125 0.009033203125 -0.1558010762532552
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "phone-audio-throttle/motor_m1_no_prop_60pct_000.wav": (
            Table(
                """
1 - 96000 0 0.030914306640625 -0.07086181640625 0.0936279296875 0.0014253959655761718
2 - 96000 0 0.0001220703125 -0.748504638671875 0.0540771484375 -0.15129718844095866
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_20pct_000.wav": (
            Table(
                """
1 - 96000 0 -0.012420654296875 -0.033599853515625 0.099395751953125 0.0023020734786987304
2 - 96000 0 -0.00421142578125 -0.77716064453125 0.015411376953125 -0.15555484580993653
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_20pct_004.wav": (
            Table(
                """
1 - 96000 -0.003265380859375 0.0009765625 -0.013397216796875 0.01605224609375 -0.00021872774759928385
2 - 96000 0.00079345703125 6.103515625e-05 -0.01226806640625 0.013885498046875 -9.482002258300781e-05
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_30pct_000.wav": (
            Table(
                """
1 - 96000 0 -0.009185791015625 -0.191680908203125 0.16845703125 -0.003749695142110189
2 - 96000 0 0.153045654296875 -0.75128173828125 0.2393798828125 -0.1485996971130371
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_30pct_004.wav": (
            Table(
                """
1 - 96000 0.00048828125 -0.000244140625 -0.15411376953125 0.09796142578125 -0.00018891716003417968
2 - 96000 -0.01568603515625 -0.00439453125 -0.39080810546875 0.36309814453125 -0.00034173933664957684
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_50pct_000.wav": (
            Table(
                """
1 - 96000 0 0.033721923828125 -0.52783203125 0.626129150390625 -0.004310716946919759
2 - 96000 0 0.439117431640625 -0.75933837890625 0.784942626953125 -0.13115040906270345
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "phone-audio-throttle/motor_m1_prop_50pct_004.wav": (
            Table(
                """
1 - 96000 -0.09002685546875 -0.0445556640625 -0.250335693359375 0.255279541015625 -0.00017415555318196614
2 - 96000 -0.1455078125 -0.06195068359375 -0.22003173828125 0.227508544921875 -0.00031330617268880207
            """,
                width=2,
                heads=("channel 1", "channel 2"),
            ),
        ),
        "rotor-audio-70pct/allMotors_70_mic1.wav": (
            Table(
                """
1 - 721751 0.041259765625 -0.042816162109375 -0.67327880859375 0.42254638671875 -3.0574279220344e-05
            """,
                width=1,
                heads=("channel 1",),
            ),
        ),
    }
)
