"""Whether a fresh run agrees with the earlier ones of its design, in one sentence and as an object."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from isothrust.present.objects import condition_object, plain_number
from isothrust.present.rounding import plainly, with_half_width
from isothrust.present.sentences import listed
from isothrust.present.shown import in_shown_unit, measurand_words, unit_label
from isothrust.records.agreement import Agreement, AgreementPart, Earlier, FreshAir

__all__ = ["agreement_object", "agreement_sentence"]

UNKNOWN_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "air": "the air of one of the days",
        "mounting": "how far a new mounting moves it",
        "sample": "how far another sample moves it",
        "repeats": "how far a new run may be off, for too few mountings or samples were repeated",
    }
)
AIR_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "given": "air as given",
        "campaign": "air: the campaign's default",
        "book": "air: the book's default",
        "nobody": 'air not known: add  --air "21 degC, 1013 hPa, 40 %"',
    }
)


def agreement_sentence(agreement: Agreement) -> str:
    """Return what is said of a fresh run, without a capital and without a full stop."""
    earlier = agreement.earlier
    if earlier is None:
        return f"not compared: {agreement.absent}"
    clauses = [_said(agreement, earlier)]
    if agreement.says == "unclear":
        clauses.append(f"whether that is too far cannot be said: {_not_known(agreement)}")
    if agreement.look_at:
        clauses.append(f"look at {agreement.look_at}")
    if not agreement.known_sample:
        clauses.append("taken as a new sample" if not agreement.sample else f"sample {agreement.sample} is new")
    if agreement.air is not None:
        clauses.append(_air(agreement.air))
    if earlier.not_current:
        clauses.append(f"{earlier.not_current} more not reduced yet")
    return "; ".join(clauses)


def _said(agreement: Agreement, earlier: Earlier) -> str:
    where = _where(agreement.parts)
    apart = [part for part in agreement.parts if part.real]
    runs = f"{len(earlier.runs)} run{'' if len(earlier.runs) == 1 else 's'}"
    whom = f"{runs} of {earlier.campaign} ({_spread(agreement, earlier)})"
    if agreement.says == "agrees":
        within = " within 1 %" if any(abs(part.difference) > part.half_width for part in agreement.parts) else ""
        return f"agrees{within} with {whom}: {', '.join(map(_signed, agreement.parts))} {where}"
    if not agreement.look_at:
        return f"beside {whom}: {', '.join(map(_signed, agreement.parts))} {where}"
    same = [part for part in agreement.parts if part not in apart]
    told = [*map(_compared, apart), *map(_signed, same)] if apart else _single_points(agreement.parts)
    verb = "differs from" if agreement.says == "differs" else "beside"
    return f"{verb} {whom}: {', '.join(told)} {where if apart else ''}".rstrip()


def _spread(agreement: Agreement, earlier: Earlier) -> str:
    mountings = f"{earlier.mountings} mounting{'' if earlier.mountings == 1 else 's'}"
    if agreement.known_sample:
        return f"sample {agreement.sample}, {mountings}"
    return f"{mountings}, {earlier.samples} sample{'' if earlier.samples == 1 else 's'}"


def _where(parts: Sequence[AgreementPart]) -> str:
    conditions = {point.condition: None for part in parts for point in part.points}
    quantity = next(iter(conditions)).quantity
    shown = [plainly(float(f"{in_shown_unit(quantity, one.value):.4g}")) for one in conditions]
    ends = shown[0] if len(shown) == 1 else f"{shown[0]} to {shown[-1]}"
    return f"at {ends} {unit_label(quantity)}"


def _signed(part: AgreementPart) -> str:
    value = with_half_width(100.0 * part.difference, 100.0 * part.half_width)
    sign = "+" if float(value.split()[0]) > 0.0 else ""
    return f"{measurand_words(part.measurand)} {sign}{value} %".replace("-", "\N{MINUS SIGN}")


def _compared(part: AgreementPart) -> str:
    value = with_half_width(100.0 * abs(part.difference), 100.0 * part.half_width, apart=True)
    return f"{measurand_words(part.measurand)} {value} % {'higher' if part.difference > 0.0 else 'lower'}"


def _single_points(parts: Sequence[AgreementPart]) -> list[str]:
    """Say by how much single points are off, where the mean over all of them is not."""
    told = []
    for part in parts:
        for point in part.points:
            if point.real:
                value = with_half_width(100.0 * abs(point.difference), 100.0 * point.half_width, apart=True)
                at = f"{in_shown_unit(point.condition.quantity, point.condition.value):.4g}"
                way = "higher" if point.difference > 0.0 else "lower"
                unit = unit_label(point.condition.quantity)
                told.append(f"{measurand_words(part.measurand)} {value} % {way} at {plainly(float(at))} {unit} alone")
    return told


def _not_known(agreement: Agreement) -> str:
    return f"nothing tells {listed([UNKNOWN_WORDS[what] for what in agreement.unknown])}"


def _air(air: FreshAir) -> str:
    return f"air of run {air.run}" if air.origin == "run" else AIR_WORDS[air.origin]


def agreement_object(agreement: Agreement) -> dict[str, object]:
    """Return an agreement as an object; differences in per cent of the earlier mean."""
    earlier, air = agreement.earlier, agreement.air
    return {
        "says": agreement.says,
        "design": agreement.design,
        "sample": agreement.sample or None,
        "known_sample": agreement.known_sample,
        "campaign": None if earlier is None else earlier.campaign,
        "runs": [] if earlier is None else list(earlier.runs),
        "not_reduced": None if earlier is None else earlier.not_current,
        "air": None if air is None else {"origin": air.origin, "run": air.run or None},
        "differences": [_part_object(part) for part in agreement.parts],
        "unknown": list(agreement.unknown),
        "look_at": agreement.look_at or None,
        "absent": agreement.absent,
    }


def _part_object(part: AgreementPart) -> dict[str, object]:
    return {
        "measurand": part.measurand,
        "difference": plain_number(100.0 * part.difference),
        "standard_uncertainty": plain_number(100.0 * part.uncertainty),
        "degrees_of_freedom": plain_number(part.degrees_of_freedom),
        "half_width": plain_number(100.0 * part.half_width),
        "unit": "%",
        "real": part.real,
        "points": [
            {
                "condition": condition_object(point.condition),
                "difference": plain_number(100.0 * point.difference),
                "half_width": plain_number(100.0 * point.half_width),
                "real": point.real,
            }
            for point in part.points
        ],
    }
