"""MATLAB files and workbooks as runs, and the parts of them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads, Refused, Table
from support.field_expected.patterns import COURSE, ONE_BLOCK, STATIC_TABLE, TUNNEL

__all__ = ["FILES"]

FILES: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "university-tables/volume1.csv": (Refused("missing-column", ('"thrust"',), rig=STATIC_TABLE),),
        "university-tables/volume2.csv": (Refused("missing-column", ('"thrust"',), rig=STATIC_TABLE),),
        "university-tables/volume3.csv": (Refused("missing-column", ('"thrust"',), rig=STATIC_TABLE),),
        "course-sysid/MotorData.mat": (
            Reads(
                COURSE,
                9315,
                93.14,
                """
throttle 1..2 9315 1.50006 1.5 1.2 1.8 1.53619327644
thrust N 9315 -0.164200000000001 1.5533999999999963 -1.8366000000000042 3.6325999999999965 1.47254464842
""",
            ),
        ),
        "course-sysid/MotorData_Verify.mat": (
            Reads(
                COURSE,
                2736,
                27.352735,
                """
throttle 1..2 2736 1.493 1.488 1.274 1.719 1.48785160819
thrust N 2736 0.5462 0.4856 -0.181 3.0308 0.605677777778
""",
            ),
        ),
        "tunnel-airspeed/wt.mat": (
            Reads(
                TUNNEL,
                254500,
                508.998,
                """
speed rpm 254500 1550 10950 0 12119.999999987494 4520.87891053
voltage V 254500 16.75 15.35 12.910000000109708 18.041428571369174 16.464535045
current A 254500 0.05 15.59 0 31.640000000021654 3.7110690939
""",
            ),
        ),
        "rotor-speeds-mat/flight_motor_speed.mat": (Refused("not-a-table", ("which are rows is not told",)),),
        "side-by-side-xlsx/he.xlsx": (
            Table(
                """
1 - 21 7.152557373046875e-07 2.104833602905273 7.152557373046875e-07 2.104833602905273 1.05547084127
2 - 21 5.94037 5.91392 5.91014 5.94037 5.92363380952
3 - 21 10 10 10 10 10
""",
                width=4,
                heads=("Time", "Weight", "Throttle", "Average"),
                name="120mm_45deg_trial3",
                block=1,
            ),
            Table(
                """
1 - 20 0 2.004012107849121 0 2.004012107849121 1.00138633251
2 - 20 58.68193 58.66682 58.57612 58.74995 58.6645475
3 - 20 100 100 100 100 100
""",
                width=4,
                heads=("Time", "Weight", "Throttle", "Average"),
                name="120mm_45deg_trial3",
                block=10,
            ),
            Table(
                """
1 - 21 0 2.097584962844849 0 2.097584962844849 1.05297430356
2 - 21 99.96599 100.23429 99.96599 100.38544 100.122000952
3 - 21 140 140 140 140 140
""",
                width=4,
                heads=("Time", "Weight", "Throttle", "Average"),
                name="120mm_45deg_trial3",
                block=14,
            ),
            Reads(
                ONE_BLOCK,
                20,
                2.00401211,
                """
thrust gf 20 58.68193 58.66682 58.57612 58.74995 58.6645475
throttle 0..180 20 100 100 100 100 100
""",
                inside="120mm_45deg_trial3",
            ),
        ),
        "side-by-side-xlsx/log.xlsx": (
            Table(
                """
1 - 49 7.152557373046875e-07 5.056910753250122 7.152557373046875e-07 5.056910753250122 2.52979638139
2 - 49 4.6263 4.55355 4.54628 4.63721 4.59289387755
3 - 49 10 10 10 10 10
""",
                width=4,
                heads=("Time", "Weight", "Throttle", "Average"),
                name="120mm_25deg_trial1",
                block=1,
            ),
            Table(
                """
1 - 49 0 5.046814203262329 0 5.046814203262329 2.5254838564
2 - 49 97.67958 98.39971 97.46135 98.85433 98.1198032653
3 - 49 180 180 180 180 180
""",
                width=4,
                heads=("Time", "Weight", "Throttle", "Average"),
                name="120mm_25deg_trial1",
                block=18,
            ),
        ),
        "side-by-side-xlsx/test.xlsx": (
            Table(
                """
1 - 43 0.624945878982544 5.030050992965698 0.624945878982544 5.030050992965698 2.83150538178
2 - 43 0.80742 0.88016 0.80742 0.99291 0.928202093023
3 - 43 10 10 10 10 10
""",
                width=4,
                heads=("Time", "Weight", "Throttle", "Average"),
                name="120mm_8deg_trial1",
                block=1,
            ),
            Table(
                """
1 - 43 0.6408350467681885 5.037671089172363 0.6408350467681885 5.037671089172363 2.83867573738
2 - 43 14.60629 13.90071 13.78069 14.63539 14.0059286047
3 - 43 180 180 180 180 180
""",
                width=4,
                heads=("Time", "Weight", "Throttle", "Average"),
                name="120mm_8deg_trial1",
                block=18,
            ),
        ),
        "cell-calibration/Load_Cell_Calibration.xlsx": (
            Table(
                """
1 - 24 0 9.1547 0 9.1831 3.59678333333
2 - 24 0.035 1.3905 0.0033 9.1 2.16375
3 - 8 0 1.3955 0 1.3955 0.7644375
4 - 8 0.023 9.1665 0.023 9.1665 5.00935
5 - 8 0 1.3955 0 1.3955 0.7644375
6 - 8 0.0015 9.1831 0.0015 9.1831 5.031125
""",
                width=6,
                name="Sheet1",
            ),
        ),
        "thesis-minibench/Dataset A Analysis.xlsx": (
            Table(
                """
1 - 111 0 10.140367 0 10.140367 5.06077538739
2 - 111 0.074 67.937 -0.045 68.5 31.9013693694
3 - 111 0.999 2.6006 -0.5285 3.1955 2.27297387387
4 - 111 0 100 0 100 59.4594594595
5 - 111 -1 9.140367 -1 9.140367 4.06077538739
""",
                width=5,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "throttle_pct", "time"),
                name="Datura Comparison",
                block=1,
            ),
            Table(
                """
1 - 112 0 10.196314 0 10.196314 5.10627621429
2 - 112 0.075 78.339 -0.002 79.455 36.8543035714
3 - 112 0.8882 2.9649 -0.0235 3.4266 2.6958125
4 - 112 0 0 0 100 58.6339285714
5 - 111 -1 9.118393 -1 9.118393 4.06042001802
""",
                width=5,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "throttle_pct", "time"),
                name="Datura Comparison",
                block=2,
            ),
            Table(
                """
1 - 111 0 10.119585 0 10.119585 5.07648354955
2 - 111 0.005 114.693 -0.093 118.432 56.976045045
3 - 111 0.0631 2.8333 -1.0957 4.2745 2.76044144144
4 - 111 -1 9.119585 -1 9.119585 4.07648354955
""",
                width=4,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "time"),
                name="Datura Comparison",
                block=3,
            ),
            Table(
                """
1 - 111 0 10.136878 0 10.136878 5.06747700901
2 - 111 -0.007 167.547 -0.012 178.284 89.5249009009
3 - 111 -0.0888 2.8653 -0.1468 5.6418 3.24056396396
4 - 111 0 0 0 100 59.1621621622
5 - 111 -1 9.136878 -1 9.136878 4.06747700901
""",
                width=5,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "throttle_pct", "time"),
                name="Datura Comparison",
                block=4,
            ),
            Table(
                """
1 - 111 0 10.140367 0 10.140367 5.06077538739
2 - 111 0.074 67.937 -0.045 68.5 31.9013693694
3 - 111 0.999 2.6006 -0.5285 3.1955 2.27297387387
4 - 111 0 100 0 100 59.4594594595
5 - 111 -1 9.140367 -1 9.140367 4.06077538739
""",
                width=5,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "throttle_pct", "time"),
                name="Motor Comparison",
                block=1,
            ),
            Table(
                """
1 - 112 0 10.196314 0 10.196314 5.10627621429
2 - 112 0.075 78.339 -0.002 79.455 36.8543035714
3 - 112 0.8882 2.9649 -0.0235 3.4266 2.6958125
4 - 112 0 0 0 100 58.6339285714
5 - 111 -1 9.118393 -1 9.118393 4.06042001802
""",
                width=5,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "throttle_pct", "time"),
                name="Motor Comparison",
                block=2,
            ),
            Table(
                """
1 - 112 0 10.23902 0 10.23902 5.13130472321
2 - 112 -0.111 61.688 -0.111 65.659 37.6349375
3 - 112 -1.1881 0.849 -1.1881 1.3331 0.751627678571
4 - 112 0 100 0 100 59.2232142857
5 - 111 -1 9.162731 -1 9.162731 4.08528927027
""",
                width=5,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "throttle_pct", "time"),
                name="Motor Comparison",
                block=3,
            ),
            Table(
                """
1 - 112 0 10.230916 0 10.230916 5.10828325893
2 - 112 0.018 69.404 0.018 74.681 43.042
3 - 112 0.2199 0.9828 0.0062 1.9051 1.13223214286
4 - 112 0 100 0 100 59.5267857143
5 - 111 -1 9.11449 -1 9.11449 4.06213341441
""",
                width=5,
                heads=("timestamp_s", "thrust_gf", "efficiency_gpw", "throttle_pct", "time"),
                name="Motor Comparison",
                block=4,
            ),
        ),
    }
)
