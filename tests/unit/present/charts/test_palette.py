"""Eight identities that eyes of every kind tell apart, on light and on dark."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from isothrust.present.charts.palette import IDENTITIES
from isothrust.present.charts.theme import DARK, LIGHT, Theme
from support.colour import BLINDNESS, contrast, difference, luminance, seen

THEMES = [pytest.param(theme, id=theme.name) for theme in (LIGHT, DARK)]
APART = 10.0
"""CIEDE2000: common practice takes 2 to 3 for two patches side by side as just told apart; thin lines need far more."""


def colours(theme: Theme) -> list[str]:
    return [getattr(identity, theme.name) for identity in IDENTITIES]


def test_there_are_eight() -> None:
    assert len(IDENTITIES) == 8


@pytest.mark.parametrize("theme", THEMES)
def test_every_colour_stands_out_from_its_background(theme: Theme) -> None:
    # WCAG 2.1, success criterion 1.4.11 (graphical objects): 3:1.
    assert min(contrast(colour, theme.background) for colour in colours(theme)) >= 3.0


@pytest.mark.parametrize("theme", THEMES)
def test_words_are_read_easily(theme: Theme) -> None:
    # WCAG 2.1, success criterion 1.4.3 (text): 4.5:1.
    for colour in (theme.ink, theme.faint):
        assert contrast(colour, theme.background) >= 4.5
    for colour in (theme.alarm, theme.warning):
        assert contrast(colour, theme.background) >= 3.0


@pytest.mark.parametrize("blindness", [None, *BLINDNESS])
@pytest.mark.parametrize("theme", THEMES)
def test_colours_lie_apart_for_every_eye(theme: Theme, blindness: str | None) -> None:
    lab = [seen(colour, blindness) for colour in colours(theme)]
    assert min(difference(one, other) for one, other in combinations(lab, 2)) >= APART


@pytest.mark.parametrize("theme", THEMES)
def test_context_is_fainter_than_every_identity_and_still_there(theme: Theme) -> None:
    behind = contrast(theme.context, theme.background)
    assert 1.7 <= behind < min(contrast(colour, theme.background) for colour in colours(theme))


def test_without_any_colour_dash_and_marker_tell_all_apart() -> None:
    assert len({identity.dash for identity in IDENTITIES}) == len(IDENTITIES)
    assert len({identity.shape for identity in IDENTITIES}) == len(IDENTITIES)


def test_an_identity_keeps_its_hue_from_light_to_dark() -> None:
    for identity in IDENTITIES:
        hues = [np.degrees(np.arctan2(lab[2], lab[1])) for lab in (seen(identity.light), seen(identity.dark))]
        assert abs((hues[0] - hues[1] + 180) % 360 - 180) <= 30.0


def test_difference_of_colour_agrees_with_published_pairs() -> None:
    # Sharma, Wu and Dalal, Color Research and Application 30 (2005), table 1, pairs 1 to 4 (from memory).
    grey = np.array([50.0, 0.0, -82.7485])
    for lab, printed in (
        ((50.0, 2.6772, -79.7751), 2.0425),
        ((50.0, 3.1571, -77.2803), 2.8615),
        ((50.0, 2.8361, -74.0200), 3.4412),
        ((50.0, -1.3802, -84.2814), 1.0000),
    ):
        assert difference(np.array(lab), grey) == pytest.approx(printed, abs=5e-5)


def test_luminance_agrees_with_the_ends_of_its_scale() -> None:
    # WCAG 2.1: 0 for darkest black, 1 for lightest white; contrast goes from 1 to 21.
    assert luminance("#000000") == 0.0
    assert luminance("#ffffff") == pytest.approx(1.0)
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert difference(seen("#ffffff"), seen("#ffffff")) == 0.0
