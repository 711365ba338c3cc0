"""The rig file of a simulated stand: it states exactly what the rig was drawn from."""

from __future__ import annotations

from isothrust.virtual.dialects import Column, Dialect
from isothrust.virtual.drive import Drive
from isothrust.virtual.hearing import Microphone
from isothrust.virtual.shakentext import AXIS_HEADS
from isothrust.virtual.stand import Stand, Stated

__all__ = ["rig_toml"]


def rig_toml(stand: Stand, drive: Drive, dialect: Dialect) -> str:
    """Return the text of `rigs/<rig>.toml` for a stand that logs in a dialect."""
    stated = stand.stated
    lines = [f'name = "{stand.title}"', f'motor = "{drive.name}"', f'layout = "{stand.layout}"']
    lines.append(f'clearance = "{stand.clearance:g} m"')
    if stand.states_obstruction:
        lines.append(f'obstruction = "{stand.obstruction * 1e4:g} cm2"')
    lines += ["", "[air]", f'temperature = "{stated.temperature:g} K"', f'pressure = "{stated.pressure / 100:g} hPa"']
    lines.append(f'humidity = "{stated.humidity * 100:g} %"')
    lines += ["", "[supply]", f'voltage = "{drive.supply_voltage:g} V"', f"sinks_current = {_yes(drive.sinks_current)}"]
    lines += ["", "[controller]", f'settings = "{"damped" if drive.brakes else "free-wheeling"}"']
    lines.append('voltage_sensed_at = "controller input"')
    if dialect.clock == "none":
        lines += ["", "[channels.time]", f'rate = "{stand.rate:g} Hz"']
    fitted = {"time", *stand.sensors.fitted()}
    for channel in dict.fromkeys(column.channel for column in dialect.columns):
        if channel in fitted:
            lines += ["", *_channel(channel, dialect, stated)]
    lines += _accelerometer(stand)
    if stand.microphone is not None:
        lines += ["", *_microphone(stand.microphone)]
    return "\n".join(lines) + "\n"


def _microphone(microphone: Microphone) -> list[str]:
    return [
        "[channels.sound]",
        'file = "sound"',
        f'sensitivity = "{1e3 * microphone.sensitivity:g} mV/Pa"',
        f'full_scale = "{microphone.full_scale:g} V"',
        f'distance = "{microphone.distance:g} m"',
        'uncertainty = "2 %"',
        "",
        "[files.sound]",
        f'offset = ["{microphone.starts:g} s", "5 ms"]',
    ]


def _accelerometer(stand: Stand) -> list[str]:
    """Return what the rig says of the accelerometer's own file."""
    meter = stand.accelerometer
    if meter is None:
        return []
    heads = ", ".join(f'"{head}"' for head in AXIS_HEADS[: meter.axes])
    lines = ["", "[channels.acceleration]", 'file = "vibration"', f"columns = [{heads}]", 'unit = "m/s2"']
    lines += [f'rate = "{meter.rate:g} Hz"', 'uncertainty = "1 %"']
    if meter.mark:
        lines += ["", "[channels.mark]", 'file = "vibration"', 'column = "mark"', 'unit = "1"']
        lines.append(f'rate = "{meter.rate:g} Hz"')
    return lines


def _yes(value: object) -> str:
    return "true" if value else "false"


def _channel(channel: str, dialect: Dialect, stated: Stated) -> list[str]:
    columns = [column for column in dialect.columns if column.channel == channel]
    first = columns[0]
    lines = [f"[channels.{channel}]", _picks(columns, dialect)]
    if first.unit:
        lines.append(f'unit = "{first.unit}"')
    if first.sign < 0:
        lines.append("sign = -1")
    if first.pole_pairs is not None:
        lines.append(f"pole_pairs = {first.pole_pairs}")
    if channel == "throttle":
        lines.append(f"range = [{first.bias:g}, {first.bias + 1 / first.size:g}]")
    uncertainty = _uncertainty(channel, stated)
    if uncertainty:
        lines.append(f"uncertainty = {uncertainty}")
    return lines


def _picks(columns: list[Column], dialect: Dialect) -> str:
    """Columns by their heads, or by position where the log has no heads."""
    places = [dialect.columns.index(column) + 1 for column in columns]
    arms = [None if column.arm is None else f"{column.arm * 1e3:.1f} mm" for column in columns]
    if len(columns) == 1:
        return f'column = "{columns[0].head}"' if dialect.heads else f"column = {places[0]}"
    if dialect.heads:
        inner = ", ".join(f'"{column.head}" = "{arm}"' for column, arm in zip(columns, arms, strict=True))
        return f"columns = {{ {inner} }}"
    inner = ", ".join(f'{{ column = {place}, arm = "{arm}" }}' for place, arm in zip(places, arms, strict=True))
    return f"columns = [{inner}]"


def _uncertainty(channel: str, stated: Stated) -> str:
    """Return what the rig states for a channel, as TOML."""
    texts = {
        "speed": [f"{stated.speed_scale * 100:g} %"],
        "thrust": [f"{stated.thrust_scale * 100:g} %", f"{stated.thrust_fixed / 9.80665e-3:g} gf"],
        "torque": [f"{stated.torque_scale * 100:g} %", f"{stated.torque_fixed * 1e3:g} N mm"],
        "voltage": [f"{stated.voltage_scale * 100:g} %"],
        "current": [f"{stated.current_scale * 100:g} %", f"{stated.current_fixed:g} A"],
    }.get(channel, [])
    inner = ", ".join(f'"{text}"' for text in texts)
    return "" if not texts else (inner if len(texts) == 1 else f"[{inner}]")
