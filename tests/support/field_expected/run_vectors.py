"""Readings under dead weights as vectors of a MATLAB file, each of its own length."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Table

__all__ = ["VECTORS"]

VECTORS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "uni-lever-16v3/all_calib_thrust_data.mat": (
            Table(
                """
1 - 6503 23 28 1 32 19.815316008
""",
                width=1,
                heads=("calib0",),
                name="calib0",
            ),
            Table(
                """
1 - 3406 237 229 219 242 231.148854962
""",
                width=1,
                heads=("calib100",),
                name="calib100",
            ),
            Table(
                """
1 - 1715 259 257 244 273 255.985422741
""",
                width=1,
                heads=("calib110",),
                name="calib110",
            ),
            Table(
                """
1 - 3634 274 27 27 298 277.408365438
""",
                width=1,
                heads=("calib120",),
                name="calib120",
            ),
            Table(
                """
1 - 2401 392 386 371 398 385.298625573
""",
                width=1,
                heads=("calib172",),
                name="calib172",
            ),
            Table(
                """
1 - 2755 0 4 0 454 439.871506352
""",
                width=1,
                heads=("calib200",),
                name="calib200",
            ),
            Table(
                """
1 - 2854 486 477 467 492 479.243868255
""",
                width=1,
                heads=("calib220",),
                name="calib220",
            ),
            Table(
                """
1 - 4381 601 591 577 603 590.540515864
""",
                width=1,
                heads=("calib272",),
                name="calib272",
            ),
            Table(
                """
1 - 3239 5 644 5 661 646.68169188
""",
                width=1,
                heads=("calib300",),
                name="calib300",
            ),
            Table(
                """
1 - 2670 696 680 5 701 687.818726592
""",
                width=1,
                heads=("calib320",),
                name="calib320",
            ),
            Table(
                """
1 - 1504 3 787 0 808 797.015292553
""",
                width=1,
                heads=("calib372",),
                name="calib372",
            ),
            Table(
                """
1 - 3257 855 85 85 867 851.271722444
""",
                width=1,
                heads=("calib400",),
                name="calib400",
            ),
            Table(
                """
1 - 2864 880 86 86 879880 1178.81424581
""",
                width=1,
                heads=("calib410",),
                name="calib410",
            ),
            Table(
                """
1 - 2798 900 902 882 908 894.365975697
""",
                width=1,
                heads=("calib420",),
                name="calib420",
            ),
            Table(
                """
1 - 2427 0 937 0 940937 1321.16810878
""",
                width=1,
                heads=("calib440",),
                name="calib440",
            ),
            Table(
                """
1 - 2484 965 946 942 968 955.482689211
""",
                width=1,
                heads=("calib450",),
                name="calib450",
            ),
            Table(
                """
1 - 1644 1004 10 10 1012 997.895377129
""",
                width=1,
                heads=("calib472",),
                name="calib472",
            ),
            Table(
                """
1 - 7005 1023 1023 1023 1023 1023
""",
                width=1,
                heads=("calib500",),
                name="calib500",
            ),
            Table(
                """
1 - 2163 1023 102 102 1023 1022.5742025
""",
                width=1,
                heads=("calib510",),
                name="calib510",
            ),
            Table(
                """
1 - 3069 1023 1 1 101023 1054.59074617
""",
                width=1,
                heads=("calib520",),
                name="calib520",
            ),
            Table(
                """
1 - 4752 23 1 1 1021023 1258.47516835
""",
                width=1,
                heads=("calib540",),
                name="calib540",
            ),
            Table(
                """
1 - 2251 1023 1023 1023 1023 1023
""",
                width=1,
                heads=("calib572",),
                name="calib572",
            ),
            Table(
                """
1 - 3086 1023 1 1 1023 1022.66882696
""",
                width=1,
                heads=("calib592",),
                name="calib592",
            ),
            Table(
                """
1 - 2603 1023 1023 1023 1023 1023
""",
                width=1,
                heads=("calib620",),
                name="calib620",
            ),
            Table(
                """
1 - 3241 176 1 1 189 175.595186671
""",
                width=1,
                heads=("calib72",),
                name="calib72",
            ),
        ),
    }
)
