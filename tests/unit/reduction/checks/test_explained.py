"""A fault whose cause is told does not drag accusations of something else along, and nothing is lost of them."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from isothrust.records.finding import Finding, Severity
from isothrust.reduction.checks.explained import EXPLAINED_BY, explain
from isothrust.virtual import simulate_each
from support.faulty.study import cases
from support.faulty.trial import findings_of, good_plans

MESSAGES = Path(__file__).resolve().parents[4] / "docs" / "messages.md"


def told(code: str, severity: Severity = "warning", channel: str | None = None, done: str = "nothing") -> Finding:
    more = ": 2 times the truth" if code == "speed-factor" else ""
    return Finding(code, severity, f"what {code} says{more}", channel=channel, done=done)


def test_a_consequence_stands_behind_its_cause_as_a_note_that_names_it() -> None:
    before = told("power-balance"), told("zero-drift"), told("speed-factor", "fail"), told("sag", "note")
    drift, cause, consequence, sag = explain(before)
    assert (drift, cause, sag) == (before[1], before[2], before[3])
    assert (consequence.code, consequence.severity) == ("power-balance", "note")
    assert consequence.message == "what power-balance says (speed-factor explains that)"


def test_without_its_cause_a_consequence_is_told_as_it_is() -> None:
    alone = (told("power-balance"), told("propeller-reversed", "fail", done="the run was set aside"))
    assert explain(alone) == alone


def test_a_cause_that_is_but_a_note_explains_nothing() -> None:
    given = (told("torque-crosstalk", "note"), told("power-balance"))
    assert explain(given) == given


def test_a_run_that_was_set_aside_for_a_consequence_stays_aside_for_its_cause() -> None:
    given = (
        told("coefficient-out-of-class", "fail", "torque", "the run was set aside"),
        told("steps-unsettled", done="what moves fast was left out"),
    )
    cause, consequence = explain(given)
    assert (cause.code, cause.severity) == ("steps-unsettled", "fail")
    assert cause.done == "what moves fast was left out; the run was set aside"
    assert (consequence.severity, consequence.done) == ("note", "nothing")


def test_a_cause_that_has_a_cause_itself_passes_its_consequences_on() -> None:
    given = (told("merit-above-one"), told("coefficient-out-of-class", "fail", "thrust"), told("speed-factor"))
    cause, *others = explain(given)
    assert (cause.code, cause.severity) == ("speed-factor", "fail")
    assert [(other.code, other.severity) for other in others] == [
        ("merit-above-one", "note"),
        ("coefficient-out-of-class", "note"),
    ]


def test_a_cause_of_one_channel_explains_nothing_about_another() -> None:
    late = told("lag-beyond-band", channel="thrust")
    assert explain((late, told("saturated", channel="current"))) == (late, told("saturated", channel="current"))
    assert explain((late, told("saturated", channel="thrust")))[1].severity == "note"


def test_a_motor_that_is_stated_wrongly_and_marks_lost_for_a_moment_explain_nothing() -> None:
    for given in (
        (Finding("speed-factor", "warning", "KV in motors.csv or the voltage is wrong"), told("propeller-reversed")),
        (Finding("tachometer-half-count", "warning", "in 3 short spells"), told("throttle-range-short")),
    ):
        assert explain(given) == given


def test_nothing_explains_itself_and_every_code_is_one_of_the_messages() -> None:
    known = set(re.findall(r"^### (\S+)$", MESSAGES.read_text(encoding="utf-8"), re.MULTILINE))
    for code, causes in EXPLAINED_BY.items():
        assert {code, *(cause.code for cause in causes)} <= known
        reached, open_ = set[str](), [cause.code for cause in causes]
        while open_:
            reached.add(one := open_.pop())
            open_ += [cause.code for cause in EXPLAINED_BY.get(one, ()) if cause.code not in reached]
        assert code not in reached


@pytest.mark.parametrize(
    ("fault", "cause"),
    [
        ("two marks counted as one, all run long", "speed-factor"),
        ("one mark in two lost, all run long", "speed-factor"),
        ("one mark in two counted for 0.5 to 3 s", "tachometer-half-count"),
        ("a rotor of eight times the inertia on steps of 0.7 s", "steps-unsettled"),
        ("the current amplifier reaches its rail", "current-clipped"),
        ("the thrust converter ends at half", "saturated"),
        ("current converter runs out of counts at 99 %", "saturated"),
    ],
)
def test_a_planted_fault_is_the_only_thing_that_its_run_is_accused_of(fault: str, cause: str) -> None:
    (case,) = [case for case in cases() if case.fault.startswith(fault) and case.code == cause]
    seeds = range(20100, 20104)
    good = good_plans(seeds, case.kind)
    plans = [case.plan(plan, np.random.default_rng([seed, 11])) for seed, plan in zip(seeds, good, strict=True)]
    for seed, run in zip(seeds, simulate_each(plans, 20260301, places=list(seeds)), strict=True):
        found = findings_of(case.spoil(run, np.random.default_rng([seed, 12])), case)
        assert {finding.code for finding in found if finding.severity != "note"} == {cause}, seed
