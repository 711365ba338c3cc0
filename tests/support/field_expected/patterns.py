"""Rigs of folders that hold many like files, as their testers would have written them; scales nobody told are one."""

from __future__ import annotations

from typing import Final

THRUST_LIST: Final = """
[channels.time]
rate = "100 Hz"
[channels.thrust]
column = 1
unit = "count"
scale = "1 gf/count"
"""
TORQUE_LIST: Final = """
[channels.time]
rate = "100 Hz"
[channels.torque]
columns = [{ column = 1, arm = "230 mm" }]
unit = "count"
scale = "1 gf/count"
"""
MS_VOLTS: Final = """
[channels.time]
column = 1
unit = "ms"
[channels.voltage]
column = 2
unit = "V"
"""
DUTY: Final = """
[channels.time]
column = "time_s"
unit = "s"
[channels.current]
column = "current_A"
unit = "A"
[channels.throttle]
column = "duty_pct"
unit = "%"
"""
ANGLE: Final = """
[channels.time]
column = "timestamp"
unit = "ms"
[channels.speed]
column = "total_angle"
unit = "rad"
"""
FRAMES: Final = """
[channels.time]
columns = [1, 2, 3]
unit = "count"
scale = ["60 s/count", "1 s/count", "1 ms/count"]
[channels.thrust]
column = 28
unit = "count"
scale = "1 gf/count"
"""
LOAD_COUNTS: Final = """
[channels.time]
column = 1
unit = "s"
[channels.thrust]
column = 2
unit = "count"
scale = "1 gf/count"
"""
SHUNT: Final = """
[channels.time]
column = 1
unit = "s"
[channels.current]
column = 2
unit = "A"
"""
VOLTS_OF_VIBRATION: Final = """
[channels.time]
column = "Time - Voltage_1"
unit = "s"
[channels.acceleration]
file = "vibration"
column = "Amplitude - Voltage_1"
unit = "V"
scale = "1 gn/V"
"""
G_OF_VIBRATION: Final = """
[channels.time]
column = "Time - sec"
unit = "s"
[channels.acceleration]
file = "vibration"
column = "Amplitude - g"
unit = "gn"
"""
FLIGHT_AXES: Final = """
[channels.time]
column = "timestamp(ms)"
unit = "ms"
[channels.acceleration]
file = "vibration"
columns = ["IMU[0].AccX", "IMU[0].AccY", "IMU[0].AccZ"]
unit = "m/s2"
"""
MAGNITUDE: Final = """
[channels.time]
column = "timestamp(ms)"
unit = "ms"
[channels.acceleration]
file = "vibration"
column = "sqrt(IMU[0].AccX**2+IMU[0].AccY**2+IMU[0].AccZ**2)"
unit = "m/s2"
"""
VIBE: Final = """
[channels.time]
column = "timestamp(ms)"
unit = "ms"
[channels.acceleration]
file = "vibration"
columns = ["VIBE[0].VibeX", "VIBE[0].VibeY", "VIBE[0].VibeZ"]
unit = "m/s2"
"""
SOUND: Final = """
[channels.sound]
file = "sound"
"""
SOUND_ONE: Final = """
[channels.sound]
file = "sound"
column = 1
unit = "1"
"""
STATIC_TABLE: Final = """
[channels.time]
column = "t"
unit = "s"
[channels.thrust]
column = "thrust"
unit = "gf"
"""
COURSE: Final = """
[channels.time]
column = "time"
unit = "s"
[channels.throttle]
column = "throttle"
unit = "ms"
range = [1, 2]
[channels.thrust]
column = "load_cell"
unit = "N"
"""
TUNNEL: Final = """
[channels.time]
column = "data.t"
unit = "s"
[channels.speed]
column = "data.rpm"
unit = "rpm"
[channels.voltage]
column = "data.voltage"
unit = "V"
[channels.current]
column = "data.current"
unit = "A"
"""
ONE_BLOCK: Final = """
[files.log]
block = 10
[channels.time]
column = "Time"
unit = "s"
[channels.throttle]
column = "Throttle"
unit = "count"
range = [0, 180]
[channels.thrust]
column = "Weight"
unit = "gf"
"""
