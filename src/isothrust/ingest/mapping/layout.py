"""The columns of one layout: every kind of evidence weighed, and one column chosen for each channel."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.ingest.mapping.choosing import Weighed, cell_pair, chosen
from isothrust.ingest.mapping.heads import file_evidence, head_evidence
from isothrust.ingest.mapping.movement import (
    Movement,
    clock_evidence,
    clock_places,
    movement_evidence,
    movements,
)
from isothrust.ingest.mapping.pairs import paired_evidence
from isothrust.ingest.mapping.preamble import preamble_units
from isothrust.ingest.mapping.ranges import plausible
from isothrust.ingest.mapping.throttles import found_throttle
from isothrust.ingest.mapping.units import ToldUnit, labelled, of_no_channel, quantities_of_unit, told_units, unit_for
from isothrust.ingest.mapping.values import Facts, facts_of
from isothrust.ingest.mapping.words import words_of
from isothrust.ingest.readers.numeric import columns_of, emptied
from isothrust.records.mapping import Evidence, LayoutMapping
from isothrust.tables.glimpse import glimpse_log
from isothrust.tables.log import LogTable

__all__ = ["Look", "layout_key", "look_at", "look_of_table", "map_layout"]

_ROWS: Final = 5000
"""Rows of a log that are kept, twice as many at most."""
_LIVELY: Final = 5
"""Logs of a layout whose movement is looked at."""
_NAMED_BY_FILE: Final = 3
"""Columns up to which the name of a file says what a log without heads holds."""


@dataclass(frozen=True, slots=True)
class Look:
    """What was seen of one log."""

    name: str
    """Path under the folder."""
    table: LogTable
    columns: tuple[NDArray[np.float64], ...]
    """Numbers of each column, NaN where a cell holds none; of a long log every `stride`-th row."""
    rows: int
    stride: int = 1
    first_stamp: str = ""
    """The first time of day or date, as it is written."""
    joined: bool = False
    """True where blocks that stand side by side were taken for one recording."""


def look_at(path: str | os.PathLike[str], name: str) -> Look:
    """Look at a log: in full where it is short, else at rows from all along it.

    Raises LogError where it is no log.
    """
    return look_of_table(glimpse_log(path), name)


def look_of_table(table: LogTable, name: str, *, joined: bool = False) -> Look:
    """Return what is seen of a table of any format; `joined` as in `Look`."""
    stamps = [place for place in range(table.dialect.width) if table.layout.stamps[place]]
    numbers = [place for place in range(table.dialect.width) if place not in stamps]
    read = columns_of(table, numbers, stamps[:1])
    stride = max(1, read.rows // _ROWS)
    empty = np.full(read.rows, np.nan)
    columns = tuple(read.numbers.get(place, empty)[::stride].copy() for place in range(table.dialect.width))
    first = next(iter(read.texts[stamps[0]].drop_nulls().head(1)), "") if stamps else ""
    # The cells themselves are no longer needed, and a folder may hold a thousand logs.
    return Look(name, emptied(table), columns, read.rows, stride, first.strip(), joined)


def layout_key(look: Look) -> tuple[str, ...]:
    """Return what logs of one layout have in common: their heads; without heads what parts the cells, and how many.

    Two or three columns without heads may be anything: there the words of the file's name count as well.
    """
    if look.table.heads:
        return (*(head.text for head in look.table.heads), *(("blocks joined",) if look.joined else ()))
    width = look.table.dialect.width
    told = sorted(each.quantity for each in file_evidence((look.name,)))
    return ("", look.table.dialect.delimiter, str(width), *told)


def map_layout(looks: Sequence[Look]) -> LayoutMapping:
    """Return what the columns of logs of one layout are best taken for."""
    first = looks[0].table
    facts = {
        place: seen
        for place in range(first.dialect.width)
        if (seen := facts_of([look.columns[place] for look in looks], [look.stride for look in looks])) is not None
    }
    evidence: dict[int, list[Evidence]] = {place: [] for place in range(first.dialect.width)}
    told: dict[int, list[ToldUnit]] = {}
    labels, above = labelled(first.heads), _above(looks)
    for place, found in evidence.items():
        if first.layout.stamps[place]:
            found.append(Evidence("range", "time", "holds times of day or dates", 6.0))
        if first.heads:
            head = first.heads[place]
            found += head_evidence(head.name if head.unit is not None else head.text)
            units = told_units(head, in_row=first.dialect.units_line is not None)
            told[place] = [each for each in units if not (each.letter and place in labels)] or above.get(place, [])
            found += _unit_evidence(told[place], facts.get(place), found)
            if of_no_channel(head):
                found.append(Evidence("unit", "", f"no channel is measured in {head.unit}", 10.0))
    for place in cell_pair({place: words_of(head.text) for place, head in enumerate(first.heads)}):
        if not _named_otherwise(evidence[place], but=("thrust", "torque")):
            evidence[place].append(Evidence("head", "torque", "called left or right: one of two cells", 6.0))
    clocks, counters = clock_places(evidence, facts)
    for place in clocks & set(facts):
        evidence[place] += clock_evidence(place, facts[place])
    moved = _move(looks, facts, evidence, counters)
    if not first.heads and first.dialect.width <= _NAMED_BY_FILE:
        names = file_evidence(tuple(look.name for look in looks))
        for found in evidence.values():
            found += [] if any(each.quantity == "time" for each in found) else names
    weighed = [
        Weighed(
            place, first.heads[place] if first.heads else None, evidence[place], told.get(place, []), facts.get(place)
        )
        for place in evidence
    ]
    columns = chosen(weighed, {place for place in evidence if first.layout.stamps[place]}, moved)
    files = tuple(look.name for look in looks)
    return LayoutMapping(files, str(first.dialect), bool(first.heads), columns, looks[0].joined)


def _above(looks: Sequence[Look]) -> dict[int, list[ToldUnit]]:
    """Return the units that the lines above the rows tell, where those of all logs tell the same."""
    each = [preamble_units(look.table.heads, [text for _, text in look.table.layout.preamble]) for look in looks]
    return {place: units for place, units in each[0].items() if all(one.get(place) == units for one in each)}


def _unit_evidence(told: Sequence[ToldUnit], facts: Facts | None, by_words: Sequence[Evidence]) -> list[Evidence]:
    """Return what a told unit speaks for: what the words say already where it fits, else the channels it may be of."""
    if not told:
        return []
    confirmed = {
        each.quantity: unit.written
        for each in by_words
        if each.quantity and (unit := unit_for(told, each.quantity)) is not None
    }
    if confirmed:
        return [Evidence("unit", quantity, f"its unit is {written}", 1.5) for quantity, written in confirmed.items()]
    quantities = [quantity for quantity in quantities_of_unit(told) if not _too_large(quantity, told, facts)]
    # A force may be one of the cells that make a torque: it speaks for thrust first.
    main = [quantity for quantity in quantities if quantity != "torque" or "thrust" not in quantities]
    # One letter alone is not enough: "motor A" is no current.
    weight = 0.8 if len(main) != 1 else 1.5 if told[0].letter else 2.6
    return [
        # A length of time is told in the same units as the time itself: a clock goes on.
        Evidence(
            "unit",
            quantity,
            f"its unit is {told[0].written}",
            0.8 if quantity == "time" and (facts is None or not facts.clocklike) else weight,
        )
        for quantity in main
    ]


def _too_large(quantity: str, told: Sequence[ToldUnit], facts: Facts | None) -> bool:
    return told[0].named and facts is not None and not plausible(quantity, told[0].unit, facts)


def _move(
    looks: Sequence[Look],
    facts: Mapping[int, Facts],
    evidence: Mapping[int, list[Evidence]],
    counters: frozenset[int],
) -> dict[int, Movement]:
    """Add what the movement with the throttle speaks for; the logs in which most moves are looked at."""
    lively = sorted(looks, key=_liveliness, reverse=True)[:_LIVELY]
    look, columns = lively[0], lively[0].columns
    here = {place: seen for place in facts if (seen := facts_of([columns[place]], [look.stride])) is not None}
    throttle = _headed_throttle(evidence, here)
    if throttle is None:
        taken = counters | {place for place in here if _named_otherwise(evidence[place], but=("throttle",))}
        throttle = found_throttle(columns, here, taken)
        if throttle is not None:
            words = "moves straight or stands still, and the others go with it"
            evidence[throttle].append(Evidence("movement", "throttle", words, 4.0))
    if throttle is None:
        if not looks[0].table.heads:
            for place, more in paired_evidence(columns, here, counters).items():
                evidence[place].extend(more)
        return {}
    moved = movements([each.columns for each in lively], throttle, here)
    for place, more in movement_evidence(moved, here, counters).items():
        evidence[place].extend(more)
    return moved


def _named_otherwise(evidence: Sequence[Evidence], *, but: tuple[str, ...]) -> bool:
    """Say whether a head calls a column something else."""
    return any(each.kind == "head" and each.quantity not in but and each.weight >= 3.0 for each in evidence)


def _liveliness(look: Look) -> int:
    """Return how many different readings a log holds, its clock left out."""
    facts = [facts_of([values], [look.stride]) for values in look.columns]
    return sum(found.distinct for found in facts if found is not None and not found.clocklike)


def _headed_throttle(evidence: Mapping[int, list[Evidence]], facts: Mapping[int, Facts]) -> int | None:
    """Return the column that its head calls the throttle, where one does and it moves."""
    scores = {
        place: sum(each.weight for each in found if each.quantity == "throttle")
        for place, found in evidence.items()
        if place in facts and facts[place].moves and not any(each.quantity == "" for each in found)
    }
    best = max(scores, key=lambda place: scores[place], default=None)
    return best if best is not None and scores[best] >= 3.0 else None
