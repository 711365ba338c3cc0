"""What a rig file says of one kind of its files as a whole: the table that is meant, where a waveform lies in time."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from isothrust.book.rigcolumns import single_pick
from isothrust.book.toml_section import Section
from isothrust.records.rig import AlignmentPlan, FilePlan

__all__ = ["parse_file_plan"]

_ALIGNED_BY: Final = ("offset", "trigger", "align")
_AGAINST: Final = ("speed", "thrust", "throttle", "current", "electrical-power")
_EXAMPLE: Final = 'trigger = { column = "sync", channel = 2 }'


def parse_file_plan(section: Section, file: str) -> FilePlan:
    """Return what is said of a kind of file; what is wrong with it is noted in the section's remarks."""
    block, joined = _block(section)
    plan = FilePlan(section.text("table"), block, joined, _alignment(section, file))
    section.finish(known=("channel", "against", *_ALIGNED_BY))
    return plan


def _block(section: Section) -> tuple[int | None, bool]:
    block, blocks = section.raw("block"), section.word("blocks", ("joined",))
    if block is not None and blocks is not None:
        section.problem(
            "contradictory-keys",
            "one block is named, and all are to be joined",
            key="block",
            expected="one of the two",
            fix="delete one of the two keys",
        )
    return _count(section, "block", block), blocks is not None


def _count(section: Section, key: str, written: Any) -> int | None:  # noqa: ANN401
    if written is None or (isinstance(written, int) and not isinstance(written, bool) and written >= 1):
        return written
    section.problem(
        "out-of-range",
        f"{key} is {written!r}",
        key=key,
        expected="a whole number from 1",
        fix="count from 1, the left one first",
    )
    return None


def _alignment(section: Section, file: str) -> AlignmentPlan | None:
    said = [key for key in _ALIGNED_BY if key in section]
    if file == "log" and said:
        section.problem(
            "contradictory-keys",
            f"the log cannot be aligned with itself: {said[0]}",
            key=said[0],
            expected=f"{said[0]} under [files.sound] or [files.vibration]",
            fix="move the key there",
        )
        return None
    if len(said) > 1:
        section.problem(
            "contradictory-keys",
            f"the file is aligned in {len(said)} ways: {' and '.join(said)}",
            key=said[1],
            expected="one of offset, trigger and align",
            fix="keep the surest: a trigger before an offset, that before a correlation",
        )
        return None
    beside = next((key for key in ("channel", "against") if key in section), None)
    if beside is not None and said != ["align"]:
        section.problem(
            "contradictory-keys",
            f"{beside} says which level is correlated, and nothing is",
            key=beside,
            expected=f'{beside} beside  align = "correlation"',
            fix="delete the key, or add that one",
        )
    if not said:
        return None
    if said == ["offset"]:
        return _offset(section)
    return _trigger(section) if said == ["trigger"] else _correlation(section)


def _offset(section: Section) -> AlignmentPlan | None:
    written = section.raw("offset")
    items = written if isinstance(written, list) else [written]
    values = [section.parsed("offset", item, "time") for item in items[:2]]
    if values[0] is None or len(items) > 2:
        if len(items) > 2:
            section.problem(
                "wrong-type",
                f"offset is {written!r}",
                key="offset",
                expected='a time, or a time and its standard uncertainty: ["0.35 s", "10 ms"]',
                fix="write one of the two",
            )
        return None
    u_offset = abs(values[1]) if len(values) > 1 and values[1] is not None else None
    return AlignmentPlan("offset", values[0], u_offset)


def _trigger(section: Section) -> AlignmentPlan | None:
    written = section.raw("trigger")
    if not isinstance(written, Mapping) or set(written) != {"column", "channel"}:
        section.problem(
            "wrong-type",
            f"trigger is {written!r}",
            key="trigger",
            expected=f"the log's column and the waveform's channel: {_EXAMPLE}",
            fix="write it in this form",
        )
        return None
    column = single_pick(section, "trigger", written["column"])
    channel = _count(section, "trigger", written["channel"])
    return None if column is None or channel is None else AlignmentPlan("trigger", column=column, channel=channel)


def _correlation(section: Section) -> AlignmentPlan | None:
    if section.word("align", ("correlation",)) is None:
        return None
    against = section.word("against", _AGAINST)
    channel = _count(section, "channel", section.raw("channel"))
    return AlignmentPlan("correlation", channel=channel, against=against)
