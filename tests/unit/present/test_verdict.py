"""Five lines on a fresh recording: what each says where something is missing."""

from __future__ import annotations

import math

import pytest

import made_runs
from isothrust.present.agreement import agreement_sentence
from isothrust.present.verdict import verdict_lines
from isothrust.records.agreement import Agreement, AgreementPart, Earlier, FreshAir, FreshFile, PointDifference
from isothrust.records.finding import Finding
from isothrust.records.reduced import Estimate, ReducedRun, ZeroFit
from isothrust.records.result import Condition

GF = 9.80665e-3
RPM = math.pi / 30.0
NOTHING = Agreement("nothing", absent="the book is shut")


def zero(channel: str, before: float | None, after: float | None, *, window: bool = True) -> ZeroFit:
    return ZeroFit(channel, before, after, (0.0, 1.0) if window else None, None, 0.0, 0.0)


def lag(milliseconds: float, origin: str = "own transients") -> Estimate:
    return Estimate(1e-3 * milliseconds, 1e-3, 10.0, origin)


def lines(run: ReducedRun, **others: object) -> tuple[str, ...]:
    return verdict_lines("auk.csv", FreshFile("auk", run, NOTHING, **others))  # type: ignore[arg-type]


def test_zero_shifts_are_told_in_the_units_of_the_screens_and_of_the_peak() -> None:
    run = made_runs.run(
        zeros={"thrust": zero("thrust", 1.0 * GF, 3.0 * GF), "torque": zero("torque", 0.002, 0.001)},
        figures=(made_runs.peak("peak-thrust", 1000.0 * GF, 0.1, "k"),),
    )
    told = lines(run, torque_at_top=0.2)[2]
    assert (
        told == "zero:     thrust moved by 2.0 gf (0.2 % of the peak), torque moved by −0.0010 N m (0.5 % of the peak)"
    )


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (zero("thrust", 0.1, None), "thrust read on one side of the run only: no shift is known"),
        (zero("thrust", 0.1, None, window=False), "thrust taken from the rig file: no spell with the rotor stopped"),
        (zero("thrust", None, None, window=False), "thrust not known: no spell with the rotor stopped"),
    ],
)
def test_a_zero_without_a_shift_says_why(given: ZeroFit, words: str) -> None:
    assert lines(made_runs.run(zeros={"thrust": given}))[2] == f"zero:     {words}"


def test_channels_of_which_the_same_is_said_stand_together() -> None:
    run = made_runs.run(zeros={name: zero(name, 0.1, None) for name in ("thrust", "torque")})
    assert "thrust and torque read on one side of the run only" in lines(run)[2]


def test_lags_that_nothing_tells_are_named_with_the_reason() -> None:
    run = made_runs.run(lags={"thrust": lag(18.2), "throttle": lag(-6.0), "torque": lag(0.0, "not known")})
    told = lines(run)[3]
    assert told.startswith("lag:      thrust 18 ms, throttle −6 ms behind the speed; torque not found: ")
    assert "no drop" in told


def test_an_electrical_lag_is_found_by_way_of_torque_or_not_at_all() -> None:
    run = made_runs.run(lags={"thrust": lag(18.2), "electrical": lag(0.0, "not known; such sensors are fast")})
    assert lines(run)[3].endswith("thrust 18 ms behind the speed; electrical not found: only torque tells it")


def test_settled_points_have_no_lag() -> None:
    run = made_runs.run(lags={"thrust": lag(0.0, "each row is a settled point")})
    assert lines(run)[3] == "lag:      none: each row is a settled point"


def test_the_gravest_finding_stands_in_the_first_line_in_words() -> None:
    findings = (Finding("a-note", "note", "quite quiet."), Finding("spikes", "warning", "5 spikes in thrust."))
    first = lines(made_runs.run(findings=findings))[0]
    assert first == (
        "verdict:  keep it, and look at it first (auk.csv: 1 warning, 1 note; the gravest: 5 spikes in thrust [spikes])"
    )


def part(measurand: str, difference: float, half: float, *, real: bool, point: bool | None = None) -> AgreementPart:
    at = Condition("speed", 14000.0 * RPM)
    points = (PointDifference(at, difference, half, real if point is None else point),)
    return AgreementPart(measurand, difference, half / 2.0, 30.0, half, real, points)


def said(says: str, *parts: AgreementPart, **others: object) -> str:
    earlier = Earlier("spring", ("r1", "r2"), 2, 1)
    values: dict[str, object] = {"earlier": earlier, "air": FreshAir("given"), "known_sample": True} | others
    return agreement_sentence(Agreement(says, "auk", "a", parts=parts, **values))  # type: ignore[arg-type]


def test_an_agreement_gives_differences_with_their_half_widths_and_its_grounds() -> None:
    told = said("agrees", part("thrust-coefficient", -0.004, 0.012, real=False))
    assert told == (
        "agrees with 2 runs of spring (sample a, 2 mountings): thrust coefficient −0.4 ± 1.2 % at 14000 rpm; "
        "air as given"
    )


def test_a_difference_says_which_way_and_where_to_look() -> None:
    parts = (part("thrust-coefficient", -0.05, 0.012, real=True), part("power-coefficient", 0.002, 0.02, real=False))
    told = said("differs", *parts, look_at="the scale and zero of thrust", air=FreshAir("run", "spring/r2"))
    assert told == (
        "differs from 2 runs of spring (sample a, 2 mountings): thrust coefficient 5.0 ± 1.2 % lower, "
        "power coefficient +0.2 ± 2.0 % at 14000 rpm; look at the scale and zero of thrust; air of run spring/r2"
    )


def test_what_cannot_be_judged_says_what_is_not_known() -> None:
    moved = part("thrust-coefficient", 0.05, 0.012, real=True)
    told = said("unclear", moved, unknown=("mounting",), look_at="x", known_sample=False)
    assert "beside 2 runs" in told
    assert "nothing tells how far a new mounting moves it" in told
    assert "sample a is new" in told
    assert "differs" not in told


def test_a_single_speed_that_is_off_is_named() -> None:
    told = said("differs", part("thrust-coefficient", 0.03, 0.01, real=False, point=True), look_at="the tachometer")
    assert "thrust coefficient 3.0 ± 1.0 % higher at 14000 rpm alone; look at the tachometer" in told
