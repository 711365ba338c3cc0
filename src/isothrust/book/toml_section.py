"""Typed fields of a section of a TOML file: what is wrong is collected, a key that nothing asked for is reported."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from isothrust.book.toml_source import TomlSource
from isothrust.errors import IsothrustError, Problem, UnitError, Where
from isothrust.quantities import QUANTITIES, parse_value
from isothrust.records.finding import Finding

__all__ = ["Remarks", "Section", "nearest"]


@dataclass(slots=True)
class Remarks:
    """Problems and findings collected while a file is read, so that all are told together."""

    problems: list[Problem] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    def all_problems(self) -> tuple[Problem, ...]:
        """Return each problem once, in the order of discovery."""
        return tuple(dict.fromkeys(self.problems))

    def add(self, error: IsothrustError) -> None:
        """Take over the problems of an error that was caught."""
        self.problems.extend(error.problems)


class Section:
    """One section of a TOML file being read.

    Every getter returns None where the key is absent or its value is of no use; in the second case a problem is noted.
    """

    def __init__(self, source: TomlSource, remarks: Remarks, path: tuple[str, ...] = ()) -> None:
        self.source = source
        self.remarks = remarks
        self.path = path
        self._asked: set[str] = set()
        content: Any = source.content
        for key in path:
            content = content.get(key, {})
            if not isinstance(content, Mapping):
                self.problem("wrong-type", f"{key} is {content!r}", expected="a section with keys of its own")
                content = {}
        self._content: Mapping[str, Any] = content

    def __contains__(self, key: str) -> bool:
        return key in self._content

    def __iter__(self) -> Any:  # noqa: ANN401
        return iter(self._content)

    def raw(self, key: str) -> Any:  # noqa: ANN401 (as TOML has it)
        """Return what the file says, None where it says nothing."""
        self._asked.add(key)
        return self._content.get(key)

    def section(self, key: str) -> Section:
        """Return the section below, empty where the file has none."""
        self._asked.add(key)
        return Section(self.source, self.remarks, (*self.path, key))

    def where(self, key: str | None = None) -> Where:
        """Return the place of a key, or of the section."""
        return self.source.where(*self.path, *(() if key is None else (key,)))

    def problem(
        self, code: str, what: str, *, key: str | None = None, expected: str | None = None, fix: str | None = None
    ) -> None:
        """Note what is wrong with a key, or with the section."""
        self.remarks.problems.append(Problem(code, what, self.where(key), expected, fix))

    def text(self, key: str) -> str | None:
        """Return a text."""
        value = self.raw(key)
        if value is None or isinstance(value, str):
            return value
        self._wrong_type(key, value, "text in double quotes")
        return None

    def word(self, key: str, among: tuple[str, ...]) -> str | None:
        """Return a text that must be one of a few words."""
        value = self.text(key)
        if value is None or value in among:
            return value
        expected = " or ".join(nearest(value, among) or among)
        self.problem(
            "unknown-word", f'{key} is "{value}"', key=key, expected=expected, fix=f"write one of: {', '.join(among)}"
        )
        return None

    def flag(self, key: str) -> bool | None:
        """Return true or false."""
        value = self.raw(key)
        if value is None or isinstance(value, bool):
            return value
        self._wrong_type(key, value, "true or false")
        return None

    def number(self, key: str, *, positive: bool = False) -> float | None:
        """Return a plain number."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            self._wrong_type(key, value, "a plain number, without quotes")
            return None
        if positive and not value > 0:
            self.problem(
                "out-of-range", f"{key} is {value}", key=key, expected="a number above zero", fix="mend the number"
            )
            return None
        return float(value)

    def value(self, key: str, quantity: str, *, least: float | None = None) -> float | None:
        """Return the SI value of a number with its unit, written as one text."""
        written = self.raw(key)
        return None if written is None else self.parsed(key, written, quantity, least=least)

    def parsed(self, key: str, written: Any, quantity: str, *, least: float | None = None) -> float | None:  # noqa: ANN401
        """Return the SI value of `written`, which stands under `key`."""
        shown = QUANTITIES[quantity].shown
        if isinstance(written, int | float) and not isinstance(written, bool):
            self.problem(
                "missing-unit",
                f"{key} is {written} without a unit",
                key=key,
                expected=f"a number with a unit of {quantity}, in quotes",
                fix=f'write {key} = "{written} {shown}", or the unit that was meant',
            )
            return None
        if not isinstance(written, str):
            self._wrong_type(key, written, f'a number with its unit in quotes, such as "1 {shown}"')
            return None
        try:
            value = parse_value(written, quantity=quantity, where=self.where(key))
        except UnitError as error:
            self.remarks.add(error)
            return None
        if least is not None and value < least:
            self.problem(
                "out-of-range", f"{key} is {written}", key=key, expected=f"{least:g} or more", fix="mend the number"
            )
            return None
        return value

    def values(self, key: str, quantity: str) -> tuple[float, ...] | None:
        """Return the SI values of a list of numbers with units."""
        written = self.raw(key)
        if written is None:
            return None
        items = written if isinstance(written, list) else [written]
        found = [self.parsed(key, item, quantity) for item in items]
        return tuple(value for value in found if value is not None)

    def finish(self, *, known: tuple[str, ...] = ()) -> dict[str, str]:
        """Report the keys that nothing asked for; return them with their values as text."""
        unknown = [key for key in self._content if key not in self._asked and key not in known]
        for key in unknown:
            near = nearest(key, (*sorted(self._asked), *known))
            hint = f"; the nearest key that is known is {near[0]}" if near else ""
            place = self.where(key)
            self.remarks.findings.append(
                Finding("unknown-key", "warning", f"{place} means nothing here{hint}.", done="left unread")
            )
        return {".".join((*self.path, key)): str(self._content[key]) for key in unknown}

    def _wrong_type(self, key: str, value: Any, expected: str) -> None:  # noqa: ANN401
        self.problem("wrong-type", f"{key} is {value!r}", key=key, expected=expected, fix=f"write {expected}")


def nearest(word: str, among: tuple[str, ...], count: int = 1) -> tuple[str, ...]:
    """Return the names closest to `word`, the nearest first; none where nothing is close."""
    by_small = {name.casefold(): name for name in among}
    return tuple(by_small[name] for name in difflib.get_close_matches(word.casefold(), by_small, n=count, cutoff=0.6))
