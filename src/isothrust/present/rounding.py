"""Figures written to the digit that their uncertainty supports."""

from __future__ import annotations

import math

__all__ = ["decimals_for", "plainly", "with_digits", "with_half_width"]

PLAIN_DIGITS = 4
"""Significant digits of a figure whose uncertainty is nil or unknown."""
TYPED_DIGITS = 6
"""Significant digits of a value that somebody typed, such as a condition."""
MOST_DECIMALS = 12


def decimals_for(half_width: float) -> int:
    """Return the decimals a half-width supports: two of its digits where it begins with 1 or 2, otherwise one.

    Negative: digits before the decimal point that are not supported.

    Examples
    --------
    >>> [decimals_for(h) for h in (0.012, 0.04, 1.2, 4.0, 36.0, 0.0296)]
    [3, 2, 1, 0, -1, 2]
    """
    place = math.floor(math.log10(half_width))
    leading = round(half_width / 10.0**place, 1)  # 9.96 rounds up to the next place
    if leading >= 10.0:
        place, leading = place + 1, 1.0
    # 2.96 would be written with two digits as 3.0, so it counts among those that begin with 3.
    return (1 if leading < 2.95 else 0) - place


def _written(value: float, decimals: int) -> str:
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def with_half_width(value: float, half_width: float | None, *, apart: bool = False) -> str:
    """Return `value ± half-width`, both to the same digit; the value alone where the half-width is nil or unknown.

    With `apart` a value that exceeds its half-width must be seen to: it gets as many more digits as that takes.

    Examples
    --------
    >>> with_half_width(61.3377, 0.9412), with_half_width(9123.4, 36.0), with_half_width(0.38214, None)
    ('61.3 ± 0.9', '9120 ± 40', '0.3821')
    >>> with_half_width(2.54, 2.47), with_half_width(2.54, 2.47, apart=True)
    ('2.5 ± 2.5', '2.54 ± 2.47')
    """
    if half_width is None or not math.isfinite(half_width) or half_width <= 0.0:
        return with_digits(value)
    decimals = decimals_for(half_width)
    if apart and abs(value) > half_width:
        while decimals < MOST_DECIMALS and round(abs(value), decimals) <= round(half_width, decimals):
            decimals += 1
    return f"{_written(value, decimals)} ± {_written(half_width, decimals)}"


def with_digits(value: float, digits: int = PLAIN_DIGITS) -> str:
    """Return the value with this many significant digits, never as an exponent.

    Examples
    --------
    >>> with_digits(14000.4), with_digits(0.00123456), with_digits(0.0)
    ('14000', '0.001235', '0')
    """
    if value == 0.0:
        return "0"
    place = math.floor(math.log10(abs(value)))
    return _written(value, max(digits - 1 - place, 0))


def plainly(value: float) -> str:
    """Return a value that somebody typed, without the digits that conversion left.

    Examples
    --------
    >>> plainly(500.00000000000006), plainly(14000.0), plainly(0.25)
    ('500', '14000', '0.25')
    """
    text = with_digits(value, TYPED_DIGITS)
    return text.rstrip("0").rstrip(".") if "." in text else text
