"""Colours of the page: what is read stands out from its paper, light and dark (WCAG 2.1, 1.4.3 and 1.4.11)."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from isothrust.present.charts.theme import DARK, LIGHT
from support.colour import contrast

STYLE = (files("isothrust.present.report") / "assets" / "report.css").read_text(encoding="utf-8")


def colours(selector: str) -> dict[str, str]:
    """Return the colours that a rule of the style sheet names."""
    (rule,) = re.findall(re.escape(selector) + r" \{(.*?)\}", STYLE, re.DOTALL)
    return dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", rule))


RULES = {"light": "\n:root", "chosen dark": ':root[data-theme="dark"]', "dark": ":root:not([data-theme])"}


@pytest.mark.parametrize("name", RULES)
def test_text_stands_out_from_its_paper(name: str) -> None:
    own = colours(RULES[name])
    for ink in ("ink", "faint", "alarm", "warning"):
        for paper in ("paper", "raised"):
            assert contrast(own[ink], own[paper]) >= 4.5, (ink, paper)


@pytest.mark.parametrize("name", RULES)
def test_marks_that_are_no_text_stand_out_as_well(name: str) -> None:
    own = colours(RULES[name])
    assert contrast(own["mark"], own["paper"]) >= 3.0


def test_the_page_and_its_charts_are_of_one_paper_and_ink() -> None:
    for theme, name in ((LIGHT, "light"), (DARK, "dark"), (DARK, "chosen dark")):
        own = colours(RULES[name])
        assert (own["paper"], own["ink"], own["faint"]) == (theme.background, theme.ink, theme.faint)
