"""The torque-speed plane of one class of one campaign, with the motor that its runs show."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from isothrust.errors import UsageError, Where
from isothrust.present.charts.captions import Subject
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.drawing import Drawing
from isothrust.present.charts.torque_speed import Course, torque_caption, torque_datasets
from isothrust.records.book import Book
from isothrust.records.motor import MotorModel
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.science.operating import DriveConstants, LoadCurve, SupplyLine, drive_state, solve_operating_point
from isothrust.science.splines import basis_matrix
from isothrust.workflows.chart import Drawn
from isothrust.workflows.chart_choice import identities_of
from isothrust.workflows.chart_scope import choose_scope, scopes_of
from isothrust.workflows.motor import found_motor, motors_in
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.selection import Selection

__all__ = ["draw_torque"]

THROTTLES = (0.2, 0.4, 0.6, 0.8, 1.0)
POINTS = 60
ABOVE = 1.15
"""How far above the greatest torque of a propeller the motor's lines are drawn."""


def draw_torque(
    book: Book, reduced: Iterable[ReducedRun], chart: Chart, selection: Selection, class_name: str | None = None
) -> Drawn:
    """Return the torque-speed plane of one class of one campaign.

    Raises
    ------
    UsageError
        Where the selection does not fit the book, no propeller has a torque curve, or the runs do not tell the motor.
    """
    runs = list(reduced)
    scopes = scopes_of(book, runs, across_classes=False)
    scope = choose_scope(book, scopes, selection, class_name)
    campaign = book.campaigns[scope.campaign]
    own = [run for run in runs if run.campaign == scope.campaign]
    counting = campaign_runs(book, campaign, own).runs
    motors = motors_in(campaign)
    motor = max(motors, key=lambda name: len(motors[name]))
    model = found_motor(book, own, scope.campaign, motor, leave_one_out=False)
    slots = identities_of(book, runs, scope, selection.designs)
    propellers = {design: course for design in slots if (course := _course(book, counting, design)) is not None}
    if not propellers:
        raise _nothing(scope.campaign, "no propeller of the class has a torque curve")
    if model.kv is None or model.resistance is None or model.supply is None:
        reason = (
            model.unidentified.get("kv") or model.unidentified.get("resistance") or "no run has voltage and current"
        )
        raise _nothing(scope.campaign, f"the runs do not tell motor {motor}: {reason}")
    supply = SupplyLine(model.supply.voltage, model.supply.resistance)
    lines = _lines(model, supply, ABOVE * max(float(course.torque.max()) for course in propellers.values()))
    crossings = {design: _crossings(model, supply, course) for design, course in propellers.items()}
    subject = Subject(scope.campaign, scope.class_name, book.standard_density)
    line = (model.supply.voltage, model.supply.resistance)
    caption = torque_caption(chart, subject, motor, warmth=model.warmth, supply=line)
    others = tuple(other for other in scopes if other != scope)
    drawing = Drawing(chart, caption, torque_datasets(propellers, lines, crossings, slots))
    return Drawn(drawing, scope.campaign, scope.class_name, others)


def _course(book: Book, runs: Sequence[ReducedRun], design: str) -> Course | None:
    """Return the mean torque of a design's runs in standard air, over the speeds that all of them reached."""
    curves = [run.curves["torque"] for run in runs if run.design == design and "torque" in run.curves]
    curves = [curve for curve in curves if curve.high - curve.low > 0.3 * curve.high] or curves
    if not curves:
        return None
    low, high = max(curve.low for curve in curves), min(curve.high for curve in curves)
    if not high > low:
        return None
    speed = np.linspace(low, high, POINTS)
    factor = np.mean([basis_matrix(speed, curve.knots) @ curve.coefficients for curve in curves], axis=0)
    return Course(speed, np.asarray(factor * book.standard_density * speed**2))


def _constants(model: MotorModel) -> DriveConstants:
    assert model.kv is not None
    assert model.resistance is not None
    rest = (model.loss_resistance, model.friction, model.viscous, model.idle_power)
    return DriveConstants(model.kv, model.resistance, *(value or 0.0 for value in rest))


def _duty(model: MotorModel, throttle: float) -> float | None:
    if throttle >= 1.0:
        return 1.0
    if model.duty is None or not model.duty.throttle[0] <= throttle <= model.duty.throttle[-1]:
        return None
    return float(np.interp(throttle, model.duty.throttle, model.duty.duty))


def _lines(model: MotorModel, supply: SupplyLine, most: float) -> dict[float, Course]:
    """Return the motor's torque over speed at each throttle whose duty is known, up to a greatest torque."""
    constants, torque = _constants(model), np.linspace(0.0, most, POINTS)
    assert model.kv is not None
    out: dict[float, Course] = {}
    for throttle in THROTTLES:
        duty = _duty(model, throttle)
        if duty is not None:
            speed = _speed_at(constants, supply, torque, duty, model)
            there = speed > 0.0
            if np.count_nonzero(there) > 1:
                out[throttle] = Course(speed[there][::-1], torque[there][::-1])
    return out


def _speed_at(constants: DriveConstants, supply: SupplyLine, torque: Floats, duty: float, model: MotorModel) -> Floats:
    """Return the speed at which a duty gives each torque (n,), by bisection: what is needed rises with speed."""
    assert model.kv is not None
    low = np.zeros_like(torque)
    high = np.full_like(torque, 1.2 * model.kv * float(np.asarray(supply.voltage)))
    for _ in range(50):
        middle = 0.5 * (low + high)
        fits = drive_state(constants, middle, torque, supply, warmth=model.warmth).duty <= duty
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return low


def _crossings(model: MotorModel, supply: SupplyLine, course: Course) -> list[tuple[float, float]]:
    """Return where each throttle's line meets the propeller, within the speeds that were measured."""
    duties = [duty for throttle in THROTTLES if (duty := _duty(model, throttle)) is not None]
    if not duties:
        return []
    load = LoadCurve(course.speed, course.torque)
    state = solve_operating_point(_constants(model), load, np.array(duties), supply, warmth=model.warmth)
    within = (state.speed >= course.speed[0]) & (state.speed <= 1.05 * course.speed[-1])
    return list(zip(state.speed[within].tolist(), state.torque[within].tolist(), strict=True))


def _nothing(campaign: str, what: str) -> UsageError:
    return UsageError(
        what,
        code="nothing-to-draw",
        where=Where(f"campaign {campaign}"),
        expected="a motor that the runs tell: torque, voltage, current, speed, and full throttle held",
        fix=f"isothrust motor --campaign {campaign}  says what is missing",
    )
