"""A pattern for the names of recordings: `{design}_{sample}_{n}` tells which word of a name is what."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from isothrust.book.dates import AmbiguousDateError, iso_date
from isothrust.book.runs import KINDS
from isothrust.errors import UsageError, Where
from isothrust.tables.nearest import names_told
from isothrust.workflows.filenames import without_endings

__all__ = ["PLACES", "NamePattern", "compiled_pattern"]

_NUMBER: Final = r"[+-]?\d+(?:\.\d+)?"
PLACES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "design": r".+?",
        "sample": r".+?",
        "n": r"\d+",
        "mounting": r".+?",
        "kind": "|".join(KINDS),
        "date": r"\d{4}[-_.]?\d{2}[-_.]?\d{2}|\d{1,2}[-_.]\d{1,2}[-_.]\d{4}",
        "temperature": _NUMBER,
        "pressure": _NUMBER,
        "humidity": _NUMBER,
        "note": r".+?",
        "any": r".*?",
    }
)
"""Word in braces -> what may stand there. `n` is the repeat: the number of the mounting; `any` is passed over."""

_SHORT: Final = frozenset({"sample", "mounting"})
"""Words that hold, if they can, none of the signs beside them; a design's name may: auk-7x4-b is auk-7x4 and b."""
_FREE: Final = frozenset({"design", "sample", "mounting", "note", "any"})
"""Words that may be any text."""
_PLACE: Final = re.compile(r"\{([^{}]*)\}")
_EXAMPLE: Final = "{design}_{sample}_{n}"


@dataclass(frozen=True, slots=True)
class NamePattern:
    """A pattern, ready to be held against names."""

    text: str
    expressions: tuple[re.Pattern[str], ...]
    """The first that fits counts."""
    whole_path: bool
    """True where the pattern has a / in it: then it is held against the path under the folder."""

    def read(self, name: str) -> dict[str, str] | None:
        """Return the cells of runs.csv that a recording's name fills, None where it does not match.

        Examples
        --------
        >>> compiled_pattern("{design}_{sample}_{n}").read("auk 7x4_A1_2.csv")
        {'design': 'auk 7x4', 'sample': 'A1', 'mounting': '2'}
        >>> compiled_pattern("{any}-{design}-{sample}-{kind}").read("r1-auk-7x4-b-ramp.csv")
        {'design': 'auk-7x4', 'sample': 'b', 'kind': 'ramp'}
        """
        stem = without_endings(name)
        written = str(stem) if self.whole_path else stem.name
        match = next(filter(None, (expression.fullmatch(written) for expression in self.expressions)), None)
        if match is None:
            return None
        found = {place: text.strip() for place, text in match.groupdict().items() if place != "any"}
        if "n" in found:
            found["mounting"] = found.pop("n")
        if "kind" in found:
            found["kind"] = found["kind"].casefold()
        if "date" in found:
            try:
                found["date"] = iso_date(_with_marks(found["date"]))
            except (AmbiguousDateError, ValueError):  # The caller tells that the name does not match.
                return None
        return found


def compiled_pattern(text: str) -> NamePattern:
    """Return a pattern that can be held against names; raises UsageError `bad-pattern`."""
    places = _PLACE.findall(text)
    for place in places:
        if place not in PLACES:
            longer = [word for word in PLACES if word != "n"]
            raise _bad(text, f"{{{place}}} is no word that a name may hold", names_told(place, longer, otherwise="n"))
    if not places or not set(places) - {"any"}:
        raise _bad(text, "the pattern says of no part of a name what it is", f"words in braces: {', '.join(PLACES)}")
    twice = sorted({place for place in places if places.count(place) > 1 and place != "any"})
    if twice or {"n", "mounting"} <= set(places):
        word = twice[0] if twice else "n and mounting"
        raise _bad(text, f"{{{word}}} stands twice, or says the same twice", "each word once")
    touching = re.findall(r"(?<=\{)([^{}]*)\}(?=\{([^{}]*)\})", text)
    if any(first in _FREE and second in _FREE for first, second in touching):
        raise _bad(
            text, "two words in braces touch, so where one ends cannot be told", "a sign between them, such as _"
        )
    literal = _PLACE.sub("", text)
    if "{" in literal or "}" in literal:
        raise _bad(text, "a brace stands alone", "braces in pairs around a word")
    return NamePattern(text, (_expression(text, apart=True), _expression(text, apart=False)), "/" in text)


def _expression(text: str, *, apart: bool) -> re.Pattern[str]:
    """Return the pattern as an expression; with `apart`, short words hold none of the signs beside them."""
    pieces = _PLACE.split(text)
    parts = [re.escape(piece) for piece in pieces]
    for number in range(1, len(pieces), 2):
        place = pieces[number]
        signs = [re.escape(s) for s in pieces[number - 1][-1:] + pieces[number + 1][:1] if not s.isalnum()]
        allowed = f"[^{''.join(signs)}]+?" if apart and signs and place in _SHORT else PLACES[place]
        parts[number] = f"(?:{allowed})" if place == "any" else f"(?P<{place}>{allowed})"
    return re.compile("".join(parts), re.IGNORECASE)


def _bad(text: str, what: str, expected: str) -> UsageError:
    return UsageError(
        f'"{text}": {what}',
        code="bad-pattern",
        where=Where(f"--names {text}"),
        expected=expected,
        fix=f'write a pattern such as  --names "{_EXAMPLE}"',
    )


def _with_marks(date: str) -> str:
    plain = date.replace("_", "-")
    return f"{plain[:4]}-{plain[4:6]}-{plain[6:]}" if plain.isdigit() else plain
