"""Planted faults are told of and good runs left alone: a short form of benchmarks/detection.py."""

from __future__ import annotations

from collections import Counter

import pytest

from support.codes import entries, findings_with_entry
from support.faulty.campaign_trial import campaign_trials
from support.faulty.study import accused, campaign_cases, cases, count, lower_bound, trials_of
from support.faulty.without import WITHOUT_RATE, Unrated
from support.source import ROOT

SEEDS = range(9000, 9004)
STEP = 1e-3
"""Of the integration [s]: as long as a row of the log at its fastest."""
PAGE = ROOT / "docs" / "detection.md"


@pytest.fixture(scope="module")
def told() -> Counter[tuple[str, str]]:
    return count(SEEDS, step=STEP)


def test_every_fault_is_told_of_in_nearly_every_run(told: Counter[tuple[str, str]]) -> None:
    missed = {(case.code, case.fault): told[case.code, case.fault] for case in cases()}
    assert len(missed) > 60
    assert {name: hits for name, hits in missed.items() if hits < len(SEEDS) - 1} == {}


def test_good_runs_get_no_warning() -> None:
    runs, bad = accused((1001, 1006, 1011), step=STEP)
    assert runs == 36
    assert bad == []


def test_faults_planted_in_campaigns_are_told_of_their_run_and_no_other() -> None:
    missed = [
        (case.code, case.fault, told.seed)
        for case, told in campaign_trials(campaign_cases(), SEEDS[:2], step=STEP)
        if not told.names(case.code)
    ]
    assert missed == []


def test_every_planted_fault_has_a_code_with_an_entry() -> None:
    assert _planted() <= set(entries())


def test_every_finding_is_planted_or_a_reason_is_stated_why_not() -> None:
    unrated = [code for group in WITHOUT_RATE for code in group.codes]
    assert len(unrated) == len(set(unrated))
    assert set(unrated) & _planted() == set()
    assert set(findings_with_entry()) - _planted() == set(unrated)


@pytest.mark.parametrize("group", WITHOUT_RATE, ids=lambda group: group.codes[0])
def test_a_finding_without_a_rate_is_held_by_another_test(group: Unrated) -> None:
    files = [path for place in group.held_by for path in sorted((ROOT / "tests" / place).rglob("*.*"))]
    held = "".join(path.read_text(encoding="utf-8") for path in files if path.suffix in {".py", ".toml"})
    assert [code for code in group.codes if f'"{code}"' not in held and f"[{code}]" not in held] == []


def _planted() -> set[str]:
    return {case.code for case in (*cases(), *campaign_cases())}


def test_the_page_has_a_row_for_every_fault_and_each_is_found_in_nearly_every_run() -> None:
    rows = [line.split(" | ") for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    page = {(row[0].removeprefix("| "), row[1]): row for row in rows if len(row) == 6}
    for case in (*cases(), *campaign_cases()):
        row = page[case.code, case.fault]
        assert row[2] == case.size
        assert int(row[3]) >= trials_of(case, 500)
        if int(row[3]) >= 500:
            assert float(row[5].partition(" %")[0]) >= 93.0
        assert float(row[4].partition(" %")[0]) >= 95.0


def test_the_page_says_why_a_finding_has_no_rate() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for group in WITHOUT_RATE:
        assert f"| {', '.join(group.codes)} | {group.reason} |" in text


def test_a_lower_bound_is_that_of_the_tables() -> None:
    # Clopper and Pearson: with no miss in n, the bound at 95 % is 0.05 to the power 1/n.
    assert lower_bound(59, 59) == pytest.approx(0.05 ** (1 / 59))
    assert lower_bound(0, 10) == 0.0
