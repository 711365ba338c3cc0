"""The text of explanations: numbers, the rig's formulas, and what is said where something is missing."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

import made_results
import made_runs
from isothrust.present.explanation import explanation_lines
from isothrust.present.explanation_objects import explanation_object
from isothrust.present.explanation_pool import budget_section
from isothrust.present.explanation_rig import channel_formula
from isothrust.present.explanation_words import filled, freedom, named_source, table_at
from isothrust.present.objects import json_text
from isothrust.present.table import Table
from isothrust.records.air import Air, AirReading
from isothrust.records.book import Design
from isothrust.records.finding import Finding
from isothrust.records.reduced import Contribution, Estimate, ReducedRun, ZeroFit
from isothrust.records.result import Condition, Result
from isothrust.records.rig import ChannelPlan, ColumnPick, Rig, StatedUncertainty
from isothrust.records.trail import Explanation, FigureTrail, FileFacts, LeftOut, RunFacts, Statement, ZeroLevel

GF = 0.00980665
FORCE = {"unit": "gf", "factor": GF}


def said(explanation: Explanation, width: int = 100) -> str:
    return "\n".join(line.text for line in explanation_lines(explanation, width))


def joined(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def absent(reason: str = "rig loft has no torque channel", runs: tuple[str, ...] = ("r01",)) -> Result:
    nothing = (None,) * 6
    condition = Condition("thrust", 500 * GF)
    return Result("shaft-power", condition, "Auk", None, "spring", runs, *nothing, (), (), (), reason, 1)


def facts(reduced: ReducedRun | None = None, **others: object) -> RunFacts:
    values: dict[str, object] = {
        "air": None,
        "note": "",
        "files": (FileFacts("log", "campaigns/spring/raw/r01.csv", "ab" * 32, "ab" * 32, 12, "comma, head in line 1"),),
        "zeros": {},
        "channels": ("thrust", "speed"),
    } | others
    return RunFacts(reduced or made_runs.run(absent={"torque": "rig loft has no torque channel"}), **values)  # type: ignore[arg-type]


def explanation(*runs: RunFacts, rig: Rig | None = None, **others: object) -> Explanation:
    values: dict[str, object] = {
        "subject": "Auk",
        "campaign": "spring",
        "design": Design("Auk", diameter=0.1778, blades=2),
        "rig": rig or Rig("loft", "Loft", {"thrust": ChannelPlan("thrust", (ColumnPick("f"),), unit="N")}),
        "motor": None,
        "standard_density": 1.225,
        "slipstream": None,
        "trails": (FigureTrail(absent(), None, (), ()),),
        "runs": runs,
    } | others
    return Explanation(**values)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("plan", "formula"),
    [
        (ChannelPlan("thrust", (ColumnPick("f"),), **FORCE), '0.00980665 * "f" (column in gf)'),
        (
            ChannelPlan("thrust", (ColumnPick(position=3),), **FORCE, sign=-1.0),
            "-0.00980665 * column 3 (column in gf, sign -1)",
        ),
        (
            ChannelPlan("torque", (ColumnPick("l", arm=0.02), ColumnPick("r", arm=-0.02)), **FORCE),
            '0.000196133 * "l" - 0.000196133 * "r" (column in gf, arms 20 mm, -20 mm)',
        ),
        (
            ChannelPlan("thrust", (ColumnPick("f"),), **FORCE, ratio=2.706),
            '0.0265367949 * "f" (column in gf, lever 2.706)',
        ),
        (
            ChannelPlan("speed", (ColumnPick("e"),), unit="rpm", factor=math.pi / 30.0, pole_pairs=7.0),
            '0.014959965 * "e" (column in rpm, 7 pole pairs)',
        ),
        (
            ChannelPlan("throttle", (ColumnPick("c"),), unit="us", throttle_range=(1000.0, 2000.0)),
            '0.001 * "c" - 1 (column in us, 1000 is 0 %, 2000 is 100 %)',
        ),
        (
            ChannelPlan("temperature", (ColumnPick("t"),), unit="degC", offset=273.15),
            '1 * "t" + 273.15 (column in degC)',
        ),
        (ChannelPlan("time", (ColumnPick("when"),)), '"when", from its first stamp'),
        (ChannelPlan("time", rate=500.0), "one sample every 0.002 s"),
        (ChannelPlan("thrust", (ColumnPick("f"),)), '1 * "f" (unit as the log\'s head gives it)'),
    ],
)
def test_a_channel_is_told_as_a_sum_over_columns(plan: ChannelPlan, formula: str) -> None:
    assert channel_formula(plan) == formula


def test_stated_uncertainties_stand_beside_the_formula() -> None:
    plan = ChannelPlan("thrust", (ColumnPick("f"),), **FORCE, uncertainty=StatedUncertainty(0.003, GF))
    text = said(explanation(facts(), rig=Rig("loft", "Loft", {"thrust": plan}, u_temperature=0.3, u_humidity=0.03)))
    assert "0.3 % and 1 gf" in text
    assert "air sensors: temperature 0.3 K, humidity 3 %" in text
    assert "not stated" in said(explanation(facts()))


def test_an_absent_figure_says_what_was_measured_and_what_is_missing() -> None:
    text = joined(said(explanation(facts())))
    assert "absent: rig loft has no torque channel" in text
    assert "r01 (ramp): channels thrust, speed; curves of thrust, torque," in text
    assert "from 1910 to 16234 rpm" in text
    assert "missing: rig loft has no torque channel" in text


def test_a_design_without_any_run_says_so() -> None:
    text = said(explanation(trails=(FigureTrail(absent("no run in campaign spring", ()), None, (), ()),)))
    assert "no run of Auk in campaign spring" in text
    assert "Rig loft" not in text


def test_a_file_that_is_gone_or_was_changed_is_told() -> None:
    gone = FileFacts("log", "campaigns/spring/raw/r01.csv", "", "cd" * 32, None, "not read [missing-file]")
    changed = FileFacts("log", "campaigns/spring/raw/r01.csv", "ab" * 32, "cd" * 32, 12, "comma")
    assert "the file is not there" in said(explanation(facts(files=(gone,))))
    text = said(explanation(facts(files=(changed,))))
    assert f"sha256 {'ab' * 32}" in text
    assert f"first seen as {'cd' * 32}: it has been changed" in text


def test_air_says_where_it_came_from_or_that_nobody_knows_it() -> None:
    air = Air(AirReading(293.15, 5.0, "book"), AirReading(101325.0, None, "campaign"), AirReading(0.5, 0.03, "run"))
    text = said(explanation(facts(air=air)))
    assert re.search(r"temperature +20 degC +293.15 K +5 K +the book's default, not read on the day", text)
    assert re.search(r"pressure +1013.25 hPa +101325 Pa +not stated +campaign.toml", text)
    assert re.search(r"humidity +50 % +0.5 +3 % +read for this run", text)
    assert "air: not known" in said(explanation(facts()))


def test_a_zero_says_how_it_was_found() -> None:
    def zero(before: float | None) -> ReducedRun:
        return made_runs.run(zeros={"thrust": ZeroFit("thrust", before, None, None, None, 0.0, 0.0)})

    levels = (ZeroLevel(0.0, 2.0, 0.05, 0.0003, 200, 1), ZeroLevel(14.0, 15.0, 0.08, 0.0004, 100, 0))
    text = said(explanation(facts(zero(0.05), zeros={"thrust": levels})))
    assert re.search(r"thrust +0\.000000 +2\.000000 +0\.05 +0\.0003 +200 +1", text)
    assert "sqrt(0.000353553^2 + 0.03^2 / 12)" in text
    assert "zero of thrust: 0.3 N, as the rig file states it" in said(explanation(facts(zero(0.3))))
    assert "none could be read" in said(explanation(facts(zero(None))))


def test_a_drift_is_the_greatest_between_neighbouring_levels() -> None:
    levels = tuple(ZeroLevel(k, k + 0.5, level, 0.0, 50, 0) for k, level in enumerate((0.0, 0.2, 0.1)))
    run = made_runs.run(
        zeros={"thrust": ZeroFit("thrust", 0.0, 0.1, (0.0, 0.5), (2.0, 2.5), 0.0, 0.2 / math.sqrt(12.0))}
    )
    assert "0.2^2 / 12) = 0.057735 N" in said(explanation(facts(run, zeros={"thrust": levels})))


def test_inertia_says_where_it_is_from_or_that_it_is_missing() -> None:
    known = made_runs.run(inertia=Estimate(1.5e-5, 2e-7, 10.0, "coast of run r03 of the same sample"))
    text = joined(said(explanation(facts(known))))
    assert "J = 1.5e-05 kg m2 = 150 g cm2, u = 2e-07 kg m2, dof 10, from coast of run r03 of the same sample" in text
    wanted = made_runs.run(inertia_wanted=True)
    assert "inertia: not known" in said(explanation(facts(wanted)))
    assert "inertia: not known" not in said(explanation(facts()))


def test_findings_are_told_with_what_was_done() -> None:
    finding = Finding("spikes", "warning", "3 readings stand out", "r01", "thrust", done="they were left out")
    text = said(explanation(facts(made_runs.run(findings=(finding,)))))
    assert re.search(r"warning +spikes \(thrust\)", text)
    assert "done: they were left out" in text
    assert "findings: none" in said(explanation(facts()))


def test_runs_set_aside_are_named_with_a_design_and_not_with_the_run_itself() -> None:
    aside = (LeftOut("r02", "the propeller slipped"),)
    assert "set aside: r02: the propeller slipped" in said(explanation(facts(), left_out=aside))
    assert "set aside:" not in said(explanation(facts(), left_out=aside, subject="spring/r02"))


def test_what_is_the_same_for_all_runs_is_told_once() -> None:
    second = facts(made_runs.run("r02"))
    text = said(explanation(facts(), second))
    assert text.count("Rig loft") == 1
    assert text.count("How the runs were reduced") == 1
    assert len(re.findall(r"^Run spring/r0\d$", text, re.MULTILINE)) == 2


def test_a_name_is_never_cut_in_two() -> None:
    name = "mounting spring-of-two-thousand/a-propeller-with-a-long-name-7x4/a/m02"
    lines = table_at(Table("", ("contribution", "source"), (("0.1234567", name),), frozenset({1}), (), 1), 40)
    assert any(line.text.endswith("a-propeller-with-a-long-name-7x4/a/m02") for line in lines)


def test_small_words() -> None:
    assert freedom(math.inf) == "inf"
    assert filled("{a} / {b}", [("a", 1.0 / 3.0), ("b", -2.0)]) == "0.333333333 / (-2)"
    line = Contribution("thrust scale", "rig loft thrust scale", "rig", 1.0, math.inf)
    assert named_source(line) == "rig loft thrust scale"
    assert (
        named_source(replace(line, source="noise left by the fit")) == "noise left by the fit [rig loft thrust scale]"
    )


def test_json_has_no_number_without_end() -> None:
    lag = Estimate(0.0, 0.02, math.inf, "not known")
    text = json_text([explanation_object(explanation(facts(made_runs.run(lags={"thrust": lag}))))])
    assert '"degrees_of_freedom": null' in text
    assert "Infinity" not in text
    assert "NaN" not in text


def test_a_statement_about_samples_to_which_nothing_comes_says_so() -> None:
    statements = tuple(
        Statement(name, (), 0.3, math.inf, 1.96, (59.4, 60.6)) for name in ("as tested", "of the design")
    )
    trail = FigureTrail(made_results.result("Auk", 60.0, {"run a": 0.3}), None, statements, ())
    text = joined(" ".join(line.text for line in budget_section(trail, 100)))
    assert text.count("nothing is added: samples differ no more than their own u explains") == 1
    assert text.index("of the design") < text.index("nothing is added")
