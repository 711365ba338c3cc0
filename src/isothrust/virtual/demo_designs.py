"""The propellers, motors and benches of the demonstration. Every maker, design and logger is invented."""

from __future__ import annotations

from dataclasses import dataclass, replace

from isothrust.virtual.dialects import Column, Dialect
from isothrust.virtual.drive import Drive
from isothrust.virtual.propeller import Flutter, Propeller, coefficient_table
from isothrust.virtual.sensors import Sensor, Sensors
from isothrust.virtual.stand import Stand, Stated

__all__ = ["BENCHES", "DESIGNS", "MOTORS", "REFERENCE", "Bench"]

REFERENCE = "maalie-7x4"
"""Run first and last in every campaign: what ties the years together."""


@dataclass(frozen=True, slots=True)
class _Blades:
    """One line of the catalogue: inches, grams, coefficients at 14 000 rpm."""

    name: str
    maker: str
    diameter: float
    pitch: float
    blades: int
    mass: float
    ct: float
    cp: float
    note: str = ""


_CATALOGUE = (
    _Blades("tirrick-7x3.5", "Vellisk", 7.0, 3.5, 2, 6.1, 0.0985, 0.0370, "thin, light"),
    _Blades(REFERENCE, "Ounskar", 7.0, 4.0, 2, 6.9, 0.1080, 0.0450, "the group's reference propeller"),
    _Blades("skooie-7x4.2", "Vellisk", 7.0, 4.2, 2, 6.7, 0.1085, 0.0452, ""),
    _Blades("whaup-7x4", "Brimquist", 7.0, 4.0, 2, 5.8, 0.1090, 0.0452, "soft blades"),
    _Blades("dunter-7x4.5", "Plimmerod", 7.0, 4.5, 2, 7.4, 0.1180, 0.0540, "glass-filled"),
    _Blades("shalder-7x5", "Tarrowby", 7.0, 5.0, 2, 7.9, 0.1260, 0.0632, "stiff"),
    _Blades("neesick-7x3.5", "Ounskar", 7.0, 3.5, 3, 9.2, 0.1350, 0.0625, ""),
    _Blades("tystie-7x4", "Plimmerod", 7.0, 4.0, 3, 9.8, 0.1480, 0.0775, ""),
    _Blades("laverick-6x4", "Tarrowby", 6.0, 4.0, 2, 4.6, 0.1120, 0.0478, "for the small airframe"),
    _Blades("mirrie-6x4.5", "Brimquist", 6.0, 4.5, 2, 4.9, 0.1240, 0.0602, "for the small airframe"),
)


def _propeller(line: _Blades) -> Propeller:
    diameter, mass = line.diameter * 0.0254, line.mass * 1e-3
    slender = 4.5e-2 * line.pitch / 4.0
    made = Propeller(
        line.name,
        diameter,
        line.pitch * 0.0254,
        line.blades,
        coefficient_table(line.ct, power=slender, depth=0.12, knee=78.0 + 6.0 * line.pitch),
        coefficient_table(line.cp, power=-0.02, depth=-0.10, knee=78.0 + 6.0 * line.pitch),
        inertia=0.054 * mass * diameter**2,
        mass=mass,
        maker=line.maker,
        note=line.note,
    )
    if line.name == "whaup-7x4":
        soft = Flutter(onset=208.0, power_rise=0.05, thrust_loss=0.012, width=55.0, wander=0.3)
        made = replace(made, flutter=soft, thrust_twist=0.06, power_twist=0.07)
    return made


DESIGNS: tuple[Propeller, ...] = tuple(_propeller(line) for line in _CATALOGUE)

_LONG = Drive(
    name="long-1050",
    kv=1050.0,
    resistance=0.085,
    friction=3.4e-3,
    viscous=1.8e-6,
    rotor_inertia=4.6e-6,
    heat_capacity=14.0,
    cooling=0.5,
    supply_voltage=22.2,
    source_resistance=0.02,
    bend=0.15,
    current_limit=55.0,
)
_ROUND = replace(_LONG, name="round-1150", kv=1150.0, resistance=0.074, friction=3.9e-3, rotor_inertia=5.1e-6, bend=0.3)
MOTORS: tuple[Drive, ...] = (_LONG, _ROUND)


@dataclass(frozen=True, slots=True)
class Bench:
    """A rig of the demonstration: stand, drive and logger."""

    stand: Stand
    drive: Drive
    dialect: Dialect
    first_clock: float = 0.0


_GF, _OZF, _RPM, _REV = 9.80665e-3, 0.27801385095378125, 0.10471975511965977, 6.283185307179586

_LOFT = Dialect(
    "loft",
    (
        Column("time", "tick", "ms", 1e-3, 1),
        Column("throttle", "stick", "us", 1e-3, 1, bias=1000.0),
        Column("speed", "spin", "rpm", _RPM, 0),
        Column("thrust", "axle push", "gf", _GF, 2, sign=-1.0),
        Column("torque", "near cell", "gf", _GF, 3, arm=0.021),
        Column("torque", "far cell", "gf", _GF, 3, arm=-0.021),
        Column("voltage", "pack", "V", 1.0, 3),
        Column("current", "draw", "A", 1.0, 3),
    ),
    start=41.873,
)
_BYRE = Dialect(
    "byre",
    (
        Column("time", "tid", "s", 1.0, 4),
        Column("throttle", "pådrag", "%", 0.01, 2),
        Column("speed", "omdreining", "rev/s", _REV, 3),
        Column("thrust", "skyv", "N", 1.0, 4),
        Column("torque", "vri", "N mm", 1e-3, 2),
        Column("voltage", "spenning", "V", 1.0, 3),
        Column("current", "strøm", "A", 1.0, 3),
    ),
    delimiter=";",
    decimal=",",
    newline="\r\n",
    mark=True,
    preamble=("benk i fjøset", ""),
)
_SHED = Dialect(
    "shed",
    (
        Column("time", "moment", "", 1.0, 3),
        Column("voltage", "feed", "mV", 1e-3, 0),
        Column("current", "feed flow", "mA", 1e-3, 0),
        Column("throttle", "ask", "1", 1.0, 4),
        Column("speed", "field spin", "rpm", _RPM, 0, pole_pairs=7),
        Column("thrust", "pull", "ozf", _OZF, 4),
        Column("torque", "twist", "N mm", 1e-3, 3, sign=-1.0),
    ),
    delimiter="\t",
    preamble=("# shed bench", "# cells warm since breakfast"),
    clock="iso",
    compress=True,
)

_DEFAULT = Sensors()
_BYRE_SENSORS = Sensors(
    speed=Sensor(delay=1e-3, window=0.016, noise_relative=3e-4, noise=0.5, resolution=0.02, least=25.0),
    thrust=Sensor(delay=3e-3, filter_time=0.030, damping=0.8, noise_ahead=0.12, noise_ahead_relative=0.04, noise=0.006),
    torque=Sensor(delay=2e-3, filter_time=0.020, noise_ahead=2e-3, noise_ahead_relative=0.04, noise=1.5e-4),
    voltage=Sensor(delay=1e-3, filter_time=3e-3, noise=0.005, rate=50.0, between="blank"),
    current=_DEFAULT.current,
)
_SHED_SENSORS = Sensors(
    speed=Sensor(delay=2e-3, window=0.008, noise_relative=5e-4, noise=0.6, least=25.0),
    thrust=Sensor(delay=1e-3, filter_time=0.018, damping=0.9, noise_ahead=0.10, noise_ahead_relative=0.03, noise=0.010),
    torque=Sensor(delay=5e-3, filter_time=0.016, noise_ahead=2e-3, noise_ahead_relative=0.03, noise=1e-4),
    voltage=_DEFAULT.voltage,
    current=_DEFAULT.current,
)

BENCHES: tuple[Bench, ...] = (
    Bench(Stand("loft-2026-03", "Sail loft, long bench", obstruction=9e-4, clearance=1.2), _LONG, _LOFT),
    Bench(
        Stand(
            "byre-2026-05",
            "Byre, bench on the north wall",
            sensors=_BYRE_SENSORS,
            stated=Stated(thrust_scale=0.004, torque_scale=0.007, speed_scale=3e-4),
            obstruction=14e-4,
            clearance=0.9,
        ),
        _ROUND,
        _BYRE,
    ),
    Bench(
        Stand(
            "shed-2026-06",
            "Boat shed, folding bench",
            sensors=_SHED_SENSORS,
            stated=Stated(thrust_scale=0.003, torque_scale=0.008),
            layout="tractor",
            obstruction=18e-4,
            clearance=0.7,
            rate=500.0,
        ),
        _LONG,
        _SHED,
    ),
)
