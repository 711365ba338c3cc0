"""Frames between marks, as telemetry writes them: `[12|34|5.6]`, perhaps wrapped by a terminal at a fixed width."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from isothrust.tables.recast import Recast, recast_of

__all__ = ["frames_of"]

_SAMPLE: Final = 1 << 15
_INSIDE: Final = 0.9
"""Share of a text that stands in frames, where it is made of them."""
_FEWEST: Final = 3
_PAIRS: Final = ("[]", "{}", "()", "<>")


def frames_of(data: bytes) -> Recast | None:
    """Return a text of frames with one frame a line and without its marks, or None where it is not made of frames.

    Line ends inside a frame are a terminal's: the pieces are joined as they stand. A frame that was never closed lost
    its end: its last cell is spoiled, so that it is told and not read.
    """
    beginning = data[:_SAMPLE].decode("utf-8", errors="replace")
    pair = next((pair for pair in _PAIRS if _made_of(beginning, pair)), None)
    if pair is None:
        return None
    text = data.decode("utf-8", errors="replace").replace("\r\n", "\n")
    closed = text.rstrip().endswith(pair[1])
    return recast_of(_pieces(text, pair), "frames between marks", ended=closed)


def _made_of(text: str, pair: str) -> bool:
    if text.lstrip()[:1].isalpha() or text.count(pair[0]) < _FEWEST:
        return False
    frames = _whole(pair).findall(text)
    inside = sum(len(frame) for frame in frames)
    return len(frames) >= _FEWEST and inside >= _INSIDE * len("".join(text.split("\n")[:-1]) or text)


def _whole(pair: str) -> re.Pattern[str]:
    opening, closing = map(re.escape, pair)
    return re.compile(rf"{opening}[^{opening}{closing}]*{closing}")


def _pieces(text: str, pair: str) -> Iterator[tuple[int, str]]:
    """Yield line and content of each frame, and what stands outside of frames line by line."""
    opening, closing = map(re.escape, pair)
    pattern = re.compile(rf"{opening}([^{opening}{closing}]*)({closing}|(?={opening})|\Z)|([^{opening}\n]+)")
    line, place = 1, 0
    for match in pattern.finditer(text):
        line += text.count("\n", place, match.start())
        place = match.start()
        frame, end, outside = match.groups()
        if outside is not None:
            if outside.strip():
                yield line, outside.replace(pair[1], "").strip()
            continue
        joined = frame.replace("\n", "")
        yield line, joined if end or match.end() == len(text) else f"{joined.rstrip()} ?"
