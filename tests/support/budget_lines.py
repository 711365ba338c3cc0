"""Budgets as the text of `isothrust explain` lists them, and what follows from them; nothing of the package."""

from __future__ import annotations

import math
import re

from support.explained import Table


def key_of(source: str) -> str:
    inside = re.search(r"\[([^\[\]]+)\]$", source)
    return inside[1] if inside else source


def estimate_of(source: str) -> str:
    """What the size of an error rests on: scatter lines of one source rest on one estimate."""
    return source.split(" [", maxsplit=1)[0] if re.match(r"(mounting|sample) scatter", source) else key_of(source)


def lines_of(table: Table | None, head: str = "contribution") -> list[tuple[str, float, float]]:
    """Source, contribution and degrees of freedom of each line."""
    if table is None:
        return []
    return list(zip(table.column("source"), table.numbers(head), table.numbers("dof"), strict=True))


def by_key(lines: list[tuple[str, float, float]]) -> dict[str, float]:
    total: dict[str, float] = {}
    for source, contribution, _ in lines:
        total[key_of(source)] = total.get(key_of(source), 0.0) + contribution
    return total


def spread(lines: list[tuple[str, float, float]]) -> tuple[float, float]:
    """Combined standard uncertainty and effective degrees of freedom (JCGM 100:2008, eq. (10) and (G.2b))."""
    summed = by_key(lines)
    variance = sum(c**2 for c in summed.values())
    freedom = {estimate_of(source): math.inf for source, _, _ in lines}
    share = dict.fromkeys(freedom, 0.0)
    estimates = {key_of(source): estimate_of(source) for source, _, _ in lines}
    for source, _, dof in lines:
        known = freedom[estimate_of(source)]
        assert "scatter" not in estimate_of(source) or known in {dof, math.inf}, f"{source}: one estimate, one dof"
        freedom[estimate_of(source)] = min(freedom[estimate_of(source)], dof)
    for key, c in summed.items():
        share[estimates[key]] += c**2
    below = sum(part**2 / freedom[name] for name, part in share.items())
    return math.sqrt(variance), variance**2 / below if below > 0.0 else math.inf
