"""Benches as runs: read with the rig files of tests/benches/rigs."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Reads

__all__ = ["BENCHES"]

BENCHES: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "arduino-2830/thrust setup 27_02_2020 test0.csv": (
            Reads(
                "arduino-2830",
                645,
                900.521109,
                """
thrust kgf 645 0 -0.013 -0.065 0 -0.0109720930233
speed rpm 645 0 0 0 30 3.34573643411
voltage V 645 15.24 15.23 15.23 15.24 15.2332868217
current A 645 0.01 0.01 0.01 0.01 0.01
""",
            ),
        ),
        "arduino-2830/thrust setup 27_02_2020 test1_avioncs_2830kv_1045.csv": (
            Reads(
                "arduino-2830",
                104,
                189.057177,
                """
thrust kgf 104 0 0.019 -0.02 0.161 0.0152788461538
speed rpm 104 0 189 0 6426 716.75
voltage V 104 0.02 0.02 0.02 0.02 0.02
current A 104 0.01 0.01 0.01 0.01 0.01
""",
            ),
        ),
        "arduino-2830/thrust setup 27_02_2020 test2_avioncs_2830kv_1045.csv": (
            Reads(
                "arduino-2830",
                209,
                261.212221,
                """
thrust kgf 209 0 -0.028 -0.112 0.48 0.0642057416268
speed rpm 209 0 8 0 3429 294.325358852
voltage V 209 12.16 2.11 2.11 12.16 11.8638277512
current A 209 0.03 0.01 0.01 11.13 1.32028708134
""",
            ),
        ),
        "arduino-2830/thrust setup 27_02_2020 test3_avioncs_2830kv_1105.csv": (
            Reads(
                "arduino-2830",
                160,
                185.027485,
                """
thrust kgf 160 -0.003 0.014 -0.037 0.536 0.1047625
speed rpm 160 0 216 0 6885 2235.08125
voltage V 160 12.07 11.94 11.6 12.07 11.9009375
current A 160 0.04 0.01 0.01 11.1 2.0375
""",
            ),
        ),
        "coax-lift/test22_2024-05-22-09-08-17.csv": (
            Reads(
                "coax-lift",
                2774,
                277.3,
                """
thrust gf 2774 0 -28 -28 10 -21.0775054074
voltage V 2774 22.68 22.67 22.67 22.69 22.6807894737
current A 2774 0.22 0.26 0.08 0.34 0.173637346792
throttle 1100..2000 2774 1100 1380 1100 1380 1239.92537851
""",
            ),
        ),
        "coax-lift/test22_2024-05-22-09-15-32.csv": (
            Reads(
                "coax-lift",
                14,
                1.3,
                """
thrust gf 14 0 0 0 0 0
voltage V 14 0.43 0.43 0.43 0.43 0.43
current A 14 -0.01 -0.01 -0.01 0 -0.00714285714286
throttle 1100..2000 14 1100 1101 1100 1101 1100.42857143
""",
            ),
        ),
        "coax-lift/test22_2024-05-22-10-58-07.csv": (
            Reads(
                "coax-lift",
                3498,
                349.7,
                """
thrust gf 3498 0 2183 -2 2183 987.476272156
voltage V 3498 22.68 21.98 21.98 22.68 22.4737650086
current A 3498 0.03 20.42 0.03 20.42 6.15446255003
throttle 1100..2000 3498 1100 1805 1100 1805 1452.66094911
""",
            ),
        ),
        "coax-lift/test22_2024-05-22-11-11-13.csv": (
            Reads(
                "coax-lift",
                1703,
                170.2,
                """
thrust gf 1703 0 2535 -1 2535 1231.54139753
voltage V 1703 22.63 21.72 21.66 22.63 22.3538872578
current A 1703 0.02 30.39 0.02 30.39 8.88207868467
throttle 1100..2000 1703 1100 1951 1100 1951 1525.2501468
""",
            ),
        ),
        "coax-lift/test23_2024-05-22-11-39-04.csv": (
            Reads(
                "coax-lift",
                1645,
                164.4,
                """
thrust gf 1645 1 2421 0 2439 1189.10881459
voltage V 1645 22.62 21.82 21.7 22.62 22.3525896657
current A 1645 0.02 30.46 0.02 30.46 8.42499088146
throttle 1100..2000 1645 1100 1922 1100 1922 1511.24984802
""",
            ),
        ),
        "coax-lift/test25_2024-05-22-13-14-38.csv": (
            Reads(
                "coax-lift",
                1801,
                180,
                """
thrust gf 1801 0 2455 0 2469 1123.91338145
voltage V 1801 22.58 21.79 21.76 22.58 22.3140144364
current A 1801 0.03 22.77 0.03 25.56 8.27756801777
throttle 1100..2000 1801 1100 2000 1100 2000 1550.24986119
""",
            ),
        ),
        "thesis-minibench/datura-2.5.csv": (
            Reads(
                "thesis-minibench",
                111,
                10.140367,
                """
thrust 0.00145081*gf 111 -522643 -475867 -522725 -475479 -500705.396396
torque Ncm 111 0.0167 -0.2754 -0.3488 0.1059 -0.0779837837838
voltage mV 111 8481.25 7952.5 7696.25 8483.75 8236.73423423
current A 111 0.00875 3.285 0.00875 4.03 1.54207207207
throttle % 111 0 100 0 100 59.4594594595
""",
            ),
        ),
        "thesis-minibench/datura-3.0.csv": (
            Reads(
                "thesis-minibench",
                112,
                10.196314,
                """
thrust 0.00145081*gf 112 -523369 -469424 -523422 -468655 -498018.142857
torque Ncm 112 -0.0812 -0.6368 -0.6984 -0.0717 -0.333158035714
voltage mV 112 8461.25 7905 7903.75 8462.5 8219.17410714
current A 112 0.01 3.3425 0.00875 3.66875 1.56091517857
throttle % 112 0 0 0 100 58.6339285714
""",
            ),
        ),
        "thesis-minibench/datura-3.5.csv": (
            Reads(
                "thesis-minibench",
                111,
                10.119585,
                """
thrust 0.00145081*gf 111 -522546 -443495 -522614 -440918 -483277.702703
torque Ncm 111 -0.0396 -1.3894 -1.5303 -0.0336 -0.599594594595
voltage mV 111 8513.75 7591.25 7581.25 8516.25 8104.83108108
current A 111 0.01 5.3325 0.01 5.69125 2.45291666667
throttle % 111 0 0 0 100 59.1621621622
""",
            ),
        ),
        "thesis-minibench/datura-4.9.csv": (
            Reads(
                "thesis-minibench",
                111,
                10.136878,
                """
thrust 0.00145081*gf 111 -526701 -411211 -526705 -403810 -464989.486486
torque Ncm 111 0.0077 -1.0958 -1.1485 0.1272 -0.446631531532
voltage mV 111 8401.25 7146.25 7131.25 8402.5 7819.62837838
current A 111 0.00875 8.1825 0.00875 9.43125 3.81550675676
throttle % 111 0 0 0 100 59.1621621622
""",
            ),
        ),
        "thesis-minibench/robo-2.5.csv": (
            Reads(
                "thesis-minibench",
                112,
                10.23902,
                """
thrust 0.00145081*gf 112 -533721 -491125 -533721 -488388 -507704.089286
torque Ncm 112 -0.0085 0.9263 -0.0172 0.9263 0.412194642857
voltage mV 112 8271.25 6848.75 6841.25 8273.75 7522.32142857
current A 112 0.01125 10.60875 0.00875 11.77 5.70954241071
throttle % 112 0 100 0 100 59.2232142857
""",
            ),
        ),
        "thesis-minibench/robo-3.csv": (
            Reads(
                "thesis-minibench",
                112,
                10.230916,
                """
thrust 0.00145081*gf 112 -534297 -486471 -534297 -482834 -504641.75
torque Ncm 112 -0.1104 0.6969 -0.1165 0.7151 0.31285
voltage mV 112 8180 6781.25 6781.25 8181.25 7427.38839286
current A 112 0.01 10.41375 0.01 11.41625 5.67478794643
throttle % 112 0 100 0 100 59.5267857143
""",
            ),
        ),
        "dshot-steps/0500_thrust_response.csv": (
            Reads(
                "dshot-steps",
                384,
                7.61976866,
                """
thrust -1*N 384 0.793 0.795 0.688 0.798 0.776377604167
""",
            ),
        ),
        "dshot-steps/increasing_thrust_response.csv": (
            Reads(
                "dshot-steps",
                1766,
                35.128439,
                """
thrust -1*N 1766 0.82 0.811 0.057 0.827 0.62644790487
""",
            ),
        ),
    }
)
