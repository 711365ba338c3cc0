"""The data of a picture of a recording: panels, ticks, spans and traces in shown units, small enough for a page.

In a page the traces stand as columns; each becomes rows of panel, x and value before it is given to the chart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from isothrust.present.findings_table import ORDER
from isothrust.quantities import QUANTITIES, Unit, parse_unit
from isothrust.records.picture import RunPicture, Span, Trace

__all__ = ["RECORDING_DATA", "nice_ticks", "recording_datasets", "recording_object"]

RECORDING_DATA: Final = ("panels", "ticks", "trace", "spans", "lanes")

Row = dict[str, object]

PANEL: Final = 1.0
"""Height of a panel with its title; the unit of the picture's own height."""
TITLE: Final = 0.26
LANE: Final = 0.38
"""Height of a line that names a finding."""
MOST_LANES: Final = 6
PIXELS: Final = 84
"""Height of a panel in a page."""
STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
MARGIN: Final = 0.06
"""Of the readings' range, left free above and below."""
FINE: Final = 2000
"""Steps into which a panel's height is rounded."""


def recording_object(picture: RunPicture) -> Row:
    """Return the picture's data for a page: traces as columns of rounded numbers, everything else as rows."""
    lanes = _lanes(picture)
    depth = LANE * len(lanes)
    panels: list[Row] = []
    ticks: list[Row] = []
    traces: list[Row] = []
    lasts = max((float(trace.time[-1] - trace.time[0]) for trace in picture.traces), default=0.0)
    for number, trace in enumerate(picture.traces):
        top = depth + PANEL * number + TITLE
        bottom = depth + PANEL * (number + 1) - 0.04
        shown = _shown(trace)
        low, high = _frame(min(shown), max(shown))
        marks = nice_ticks(low, high)
        panels.append({"panel": number, "title": _title(trace), "top": top, "bottom": bottom, "low": low, "high": high})
        ticks += [
            {"y": round(bottom - (mark - low) / (high - low) * (bottom - top), 4), "text": text}
            for mark, text in zip(marks, _ticks_told(marks), strict=True)
        ]
        traces.append(
            {
                "panel": number,
                "x": _rounded(trace.time.tolist(), lasts / FINE),
                "value": _rounded(shown, (high - low) / FINE),
            }
        )
    return {
        "panels": panels,
        "ticks": ticks,
        "traces": traces,
        "spans": _spans(picture, panels),
        "lanes": lanes,
        "height": round(PIXELS * (depth + PANEL * len(panels))) + 48,
    }


def recording_datasets(picture: RunPicture) -> dict[str, list[Row]]:
    """Return the same as the named datasets of the chart, every row spelled out."""
    found = recording_object(picture)
    traces = found.pop("traces")
    found.pop("height")
    assert isinstance(traces, list)
    rows = [
        {"panel": trace["panel"], "x": x, "value": value}
        for trace in traces
        for x, value in zip(trace["x"], trace["value"], strict=True)
    ]
    return {**found, "trace": rows}  # type: ignore[dict-item]


def nice_ticks(low: float, high: float, *, about: int = 4) -> list[float]:
    """Return round numbers between low and high, about so many of them.

    Examples
    --------
    >>> nice_ticks(-300.0, 14210.0)
    [0.0, 5000.0, 10000.0]
    """
    rough = (high - low) / about
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(size * nice for nice in STEPS if size * nice >= 0.999 * rough)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [float(f"{number * step:.12g}") for number in range(first, last + 1)]


def _frame(low: float, high: float) -> tuple[float, float]:
    """Return the ends of a panel's axis: a little beyond the readings, also where these never move."""
    if not high > low:
        half = 0.05 * abs(low) or 0.5
        return low - half, high + half
    margin = MARGIN * (high - low)
    return low - margin, high + margin


def _title(trace: Trace) -> str:
    words = trace.about or trace.channel.replace("-", " ")
    return f"{words[:1].upper()}{words[1:]} [{_label(trace.channel)}]"


def _label(channel: str) -> str:
    shown = QUANTITIES[channel].shown
    return "g" if shown == "gn" else shown


def _shown(trace: Trace) -> list[float]:
    unit: Unit = parse_unit(QUANTITIES[trace.channel].shown)
    return [float(value) for value in unit.from_si(trace.values)]


def _ticks_told(marks: Sequence[float]) -> list[str]:
    """Return ticks as text, all with as many decimals as the finest of them needs."""
    decimals = max(len(f"{mark:.6f}".rstrip("0").partition(".")[2]) for mark in marks)
    return [f"{mark:,.{decimals}f}".replace("-", "\N{MINUS SIGN}") for mark in marks]


def _rounded(values: Sequence[float], resolution: float) -> list[float]:
    digits = 0 if resolution <= 0.0 else max(0, -math.floor(math.log10(resolution)))
    numbers = [round(value, digits) for value in values]
    return [int(number) if number == int(number) else number for number in numbers]


def _ordered(picture: RunPicture) -> list[Span]:
    return sorted(picture.spans, key=lambda span: (ORDER.index(span.severity), span.start))


def _spans(picture: RunPicture, panels: Sequence[Row]) -> list[Row]:
    """Return each finding's span in the panel of its channel, or in all of them."""
    rows: list[Row] = []
    for span in _ordered(picture):
        places = [number for number, trace in enumerate(picture.traces) if span.channel in {None, trace.channel}]
        rows += [
            {
                "panel": number,
                "top": panels[number]["top"],
                "bottom": panels[number]["bottom"],
                "start": round(span.start, 4),
                "end": round(span.end, 4),
                "severity": span.severity,
                "code": span.finding,
                "message": span.message,
            }
            for number in places
        ]
    return rows


def _lanes(picture: RunPicture) -> list[Row]:
    """Return a line for each finding, the gravest first; what would be too many is counted in the last."""
    spans = _ordered(picture)
    shown = spans if len(spans) <= MOST_LANES else spans[: MOST_LANES - 1]
    rows: list[Row] = [
        {
            "y": round(LANE * number + 0.62 * LANE, 4),
            "start": round(span.start, 4),
            "end": round(span.end, 4),
            "severity": span.severity,
            "text": _said(span),
        }
        for number, span in enumerate(shown)
    ]
    if len(shown) < len(spans):
        more = f"and {len(spans) - len(shown)} more"
        start = min(span.start for span in spans[len(shown) :])
        y = round(LANE * len(shown) + 0.62 * LANE, 4)
        rows.append({"y": y, "start": start, "end": start, "severity": spans[len(shown)].severity, "text": more})
    return rows


def _said(span: Span) -> str:
    where = f" in {span.channel}" if span.channel else ""
    start, end = (f"{value:.4g}" for value in (span.start, span.end))
    when = f"at {start} s" if start == end else f"{start} to {end} s"
    return f"{span.severity}: {span.finding}{where}, {when}"
