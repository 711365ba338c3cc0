"""Serial dumps and vibration files as runs."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads, Refused
from support.field_expected.patterns import (
    FLIGHT_AXES,
    FRAMES,
    G_OF_VIBRATION,
    LOAD_COUNTS,
    MAGNITUDE,
    SHUNT,
    VIBE,
    VOLTS_OF_VIBRATION,
)

__all__ = ["OTHERS"]

OTHERS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "serial-dumps/tenso.txt": (
            Reads(
                LOAD_COUNTS,
                880,
                9.96,
                """
thrust gf 880 5639 5417 5194 6050 5571.77272727
""",
            ),
        ),
        "serial-dumps/shunt.txt": (Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=SHUNT),),
        "serial-dumps/wyniki.txt": (
            Reads(
                FRAMES,
                4000,
                4.234,
                """
thrust gf 4000 0 0 0 0 0
""",
                codes=("truncated-last-line",),
            ),
        ),
        "serial-dumps/frame.txt": (
            Reads(
                FRAMES,
                889,
                8.88,
                """
thrust gf 889 5039 3835 3835 5885 5047.94713161
""",
            ),
        ),
        "serial-dumps/repair_frame.txt": (
            Reads(
                FRAMES,
                880,
                9.96,
                """
thrust gf 880 5639 5417 5194 6050 5571.77272727
""",
            ),
        ),
        "serial-dumps/moje_wyniki.txt": (
            Reads(
                FRAMES,
                11,
                -17.641,
                """
thrust gf 11 877 0 0 877 141.363636364
""",
            ),
        ),
        "rotor-vibration-states/Crack Fault-Vw=5.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 0.004008 -0.00694 -0.018253 0.022407 0.0012088178
""",
                file="vibration",
            ),
        ),
        "rotor-vibration-states/Crack State-Vw=1.3.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 -0.008372 -0.001783 -0.011712 0.017956 0.00055997252
""",
                file="vibration",
            ),
        ),
        "rotor-vibration-states/Erosion Fault state-Vw=5.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 -0.004226 0.007016 -0.011437 0.018085 0.000187941
""",
                file="vibration",
            ),
        ),
        "rotor-vibration-states/Erosion fault state-Vw=1.3.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 0.00199 -0.000469 -0.013432 0.01707 0.0006023598
""",
                file="vibration",
            ),
        ),
        "rotor-vibration-states/H-Vw=5.3.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 0.004838 -6.02e-05 -0.011853 0.016905 0.000715417
""",
                file="vibration",
            ),
        ),
        "rotor-vibration-states/H-for Vw=1.3.csv": (
            Reads(
                G_OF_VIBRATION,
                501,
                0.499,
                """
acceleration.1 g 500 0.006094 -0.00046 -0.010509 0.012764 0.0008762412
""",
                codes=("rows-without-time",),
                file="vibration",
            ),
        ),
        "rotor-vibration-states/H-for-Vw=3.2.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 0.000834 0.007351 -0.012956 0.015874 0.0009038466
""",
                file="vibration",
            ),
        ),
        "rotor-vibration-states/UnbalanceState-Vw=1.3.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 0.003907 0.004277 -0.010755 0.021017 0.0007601594
""",
                file="vibration",
            ),
        ),
        "rotor-vibration-states/unbalance fault state-Vw=5.csv": (
            Reads(
                VOLTS_OF_VIBRATION,
                500,
                0.499,
                """
acceleration.1 g 500 -0.001668 0.007129 -0.013212 0.016538 0.0005929536
""",
                file="vibration",
            ),
        ),
        "octo-prop-damage/acc_gyro_lot_03.csv": (
            Reads(
                FLIGHT_AXES,
                4229,
                422.8,
                """
acceleration.1 m/s2 1980 -0.215246319770813 0.02635626122355461 -2.4822263717651367 3.1861143112182617 0.144038866753
acceleration.2 m/s2 1980 0.45972731709480286 0.32684510946273804 -4.683743000030518 5.096737861633301 0.516900789424
acceleration.3 m/s2 1980 -9.890145301818848 -9.878538131713867 -14.717483520507812 -7.31191873550415 -9.83985803248
""",
                codes=("clock-not-shared",),
                file="vibration",
            ),
        ),
        "octo-prop-damage/good_1.csv": (
            Reads(
                FLIGHT_AXES,
                1069,
                106.8,
                """
acceleration.1 m/s2 1069 -0.010456494987010956 0.6264737844467163 -2.5552356243133545 2.513986825942993 -0.0858314848385
acceleration.2 m/s2 1069 0.6498413681983948 0.29458826780319214 -1.9910823106765747 1.4177848100662231 0.291449177352
acceleration.3 m/s2 1069 -9.866803169250488 -9.859017372131348 -13.028950691223145 -7.011163711547852 -9.95540693567
""",
                codes=("clock-not-shared",),
                file="vibration",
            ),
        ),
        "octo-prop-damage/lot_1_all_good.csv": (
            Reads(
                MAGNITUDE,
                4119,
                411.8,
                """
acceleration.1 m/s2 2961 9.831911204856977 9.702668940690486 8.14015467510921 13.91914360077934 9.88092095387
""",
                codes=("clock-not-shared",),
                file="vibration",
            ),
        ),
        "octo-prop-damage/lot_3_not_good.csv": (
            Reads(
                MAGNITUDE,
                3039,
                303.8,
                """
acceleration.1 m/s2 2951 9.813003120717255 9.809827637510805 6.788011798024938 14.969652003682247 10.0577865704
""",
                codes=("clock-not-shared",),
                file="vibration",
            ),
        ),
        "octo-prop-damage/not_good_1.csv": (
            Reads(
                FLIGHT_AXES,
                1069,
                106.8,
                """
acceleration.1 m/s2 1001 -0.24436932802200317 -0.5177530646324158 -5.670530796051025 3.729588031768799 -0.152645277705
acceleration.2 m/s2 1001 0.19491013884544373 0.09984292834997177 -2.2328014373779297 5.194239616394043 0.312428577804
acceleration.3 m/s2 1001 -9.868733406066895 -9.857330322265625 -12.563919067382812 -7.518831729888916 -9.88104172877
""",
                codes=("clock-not-shared",),
                file="vibration",
            ),
        ),
        "octo-prop-damage/wibracje_lot_03_all.csv": (
            Reads(
                VIBE,
                4228,
                422.7,
                """
acceleration.1 m/s2 1978 0.014688449911773205 0.039268821477890015 0.01262268889695406 19.61578369140625 8.0276193048
acceleration.2 m/s2 1978 0.01452059019356966 0.0373200923204422 0.012630796991288662 34.79405212402344 11.9943403386
acceleration.3 m/s2 1978 0.013833198696374893 0.020890668034553528 0.011394944973289967 12.300682067871094 5.54511651942
""",
                codes=("clock-not-shared",),
                file="vibration",
            ),
        ),
    }
)
