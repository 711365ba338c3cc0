"""A rig file written from what the columns of unknown logs were taken for: what is told stands there, the rest is open.

A unit that no log tells is never written as a key: it stands as a comment with what the values would then be, so that
the file is refused, with the place, until the tester has decided.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from isothrust.book.quoting import can_be_quoted, quoted
from isothrust.quantities import CHANNELS
from isothrust.records.mapping import ColumnMapping, LayoutMapping, UnitChoice

__all__ = ["RigDraft", "RigGap", "draft_rig"]

_WIDTH: Final = 40
"""Where comments behind a key begin."""
_OPEN_UNITS: Final = 5


@dataclass(frozen=True, slots=True)
class RigGap:
    """Something that only the tester can write into a rig file."""

    line: int
    section: str
    key: str
    words: str
    """What is to be written, and why it is not there."""


@dataclass(frozen=True, slots=True)
class RigDraft:
    """The text of a rig file, and what is open in it."""

    text: str
    gaps: tuple[RigGap, ...]


@dataclass(slots=True)
class _Page:
    """Lines of the file as they are written."""

    lines: list[str] = field(default_factory=list)
    gaps: list[RigGap] = field(default_factory=list)

    def add(self, text: str = "", comment: str = "") -> None:
        self.lines.append(f"{text.ljust(_WIDTH - 1)} # {comment}" if comment and text else text)

    def gap(self, section: str, key: str, words: str) -> None:
        """Note that the line written last is open."""
        self.gaps.append(RigGap(len(self.lines), section, key, words))


def draft_rig(
    log: LayoutMapping,
    title: str,
    vibration: LayoutMapping | None = None,
    *,
    sound: bool = False,
    sound_channels: str = "",
) -> RigDraft:
    """Return the rig file for logs of one layout, and for the vibration and sound files of the same runs.

    `sound_channels` tells the channels of the sound files apart, where they have several.
    """
    page = _Page()
    _top(page, log, title)
    _clock(page, log)
    for quantity in CHANNELS:
        if quantity != "time" and log.channels(quantity):
            _channel(page, log, quantity, "log")
    if vibration is not None and vibration.channels("acceleration"):
        _vibration(page, log, vibration)
    if sound:
        _sound(page, sound_channels)
    _whole_files(page, log, sound=sound)
    _unread(page, log, "log")
    if vibration is not None:
        _unread(page, vibration, "vibration file")
    return RigDraft("\n".join(page.lines) + "\n", tuple(page.gaps))


def _top(page: _Page, log: LayoutMapping, title: str) -> None:
    example = _plain(log.files[0])
    several = "one log" if len(log.files) == 1 else f"{len(log.files)} logs"
    page.add(f"# Drafted from {several} such as {example}: {log.dialect}.")
    page.add(
        "# Above each channel stands why its column was taken. A key behind a # is open: take the # away where it is"
    )
    page.add("# right, or write what is. No unit was guessed: one without # is told by the logs themselves.")
    page.add()
    page.add(f"name = {quoted(title)}")
    page.add('# motor = "m1"', "a row of motors.csv")
    page.add('# layout = "pusher"', 'or "tractor"')
    page.add('# clearance = "0.6 m"', "nearest wall or floor ahead of or behind the disc")
    page.add('# obstruction = "12 cm2"', "area of the stand in the slipstream")


def _clock(page: _Page, log: LayoutMapping) -> None:
    columns = log.channels("time")
    if columns:
        _channel(page, log, "time", "log")
        return
    page.add()
    page.add("# No column of the logs is a clock.")
    page.add("[channels.time]")
    page.add('# rate = "100 Hz"', "rows a second")
    page.gap("channels.time", "rate", "rows a second: the logs have no clock")


def _channel(page: _Page, mapping: LayoutMapping, quantity: str, file: str) -> None:
    columns = mapping.channels(quantity)
    first, section = columns[0], f"channels.{quantity}"
    page.add()
    for column in columns:
        page.add(f"# {_named(column)}: {_why(column)}")
    for remark in dict.fromkeys(remark for column in columns for remark in column.remarks):
        page.add(f"# {_capital(remark)}.")
    page.add(f"[{section}]")
    if file != "log":
        page.add(f'file = "{file}"')
    if len(columns) > 1 and quantity == "torque":
        arms = ", ".join(f'{{ column = {_pick(mapping, each)}, arm = "? mm" }}' for each in columns)
        page.add(f"# columns = [{arms}]", "the arm of each cell, with its sign")
        page.gap(section, "columns", "the lever arm of each cell, such as 21 mm and -21 mm")
    elif len(columns) > 1:
        page.add(f"columns = [{', '.join(_pick(mapping, each) for each in columns)}]")
    else:
        page.add(f"column = {_pick(mapping, first)}")
    _unit(page, section, first)
    if first.sign < 0:
        page.add("sign = -1", "it falls as the throttle rises")
    if quantity == "speed":
        page.add("# pole_pairs = 7", "of the motor, only where the column is electrical speed")
        if first.electrical:
            page.gap(section, "pole_pairs", "the motor's pole pairs: the head says electrical speed")


def _unit(page: _Page, section: str, column: ColumnMapping) -> None:
    quantity = column.quantity or ""
    if column.unit is not None:
        mark = "# " if column.electrical else ""
        page.add(f'{mark}unit = "{column.unit}"', f"told by {column.unit_from}")
        if mark:
            page.gap(section, "unit", "take the # away once pole_pairs stands below")
    elif column.needs_unit:
        choices = column.units[:_OPEN_UNITS] or (UnitChoice(CHANNELS[quantity].shown, "nothing in the logs tells"),)
        for number, choice in enumerate(choices):
            page.add(f'# unit = "{choice.unit}"', f"{'if' if number == 0 else 'or'} {choice.meaning}")
        page.gap(section, "unit", f"the logs do not tell it; {_listed(column.units)}")
    else:
        page.add("# no unit: the column holds times of day or dates")
    if quantity == "throttle" and column.unit not in {"%", "1"}:
        low, high = _span(column)
        page.add(f"# range = [{low}, {high}]", "what 0 and 100 % are, in the column's unit; these are what was seen")
        page.gap(section, "range", f"what 0 and 100 % are; readings go from {low} to {high}")
    if column.unit == "count" and quantity != "throttle":
        page.add(f'# scale = "1 {CHANNELS[quantity].shown}/count"', "from your calibration")
        page.gap(section, "scale", f"how much {quantity} a count is")


def _vibration(page: _Page, log: LayoutMapping, vibration: LayoutMapping) -> None:
    _channel(page, vibration, "acceleration", "vibration")
    own, logs = vibration.channels("time"), log.channels("time")
    if not own:
        page.add('# rate = "1 kHz"', "samples a second: the vibration files have no clock")
        page.gap("channels.acceleration", "rate", "samples a second: the vibration files have no clock")
    elif not logs or own[0].head != logs[0].head or (not own[0].head and own[0].position != logs[0].position):
        page.add('# rate = "1 kHz"', f"samples a second: their clock, {_named(own[0])}, is not called as the log's is")
        page.gap("channels.acceleration", "rate", "samples a second: their clock is not called as the log's is")


def _sound(page: _Page, channels: str) -> None:
    page.add()
    if channels:
        page.add(f"# The sound files have several channels; of the first one: {_plain(channels)}.")
    page.add("[channels.sound]")
    page.add('file = "sound"')
    if channels:
        page.add("# column = 1", "the channel to read: the one without offset and overload")
        page.gap("channels.sound", "column", "which channel of the sound files is read")
    page.add('# sensitivity = "12.5 mV/Pa"', "left out: levels are relative to a run that you name")


def _whole_files(page: _Page, log: LayoutMapping, *, sound: bool) -> None:
    """Write what holds for a kind of file as a whole."""
    if log.joined:
        page.add()
        page.add("# Each block of the sheets holds one throttle: together they are one recording.")
        page.add("[files.log]")
        page.add('blocks = "joined"', "or  block = 2,  for one of them")
    if sound:
        page.add()
        page.add("# Where the sound lies beside the log; without one of these both begin at zero.")
        page.add("[files.sound]")
        page.add('# align = "correlation"', "its level is laid over the log's speed, thrust or throttle")
        page.add('# offset = "0.35 s"', "how long after the log's first stamp it begins")


def _unread(page: _Page, mapping: LayoutMapping, of: str) -> None:
    rest = [
        column for column in mapping.columns if column.role != "channel" and (of == "log" or column.quantity != "time")
    ]
    if rest:
        page.add()
        page.add(f"# Columns of the {of} that no channel reads:")
    for column in rest:
        page.add(f"#   {_named(column)}: {_what(column)}")


def _what(column: ColumnMapping) -> str:
    why = [each.words for each in column.evidence] or list(column.remarks)
    if column.role == "beside":
        told = f" in {column.unit}" if column.unit else ""
        return f"{column.quantity}{told}; {'; '.join(column.remarks)}"
    maybe = f"; perhaps {' or '.join(column.alternatives)}" if column.alternatives and why != ["no channel"] else ""
    return "; ".join(why) + maybe


def _pick(mapping: LayoutMapping, column: ColumnMapping) -> str:
    """Return how a rig file names a column: by its head where that is unmistakable, else by its position."""
    alike = [each for each in mapping.columns if each.head.casefold() == column.head.casefold()]
    if column.head and len(alike) == 1 and can_be_quoted(column.head):
        return quoted(column.head)
    return str(column.position)


def _why(column: ColumnMapping) -> str:
    return _plain("; ".join(each.words for each in column.evidence)) + (
        f" (perhaps {' or '.join(column.alternatives)})" if column.alternatives else ""
    )


def _named(column: ColumnMapping) -> str:
    return f'"{_plain(column.head)}"' if column.head else f"column {column.position}"


def _listed(units: Sequence[UnitChoice]) -> str:
    return "likely " + " or ".join(choice.unit for choice in units[:_OPEN_UNITS]) if units else "no usual one fits"


def _span(column: ColumnMapping) -> tuple[str, str]:
    low, high = column.low or 0.0, column.high or 0.0
    return f"{low:.6g}", f"{high:.6g}" if high != low else f"{low + 1.0:.6g}"


def _plain(text: str) -> str:
    """Return a text that can stand in a comment."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
