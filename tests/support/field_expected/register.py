"""Every file of ../shared/field by name, with what is expected of it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from support.field_expected.forms import Expected, Parts, Refused, Table
from support.field_expected.lists import LISTS
from support.field_expected.matlab import MATLAB
from support.field_expected.run_benches import BENCHES
from support.field_expected.run_files import FILES
from support.field_expected.run_levers import LEVERS
from support.field_expected.run_motors import MOTORS
from support.field_expected.run_others import OTHERS
from support.field_expected.run_sounds import HEARD
from support.field_expected.run_vectors import VECTORS
from support.field_expected.run_weights import WEIGHTS
from support.field_expected.sounds import SOUNDS
from support.field_expected.text_benches import TEXT_BENCHES
from support.field_expected.text_others import TEXT_OTHERS
from support.field_expected.text_runs import TEXT_RUNS

__all__ = ["EXPECTED", "FLAC", "OPEN"]

FLAC: Final = (
    "fault-audio/A_B_MF1_185_DuckPond_637_snr=13.182254877166207.wav",
    "fault-audio/A_B_N_913_DuckPond_739_snr=13.53656148507108.wav",
    "fault-audio/A_B_PC1_867_DuckPond_599_snr=10.566368533692795.wav",
)
"""FLAC under names that end in .wav; each holds a hash of its own samples (see the test)."""

_OTHERS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        "battery-sag/drone-data.ods": (
            Parts(
                tables=3,
                names=("data", "data_old", "constants"),
                skipped={"symbol meanings": "no rows of numbers"},
            ),
            Table(
                """
2 - 7 0.5 6650 0.5 6650 1332.57142857
6 - 7 0.223 666 0.223 666 156.272252747
                """,
                width=9,
                heads=("name", "m (g)", "l (m)", "e (J)", "t (s)", "p (W)"),
                name="data",
            ),
            Table(
                """
2 - 7 0.5 4600 0.5 4600 1051.14285714
5 - 6 660 1800 360 1800 840
                """,
                width=9,
                heads=("name", "m (g)"),
                name="data_old",
            ),
            Table("2 - 2 100 9.81 9.81 100 54.905", width=3, heads=("constants", "value"), name="constants"),
        ),
        "binary-negative/E8_log00": (Refused("binary-log", ("this is no text", "stateEstimate.x")),),
        "binary-negative/motor_E9_log00": (Refused("binary-log", ("this is no text", "motor.m1")),),
        "cell-calibration/Load_Cell_Calibration.xlsx": (Parts(tables=1, names=("Sheet1",)),),
        "rotor-speeds-mat/flight_motor_speed.mat": (
            Refused("not-a-table", ("3 dimensions", "20 x 15 x 4", "16 x 15 x 4")),
        ),
        "side-by-side-xlsx/he.xlsx": (
            Parts(
                tables=4,
                blocks=(18,),
                names=("120mm_45deg_trial3", "110mm_45deg_trial1", "110mm_45deg_trial2"),
                totals=(1479, 83412.98543),
                head="Weight",
            ),
        ),
        "side-by-side-xlsx/log.xlsx": (
            Parts(
                tables=17,
                blocks=(18, 36),
                names=("120mm_25deg_trial1", "120mm_25deg_trial2", "120mm_20deg_trial3"),
                totals=(11566, 364667.42138),
                head="Weight",
            ),
        ),
        "side-by-side-xlsx/test.xlsx": (
            Parts(
                tables=34,
                blocks=(18, 36),
                names=("120mm_8deg_trial1", "120mm_8deg_trial2", "120mm_20deg_trial1"),
                totals=(26104, 820698.81261),
                head="Weight",
            ),
        ),
        "side-by-side-xlsx/sum.xlsx": (
            Table(
                """
1 - 18 10 180 10 180 95
2 - 18 -0.108 -0.035 -0.515 3 0.15894444444444444
                """,
                width=2,
                heads=("Throttle", "Mean Weight"),
            ),
        ),
        "thesis-minibench/Dataset A Analysis.xlsx": (
            Parts(tables=2, blocks=(4,), names=("Datura Comparison", "Motor Comparison")),
        ),
        "uni-lever-16v3/all_calib_thrust_data.mat": (Parts(tables=25, names=("calib0", "calib540", "calib620")),),
    }
)

_AS_TABLES: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {
        **TEXT_BENCHES,
        **TEXT_RUNS,
        **TEXT_OTHERS,
        **LISTS,
        **SOUNDS,
        **MATLAB,
        **dict.fromkeys(FLAC, (Parts(tables=1),)),
        **_OTHERS,
    }
)
_AS_RUNS: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {**BENCHES, **LEVERS, **WEIGHTS, **MOTORS, **OTHERS, **HEARD, **FILES, **VECTORS}
)

EXPECTED: Final[Mapping[str, tuple[Expected, ...]]] = MappingProxyType(
    {file: _AS_TABLES.get(file, ()) + _AS_RUNS.get(file, ()) for file in sorted({*_AS_TABLES, *_AS_RUNS})}
)
"""File -> what is expected of it."""

OPEN: Final[Mapping[str, str]] = MappingProxyType({})
"""Files that are left out for now -> why."""
