"""Text as TOML writes it."""

from __future__ import annotations

__all__ = ["can_be_quoted", "quoted"]


def quoted(text: str) -> str:
    r"""Return a text as TOML writes it: a folder's name may hold quotes, backslashes and worse.

    Examples
    --------
    >>> print(quoted('5" props'))
    "5\" props"
    """
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(sign if sign.isprintable() else "?" for sign in plain) + '"'


def can_be_quoted(text: str) -> bool:
    """Say whether a text comes back from `quoted` as it was."""
    return text.isprintable()
