"""Light and dark: the few colours of a chart besides its identities, and the look that follows from them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["DARK", "FONT", "LIGHT", "Theme", "look"]

FONT: Final = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', 'DejaVu Sans', sans-serif"


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours of paper and ink."""

    name: str
    background: str
    ink: str
    """Titles and labels."""
    faint: str
    """Axes and notes."""
    grid: str
    context: str
    """Lines that are not told apart."""
    alarm: str
    """Spans of a fail."""
    warning: str
    """Spans of a warning."""
    band: float
    """Opacity of a band."""


LIGHT: Final = Theme("light", "#fcfcfa", "#1b1f24", "#565d66", "#e4e4df", "#a9adb2", "#b3261e", "#b35a00", 0.17)
DARK: Final = Theme("dark", "#15191e", "#e9ebee", "#a5adb7", "#2c333b", "#6a737d", "#ff8a7a", "#f0a848", 0.24)


def look(theme: Theme, unit: float = 1.0) -> dict[str, object]:
    """Return Vega-Lite's `config` for a theme; `unit` scales letters and strokes with the picture."""
    axis = {
        "domainColor": theme.faint,
        "domainWidth": unit,
        "tickColor": theme.faint,
        "tickWidth": unit,
        "tickSize": 5 * unit,
        "gridColor": theme.grid,
        "gridWidth": unit,
        "labelColor": theme.faint,
        "labelFontSize": 12 * unit,
        "labelPadding": 4 * unit,
        "labelOverlap": True,
        "labelFlush": False,
        "titleColor": theme.ink,
        "titleFontSize": 13 * unit,
        "titleFontWeight": "normal",
        "titlePadding": 9 * unit,
    }
    return {
        "background": theme.background,
        "font": FONT,
        "view": {"stroke": None},
        "axis": axis,
        "title": {
            "anchor": "start",
            "frame": "bounds",
            "color": theme.ink,
            "fontSize": 18 * unit,
            "fontWeight": 600,
            "subtitleColor": theme.faint,
            "subtitleFontSize": 12.5 * unit,
            "subtitleLineHeight": 17 * unit,
            "subtitlePadding": 5 * unit,
            "offset": 12 * unit,
        },
    }
