"""What each column of the recordings in ../shared/field is: from its LOG.md and the rig files in tests/benches/rigs.

A line reads `head or position | quantity | unit`. No quantity: no channel holds such a column, and it is right when
left unread. Two with a / between: either is right. The unit is the one that the log's own words tell; where they tell
none there is none here, and one that is written would be a guess.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True)
class Truth:
    """One column: right quantities ('' for unread) and the unit that the log tells."""

    name: str
    quantities: frozenset[str]
    unit: str


_EIGHT = """
1 | throttle |
2 | current |
3 | |
4 | |
5 | speed |
6 | |
7 | voltage |
8 | {} |
"""
_CLOCKED = "1 | time |\n2 | {} |"
_THESIS = """
timestamp_s | time | s
thrust_raw | thrust |
thrust_gf | thrust | gf
torque_ncm | torque | N cm
efficiency_gpw | |
voltage_mv | voltage | mV
current_a | current | A
throttle_pct | throttle | %
"""
_ESC = """
Timestamp | time |
Amps | current | A
Batt. Volts | voltage | V
Motor Volts | voltage/ | V
RPM | speed | rpm
Duty | throttle |
Comm. Period | |
Bad Detects | |
ADC Window | |
Idle Time | |
State | |
Phase A Avg. | |
Phase B Avg. | |
Phase C Avg. | |
Composite Avg. | |
FET Step | |
"""
# Line 3 of that log is its own row of units; temperatures are those of motors and transistors, not of the air.
_MAP = """
Input voltage | voltage | V
Input current | current | mA
Input Power | electrical-power | W
Test Motor Temperature | |
Test motor FET temp | |
Test motor q-axis current | |
Test motor d-axis current | |
Test motor Ibus | current/ | A
Test motor Ical | |
Output Torque | torque | N mm
Output Speed | speed | rad/s
Output Speed set-point | |
Output Power | |
Absorber Motor Temperature | |
Absorber motor FET temp | |
Absorber q-axis current | |
Absorber d-axis current | |
Absorber Ibus | |
Absorber motor Ical | |
"""
_BRAKE = """
time [s] | time | s
velocity setpoint [Hz] | |
velocity measured [Hz] | speed | rev/s
motor current [A] | current | A
load cell weight [g] | thrust | gf
motor torque [Nm] | torque | N m
brake torque [Nm] | torque | N m
"""
_BRAKE_SHORT = """
time [s] | time | s
velocity setpoint [Hz] | |
velocity measured [Hz] | speed | rev/s
motor torque [Nm] | torque | N m
brake torque [Nm] | torque | N m
"""
_BRAKE_LONG = """
time [s] | time | s
velocity setpoint [Hz] | |
velocity measured [Hz] | speed | rev/s
motor current measured [A] | current | A
motor current setpoint [A] | |
load cell weight [g] | thrust | gf
motor torque measured [Nm] | torque | N m
motor torque setpoint [Nm] | |
brake torque [Nm] | torque | N m
compensated brake torque [Nm] | torque | N m
"""
_AXES = "timestamp(ms) | time | ms\n" + "\n".join(f"IMU[0].Acc{axis} | acceleration |" for axis in "XYZ")
_MAGNITUDE = "sqrt(IMU[0].AccX**2+IMU[0].AccY**2+IMU[0].AccZ**2) | acceleration/ |"
# LOG: [min|s|ms|T1|T2|p|10 values|load|10 values|x]; x is what tenso.txt holds.
_FRAME = "\n".join(
    ["1 | time/ |", "2 | time/ |", "3 | time/ |", "4 | temperature |", "5 | temperature |", "6 | pressure |"]
    + [f"{place} | |" for place in range(7, 17)]
    + ["17 | thrust |"]
    + [f"{place} | |" for place in range(18, 28)]
    + ["28 | thrust |"]
)

FIELD_COLUMNS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "arduino-2830/thrust setup 27_02_2020 test0.csv": "1|time|\n2|thrust|\n3|speed|\n4|voltage|\n5|current|",
        "battery-sag/vbat_t-100_n-1.csv": _CLOCKED.format("voltage"),
        "coax-lift/test22_2024-05-22-09-08-17.csv": "time|time|\nthrust|thrust|\nvoltage|voltage|\ncurrent|current|\n"
        "power|electrical-power|\npwm|throttle|",
        "commented-dyno/Fri Jan 15 19-40-52 2021.csv": _BRAKE,
        "commented-dyno/dynamometer_test001.csv": _BRAKE_SHORT,
        "commented-dyno/speed_test_13_02_2021_13-53-46.csv": _BRAKE_LONG,
        "dc-motor-4k7/Arduino motor data_20260522_130512_84996pts.csv": "index||\ntime_s|time|s\ncurrent_A|current|A\n"
        "encoder_V||\nduty_pct|throttle|%\ndelta_us||",
        "dshot-steps/0500_thrust_response.csv": _CLOCKED.format("thrust"),
        "esc-log/f40_steps_5-2.csv": _ESC,
        "flywheel-dyno/run8.csv": "timestamp|time|\ntotal_angle||",
        "motor-map-270kv/odrive_data.csv": _MAP,
        "octo-prop-damage/acc_gyro_lot_03.csv": f"{_AXES}\nIMU[0].GyrZ||\nIMU[0].GyrY||\nIMU[0].GyrX||",
        "octo-prop-damage/good_1.csv": f"{_AXES}\n{_MAGNITUDE}",
        "octo-prop-damage/lot_1_all_good.csv": "timestamp(ms)|time|ms\ndegrees(IMU[0].GyrX)||\n"
        f"degrees(IMU[0].GyrY)||\ndegrees(IMU[0].GyrZ)||\n{_MAGNITUDE}",
        "octo-prop-damage/wibracje_lot_03_all.csv": "timestamp(ms)|time|ms\nVIBE[0].VibeX|acceleration|\n"
        "VIBE[0].VibeY|acceleration|\nVIBE[0].VibeZ|acceleration|",
        "rotor-coastdown/MS_Decay_1.csv": "time|time|\nomega|speed|",
        # LOG: volts of a vibration sensor whose scale is not stated.
        "rotor-vibration-states/Crack Fault-Vw=5.csv": "Time - Voltage_1|time|\nAmplitude - Voltage_1|acceleration/|",
        "rotor-vibration-states/H-for Vw=1.3.csv": "Time - sec|time|s\nAmplitude - g|acceleration/|",
        "serial-dumps/frame.txt": _FRAME,
        "serial-dumps/hal.txt": _CLOCKED.format(""),
        "serial-dumps/pressure.txt": _CLOCKED.format("pressure"),
        "serial-dumps/shunt.txt": _CLOCKED.format("current"),
        "serial-dumps/temp.txt": "1|time|\n2|temperature|\n3|temperature|",
        "serial-dumps/tenso.txt": _CLOCKED.format("thrust"),
        "serial-dumps/vibration.txt": _CLOCKED.format("acceleration"),
        "thesis-minibench/datura-2.5.csv": _THESIS,
        "uni-lever-14v8/test_V_14.8.txt": _EIGHT.format("torque"),
        "uni-lever-14v8/thrust_calib_0.txt": "1|thrust|",
        "uni-lever-14v8/thrust_tets_148.txt": _EIGHT.format("thrust"),
        "uni-lever-14v8/torque_calib_0.txt": "1|torque|",
        "uni-lever-16v3/Motor_16p3.txt": _EIGHT.format("thrust"),
        "uni-lever-16v3/calib_0.txt": "1|thrust|",
        "uni-voltage-sweep/robbe10.8.txt": _EIGHT.format("thrust"),
        "uni-voltage-sweep/robbe10.8v1.txt": "1|thrust|",
        "university-tables/volume1.csv": "PropName||\nBladeName||\nFamily||\nB||\nD||\nP||\nJ||\nN|speed|\n"
        "CT||\nCP||\neta||",
    }
)
"""First log of each layout -> its columns."""


def truth_of(text: str) -> list[Truth]:
    """Return the columns of a layout in their order."""
    found = []
    for line in text.strip().splitlines():
        name, quantities, unit = (part.strip() for part in line.rsplit("|", 2))
        found.append(Truth(name, frozenset(quantities.split("/")), unit))
    return found
