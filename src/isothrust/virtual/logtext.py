"""The text of a log: one run in one dialect."""

from __future__ import annotations

import gzip
from collections.abc import Mapping

import numpy as np

from isothrust.virtual.dialects import Column, Dialect
from isothrust.virtual.monotone import Floats

__all__ = ["log_bytes"]

_COMMON_FORCE = 0.11
"""Force [N] that both torque cells carry, beside a tenth of the thrust: it cancels in the sum of force times arm."""


def log_bytes(columns: Mapping[str, Floats], dialect: Dialect, *, date: str, cut: bool = False) -> bytes:
    """Write columns [SI] as a log.

    `date` is the ISO date and time of the first row, less the dialect's `start`; `cut` leaves the last line half
    written.
    """
    written = [column for column in dialect.columns if column.channel in columns]
    numbers = [column for column in written if not _is_stamp(column, dialect)]
    rows = columns["time"].size
    block = np.empty((rows, len(numbers)))
    for k, column in enumerate(numbers):
        block[:, k] = np.round(_cells(columns, column, dialect), column.digits) + 0.0
    text = _number_lines(block, [column.digits for column in numbers], dialect)
    if len(numbers) < len(written):
        stamps = _stamps(columns["time"], dialect, date)
        text = "".join(f"{s}{dialect.delimiter}{line}\n" for s, line in zip(stamps, text.splitlines(), strict=True))
    ahead = "".join(f"{line}\n" for line in dialect.preamble)
    if dialect.heads:
        ahead += dialect.delimiter.join(column.head for column in written) + "\n"
    if cut:
        text = _cut(text)
    whole = (ahead + text).replace("\n", dialect.newline)
    raw = whole.encode("utf-8-sig" if dialect.mark else "utf-8")
    return gzip.compress(raw, compresslevel=5, mtime=0) if dialect.compress else raw


def _is_stamp(column: Column, dialect: Dialect) -> bool:
    return column.channel == "time" and dialect.clock != "number"


def _number_lines(block: Floats, digits: list[int], dialect: Dialect) -> str:
    """All rows at once: one format for the whole block, cells that are not a number left empty."""
    form = dialect.delimiter.join(f"%.{d}f" for d in digits) + "\n"
    text: str = (form * block.shape[0]) % tuple(block.ravel().tolist())
    if np.isnan(block).any():
        text = text.replace("nan", "")
    return text.replace(".", dialect.decimal) if dialect.decimal != "." else text


def _cells(columns: Mapping[str, Floats], column: Column, dialect: Dialect) -> Floats:
    value = columns[column.channel]
    if column.channel == "time":
        return (value + dialect.start) / column.size
    if column.arm is not None:
        common = _COMMON_FORCE + 0.1 * np.nan_to_num(columns.get("thrust", np.zeros_like(value)))
        return np.asarray(column.sign * (value / (2 * column.arm) + common) / column.size, dtype=np.float64)
    electrical = 1.0 if column.pole_pairs is None else float(column.pole_pairs)
    return np.asarray(column.sign * value * electrical / column.size + column.bias, dtype=np.float64)


def _stamps(time: Floats, dialect: Dialect, date: str) -> list[str]:
    """Stamps in ISO 8601 or as a time of day, to a tenth of a millisecond."""
    micro = np.round((time + dialect.start) * 1e4).astype(np.int64) * 100
    day = np.datetime64(date, "us") if dialect.clock == "iso" else np.datetime64("2000-01-01", "us")
    texts = np.datetime_as_string(day + micro.astype("timedelta64[us]"), unit="us")
    return [text[:24] if dialect.clock == "iso" else text[11:24] for text in texts.tolist()]


def _cut(text: str) -> str:
    """Leave the last line half written."""
    end = text.rstrip("\n").rfind("\n") + 1
    return text[: end + (len(text) - end) // 2]
