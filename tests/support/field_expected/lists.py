"""Readings under dead weights, one a line: witness is the standard library."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Table

__all__ = ["LISTS"]

LISTS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "uni-lever-14v8/thrust_calib_0.txt": (
            Table(
                """
1 - 4330 5 14 4 53 27.911547344110854
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_100.txt": (
            Table(
                """
1 - 2682 236 230 23 259 236.40305741983593
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_172.txt": (
            Table(
                """
1 - 2747 384 385 370 406 387.21186749180924
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_200.txt": (
            Table(
                """
1 - 2320 442 453 4 461 441.2030172413793
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_272.txt": (
            Table(
                """
1 - 3443 599 597 1 611 594.4072030206215
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_300.txt": (
            Table(
                """
1 - 4093 646 649 6 670 650.0102614219398
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_372.txt": (
            Table(
                """
1 - 4078 811 798 8 820 799.5647376164786
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_500.txt": (
            Table(
                """
1 - 3882 3 1023 3 10231023 3657.9768160741887
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/thrust_calib_72.txt": (
            Table(
                """
1 - 4134 187 174 3 204 179.52564102564102
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_0.txt": (
            Table(
                """
1 - 3932 16 16 0 29 13.141403865717193
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_118.txt": (
            Table(
                """
1 - 4252 260 248 243 260258 315.2539981185325
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_200.txt": (
            Table(
                """
1 - 5574 428 415 1 432 422.95873699318264
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_246.txt": (
            Table(
                """
1 - 16161 502 513 497 530 512.52874203329
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_272.txt": (
            Table(
                """
1 - 2492 7 560 6 578 564.3001605136436
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_318.txt": (
            Table(
                """
1 - 2662 60 671 60 674 661.1262208865514
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_46.txt": (
            Table(
                """
1 - 2449 113 107 13 116 107.56676194365048
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_500.txt": (
            Table(
                """
1 - 3016 1023 1023 1016 101023 1055.954575596817
            """,
                width=1,
            ),
        ),
        "uni-lever-14v8/torque_calib_72.txt": (
            Table(
                """
1 - 4279 163 167 4 172 160.493339565319
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_0.txt": (
            Table(
                """
1 - 6503 23 28 1 32 19.81531600799631
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_100.txt": (
            Table(
                """
1 - 3406 237 229 219 242 231.14885496183206
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_200.txt": (
            Table(
                """
1 - 2754 0 439 0 454 440.0297748729121
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_300.txt": (
            Table(
                """
1 - 3238 5 644 5 661 646.8795552810377
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_400.txt": (
            Table(
                """
1 - 3256 855 856 836 867 851.5070638820639
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_500.txt": (
            Table(
                """
1 - 7005 1023 1023 1023 1023 1023
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_540.txt": (
            Table(
                """
1 - 4751 23 1023 23 1021023 1258.7398442433173
            """,
                width=1,
            ),
        ),
        "uni-lever-16v3/calib_72.txt": (
            Table(
                """
1 - 3240 176 179 6 189 175.64907407407406
            """,
                width=1,
            ),
        ),
        "uni-voltage-sweep/robbe10.8v1.txt": (
            Table(
                """
1 - 1122 49 52 26 74 52.72103386809269
            """,
                width=1,
            ),
        ),
        "uni-voltage-sweep/robbe10.8v2.txt": (
            Table(
                """
1 - 840 146 151 137 177 149.52142857142857
            """,
                width=1,
            ),
        ),
        "uni-voltage-sweep/robbe12.6v1.txt": (
            Table(
                """
1 - 1481 55 57 17 71 53.358541525995946
            """,
                width=1,
            ),
        ),
        "uni-voltage-sweep/robbe12.6v2.txt": (
            Table(
                """
1 - 679 151 156 138 179 154.25184094256258
            """,
                width=1,
            ),
        ),
        "uni-voltage-sweep/tiger12.6v1.txt": (
            Table(
                """
1 - 713 42 31 28 58 38.338008415147264
            """,
                width=1,
            ),
        ),
        "uni-voltage-sweep/tiger12.6v2.txt": (
            Table(
                """
1 - 699 141 138 117 161 138.58941344778253
            """,
                width=1,
            ),
        ),
    }
)
