"""From evidence to a choice: the best quantity of each column, and the best column of each quantity."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from isothrust.ingest.mapping.movement import Movement
from isothrust.ingest.mapping.ranges import plausible, unit_choices
from isothrust.ingest.mapping.units import ToldUnit, is_scaled, unit_for
from isothrust.ingest.mapping.values import Facts
from isothrust.ingest.mapping.words import ELECTRICAL, LEFT, PARTS, RAW, RIGHT, words_of
from isothrust.records.mapping import ColumnMapping, Evidence, Role
from isothrust.tables.heads import Head

__all__ = ["Weighed", "cell_pair", "chosen"]

_ENOUGH: Final = 2.4
_MARGIN: Final = 0.6
_AXES: Final = 3
_ADDED: Final = frozenset({"thrust", "torque", "current"})
"""Quantities that several sensors may share."""
_OWN: Final = "taken as the rotor's own; where it is electrical speed, write pole_pairs"
_ELECTRICAL: Final = "electrical speed: its rpm are pole pairs times the rotor's"


@dataclass(frozen=True, slots=True)
class Weighed:
    """One column with all that speaks for or against what it may be."""

    place: int
    head: Head | None
    evidence: Sequence[Evidence]
    told: Sequence[ToldUnit]
    facts: Facts | None

    @property
    def words(self) -> list[str]:
        """Words of the head."""
        return words_of(self.head.text) if self.head is not None else []


def chosen(
    columns: Sequence[Weighed], stamps: Collection[int], moved: Mapping[int, Movement]
) -> tuple[ColumnMapping, ...]:
    """Return what each column is taken for, one column a channel (three for axes, two cells for a torque)."""
    mapped = [_mapped(column, stamps, moved.get(column.place)) for column in columns]
    mapped = _as_cells(mapped, columns)
    scores = {each.position: _score(each, columns[each.position - 1]) for each in mapped}
    final: list[ColumnMapping] = []
    for each in mapped:
        rivals = [other for other in mapped if other.quantity == each.quantity and other.role == "channel"]
        most = _AXES if each.quantity == "acceleration" else 2 if _is_cell(each) else 1
        best = sorted(rivals, key=lambda other: (-scores[other.position], other.position))[:most]
        if each.role == "channel" and each not in best:
            named = f'"{best[0].head}"' if best[0].head else f"column {best[0].position}"
            final.append(replace(each, role="beside", remarks=(*each.remarks, f"{named} is read instead")))
        else:
            final.append(replace(each, remarks=(*each.remarks, *_twins(each, rivals))))
    return tuple(final)


def _twins(column: ColumnMapping, rivals: Sequence[ColumnMapping]) -> tuple[str, ...]:
    """Return what to say where columns beside the chosen one differ from it by a number or a letter alone.

    They may be cells that add up, or two stands in one log: neither is told, and half a thrust would look like a whole.
    """
    stem = _stem(column.head)
    alike = [f'"{other.head}"' for other in rivals if other.position != column.position and _stem(other.head) == stem]
    if column.quantity not in _ADDED or not alike or not stem or _is_cell(column):
        return ()
    return (f"{' and '.join(alike)} called alike: if they add up, write columns = [...] with all of them",)


def _stem(head: str) -> tuple[str, ...]:
    words = words_of(head)
    kept = tuple(word for word in words if len(word) > 1 and not word.isdigit())
    return kept or tuple(word for word in words if not word.isdigit())


def _mapped(column: Weighed, stamps: Collection[int], movement: Movement | None) -> ColumnMapping:
    totals: dict[str, float] = {}
    for each in column.evidence:
        totals[each.quantity] = totals.get(each.quantity, 0.0) + each.weight
    order = sorted(totals, key=lambda name: -totals[name])
    best = order[0] if order else ""
    second = totals[order[1]] if len(order) > 1 else 0.0
    sure = bool(order) and totals[best] >= _ENOUGH and totals[best] - second >= _MARGIN
    text = column.head.text if column.head is not None else ""
    alternatives = tuple(name for name in order if name and (name != best or not sure))
    if not sure or best == "":
        shown = tuple(each for each in column.evidence if each.quantity == best)
        why = _why_unread(column, best, sure=sure)
        return ColumnMapping(
            position=column.place + 1,
            head=text,
            quantity=None,
            role="unread",
            unit=None,
            unit_from="",
            needs_unit=False,
            units=(),
            evidence=shown,
            alternatives=alternatives,
            remarks=(why,),
        )
    return _read(column, best, stamps, movement, alternatives)


def _why_unread(column: Weighed, best: str, *, sure: bool) -> str:
    if column.facts is None and not any(each.quantity == "time" for each in column.evidence):
        return "holds no numbers"
    if best == "" and sure:
        return "no channel"
    return "cannot be told: too little speaks for anything" if not best else "which one, its values do not tell"


def _read(
    column: Weighed, quantity: str, stamps: Collection[int], movement: Movement | None, alternatives: tuple[str, ...]
) -> ColumnMapping:
    facts, words = column.facts, set(column.words)
    told = unit_for(column.told, quantity)
    remarks: list[str] = []
    if told is not None and told.named and facts is not None and not plausible(quantity, told.unit, facts):
        remarks.append(f'"{told.written}" names it, but {facts.spans()} in {told.unit} is no reading of a bench')
        told = None
    if column.head is not None and is_scaled(column.head):
        remarks.append("a factor stands in its head: write it into the unit, such as 10 rpm or 0.1 V")
    electrical = quantity == "speed" and bool(words & ELECTRICAL)
    stamped = column.place in stamps
    raw = bool(words & RAW) and told is None
    role, remark = _role(quantity, words, readable=facts is not None or stamped)
    remarks += [remark] if remark else []
    if quantity == "speed":
        remarks.insert(0, _ELECTRICAL if electrical else _OWN)
    sign = _sign(quantity, movement)
    if sign < 0:
        remarks.append("falls as the throttle rises: read with its sign turned")
    return ColumnMapping(
        position=column.place + 1,
        head=column.head.text if column.head is not None else "",
        quantity=quantity,
        role=role,
        unit=None if told is None else told.unit,
        unit_from="" if told is None else told.by,
        needs_unit=told is None and not stamped,
        units=() if told is not None or stamped else unit_choices(quantity, facts, raw=raw),
        evidence=tuple(sorted((e for e in column.evidence if e.quantity == quantity), key=lambda e: -e.weight)),
        alternatives=alternatives,
        remarks=tuple(remarks),
        sign=sign,
        electrical=electrical,
        low=None if facts is None else facts.low,
        high=None if facts is None else facts.high,
    )


def _role(quantity: str, words: set[str], *, readable: bool) -> tuple[Role, str]:
    if quantity == "temperature" and not words & {"air", "ambient", "amb", "room", "luft", "tair", "tamb"}:
        return "beside", "whose temperature is not told: read it only if it is that of the air"
    if quantity == "electrical-power":
        return "beside", "voltage times current gives it; read it where one of them is missing"
    if quantity in {"mark", "sound"}:
        return "beside", "its clock and sensitivity must be stated first"
    if not readable:
        return "beside", "holds no numbers"
    return "channel", ""


def _sign(quantity: str, movement: Movement | None) -> int:
    """Return -1 where a thrust falls as the throttle rises."""
    if quantity != "thrust" or movement is None or not np.isfinite(movement.correlation):
        return 1
    return -1 if movement.correlation <= -0.8 else 1


def _score(column: ColumnMapping, weighed: Weighed) -> float:
    """Return how good a column is as the source of its channel: its unit told, measured, whole, of the supply."""
    score = sum(each.weight for each in column.evidence)
    words = set(weighed.words)
    score += 2.0 if column.unit is not None and column.unit != "count" else 0.0
    score += 0.5 if words & {"measured", "battery", "batt", "input", "supply", "brake", "ist"} else 0.0
    score -= 1.0 if words & PARTS - {"battery", "batt", "cell"} else 0.0
    score -= 2.0 if column.electrical else 0.0
    score -= 0.7 if words & {"compensated", "filtered", "avg", "mean"} else 0.0
    return score + (0.5 if weighed.facts is not None and weighed.facts.moves else -1.0)


def _is_cell(column: ColumnMapping) -> bool:
    return column.quantity == "torque" and any(remark.startswith(_CELL) for remark in column.remarks)


_CELL: Final = "one of two cells"


def _as_cells(columns: Sequence[ColumnMapping], weighed: Sequence[Weighed]) -> list[ColumnMapping]:
    """Say of two columns called left and right that they are the cells of a torque: each needs its arm."""
    pair = cell_pair({column.position: words_of(column.head) for column in columns})
    return [
        _as_cell(each, source.facts) if each.position in pair and each.quantity == "torque" else each
        for each, source in zip(columns, weighed, strict=True)
    ]


def _as_cell(column: ColumnMapping, facts: Facts | None) -> ColumnMapping:
    """Return a column of torque as one of two forces: its unit is one of force."""
    units = unit_choices("thrust", facts, raw=False) if column.needs_unit else ()
    remark = f"{_CELL} of a torque: write the arm of each"
    return replace(column, role="channel", remarks=(remark,), sign=1, units=units)


def cell_pair(words: Mapping[int, Sequence[str]]) -> tuple[int, ...]:
    """Return the two columns that are called left and right, none where there are not just two."""
    left = [place for place, said in words.items() if LEFT & set(said)]
    right = [place for place, said in words.items() if RIGHT & set(said)]
    return (*left, *right) if len(left) == len(right) == 1 and left != right else ()
