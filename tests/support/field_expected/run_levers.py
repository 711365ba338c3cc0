"""Lever stands as runs, and what their cells read under dead weights."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads

__all__ = ["LEVERS"]

LEVERS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "uni-lever-16v3/Motor_16p3.txt": (
            Reads(
                "uni-lever-16v3",
                12428,
                124.27,
                """
throttle 0..250 12428 10 250 10 250 129.130994528
current 0.1*A 12428 2 134 0 255 46.7056646283
speed 780/14*rpm 12428 26 165 0 255 100.343900869
voltage 0.1*V 12428 164 158 145 255 161.512391374
thrust 0.4833*2.70588*gf 12428 51 1015 28 1023 409.33834889
""",
                codes=("truncated-first-line", "truncated-last-line"),
            ),
        ),
        "uni-lever-14v8/thrust_tets_148.txt": (
            Reads(
                "uni-lever-14v8",
                8751,
                87.5,
                """
throttle 0..250 8751 10 250 10 250 129.961147297
current 0.1*A 8751 0 114 0 116 39.3059078962
speed 780/14*rpm 8751 0 151 0 179 91.8298480174
voltage 0.1*V 8751 150 143 138 150 147.372186036
thrust 0.4827*2.70588*gf 8751 35 863 27 872 330.96126157
""",
            ),
        ),
        "uni-lever-14v8/test_V_14.8.txt": (
            Reads(
                "uni-lever-14v8-torque",
                8645,
                86.44,
                """
throttle 0..250 8645 10 250 10 250 128.459224986
current 0.1*A 8645 1 110 0 113 38.6610757663
speed 780/14*rpm 8645 24 151 0 255 90.6517061885
voltage 0.1*V 8645 149 142 136 149 146.806130711
torque 0.4928*0.23*gf 8645 33 150 0 186 68.6091382302
""",
                codes=("truncated-last-line",),
            ),
        ),
        "uni-voltage-sweep/robbe10.8.txt": (
            Reads(
                "uni-voltage-sweep-robbe10.8",
                8750,
                87.49,
                """
throttle 0..250 8750 0 250 0 250 129.998857143
current 0.1*A 8750 0 76 0 255 25.8665142857
speed 780/14*rpm 8750 0 98 0 255 59.5642285714
voltage 0.1*V 8750 110 103 101 255 107.1176
thrust gf 8750 47 545 31 576 233.243771429
""",
            ),
        ),
        "uni-voltage-sweep/robbe12.6.txt": (
            Reads(
                "uni-voltage-sweep-robbe12.6",
                8754,
                87.53,
                """
throttle 0..250 8754 10 250 10 250 129.945167923
current 0.1*A 8754 1 94 0 255 33.2339501942
speed 780/14*rpm 8754 0 109 0 255 67.804318026
voltage 0.1*V 8754 127 120 119 255 124.737262966
thrust gf 8754 57 672 38 704 293.653872515
""",
            ),
        ),
        "uni-voltage-sweep/tiger10.8.txt": (
            Reads(
                "uni-voltage-sweep",
                8754,
                87.53,
                """
throttle 0..250 8754 10 250 10 250 129.945167923
current 0.1*A 8754 0 77 0 255 25.4524788668
speed 780/14*rpm 8754 0 105 0 255 62.9658441855
voltage 0.1*V 8754 109 103 103 255 107.122686772
thrust gf 8754 23 514 6 536 197.413182545
""",
            ),
        ),
        "uni-voltage-sweep/tiger12.6.txt": (
            Reads(
                "uni-voltage-sweep-tiger12.6",
                8750,
                87.49,
                """
throttle 0..250 8750 0 250 0 250 129.998857143
current 0.1*A 8750 0 102 0 255 33.8337142857
speed 780/14*rpm 8750 0 118 0 255 71.8368
voltage 0.1*V 8750 127 119 119 255 124.6888
thrust gf 8750 32 656 8 687 260.4096
""",
            ),
        ),
    }
)
