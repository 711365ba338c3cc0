"""Readings under dead weights as runs: one number a line, at a nominal rate."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads, Refused
from support.field_expected.patterns import THRUST_LIST, TORQUE_LIST

__all__ = ["WEIGHTS"]

WEIGHTS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "uni-lever-14v8/thrust_calib_0.txt": (
            Reads(
                THRUST_LIST,
                4330,
                43.29,
                """
thrust gf 4330 5 14 4 53 27.9115473441
""",
                codes=("truncated-last-line",),
                says=('"1"',),
            ),
        ),
        "uni-lever-14v8/thrust_calib_100.txt": (
            Reads(
                THRUST_LIST,
                2683,
                26.82,
                """
thrust gf 2682 236 230 23 259 236.40305742
""",
                codes=("unreadable-cells",),
                says=("1 cell",),
            ),
        ),
        "uni-lever-14v8/thrust_calib_172.txt": (
            Reads(
                THRUST_LIST,
                2748,
                27.47,
                """
thrust gf 2747 384 385 370 406 387.211867492
""",
                codes=("unreadable-cells",),
                says=("1 cell",),
            ),
        ),
        "uni-lever-14v8/thrust_calib_200.txt": (
            Reads(
                THRUST_LIST,
                2321,
                23.2,
                """
thrust gf 2320 442 453 4 461 441.203017241
""",
                codes=("truncated-last-line", "unreadable-cells"),
                says=('"45"', "1 cell"),
            ),
        ),
        "uni-lever-14v8/thrust_calib_272.txt": (
            Reads(
                THRUST_LIST,
                3444,
                34.43,
                """
thrust gf 3443 599 597 1 611 594.407203021
""",
                codes=("unreadable-cells",),
                says=("1 cell",),
            ),
        ),
        "uni-lever-14v8/thrust_calib_300.txt": (
            Reads(
                THRUST_LIST,
                4095,
                40.94,
                """
thrust gf 4093 646 649 6 670 650.010261422
""",
                codes=("unreadable-cells",),
                says=("2 cell",),
            ),
        ),
        "uni-lever-14v8/thrust_calib_372.txt": (
            Reads(
                THRUST_LIST,
                4080,
                40.79,
                """
thrust gf 4078 811 798 8 820 799.564737616
""",
                codes=("truncated-last-line", "unreadable-cells"),
                says=('"79"', "2 cell"),
            ),
        ),
        "uni-lever-14v8/thrust_calib_500.txt": (
            Reads(
                THRUST_LIST,
                3882,
                38.81,
                """
thrust gf 3882 3 1023 3 10231023 3657.97681607
""",
            ),
        ),
        "uni-lever-14v8/thrust_calib_72.txt": (
            Reads(
                THRUST_LIST,
                4134,
                41.33,
                """
thrust gf 4134 187 174 3 204 179.525641026
""",
            ),
        ),
        "uni-lever-14v8/torque_calib_0.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_118.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_200.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_246.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_272.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_318.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_46.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_500.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-14v8/torque_calib_72.txt": (
            Refused("no-speed-or-thrust", ("neither speed nor thrust",), rig=TORQUE_LIST),
        ),
        "uni-lever-16v3/calib_0.txt": (
            Reads(
                THRUST_LIST,
                6503,
                65.02,
                """
thrust gf 6503 23 28 1 32 19.815316008
""",
            ),
        ),
        "uni-lever-16v3/calib_100.txt": (
            Reads(
                THRUST_LIST,
                3406,
                34.05,
                """
thrust gf 3406 237 229 219 242 231.148854962
""",
            ),
        ),
        "uni-lever-16v3/calib_200.txt": (
            Reads(
                THRUST_LIST,
                2754,
                27.53,
                """
thrust gf 2754 0 439 0 454 440.029774873
""",
                codes=("truncated-last-line",),
                says=('"4"',),
            ),
        ),
        "uni-lever-16v3/calib_300.txt": (
            Reads(
                THRUST_LIST,
                3239,
                32.38,
                """
thrust gf 3238 5 644 5 661 646.879555281
""",
                codes=("unreadable-cells",),
                says=("1 cell",),
            ),
        ),
        "uni-lever-16v3/calib_400.txt": (
            Reads(
                THRUST_LIST,
                3256,
                32.55,
                """
thrust gf 3256 855 856 836 867 851.507063882
""",
                codes=("truncated-last-line",),
                says=('"85"',),
            ),
        ),
        "uni-lever-16v3/calib_500.txt": (
            Reads(
                THRUST_LIST,
                7005,
                70.04,
                """
thrust gf 7005 1023 1023 1023 1023 1023
""",
            ),
        ),
        "uni-lever-16v3/calib_540.txt": (
            Reads(
                THRUST_LIST,
                4751,
                47.5,
                """
thrust gf 4751 23 1023 23 1021023 1258.73984424
""",
                codes=("truncated-last-line",),
                says=('"1"',),
            ),
        ),
        "uni-lever-16v3/calib_72.txt": (
            Reads(
                THRUST_LIST,
                3240,
                32.39,
                """
thrust gf 3240 176 179 6 189 175.649074074
""",
                codes=("truncated-last-line",),
                says=('"1"',),
            ),
        ),
        "uni-voltage-sweep/robbe10.8v1.txt": (
            Reads(
                THRUST_LIST,
                1122,
                11.21,
                """
thrust gf 1122 49 52 26 74 52.7210338681
""",
            ),
        ),
        "uni-voltage-sweep/robbe10.8v2.txt": (
            Reads(
                THRUST_LIST,
                840,
                8.39,
                """
thrust gf 840 146 151 137 177 149.521428571
""",
            ),
        ),
        "uni-voltage-sweep/robbe12.6v1.txt": (
            Reads(
                THRUST_LIST,
                1481,
                14.8,
                """
thrust gf 1481 55 57 17 71 53.358541526
""",
            ),
        ),
        "uni-voltage-sweep/robbe12.6v2.txt": (
            Reads(
                THRUST_LIST,
                679,
                6.78,
                """
thrust gf 679 151 156 138 179 154.251840943
""",
            ),
        ),
        "uni-voltage-sweep/tiger12.6v1.txt": (
            Reads(
                THRUST_LIST,
                713,
                7.12,
                """
thrust gf 713 42 31 28 58 38.3380084151
""",
            ),
        ),
        "uni-voltage-sweep/tiger12.6v2.txt": (
            Reads(
                THRUST_LIST,
                699,
                6.98,
                """
thrust gf 699 141 138 117 161 138.589413448
""",
            ),
        ),
    }
)
