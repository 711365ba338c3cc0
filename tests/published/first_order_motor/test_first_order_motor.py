"""Drela, First-Order DC Electric Motor Model, MIT 2007: its equations, evaluated outside the project."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.motor import (
    electromechanical_time_constant,
    fit_first_order_motor,
    greatest_efficiency,
    most_efficient_current,
    motor_efficiency,
    motor_speed,
    motor_torque,
    spin_up_speed,
    spin_up_time,
    torque_constant,
)
from support.validation import Printed

DRELA = "Drela, First-Order DC Electric Motor Model (2007), evaluated outside the project"
CLOSED = "closed form, checked with an ODE solver outside the project"
RPM = 2.0 * np.pi / 60.0


@pytest.mark.parametrize(
    ("kv", "kt"), [(920, "0.010379670"), (1000, "0.009549297"), (1800, "0.005305165"), (2400, "0.003978874")]
)
def test_torque_constant(printed: Printed, kv: int, kt: str) -> None:
    printed(torque_constant(kv * RPM), kt, source=DRELA, what=f"torque constant at {kv} rpm/V [N m/A]")


def test_torque_constant_in_the_trade_s_unit(printed: Printed) -> None:
    kt = torque_constant(1000.0 * RPM) / 0.00706155181422604
    printed(
        kt, "1.352294", source="unit arithmetic, NIST SP 811 factors", what="torque constant at 1000 rpm/V [ozf in/A]"
    )


@pytest.mark.parametrize(
    ("current", "rpm", "torque", "efficiency"),
    [
        (5.0, "10600", ".04297183", ".8594595"),
        (10.0, "10100", ".09071832", ".8644144"),
        (20.0, "9100", ".18621128", ".7993243"),
    ],
)
def test_operating_points(printed: Printed, current: float, rpm: str, torque: str, efficiency: str) -> None:
    kv, at = 1000.0 * RPM, f"at {current:g} A"
    printed(motor_speed(11.1, current, kv, 0.1) / RPM, rpm, source=DRELA, what=f"speed {at} [rpm]", relative=1e-6)
    printed(motor_torque(current, 0.5, kv), torque, source=DRELA, what=f"torque {at} [N m]")
    printed(motor_efficiency(11.1, current, 0.5, 0.1), efficiency, source=DRELA, what=f"efficiency {at}")


def test_greatest_efficiency(printed: Printed) -> None:
    printed(most_efficient_current(11.1, 0.5, 0.1), "7.449832", source=DRELA, what="most efficient current [A]")
    printed(greatest_efficiency(11.1, 0.5, 0.1), "0.8702733", source=DRELA, what="greatest efficiency")


def test_constants_are_recovered_from_readings() -> None:
    rng = np.random.default_rng(1)
    voltage, current = rng.uniform(4.0, 24.0, 200), rng.uniform(1.0, 30.0, 200)
    speed = motor_speed(voltage, current, 1000.0 * RPM, 0.1)
    found = fit_first_order_motor(voltage, current, speed, motor_torque(current, 0.5, 1000.0 * RPM))
    assert_allclose(found, (1000.0 * RPM, 0.1, 0.5), rtol=1e-9)


def test_greatest_shaft_power_lies_at_half_the_no_load_speed(printed: Printed) -> None:
    stall = 11.1 / 0.1
    current = np.linspace(0.0, stall, 2001)
    speed, torque = motor_speed(11.1, current, 1000.0 * RPM, 0.1), motor_torque(current, 0.0, 1000.0 * RPM)
    best = int(np.argmax(speed * torque))
    source = "MIT, D.C. motor torque/speed curve tutorial"
    printed(
        speed[best] / speed[0], "0.5", source=source, what="speed of greatest power over no-load speed", absolute=1e-9
    )
    printed(
        torque[best] / torque[-1],
        "0.5",
        source=source,
        what="torque of greatest power over stall torque",
        absolute=1e-9,
    )


def test_spin_up_under_constant_torque(printed: Printed) -> None:
    torque, drag, inertia = 0.1, 1e-6, 2e-5
    final = np.sqrt(torque / drag)
    tau = inertia / np.sqrt(torque * drag)
    t10, t90 = (float(spin_up_time(part * final, torque, drag, inertia)) for part in (0.1, 0.9))
    t63 = spin_up_time((1.0 - np.exp(-1.0)) * final, torque, drag, inertia)
    printed(spin_up_speed(10.0, torque, drag, inertia), "316.2278", source=CLOSED, what="final speed [rad/s]")
    printed(spin_up_speed(tau, torque, drag, inertia), "240.83722", source=CLOSED, what="speed after tau [rad/s]")
    printed(1e3 * t63, "47.11415", source=CLOSED, what="time to 63.2 % [ms]", relative=1e-6)
    printed(1e3 * t90, "93.11134", source=CLOSED, what="time to 90 % [ms]", relative=1e-6)
    printed(1e3 * (t90 - t10), "86.76557", source=CLOSED, what="time from 10 to 90 % [ms]", relative=1e-6)


def test_electromechanical_time_constant(printed: Printed) -> None:
    tau = 1e3 * electromechanical_time_constant(2e-5, 0.1, 1000.0 * RPM)
    printed(
        tau, "21.93245", source="J R/Kt^2, worked out outside the project", what="time constant [ms]", relative=1e-6
    )
