"""A comparison in sentences: who differs really and by how much, and who is tied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from isothrust.present.rounding import with_half_width
from isothrust.present.shown import condition_words, measurand_words
from isothrust.quantities import MEASURANDS
from isothrust.records.result import Comparison, Pair

__all__ = ["comparison_sentences", "listed", "tied_stretches"]


@dataclass(frozen=True, slots=True)
class Wording:
    """How one says that a design has less or more of something."""

    verb: str
    less: str
    more: str
    noun: str
    least: str = "least"
    most: str = "most"


WORDINGS: Mapping[str, Wording] = MappingProxyType(
    {
        "thrust": Wording("gives", "less", "more", "thrust"),
        "torque": Wording("needs", "less", "more", "torque"),
        "shaft-power": Wording("uses", "less", "more", "shaft power"),
        "electrical-power": Wording("draws", "less", "more", "electrical power"),
        "current": Wording("draws", "less", "more", "current"),
        "throttle": Wording("needs", "less", "more", "throttle"),
        "speed": Wording("turns", "slower", "faster", "", "slowest", "fastest"),
        "shaft-efficiency": Wording("gives", "less", "more", "thrust per watt at the shaft"),
        "electrical-efficiency": Wording("gives", "less", "more", "thrust per electrical watt"),
        "peak-thrust": Wording("gives", "less", "more", "peak thrust"),
        "peak-electrical-power": Wording("draws", "less", "more", "electrical power at its peak"),
        "peak-current": Wording("draws", "less", "more", "current at its peak"),
        "rotor-inertia": Wording("has", "less", "more", "rotor inertia"),
        "spin-up-rate": Wording("spins up", "more slowly", "faster", "", "most slowly", "fastest"),
        "spin-down-rate": Wording("slows down", "more slowly", "faster", "", "most slowly", "fastest"),
    }
)
"""Measurands with a verb of their own; the others are said as 'A's figure of merit is … higher than B's'."""


FEW = 8
"""Designs up to which every tie is said; of more, the table tells it."""
NAMED = 5
"""Names that are said before the others are counted."""


def listed(names: Sequence[str]) -> str:
    """Return names as people list them: of many, the first few and a count.

    Examples
    --------
    >>> listed(["Auk"]), listed(["Auk", "Gull"]), listed(["Auk", "Gull", "Tern"])
    ('Auk', 'Auk and Gull', 'Auk, Gull and Tern')
    >>> listed(["Auk", "Crake", "Dunlin", "Eider", "Fulmar", "Gull", "Heron"])
    'Auk, Crake, Dunlin, Eider, Fulmar and 2 more'
    """
    if len(names) > NAMED + 1:
        return f"{', '.join(names[:NAMED])} and {len(names) - NAMED} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def comparison_sentences(comparison: Comparison) -> tuple[str, ...]:
    """Return what the comparison says, in one to three sentences."""
    names = [rank.result.design for rank in comparison.ranks]
    if not names:
        return ()
    where = f" {condition_words(comparison.condition)}".rstrip()
    if len(names) == 1:
        return (f"{names[0]} alone has this figure{where}: there is nothing to compare it with.",)
    book = _Pairs(comparison)
    if not any(pair.real for pair in comparison.pairs):
        tied = f"{listed(names)} are tied on {measurand_words(comparison.measurand)}{where}"
        return (f"{tied}: no difference is larger than its uncertainty.",)
    leaders = [names[0], *(name for name in names[1:] if not book.real(names[0], name))]
    if len(leaders) == len(names):
        return (_first_tied_with_all(comparison, book, where),)
    behind = next(name for name in names if name not in leaders)
    clauses = [_lead(comparison, leaders, book, behind, where)]
    if len(names) <= FEW:
        groups = [group for group in _tied_groups(names, book) if group[0] != names[0]]
        clauses += [f"{listed(group)} are tied" for group in groups]
    sentences = ["; ".join(clauses) + "."]
    if behind != names[-1] and names[-1] not in leaders:
        sentences.append(f"{book.said(names[0], names[-1])}, the last.")
    return tuple(sentences)


def tied_stretches(comparison: Comparison) -> list[list[str]]:
    """Return the longest stretches of the ranking within which nobody differs really, two designs or more each."""
    return _tied_groups([rank.result.design for rank in comparison.ranks], _Pairs(comparison))


def _first_tied_with_all(comparison: Comparison, book: _Pairs, where: str) -> str:
    """Say what differs where the first, for all its lead, is too unsure to be told from anybody."""
    real = [pair for pair in comparison.pairs if pair.real]
    apart = max(real, key=lambda pair: abs(pair.difference) / pair.half_width if pair.half_width else 0.0)
    first = comparison.ranks[0].result.design
    return f"{first} is not sure enough to be told from any other{where}; {book.said(apart.first, apart.second)}."


def _lead(comparison: Comparison, leaders: list[str], book: _Pairs, behind: str, where: str) -> str:
    if len(leaders) == 1:
        return f"{book.said(leaders[0], behind)}{where}"
    lead = f"{listed(leaders)} are tied for the {_superlative(comparison)}{where}"
    return f"{lead}; {book.said(leaders[0], behind)}"


def _superlative(comparison: Comparison) -> str:
    name = comparison.measurand
    lower = comparison.ranks[0].result.value < comparison.ranks[-1].result.value  # type: ignore[operator]
    wording = WORDINGS.get(name)
    if wording is None:
        return f"{'lowest' if lower else 'highest'} {measurand_words(name)}"
    return f"{wording.least if lower else wording.most} {wording.noun or measurand_words(name)}"


class _Pairs:
    """Pairs by their two names, in either order."""

    def __init__(self, comparison: Comparison) -> None:
        self._measurand = comparison.measurand
        self._pairs = comparison.pairs
        self._place = {rank.result.design: place for place, rank in enumerate(comparison.ranks)}

    def _pair(self, first: str, second: str) -> tuple[Pair, float]:
        """Return a pair and its sign; pairs stand in the order of rank: (0, 1), (0, 2), …, (1, 2), and so on."""
        one, other = self._place[first], self._place[second]
        low, high = min(one, other), max(one, other)
        pair = self._pairs[low * (2 * len(self._place) - low - 1) // 2 + high - low - 1]
        return pair, 1.0 if low == one else -1.0

    def real(self, first: str, second: str) -> bool:
        """Say whether two designs really differ."""
        return self._pair(first, second)[0].real

    def said(self, first: str, second: str) -> str:
        """Say by how much the first differs from the second."""
        pair, sign = self._pair(first, second)
        more = sign * pair.difference > 0.0
        amount = self._amount(pair, sign)
        wording = WORDINGS.get(self._measurand)
        if wording is None:
            noun = measurand_words(self._measurand)
            return f"{first}'s {noun} is {amount} {'higher' if more else 'lower'} than {second}'s"
        comparative = " ".join(filter(None, (wording.more if more else wording.less, wording.noun)))
        return f"{first} {wording.verb} {amount} {comparative} than {second}"

    def _amount(self, pair: Pair, sign: float) -> str:
        """Return 'x ± y %' of the second design's value, or in the shown unit where that value is nil."""
        if pair.relative is None:
            factor = MEASURANDS[self._measurand].shown_unit.factor
            label = MEASURANDS[self._measurand].label
            return (
                f"{with_half_width(abs(pair.difference) / factor, pair.half_width / factor, apart=pair.real)} {label}"
            )
        reference = abs(pair.difference / pair.relative)
        relative, width = pair.relative, pair.half_width / reference
        if sign < 0.0:
            # (b - a)/a from (a - b)/b: the width is taken over to the other reference as well
            relative, width = -relative / (1.0 + relative), width / abs(1.0 + relative)
        return f"{with_half_width(100.0 * abs(relative), 100.0 * width, apart=pair.real)} %"


def _tied_groups(names: list[str], book: _Pairs) -> list[list[str]]:
    """Return the longest stretches of the ranking within which nobody differs really."""
    groups: list[list[str]] = []
    end = 0
    for start in range(len(names)):
        stop = start + 1
        while stop < len(names) and not any(book.real(name, names[stop]) for name in names[start:stop]):
            stop += 1
        if stop - start > 1 and stop > end:
            groups.append(names[start:stop])
        end = max(end, stop)
    return groups
