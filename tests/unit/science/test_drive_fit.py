"""Constants of motor and controller from readings made of known ones, and against a least-squares solver of another."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from isothrust.science.drive_fit import StatedValue, fit_drive
from isothrust.science.drive_model import CONSTANT_NAMES, DriveReadings, RigDoubt, winding_warmth

KV, R, RC, FRICTION, VISCOUS, IDLE, CAPACITY = 157.0, 0.10, 0.008, 2.4e-3, 1.2e-6, 0.9, 9.0
DOUBT = RigDoubt(5e-4, 6e-3, 1e-3, 5e-3, 2e-3, 2e-3, 2e-4, 0.02, 1.5)


def made(
    loads: tuple[float, ...] = (3.0e-8, 4.2e-8, 6.0e-8), *, noise: float = 0.0, seed: int = 0, full: bool = True
) -> DriveReadings:
    """A ramp of ten seconds for each load, and a last reading at full duty: straight from the equations."""
    random = np.random.default_rng(seed)
    columns: list[list[np.ndarray]] = []
    for number, load in enumerate(loads):
        speed = np.append(np.linspace(250.0, 2600.0 - 1e10 * load, 25), 2650.0 - 1e10 * load)
        torque = load * speed**2
        time = np.append(np.linspace(1.0, 10.0, 25), 10.2)
        # torque that grows with the square of time: the integrals in closed form
        heat = torque**2 * time / 5.0
        impulse = torque * time / 3.0
        total = torque + FRICTION + VISCOUS * speed
        lost = FRICTION + VISCOUS * speed
        factor = np.exp(0.0039 * R * KV**2 / CAPACITY * (heat + 2.0 * lost * impulse))
        current = KV * total
        winding = speed / KV + R * factor * current
        power = winding * current + RC * current**2 + IDLE
        duty = np.linspace(0.2, 0.95, 26)
        duty[-1] = 1.0
        voltage = winding / duty
        read = torque * (1.0 + noise * random.standard_normal(26))
        known = np.zeros(26, dtype=bool)
        known[-1] = full
        none = np.zeros(26)
        electric = [voltage, power / voltage]
        columns.append(
            [np.full(26, number), speed, read, *electric, heat, impulse, none, none, none, np.ones(26), known]
        )
    return DriveReadings(*(np.concatenate(column) for column in zip(*columns, strict=True)))


def of(fit_parameters: np.ndarray, name: str) -> float:
    return float(fit_parameters[CONSTANT_NAMES.index(name)])


def test_readings_without_noise_give_back_the_constants_that_made_them() -> None:
    exact = RigDoubt(1e-7, 1e-7, 1e-7, 1e-7, 1e-7, 1e-7, 1e-9, 1e-7, 1e-4)
    fit = fit_drive(made(), exact)
    assert fit.held == ()
    assert of(fit.parameters, "kv") == pytest.approx(KV, rel=1e-4)
    assert of(fit.parameters, "copper") == pytest.approx(R * KV**2, rel=2e-3)
    assert of(fit.parameters, "controller") == pytest.approx(RC * KV**2, rel=0.03)
    assert of(fit.parameters, "friction") == pytest.approx(FRICTION, rel=5e-3)
    assert of(fit.parameters, "viscous") == pytest.approx(VISCOUS, rel=2e-2)
    assert of(fit.parameters, "idle_power") == pytest.approx(IDLE, rel=2e-2)


def test_errors_lie_within_what_the_covariance_says() -> None:
    truth = np.array([KV, R * KV**2, RC * KV**2, FRICTION, VISCOUS, IDLE])
    z = []
    for seed in range(24):
        fit = fit_drive(made(noise=0.004, seed=seed), DOUBT)
        z.append((fit.parameters[:6] - truth) / np.sqrt(np.diag(fit.covariance)[:6]))
    size = np.sqrt(np.mean(np.square(z), axis=0))
    assert np.all(size < 1.3)  # no rig error was drawn: the errors are noise's alone, and smaller than stated
    assert np.all(np.abs(z) < 4.0)


def test_a_solver_of_another_house_finds_the_same_least_squares() -> None:
    readings = made(noise=0.004, seed=3)
    tight = RigDoubt(1e-9, 1e-9, 1e-9, 1e-9, 1e-9, 1e-9, 1e-12, 1e-9, 1e-9)
    fit = fit_drive(readings, tight)
    w, q, v, i = readings.speed, readings.torque, readings.voltage, readings.current
    noise = 0.01 * fit.spreads.noise * w * (q + 0.25 * q.max())
    full, cooling = readings.full, of(fit.parameters, "cooling")
    sd = np.hypot(noise, fit.spreads.misfit * v * i)
    # the whole of a run moves together: written as a parameter a run with a prior of one
    hottest = float(readings.heat.max())

    def residual(x: np.ndarray) -> np.ndarray:
        kv, a, b, friction, viscous, idle, warmth = x[:7] * scale
        shift = x[7:]
        total = q + friction + viscous * w
        warm = np.exp(0.0039 * a * warmth * (readings.heat + 2 * (friction + viscous * w) * readings.impulse))
        left = v * i - w * total - (a * warm + b) * total**2 - idle
        power = (left + fit.spreads.misfit * v * i * shift[readings.run.astype(int)]) / noise
        voltage = (v - (w + a * warm * total) / kv)[full] / (fit.spreads.voltage * v[full])
        prior = (warmth * a0 * hottest - 40.0) / 60.0
        return np.concatenate([power, voltage, shift, [prior]])

    a0 = of(fit.parameters, "copper")
    scale = np.array([KV, 2400.0, 200.0, 2e-3, 1e-6, 1.0, 0.1])
    found = least_squares(residual, np.concatenate([np.ones(7), np.zeros(3)]), x_scale="jac", xtol=1e-14, ftol=1e-14)
    theirs = found.x[:7] * scale
    assert cooling == pytest.approx(0.03, abs=0.03)
    assert np.all(sd > 0.0)
    doubt = np.sqrt(np.diag(fit.covariance))[:6]
    assert np.all(np.abs(theirs[:6] - fit.parameters[:6]) < 0.02 * doubt)
    assert theirs[0] == pytest.approx(of(fit.parameters, "kv"), rel=1e-4)


def test_without_full_duty_kv_is_not_told_and_the_copper_loss_is() -> None:
    fit = fit_drive(made(full=False), DOUBT)
    assert fit.held[0] == "kv"
    assert np.isnan(fit.covariance[0, 0])
    assert of(fit.parameters, "copper") == pytest.approx((R + RC) * KV**2, rel=0.05)
    assert of(fit.parameters, "friction") == pytest.approx(FRICTION, rel=0.1)


def test_a_stated_kv_stands_in_only_where_no_reading_tells_it() -> None:
    stated = StatedValue(1.1 * KV, 0.03 * KV)
    assert of(fit_drive(made(), DOUBT, stated_kv=stated).parameters, "kv") == pytest.approx(KV, rel=0.01)
    without = fit_drive(made(full=False), DOUBT, stated_kv=stated)
    assert of(without.parameters, "kv") == pytest.approx(1.1 * KV, rel=1e-6)
    assert np.sqrt(without.covariance[0, 0]) == pytest.approx(0.03 * KV, rel=1e-3)


def test_one_propeller_alone_does_not_tell_the_controllers_resistance_and_its_doubt_reaches_kv() -> None:
    one, three = fit_drive(made((4.2e-8,), noise=0.004), DOUBT), fit_drive(made(noise=0.004), DOUBT)
    assert "controller" in one.held
    assert "controller" not in three.held
    assert one.covariance[0, 0] > 4.0 * three.covariance[0, 0]
    assert abs(of(one.parameters, "kv") - KV) < 3.0 * np.sqrt(one.covariance[0, 0])


def test_one_speed_alone_does_not_tell_friction_from_idle_power() -> None:
    readings = made(noise=0.002)
    near = fit_drive(readings.only(np.abs(readings.speed / 2000.0 - 1.0) < 0.08), DOUBT)
    assert set(near.held) & {"viscous", "idle_power"}


def test_three_readings_are_refused() -> None:
    readings = made()
    with pytest.raises(ValueError, match="too few"):
        fit_drive(readings.only(np.arange(readings.speed.size) < 3), DOUBT)


def test_a_scale_error_of_the_torque_cell_is_part_of_the_uncertainty() -> None:
    readings = made(noise=0.002)
    sure = fit_drive(readings, DOUBT._replace(torque=1e-6))
    doubtful = fit_drive(readings, DOUBT._replace(torque=0.02))
    assert doubtful.covariance[1, 1] > sure.covariance[1, 1]


def test_the_winding_warms_by_heat_over_its_capacity() -> None:
    readings = made()
    parameters = np.array([KV, R * KV**2, RC * KV**2, 0.0, 0.0, IDLE, 1.0 / CAPACITY, 0.0, *np.zeros(6)])
    small = readings._replace(heat=1e-3 * readings.heat, start=np.full(readings.speed.size, 5.0))
    expected = 5.0 + R * KV**2 * small.heat / CAPACITY * (1.0 + 0.0039 * 5.0)
    assert winding_warmth(parameters, small) == pytest.approx(expected, rel=1e-3)
