"""Motors and batteries as runs, or why they are none."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads, Refused
from support.field_expected.patterns import ANGLE, DUTY, MS_VOLTS

__all__ = ["MOTORS"]

MOTORS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "commented-dyno/Fri Jan 15 19-40-52 2021.csv": (
            Reads(
                "commented-dyno",
                76,
                6.99199234,
                """
speed rev/s 76 1.2817384004592896 9.979249000549316 1.2817384004592896 11.062623023986816 9.90797438276
thrust gf 76 -2.747918684562446 1.5034823117015637 -642.2409137032423 7.40058691942261 -7.85645697846
torque Nm 76 -0.0034235494515358145 0.0018731435076796274 -0.8001486871554584 0.009220169225301047 -0.00978812405575
current A 76 5.17158842086792 0.7190202474594116 -0.391715943813324 5.17158842086792 1.29810908868
""",
            ),
        ),
        "commented-dyno/dynamometer_test001.csv": (
            Reads(
                "commented-dyno",
                104,
                9.36874346,
                """
speed rev/s 104 0.2441406548023224 2.8839120864868164 0.2441406548023224 7.583619117736816 2.96504727264
torque Nm 104 0.04098134241801574 0.1256145223899958 0.0020250200083021543 0.6620613071518264 0.195599104351
""",
                codes=("channel-missing", "channel-missing"),
                says=("thrust is missing", "current is missing"),
            ),
        ),
        "commented-dyno/speed_test_13_02_2021_13-53-46.csv": (
            Reads(
                "commented-dyno",
                4276,
                388.53835,
                """
speed rev/s 4276 36.148075103759766 32.958988189697266 32.287601470947266 36.148075103759766 33.9993942339
thrust gf 4276 0.6247578524975508 1.4933236474332086 -384084.19830150827 287000.08895461465 -712.15515992
torque Nm 4276 0.0007783670656911237 0.0018604871326276119 -478.51898013790014 357.5648008258858 -0.887252749089
""",
                codes=("channel-missing",),
                says=('no column "motor current" for current',),
            ),
        ),
        "esc-log/f40_steps_5-2.csv": (
            Reads(
                "esc-log",
                11487,
                115.033,
                """
throttle % 11487 0 0 0 100 43.967942246
speed rpm 11487 0 0 0 16051.4 8544.64932902
voltage V 11487 15.7827 15.8128 14.1806 16.2644 15.2893268303
current A 11487 0.00432758 -0.0018762 -0.340371 26.787 6.8029602038
""",
            ),
        ),
        "rotor-coastdown/MS_Decay_1.csv": (
            Reads(
                "rotor-coastdown",
                366,
                18.688,
                """
speed rad/s 366 0 0 0 2648.79 1213.83644809
""",
            ),
        ),
        "rotor-coastdown/MS_Decay_2.csv": (
            Reads(
                "rotor-coastdown",
                292,
                22.116,
                """
speed rad/s 292 0 0 0 2397.53 1001.5660274
""",
            ),
        ),
        "rotor-coastdown/MS_Decay_3.csv": (
            Reads(
                "rotor-coastdown",
                311,
                20.785,
                """
speed rad/s 311 0 0 0 2438.25 970.573826367
""",
            ),
        ),
        "rotor-coastdown/MS_Decay_4.csv": (
            Reads(
                "rotor-coastdown",
                309,
                15.77,
                """
speed rad/s 309 0 0 0 2402.39 1002.63796117
""",
            ),
        ),
        "rotor-coastdown/MS_Decay_5.csv": (
            Reads(
                "rotor-coastdown",
                264,
                13.466,
                """
speed rad/s 264 0 0 0 2463.99 931.571060606
""",
            ),
        ),
        "rotor-coastdown/MS_Decay_6.csv": (
            Reads(
                "rotor-coastdown",
                581,
                29.696,
                """
speed rad/s 581 0 0 0 2587.19 1422.0079346
""",
            ),
        ),
        "motor-map-270kv/odrive_data.csv": (
            Reads(
                "motor-map-270kv",
                344,
                343,
                """
speed -1*rad/s 344 -10.57488140471194 566.9881068823605 -400.2731597758091 566.9881068823605 -201.904726918
torque -1*Nmm 344 -15.2 -78.8 -1457.2 -0.4 -726.05377907
voltage V 344 48.104187393188475 47.8914119720459 47.80415840148926 48.11184234619141 47.9869643001
current mA 344 0 0 0 0 0
""",
            ),
        ),
        "dc-motor-4k7/Arduino motor data_20260522_130512_84996pts.csv": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=DUTY),
        ),
        "flywheel-dyno/run8.csv": (Refused("wrong-dimension", ("angle",), rig=ANGLE),),
        "flywheel-dyno/run9.csv": (Refused("wrong-dimension", ("angle",), rig=ANGLE),),
        "battery-sag/vbat_t-100_n-1.csv": (Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=MS_VOLTS),),
        "battery-sag/vbat_t-50_n-1.csv": (Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=MS_VOLTS),),
    }
)
